//! Changes as they are committed, as a stream that costs nothing while nothing changes.

use super::{
    App,
    changes::event,
    problem::{Kind, Problem},
};
use actix_web::{HttpResponse, http::header, web};
use catalogue::said;
use futures_util::{StreamExt as _, stream};
use postgres::wakes::{Follower, TooManyStreams};
use std::time::Duration;
use store::{
    changes::Which,
    scope::Scope,
    streams::{self, Heard, Place},
};

/// Most changes that a stream tells in one look.
const AT_ONCE: i64 = 500;
/// How often a silent stream shows that it lives. It asks the database nothing for that.
const HEARTBEAT: Duration = Duration::from_secs(15);
/// After so many silent heartbeats a stream looks by itself, should a wake-up have been lost, or its token
/// be over: five minutes.
const LOOK_AFTER: u32 = 20;

impl From<TooManyStreams> for Problem {
    fn from(too_many: TooManyStreams) -> Self {
        let kind = match too_many {
            TooManyStreams::InAll => Kind::Busy,
            _ => Kind::TooMany,
        };
        let detail = match too_many {
            TooManyStreams::OfPerson(most) => said!("problem-streams-of-person", most = most),
            TooManyStreams::OfKennel(most) => said!("problem-streams-of-kennel", most = most),
            TooManyStreams::InAll => said!("problem-streams-in-all"),
        };
        Self::new(kind, detail).with_header(header::RETRY_AFTER, "60")
    }
}

/// Where a stream stands.
struct StreamState {
    app: web::Data<App>,
    place: Place,
    follower: Follower,
    /// Heartbeats since the last look.
    silent: u32,
    /// How it is looked at now, if there is something to look at.
    look: Option<Look>,
}

/// How a stream looks at the log.
#[derive(Clone, Copy)]
enum Look {
    /// By itself: at its beginning, and when it has heard nothing for long.
    Alone,
    /// With all whom the same change has woken.
    Together,
}

/// Events as they are committed, by any instance, for as long as the login may see them and the
/// service runs.
///
/// # Errors
/// When this person, this kennel or this instance has too many streams already.
pub(crate) fn live(
    app: web::Data<App>,
    scope: Scope,
    which: Which,
    after: i64,
) -> Result<HttpResponse, Problem> {
    let follower = app.wakes.follow(scope.person_id(), scope.kennel_id())?;
    let mut ends = app.ends.clone();
    let place = Place { scope, which, after };
    let state = StreamState { app, place, follower, silent: 0, look: Some(Look::Alone) };
    let events = stream::unfold(state, |mut state| async move {
        let text = state.next().await?;
        Some((Ok::<_, actix_web::Error>(text), state))
    });
    // Nothing is ever sent there: it changes by closing alone.
    let events = events.take_until(async move { ends.changed().await.is_err() });
    Ok(HttpResponse::Ok()
        .content_type("text/event-stream")
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .insert_header(("X-Accel-Buffering", "no"))
        .streaming(Box::pin(events)))
}

impl StreamState {
    /// The next events, or a sign of life; nothing when the stream is over.
    async fn next(&mut self) -> Option<web::Bytes> {
        loop {
            if let Some(look) = self.look.take() {
                self.silent = 0;
                // The person may have left, or logged out everywhere, since the last look.
                let (db, place, now) = (&self.app.db, self.place.clone(), self.app.clock.now());
                let heard = match look {
                    Look::Alone => streams::told_alone(db, place, AT_ONCE, now).await,
                    Look::Together => streams::told(db, place, AT_ONCE, now).await,
                };
                let Heard { scope, changes } = heard.ok()?;
                self.place.scope = scope;
                if let Some(last) = changes.last() {
                    self.place.after = last.sequence;
                    // There may be more.
                    self.look = (changes.len() == AT_ONCE as usize).then_some(Look::Alone);
                    let text: String = changes.iter().cloned().map(event).collect();
                    return Some(web::Bytes::from(text));
                }
            }
            match tokio::time::timeout(HEARTBEAT, self.follower.woken()).await {
                Ok(()) => self.look = Some(Look::Together),
                Err(_) => {
                    self.silent += 1;
                    self.look = (self.silent >= LOOK_AFTER).then_some(Look::Alone);
                    return Some(web::Bytes::from_static(b": nothing new\n\n"));
                }
            }
        }
    }
}
