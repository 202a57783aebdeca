//! Wake-ups: Postgres tells every instance which kennel has changed, and whose sessions have ended.
//!
//! Whoever follows a kennel sleeps until it is named, or the person who follows it; a stream that nobody
//! wakes asks the database nothing.

use super::address::Address;
use std::{
    collections::{BTreeSet, HashMap},
    sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError},
    time::Duration,
};
use tokio::sync::Notify;
use tokio_postgres::AsyncMessage;
use uuid::Uuid;

/// How long to wait before listening again after the connection was lost.
const RETRY: Duration = Duration::from_secs(1);

/// Streams of one instance that are open at once.
#[derive(Debug, Clone, Copy)]
pub struct StreamLimits {
    /// Of one person.
    pub of_person: usize,
    /// Of one kennel.
    pub of_kennel: usize,
    /// In all.
    pub in_all: usize,
}

impl Default for StreamLimits {
    /// A phone, a wall screen and some forgotten pages for each person; a kennel has some five people and
    /// their co-owners.
    fn default() -> Self {
        Self { of_person: 20, of_kennel: 100, in_all: 4_000 }
    }
}

/// Of whom there are too many streams already.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TooManyStreams {
    /// Of this person.
    OfPerson(usize),
    /// Of this kennel.
    OfKennel(usize),
    /// Of all together.
    InAll,
}

/// Who follows what.
#[derive(Default)]
struct Register {
    next: u64,
    count: usize,
    /// By the id of a kennel or a person: whom to wake.
    followers: HashMap<Uuid, HashMap<u64, Arc<Notify>>>,
}

impl Register {
    fn of(&self, id: Uuid) -> usize {
        self.followers.get(&id).map_or(0, HashMap::len)
    }
}

/// What was named since it was last asked, for one who follows all kennels.
#[derive(Default)]
pub struct News {
    named: Mutex<Named>,
    woken: Notify,
}

/// Ids that were named; `all` when some may have been missed.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Named {
    /// Kennels, and people whose sessions have ended.
    pub ids: BTreeSet<Uuid>,
    /// Whether the connection was lost meanwhile.
    pub all: bool,
}

impl News {
    fn named(&self) -> MutexGuard<'_, Named> {
        self.named.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Names a kennel that is to be looked at.
    pub fn add(&self, id: Uuid) {
        self.named().ids.insert(id);
        self.woken.notify_one();
    }

    /// Takes what was named so far.
    pub fn take(&self) -> Named {
        std::mem::take(&mut *self.named())
    }

    /// Waits until something is named; also when it was since the last wait.
    pub async fn woken(&self) {
        self.woken.notified().await;
    }
}

/// The wake-ups of an instance.
#[derive(Clone)]
pub struct Wakes {
    register: Arc<Mutex<Register>>,
    /// What is named to the one who follows all kennels, once there is one.
    news: Arc<OnceLock<Arc<News>>>,
    limits: StreamLimits,
}

impl Wakes {
    /// Listens for changes at `url` for as long as the runtime lives.
    pub fn listen(url: &str, limits: StreamLimits) -> Self {
        let wakes = Self { register: Arc::default(), news: Arc::default(), limits };
        let (listening, url) = (wakes.clone(), url.to_owned());
        tokio::spawn(async move {
            loop {
                if let Err(error) = follow(&url, &listening).await {
                    tracing::debug!(%error, "not listening for changes; trying again");
                }
                // Whatever was missed meanwhile: every stream looks by itself.
                listening.wake_all();
                tokio::time::sleep(RETRY).await;
            }
        });
        wakes
    }

    /// Follows a kennel for a person, until the follower is dropped.
    ///
    /// # Errors
    /// When there are too many already.
    pub fn follow(&self, person_id: Uuid, kennel_id: Uuid) -> Result<Follower, TooManyStreams> {
        let mut register = self.register();
        if register.of(person_id) >= self.limits.of_person {
            return Err(TooManyStreams::OfPerson(self.limits.of_person));
        }
        if register.of(kennel_id) >= self.limits.of_kennel {
            return Err(TooManyStreams::OfKennel(self.limits.of_kennel));
        }
        if register.count >= self.limits.in_all {
            return Err(TooManyStreams::InAll);
        }
        let (key, woken) = (register.next, Arc::new(Notify::new()));
        register.next += 1;
        register.count += 1;
        for id in [person_id, kennel_id] {
            register.followers.entry(id).or_default().insert(key, Arc::clone(&woken));
        }
        Ok(Follower { wakes: self.clone(), ids: [person_id, kennel_id], key, woken })
    }

    /// Follows all kennels, for the one worker that does.
    pub fn news(&self) -> Arc<News> {
        Arc::clone(self.news.get_or_init(Arc::default))
    }

    /// How many follow.
    pub fn followers(&self) -> usize {
        self.register().count
    }

    fn register(&self) -> MutexGuard<'_, Register> {
        // Nothing that holds it can leave it half done.
        self.register.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn wake(&self, id: Uuid) {
        if let Some(news) = self.news.get() {
            news.add(id);
        }
        for woken in self.register().followers.get(&id).into_iter().flat_map(HashMap::values) {
            woken.notify_one();
        }
    }

    fn wake_all(&self) {
        if let Some(news) = self.news.get() {
            news.named().all = true;
            news.woken.notify_one();
        }
        for woken in self.register().followers.values().flat_map(HashMap::values) {
            woken.notify_one();
        }
    }
}

/// Somebody who follows a kennel.
pub struct Follower {
    wakes: Wakes,
    ids: [Uuid; 2],
    key: u64,
    woken: Arc<Notify>,
}

impl Follower {
    /// Waits until something has changed; also when it did since the last wait.
    pub async fn woken(&self) {
        self.woken.notified().await;
    }
}

impl Drop for Follower {
    fn drop(&mut self) {
        let mut register = self.wakes.register();
        register.count -= 1;
        for id in self.ids {
            if let Some(followers) = register.followers.get_mut(&id) {
                followers.remove(&self.key);
                if followers.is_empty() {
                    register.followers.remove(&id);
                }
            }
        }
    }
}

async fn follow(url: &str, wakes: &Wakes) -> Result<(), String> {
    let address: Address = url.parse()?;
    let (client, mut messages) = address.listen().await?;
    client.batch_execute("LISTEN denwright_changes").await.map_err(|error| error.to_string())?;
    // Whatever came between the last connection and this one.
    wakes.wake_all();
    while let Some(message) = messages.recv().await {
        if let AsyncMessage::Notification(note) = message.map_err(|error| error.to_string())?
            && let Ok(id) = note.payload().parse()
        {
            wakes.wake(id);
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wakes(of_person: usize, of_kennel: usize, in_all: usize) -> Wakes {
        let limits = StreamLimits { of_person, of_kennel, in_all };
        Wakes { register: Arc::default(), news: Arc::default(), limits }
    }

    async fn is_woken(follower: &Follower) -> bool {
        tokio::time::timeout(Duration::from_millis(20), follower.woken()).await.is_ok()
    }

    #[tokio::test]
    async fn only_those_are_woken_whom_it_concerns() {
        let wakes = wakes(9, 9, 9);
        let [maren, ines, larkfell, greywether] = [1, 2, 3, 4].map(Uuid::from_u128);
        let here = wakes.follow(maren, larkfell).unwrap();
        let beside = wakes.follow(ines, larkfell).unwrap();
        let elsewhere = wakes.follow(ines, greywether).unwrap();
        wakes.wake(larkfell);
        assert!(is_woken(&here).await && is_woken(&beside).await && !is_woken(&elsewhere).await);
        wakes.wake(ines);
        assert!(!is_woken(&here).await && is_woken(&beside).await && is_woken(&elsewhere).await);
        wakes.wake_all();
        // Several wake-ups are one look.
        wakes.wake(larkfell);
        assert!(is_woken(&here).await && !is_woken(&here).await);
    }

    #[tokio::test]
    async fn who_follows_all_kennels_is_told_each_once() {
        let wakes = wakes(9, 9, 9);
        let [larkfell, greywether] = [3, 4].map(Uuid::from_u128);
        wakes.wake(larkfell);
        let news = wakes.news();
        for id in [greywether, larkfell, greywether] {
            wakes.wake(id);
        }
        news.woken().await;
        assert_eq!(news.take(), Named { ids: [larkfell, greywether].into(), all: false });
        wakes.wake_all();
        assert_eq!(news.take(), Named { ids: BTreeSet::new(), all: true });
        assert_eq!(news.take(), Named::default());
    }

    #[test]
    fn each_limit_holds_on_it_and_a_place_comes_back() {
        let [maren, ines, larkfell, greywether, thornwick] = [1, 2, 3, 4, 5].map(Uuid::from_u128);
        let wakes = wakes(2, 3, 4);
        let first = wakes.follow(maren, larkfell).unwrap();
        let _second = wakes.follow(maren, greywether).unwrap();
        assert_eq!(wakes.follow(maren, thornwick).err(), Some(TooManyStreams::OfPerson(2)));
        let _third = wakes.follow(ines, larkfell).unwrap();
        let _fourth = wakes.follow(Uuid::from_u128(6), larkfell).unwrap();
        assert_eq!(
            wakes.follow(Uuid::from_u128(7), larkfell).err(),
            Some(TooManyStreams::OfKennel(3))
        );
        assert_eq!(wakes.follow(ines, thornwick).err(), Some(TooManyStreams::InAll));
        assert_eq!(wakes.followers(), 4);
        drop(first);
        assert_eq!(wakes.followers(), 3);
        let _fifth = wakes.follow(maren, larkfell).unwrap();
    }
}
