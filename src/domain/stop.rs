//! Long work that nobody waits for any more ends by itself.
//!
//! Whoever begins the work keeps a [`StopWhenDropped`]; the work looks up at every turn of its long
//! loops ([`look`]) and unwinds once it is dropped, past everything it would still have computed.
//! Results do not change by it: there are none any more. An unwinding instead of an error, so that
//! no function between the loop and the beginning of the work has to know of it.

use std::{
    cell::RefCell,
    panic::{AssertUnwindSafe, catch_unwind, resume_unwind},
    sync::{
        Arc,
        atomic::{AtomicBool, Ordering},
    },
};

thread_local! {
    static HERE: RefCell<Option<Stop>> = const { RefCell::new(None) };
}

/// Whether a piece of work is to stop.
#[derive(Debug, Clone, Default)]
pub struct Stop(Arc<AtomicBool>);

/// Asks for the end of the work when it is dropped.
#[derive(Debug)]
pub struct StopWhenDropped(Stop);

/// The work ended before it was done, as it was asked to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stopped;

impl Stop {
    /// What to hold for as long as somebody waits for the work.
    pub fn when_dropped(&self) -> StopWhenDropped {
        StopWhenDropped(self.clone())
    }

    fn is_asked(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

impl Drop for StopWhenDropped {
    fn drop(&mut self) {
        self.0.0.store(true, Ordering::Relaxed);
    }
}

/// Does `work`, which ends at its next [`look`] once it is asked to.
///
/// # Errors
/// [`Stopped`] when it ended so.
pub fn under<T>(stop: &Stop, work: impl FnOnce() -> T) -> Result<T, Stopped> {
    // What the work has left half done is dropped with it: nobody else has seen it.
    match catch_unwind(AssertUnwindSafe(|| carried(Some(stop.clone()), work))) {
        Ok(done) => Ok(done),
        Err(cause) if cause.is::<Stopped>() => Err(Stopped),
        Err(cause) => resume_unwind(cause),
    }
}

/// What this thread looks at, to be [`carried`] to the threads among which it shares its work out.
pub(crate) fn here() -> Option<Stop> {
    HERE.with_borrow(Clone::clone)
}

/// Does a part of the work on this thread, for the one that told what it looks at by [`here`].
pub(crate) fn carried<T>(stop: Option<Stop>, work: impl FnOnce() -> T) -> T {
    struct Before(Option<Stop>);
    impl Drop for Before {
        fn drop(&mut self) {
            HERE.set(self.0.take());
        }
    }
    let _before = Before(HERE.replace(stop));
    work()
}

/// Looks up from the work: ends it when it was asked to. A few nanoseconds.
pub fn look() {
    if HERE.with_borrow(|stop| stop.as_ref().is_some_and(Stop::is_asked)) {
        resume_unwind(Box::new(Stopped));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_ends_at_its_next_look_once_nobody_waits() {
        let stop = Stop::default();
        let waiting = stop.when_dropped();
        let mut waiting = Some(waiting);
        let mut turns = 0;
        let done = under(&stop, || {
            for turn in 0..10 {
                look();
                turns = turn;
                if turn == 3 {
                    waiting = None;
                }
            }
        });
        assert_eq!((done, turns), (Err(Stopped), 3));
        assert!(waiting.is_none());
        // What is done on this thread afterwards has nothing to do with it.
        look();
        let other = Stop::default();
        let _waiting = other.when_dropped();
        assert_eq!(under(&other, || 7), Ok(7));
    }

    #[test]
    fn other_threads_look_too_and_other_panics_stay_panics() {
        let stop = Stop::default();
        drop(stop.when_dropped());
        let done = under(&stop, || {
            let here = here();
            let part = std::thread::spawn(move || carried(here, look));
            if let Err(cause) = part.join() {
                resume_unwind(cause);
            }
        });
        assert_eq!(done, Err(Stopped));
        let stop = Stop::default();
        let _waiting = stop.when_dropped();
        assert!(catch_unwind(|| under(&stop, || resume_unwind(Box::new("another")))).is_err());
    }
}
