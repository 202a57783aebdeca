//! Connections that several questions use at once.
//!
//! A question is one statement that begins and ends by itself, so the next one can be sent behind another that is not
//! answered yet: Postgres finds it waiting when it is done with the one before, and neither side sleeps and is woken
//! in between. Sixteen clients get a quarter more answers than over a connection each. What needs a transaction has its
//! connection alone.

use diesel_async::{AsyncPgConnection, pooled_connection::deadpool::Object};
use std::{
    sync::{Arc, Mutex, PoisonError, Weak},
    time::{Duration, Instant},
};

/// Connections that questions take before they share: two keep Postgres busy while a worker reads an answer.
const LINES: usize = 2;

/// Questions on a connection at most: the last waits for all before it.
const QUESTIONS: usize = 8;

/// A connection that has answered nothing for so long waits for something itself, and no other question behind it.
const STUCK: Duration = Duration::from_millis(100);

/// A connection on which other questions may be under way; the last one gives it back.
pub(crate) struct SharedLine(Arc<Line>);

struct Line {
    conn: Object<AsyncPgConnection>,
    /// When a question on it was answered last.
    answered_at: Mutex<Instant>,
}

impl Line {
    fn goes_on(&self) -> bool {
        self.answered_at.lock().unwrap_or_else(PoisonError::into_inner).elapsed() < STUCK
    }
}

impl SharedLine {
    /// The connection, on which a question is sent without a wait for those before it.
    pub(crate) fn conn(&self) -> &AsyncPgConnection {
        &self.0.conn
    }
}

impl Drop for SharedLine {
    fn drop(&mut self) {
        *self.0.answered_at.lock().unwrap_or_else(PoisonError::into_inner) = Instant::now();
    }
}

/// The connections of a pool on which questions are under way.
#[derive(Default)]
pub(crate) struct SharedLines(Mutex<Vec<Weak<Line>>>);

impl SharedLines {
    /// Lets other questions join the one that this connection was taken for.
    pub(crate) fn open(&self, conn: Object<AsyncPgConnection>) -> SharedLine {
        let line = Arc::new(Line { conn, answered_at: Mutex::new(Instant::now()) });
        let mut lines = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        lines.retain(|line| line.strong_count() > 0);
        lines.push(Arc::downgrade(&line));
        SharedLine(line)
    }

    /// The connection with the fewest questions under way, where one has room for another; none where another
    /// connection is rather taken, of which some may be free.
    pub(crate) fn join(&self, others_are_free: bool) -> Option<SharedLine> {
        let lines = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let in_use: Vec<Arc<Line>> =
            lines.iter().filter_map(Weak::upgrade).filter(|line| line.goes_on()).collect();
        if others_are_free && in_use.len() < LINES {
            return None;
        }
        let least = in_use.into_iter().min_by_key(Arc::strong_count)?;
        // This one is counted as well.
        (Arc::strong_count(&least) <= QUESTIONS).then_some(SharedLine(least))
    }
}
