//! Places of an instance for calls to others: those who do well, and those who take long and are only waited for.

use std::{pin::pin, sync::Arc, time::Duration};
use store::webhooks::Places;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// Calls that are under way at once.
const QUICK_PLACES: usize = 64;
const SLOW_PLACES: usize = 256;

/// The places of an instance; whoever is called holds one to the end.
#[derive(Clone)]
pub(crate) struct Lanes {
    quick: Arc<Semaphore>,
    slow: Arc<Semaphore>,
}

impl Lanes {
    pub(crate) fn new() -> Self {
        let places = |count| Arc::new(Semaphore::new(count));
        Self { quick: places(QUICK_PLACES), slow: places(SLOW_PLACES) }
    }

    /// What is free in each.
    pub(crate) fn free(&self) -> Places {
        let free = |lane: &Semaphore| i32::try_from(lane.available_permits()).unwrap_or(i32::MAX);
        Places { quick: free(&self.quick), slow: free(&self.slow) }
    }

    fn place(&self, slow: bool) -> Option<OwnedSemaphorePermit> {
        let lane = if slow { &self.slow } else { &self.quick };
        Arc::clone(lane).try_acquire_owned().ok()
    }

    /// Calls from a place of its lane, which it has from now on; whether it took longer than `soon`.
    ///
    /// A call that does goes over to the slow lane while it lasts, and says so: that a receiver hangs is known by
    /// its first call, and until that has ended it would keep others out.
    pub(crate) fn call<C: Future<Output = ()>, L: FnOnce()>(
        &self,
        slow: bool,
        soon: Duration,
        call: C,
        takes_long: L,
    ) -> impl Future<Output = bool> + use<C, L> {
        let (lanes, mut place) = (self.clone(), self.place(slow));
        async move {
            let mut call = pin!(call);
            if tokio::time::timeout(soon, &mut call).await.is_ok() {
                return false;
            }
            if !slow {
                // Where the slow lane is full it stays where it is.
                place = lanes.place(true).or(place);
            }
            takes_long();
            call.await;
            drop(place);
            true
        }
    }
}
