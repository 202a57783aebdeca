//! Work beside the threads that answer requests.

use super::{StoreError, StoreResult};
use catalogue::speaking;
use domain::stop::{Stop, StopWhenDropped, under};
use std::thread::Builder;
use tokio::sync::oneshot;

/// How much work steps back behind whoever answers small requests, Postgres included: a third of the
/// processor where both want it, so that whoever waits for a read does not wait for a drawing.
const NICENESS: i32 = 5;

/// Does slow work on a thread of its own; it ends when nobody waits for it any more.
///
/// How many do so at once is for the caller to bound. A thread each, since one that has stepped back may
/// not step forward again.
///
/// # Errors
/// [`StoreError::Internal`] when the work broke off.
pub async fn aside<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> StoreResult<T> {
    let (hand_over, done) = oneshot::channel();
    let _waiting = begun(Box::new(move || {
        // Nobody may be there any more to take it.
        let _ = hand_over.send(work());
    }))?;
    // What a panic says may hold what a client sent; the log has the place of it.
    done.await.map_err(|_| StoreError::Internal("the work broke off".to_owned()))
}

/// Begins work that ends when the answer is dropped. Boxed, so that it is compiled once and not for
/// every kind of work.
fn begun(work: Box<dyn FnOnce() + Send>) -> StoreResult<StopWhenDropped> {
    let stop = Stop::default();
    let waiting = stop.when_dropped();
    let span = tracing::Span::current();
    let language = catalogue::spoken();
    let work = move || {
        step_back();
        // Whoever was waiting sees that nothing was handed over.
        let _stopped = span.in_scope(|| under(&stop, || speaking(language, work)));
    };
    let thread = Builder::new().name("work".to_owned()).spawn(work);
    thread.map_err(|error| StoreError::Internal(error.to_string()))?;
    Ok(waiting)
}

/// Lets others go first; threads that this one begins do so too.
fn step_back() {
    #[cfg(target_os = "linux")]
    if let Err(error) = rustix::process::setpriority_process(None, NICENESS) {
        tracing::debug!(%error, "work goes on beside the rest");
    }
}
