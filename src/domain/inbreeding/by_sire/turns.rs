//! Whose turn it is: parts of the work in one order, each begun when those that it needs are over.

use std::sync::{
    Condvar, Mutex, MutexGuard, PoisonError,
    atomic::{AtomicUsize, Ordering},
};

/// The turns of all parts.
pub(super) struct Turns {
    next: AtomicUsize,
    progress: Mutex<Progress>,
    moved: Condvar,
}

struct Progress {
    over: Vec<bool>,
    /// The first so many parts are over.
    without_gap: usize,
    /// A thread ended before its part was over: nobody waits for it.
    given_up: bool,
}

/// A part that a thread has taken; given up when it is dropped before it is over.
pub(super) struct Turn<'a> {
    pub(super) part: usize,
    turns: &'a Turns,
}

impl Turns {
    pub(super) fn new(parts: usize) -> Self {
        let progress = Progress { over: vec![false; parts], without_gap: 0, given_up: false };
        Self { next: AtomicUsize::new(0), progress: Mutex::new(progress), moved: Condvar::new() }
    }

    /// The next part that nobody has taken.
    pub(super) fn take(&self) -> Option<Turn<'_>> {
        let part = self.next.fetch_add(1, Ordering::Relaxed);
        let parts = self.progress().over.len();
        (part < parts).then(|| Turn { part, turns: self })
    }

    /// Waits until the first `parts` are over; `false` if that will never be. Those were taken
    /// before, by threads that wait for still earlier ones at most.
    pub(super) fn wait_for(&self, parts: usize) -> bool {
        let waits = |progress: &mut Progress| progress.without_gap < parts && !progress.given_up;
        let progress = self.moved.wait_while(self.progress(), waits);
        !progress.unwrap_or_else(PoisonError::into_inner).given_up
    }

    fn progress(&self) -> MutexGuard<'_, Progress> {
        self.progress.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Turn<'_> {
    /// The part is done.
    pub(super) fn over(self) {
        let mut progress = self.turns.progress();
        progress.over[self.part] = true;
        while progress.over.get(progress.without_gap).is_some_and(|over| *over) {
            progress.without_gap += 1;
        }
    }
}

impl Drop for Turn<'_> {
    fn drop(&mut self) {
        let mut progress = self.turns.progress();
        progress.given_up |= !progress.over[self.part];
        drop(progress);
        self.turns.moved.notify_all();
    }
}
