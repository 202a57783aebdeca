//! Room for work that takes a processor for longer than a blink.
//!
//! Every computation and drawing over some 5 ms goes through here: away from the threads that answer
//! requests, so many at once in all, so many a kennel, and it ends when the client has gone. Who comes
//! when the room is full waits a little; who comes when the queue is full is told to come again.
//!
//! Whoever works has a [`Seat`], and takes it before the database is asked for what the work needs: a
//! request that will be told to come again costs nothing, and no crowd of them keeps Postgres from others.

use super::problem::{Kind, Problem};
use actix_web::HttpResponse;
use catalogue::said;
use metrics::METRICS;
use serde::Serialize;
use std::{
    collections::HashMap,
    sync::{Arc, Mutex, PoisonError},
    time::Duration,
};
use store::aside;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use uuid::Uuid;

/// How much work there may be.
#[derive(Debug, Clone, Copy)]
pub struct WorkLimits {
    /// At once, in all.
    pub at_once: usize,
    /// At once, of one kennel.
    pub at_once_each: usize,
    /// Waiting for their turn, of one kennel.
    pub waiting_each: usize,
    /// Waiting for their turn, in all.
    pub waiting: usize,
    /// How long one waits.
    pub patience: Duration,
}

impl WorkLimits {
    /// Computations and drawings: one a processor, two at the least, and half of them a kennel, so that
    /// no kennel keeps all others waiting.
    pub fn computing() -> Self {
        let at_once = processors().max(2);
        let at_once_each = at_once.div_ceil(2);
        let patience = Duration::from_secs(10);
        Self { at_once, at_once_each, waiting_each: 16, waiting: 64, patience }
    }

    /// Pictures: one at a time, since the largest takes half a gigabyte while it is unpacked, and a page of
    /// them is asked for at once.
    pub fn drawing() -> Self {
        let waiting = 128;
        let patience = Duration::from_secs(30);
        Self { at_once: 1, at_once_each: 1, waiting_each: waiting, waiting, patience }
    }

    /// Password hashes: each takes some 20 MB and a fiftieth of a second; they belong to no kennel.
    pub fn hashing() -> Self {
        let computing = Self::computing();
        Self { at_once_each: computing.at_once, waiting_each: computing.waiting, ..computing }
    }

    /// Large bodies that are read and checked: all wait their turn.
    pub fn reading() -> Self {
        let computing = Self::computing();
        let waiting = 1_000;
        Self { at_once_each: computing.at_once, waiting_each: waiting, waiting, ..computing }
    }
}

fn processors() -> usize {
    std::thread::available_parallelism().map_or(2, usize::from)
}

/// The room, shared by all workers.
pub struct WorkRoom {
    limits: WorkLimits,
    all: Places,
    kennels: Mutex<HashMap<Uuid, Arc<Places>>>,
}

/// Seats to work at, and standing room to wait in.
struct Places {
    seats: Arc<Semaphore>,
    standing: Arc<Semaphore>,
    room: usize,
}

impl Places {
    fn new(seats: usize, standing: usize) -> Self {
        // Who works stands in the room as well.
        let room = seats + standing;
        let standing = Arc::new(Semaphore::new(room));
        Self { seats: Arc::new(Semaphore::new(seats)), standing, room }
    }

    fn is_empty(&self) -> bool {
        self.standing.available_permits() == self.room
    }
}

/// What became of a piece of work, counted when it has ended.
struct CountedWork(&'static str);

impl Drop for CountedWork {
    fn drop(&mut self) {
        METRICS.worked(self.0);
    }
}

/// A place at work; free again when it is dropped and its work has ended.
#[derive(Clone)]
pub(crate) struct Seat {
    _held: Arc<[OwnedSemaphorePermit; 4]>,
}

impl Seat {
    /// Does work on a thread of its own, in the language that is spoken here.
    ///
    /// # Errors
    /// 500 when the work broke off.
    pub async fn done<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, Problem> {
        let seat = self.clone();
        let work = move || {
            // Held until the work has really ended, also when nobody waits for it any more.
            let _seat = seat;
            let mut outcome = CountedWork("given_up");
            let done = work();
            outcome.0 = "done";
            done
        };
        Ok(aside(work).await?)
    }

    /// Answers with the JSON of what work gives; it is written there, too.
    ///
    /// # Errors
    /// Those of the work, and as [`Seat::done`].
    pub async fn answer<T: Serialize>(
        &self,
        work: impl FnOnce() -> Result<T, Problem> + Send + 'static,
    ) -> Result<HttpResponse, Problem> {
        let written = self
            .done(move || serde_json::to_vec(&work()?).map_err(|error| Problem::of_ours(&error)));
        let json = written.await??;
        Ok(HttpResponse::Ok().content_type("application/json").body(json))
    }
}

impl WorkRoom {
    /// An empty room.
    pub fn new(limits: WorkLimits) -> Self {
        let all = Places::new(limits.at_once, limits.waiting);
        Self { limits, all, kennels: Mutex::default() }
    }

    /// A seat for work of this kennel, soon or not at all. Nobody who has one may ask for another.
    ///
    /// # Errors
    /// 503 with `Retry-After` when too many wait already, or for too long.
    pub(crate) async fn seat(&self, kennel_id: Uuid) -> Result<Seat, Problem> {
        let own = self.places(kennel_id);
        let stand = |places: &Places| Arc::clone(&places.standing).try_acquire_owned();
        let (Ok(own_place), Ok(place)) = (stand(&own), stand(&self.all)) else {
            return Err(full());
        };
        let sit = async {
            // The kennel's own first: who waits for that keeps no seat from others.
            let own_seat = Arc::clone(&own.seats).acquire_owned().await;
            (own_seat, Arc::clone(&self.all.seats).acquire_owned().await)
        };
        match tokio::time::timeout(self.limits.patience, sit).await {
            Ok((Ok(own_seat), Ok(seat))) => {
                Ok(Seat { _held: Arc::new([seat, own_seat, place, own_place]) })
            }
            _ => Err(full()),
        }
    }

    /// Does work that belongs to no kennel and asks the database nothing.
    ///
    /// # Errors
    /// As [`WorkRoom::seat`] and [`Seat::done`].
    pub async fn done<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, Problem> {
        self.seat(Uuid::nil()).await?.done(work).await
    }

    fn places(&self, kennel_id: Uuid) -> Arc<Places> {
        let mut kennels = self.kennels.lock().unwrap_or_else(PoisonError::into_inner);
        if kennels.len() > MOST_REMEMBERED {
            kennels.retain(|_, places| Arc::strong_count(places) > 1 || !places.is_empty());
        }
        let WorkLimits { at_once_each, waiting_each, .. } = self.limits;
        let fresh = || Arc::new(Places::new(at_once_each, waiting_each));
        Arc::clone(kennels.entry(kennel_id).or_insert_with(fresh))
    }
}

/// Kennels with nothing to do are forgotten above so many.
const MOST_REMEMBERED: usize = 1_000;

fn full() -> Problem {
    METRICS.worked("refused");
    Problem::later(Kind::Busy, said!("problem-later-computing"), "5")
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::{Language, Speaking, spoken};
    use domain::stop::look;
    use std::sync::mpsc;

    fn limits(at_once: usize, at_once_each: usize, waiting_each: usize) -> WorkLimits {
        let patience = Duration::from_millis(50);
        WorkLimits { at_once, at_once_each, waiting_each, waiting: 3, patience }
    }

    fn status<T>(result: Result<T, Problem>) -> Option<Kind> {
        result.err().map(|problem| problem.kind())
    }

    #[tokio::test]
    async fn a_kennel_has_its_share_and_leaves_the_rest_to_others() {
        let room = WorkRoom::new(limits(2, 1, 0));
        let [one, other, third] = [Uuid::now_v7(), Uuid::now_v7(), Uuid::now_v7()];
        let own = room.seat(one).await.unwrap();
        assert_eq!(status(room.seat(one).await), Some(Kind::Busy));
        let another = room.seat(other).await.unwrap();
        // All seats are taken: a third waits, and gives up.
        assert_eq!(status(room.seat(third).await), Some(Kind::Busy));
        drop(own);
        drop(room.seat(one).await.unwrap());
        drop(another);
    }

    #[tokio::test]
    async fn so_many_wait_and_no_more() {
        let room = Arc::new(WorkRoom::new(WorkLimits {
            patience: Duration::from_secs(60),
            ..limits(1, 1, 1)
        }));
        let kennel_id = Uuid::now_v7();
        let seat = room.seat(kennel_id).await.unwrap();
        let waiting = tokio::spawn({
            let room = Arc::clone(&room);
            async move { room.seat(kennel_id).await.map(drop) }
        });
        tokio::task::yield_now().await;
        assert_eq!(status(room.seat(kennel_id).await), Some(Kind::Busy));
        drop(seat);
        assert!(waiting.await.unwrap().is_ok());
    }

    #[tokio::test]
    async fn work_ends_when_nobody_waits_and_its_seat_is_free() {
        let patience = Duration::from_secs(30);
        let room = WorkRoom::new(WorkLimits { patience, ..limits(1, 1, 1) });
        let kennel_id = Uuid::now_v7();
        let (ended, end) = mpsc::channel::<()>();
        let (begun, beginning) = tokio::sync::oneshot::channel();
        let seat = room.seat(kennel_id).await.unwrap();
        let endless = seat.done(move || {
            let _ended = ended;
            begun.send(()).unwrap();
            loop {
                look();
                std::thread::yield_now();
            }
        });
        tokio::select! {
            _ = beginning => {}
            never = endless => drop::<Result<(), Problem>>(never),
        }
        drop(seat);
        // The other end is dropped when the work unwinds.
        let unwound =
            tokio::task::spawn_blocking(move || end.recv_timeout(Duration::from_secs(30)));
        assert_eq!(unwound.await.unwrap(), Err(mpsc::RecvTimeoutError::Disconnected));
        assert!(room.seat(kennel_id).await.is_ok());
    }

    #[tokio::test]
    async fn work_speaks_the_language_of_who_asked_for_it() {
        let room = WorkRoom::new(limits(1, 1, 0));
        for language in Language::ALL {
            let asked = Speaking::new(language, room.done(spoken));
            assert_eq!(asked.await.ok(), Some(language));
        }
    }

    #[tokio::test]
    async fn kennels_that_rest_are_forgotten_and_those_at_work_are_not() {
        let room = WorkRoom::new(limits(2, 1, 0));
        let busy = Uuid::now_v7();
        let _seat = room.seat(busy).await.unwrap();
        for _ in 0..2 * MOST_REMEMBERED {
            drop(room.seat(Uuid::now_v7()).await.unwrap());
        }
        assert!(room.kennels.lock().unwrap().len() <= MOST_REMEMBERED + 1);
        assert_eq!(status(room.seat(busy).await), Some(Kind::Busy));
    }
}
