//! Whose turn it is to write in a kennel.
//!
//! Writers of a kennel wait for each other in the database, by the log's next number, and whoever waits there holds a
//! connection. Fifty who send what their phones kept would hold them all, and nobody could read. So they wait
//! here, before they have one: one writes, and one is ready to.

use std::{
    collections::HashMap,
    sync::{Arc, Mutex, PoisonError},
    time::Duration,
};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use uuid::Uuid;

/// Writers of one kennel who have a connection of this instance at once.
const AT_ONCE: usize = 2;
/// How long one waits for a turn: as long as a statement waits for another transaction.
pub const PATIENCE: Duration = Duration::from_secs(10);
/// Kennels in the register, from which on those in which nobody writes are taken out.
const MANY: usize = 1_000;

/// The turns of all kennels.
#[derive(Clone, Default)]
pub struct WriteTurns(Arc<Mutex<HashMap<Uuid, Arc<Semaphore>>>>);

impl WriteTurns {
    /// A turn in this kennel, held until it is dropped; none when others write there for all this time.
    pub async fn turn(&self, kennel_id: Uuid, patience: Duration) -> Option<OwnedSemaphorePermit> {
        tokio::time::timeout(patience, self.of(kennel_id).acquire_owned()).await.ok()?.ok()
    }

    fn of(&self, kennel_id: Uuid) -> Arc<Semaphore> {
        // Nothing that holds it can leave it half done.
        let mut kennels = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kennels.len() >= MANY && !kennels.contains_key(&kennel_id) {
            // Who writes or waits holds it as well.
            kennels.retain(|_, turns| Arc::strong_count(turns) > 1);
        }
        let turns = kennels.entry(kennel_id).or_insert_with(|| Arc::new(Semaphore::new(AT_ONCE)));
        Arc::clone(turns)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    async fn turn(turns: &WriteTurns, kennel: Uuid) -> Option<OwnedSemaphorePermit> {
        turns.turn(kennel, Duration::from_millis(20)).await
    }

    #[tokio::test]
    async fn two_write_in_a_kennel_and_a_third_waits() {
        let turns = WriteTurns::default();
        let [larkfell, greywether] = [1, 2].map(Uuid::from_u128);
        let first = turn(&turns, larkfell).await.unwrap();
        let _second = turn(&turns, larkfell).await.unwrap();
        assert!(turn(&turns, larkfell).await.is_none());
        assert!(turn(&turns, greywether).await.is_some());
        drop(first);
        assert!(turn(&turns, larkfell).await.is_some());
    }

    #[tokio::test]
    async fn whoever_waits_gets_the_turn_that_becomes_free() {
        let turns = WriteTurns::default();
        let kennel = Uuid::from_u128(1);
        let mut held =
            vec![turn(&turns, kennel).await.unwrap(), turn(&turns, kennel).await.unwrap()];
        let waits = turns.turn(kennel, PATIENCE);
        let leaves = async {
            tokio::time::sleep(Duration::from_millis(5)).await;
            held.pop();
        };
        assert!(tokio::join!(waits, leaves).0.is_some());
    }

    #[tokio::test]
    async fn a_register_of_many_forgets_where_nobody_writes() {
        let turns = WriteTurns::default();
        let first = turn(&turns, Uuid::from_u128(0)).await.unwrap();
        let second = turn(&turns, Uuid::from_u128(0)).await.unwrap();
        for kennel in 1..MANY as u128 {
            assert!(turn(&turns, Uuid::from_u128(kennel)).await.is_some());
        }
        let known = || turns.0.lock().unwrap().len();
        assert_eq!(known(), MANY);
        assert!(turn(&turns, Uuid::from_u128(1)).await.is_some());
        assert_eq!(known(), MANY, "nobody new came");
        assert!(turn(&turns, Uuid::from_u128(5_000)).await.is_some());
        assert_eq!(known(), 2, "where somebody writes, and who came");
        assert!(turn(&turns, Uuid::from_u128(0)).await.is_none(), "the turns of those who write");
        drop((first, second));
    }
}
