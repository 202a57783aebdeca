//! What streams of changes are told when a change wakes them.
//!
//! A change wakes all streams of its kennel at once. Those that go on from the same place and see the same are told by
//! one look at the log, and each shows its own login after it: whose has ended meanwhile is told nothing any more, and
//! who sees something else by now is told by another look.

use super::{
    Db, StoreError, StoreResult,
    ask::Answer,
    changes::{self, Change, Span, Which},
    scope::{self, Scope},
};
use chrono::{DateTime, Utc};
use std::{
    collections::{HashMap, VecDeque},
    sync::{Arc, Mutex, MutexGuard, PoisonError},
};
use tokio::sync::oneshot;
use uuid::Uuid;

/// What a stream asks: whose it is, what it tells and after which number.
#[derive(Clone)]
pub struct Place {
    /// Who follows, as it was known at the last look.
    pub scope: Scope,
    /// What they follow.
    pub which: Which,
    /// The last number that they were told.
    pub after: i64,
}

impl Place {
    /// Whether one look at the log is good for both, unless their rights have changed.
    fn is_told_as(&self, other: &Self) -> bool {
        self.after == other.after && self.which == other.which && self.scope.sees_as(&other.scope)
    }
}

/// What a stream is told, and by which rights.
pub struct Heard {
    /// Who follows, as it is now.
    pub scope: Scope,
    /// What has come, in order.
    pub changes: Arc<[Change]>,
}

/// A stream that waits for an answer.
struct Waiting {
    place: Place,
    answer: oneshot::Sender<Heard>,
}

/// The streams that wait, by kennel; a kennel is in it while one looks for them.
#[derive(Clone, Default)]
pub(crate) struct Listeners(Arc<Mutex<HashMap<Uuid, VecDeque<Waiting>>>>);

impl Listeners {
    fn kennels(&self) -> MutexGuard<'_, HashMap<Uuid, VecDeque<Waiting>>> {
        // Nothing that holds it can leave it half done.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Puts one with the others of its kennel; whether nobody looks for them yet.
    fn add(&self, kennel_id: Uuid, waiting: Waiting) -> bool {
        let mut kennels = self.kennels();
        let is_first = !kennels.contains_key(&kennel_id);
        kennels.entry(kennel_id).or_default().push_back(waiting);
        is_first
    }

    /// Those who have come; where none has, nobody looks any more.
    fn take(&self, kennel_id: Uuid) -> Option<VecDeque<Waiting>> {
        let mut kennels = self.kennels();
        let come = std::mem::take(kennels.get_mut(&kennel_id)?);
        if come.is_empty() {
            kennels.remove(&kennel_id);
            return None;
        }
        Some(come)
    }
}

/// Whoever looks for the streams of a kennel. Should it end before its time, those who wait are told that it is over.
struct Looking {
    listeners: Listeners,
    kennel_id: Uuid,
}

impl Drop for Looking {
    fn drop(&mut self) {
        self.listeners.kennels().remove(&self.kennel_id);
    }
}

/// What has come since, for a stream that a change has woken: at most `limit` changes.
///
/// # Errors
/// When the login is not good any more, or the database is away.
pub async fn told(db: &Db, place: Place, limit: i64, now: DateTime<Utc>) -> StoreResult<Heard> {
    if !changes::is_one_question(&place.which) {
        return told_alone(db, place, limit, now).await;
    }
    let (answer, heard) = oneshot::channel();
    let kennel_id = place.scope.kennel_id();
    if db.listeners.add(kennel_id, Waiting { place, answer }) {
        let (db, listeners) = (db.clone(), db.listeners.clone());
        // On the thread that answers this stream, beside its requests.
        tokio::task::spawn_local(async move {
            let looking = Looking { listeners, kennel_id };
            while let Some(come) = looking.listeners.take(kennel_id) {
                tell(&db, come, limit, now).await;
            }
        });
    }
    heard.await.map_err(|_| StoreError::Unavailable("nobody tells of changes".to_owned()))
}

/// The same in a transaction of its own, which ends the promises whose day is over.
///
/// # Errors
/// As [`told`].
pub async fn told_alone(
    db: &Db,
    place: Place,
    limit: i64,
    now: DateTime<Utc>,
) -> StoreResult<Heard> {
    let scope = scope::renewed(db, &place.scope, now).await?;
    let span = Span::After(place.after);
    let found =
        db.within(&scope, async |tx| changes::told(tx, &place.which, span, limit).await).await?;
    Ok(Heard { scope, changes: found.into() })
}

/// Tells those who wait: the first, and with it all who are told the same. Who is not answered is over.
async fn tell(db: &Db, mut come: VecDeque<Waiting>, limit: i64, now: DateTime<Utc>) {
    while let Some(Waiting { place, answer }) = come.pop_front() {
        let (alike, others) =
            come.into_iter().partition::<VecDeque<_>, _>(|other| other.place.is_told_as(&place));
        come = others;
        let told = match place.scope.claim(now) {
            Some(claim) => {
                let span = Span::After(place.after);
                changes::ask(db, &claim, &place.which, span, limit).await
            }
            None => Ok(Answer::NoKennel),
        };
        let (scope, rows) = match told {
            Ok(Answer::Told { scope, rows, .. }) => (scope, rows),
            // Whose login has ended takes nobody along.
            Ok(_) | Err(StoreError::Login(_)) => {
                come.extend(alike);
                continue;
            }
            // The database is away, for all of them.
            Err(_) => return,
        };
        let changes: Arc<[Change]> = rows.into();
        // After the look: so nobody is told what came when they were out already.
        for (waiting, shown) in shown_again(db, alike, now).await {
            if shown.sees_as(&scope) {
                let heard = Heard { scope: shown, changes: Arc::clone(&changes) };
                let _ = waiting.answer.send(heard);
            } else {
                come.push_back(Waiting {
                    place: Place { scope: shown, ..waiting.place },
                    ..waiting
                });
            }
        }
        let _ = answer.send(Heard { scope: *scope, changes });
    }
}

/// Those whose logins are still good, with what they may see by them now.
async fn shown_again(
    db: &Db,
    waiting: VecDeque<Waiting>,
    now: DateTime<Utc>,
) -> Vec<(Waiting, Scope)> {
    let scopes: Vec<&Scope> = waiting.iter().map(|waiting| &waiting.place.scope).collect();
    let Some(kennel_id) = scopes.first().map(|scope| scope.kennel_id()) else { return Vec::new() };
    let Ok(renewed) = scope::all_renewed(db, kennel_id, &scopes, now).await else {
        return Vec::new();
    };
    waiting.into_iter().zip(renewed).filter_map(|(w, scope)| Some((w, scope?))).collect()
}
