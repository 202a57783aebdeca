//! Looks at kennels whose moment has come or that have changed, and finds whom to ring of which alarm.

use super::{Ringing, words};
use chrono::{DateTime, Utc};
use domain::{
    alarms::{Alarm, list},
    rings::{NextLook, Told, Turn, TurnKind, plan, turns},
};
use serde_json::{Value, json};
use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
    time::{Duration, Instant},
};
use store::{
    StoreResult, alarms, aside,
    litters::Which,
    rings::watches::{self, Audience, Hearer, Look, ToldOf, Watch},
};
use tokio::{sync::Semaphore, task::JoinSet};
use uuid::Uuid;

/// Kennels that are looked at at once: while one is reckoned, another one's records are read.
const AT_ONCE: usize = 2;

/// Looks for as long as the process lives.
pub async fn work(ringing: Arc<Ringing>) {
    let news = ringing.bell.wakes.news();
    let places = Arc::new(Semaphore::new(AT_ONCE));
    let mut looking = JoinSet::new();
    let mut woken: BTreeSet<Uuid> = BTreeSet::new();
    let mut swept: Option<Instant> = None;
    loop {
        let named = news.take();
        woken.extend(named.ids);
        if named.all || swept.is_some_and(|at| at.elapsed() >= ringing.bell.manner.sweep) {
            swept = None;
        }
        let free = places.available_permits();
        if free > 0 {
            let of_these = swept.is_some().then(|| woken.iter().copied().collect());
            match claim(&ringing, of_these, free).await {
                Ok(claimed) => {
                    // With places to spare there was nothing else.
                    if claimed.len() < free {
                        woken.clear();
                        swept.get_or_insert_with(Instant::now);
                    }
                    for watch in claimed {
                        let place = Arc::clone(&places).try_acquire_owned();
                        let (ringing, news) = (Arc::clone(&ringing), Arc::clone(&news));
                        looking.spawn(async move {
                            if ringing.looked(&watch).await {
                                news.add(watch.kennel_id);
                            }
                            drop(place);
                        });
                    }
                }
                Err(error) => {
                    tracing::debug!(%error, "no kennel is looked at");
                    tokio::time::sleep(Duration::from_secs(1)).await;
                }
            }
        }
        tokio::select! {
            () = news.woken() => {}
            () = tokio::time::sleep(ringing.bell.manner.glance) => {}
            Some(_) = looking.join_next() => {}
        }
        while looking.try_join_next().is_some() {}
    }
}

async fn claim(
    ringing: &Ringing,
    woken: Option<Vec<Uuid>>,
    free: usize,
) -> StoreResult<Vec<Watch>> {
    let (now, most) = ((ringing.bell.now)(), i32::try_from(free).unwrap_or(i32::MAX));
    watches::claim(&ringing.bell.db, now, woken, most, ringing.bell.manner.lease_seconds()).await
}

impl Ringing {
    /// Looks at a kennel; whether it has changed meanwhile.
    async fn looked(&self, watch: &Watch) -> bool {
        match self.look(watch).await {
            Ok(again) => again,
            Err(error) => {
                tracing::warn!(%error, kennel = %watch.kennel_id, "alarms are looked at later");
                if let Err(error) = watches::put_off(&self.bell.db, watch).await {
                    tracing::debug!(%error, "its lease ends by itself");
                }
                false
            }
        }
    }

    async fn look(&self, watch: &Watch) -> StoreResult<bool> {
        let db = &self.bell.db;
        let now = (self.bell.now)();
        let hearers = watches::hearers(db, watch, now).await?;
        if hearers.is_empty() && !watch.hooks {
            // Nobody listens any more.
            return watches::keep(db, watch, Look::default(), None).await;
        }
        let told = watches::told(db, watch).await?;
        let mut audiences: BTreeSet<Audience> = hearers.iter().map(|one| one.audience).collect();
        if watch.hooks {
            audiences.insert(Audience::All);
        }
        let mut look = Look::default();
        let mut next = NextLook::in_turn(now);
        for audience in audiences {
            let scope = watch.scope(audience, now);
            let (litters, moment) =
                alarms::watched(db, &self.bell.studbooks, &scope, Which::Kennel).await?;
            let alarms = aside(move || list(&litters, &moment)).await?;
            next = next.or_at_limit(&alarms, now);
            let heard = Heard { watch, audience, alarms: &alarms, hearers: &hearers, now };
            heard.compare(&told, &mut look, self.bell.own_origin.as_deref());
        }
        if let Some(hour) = self.tasks_due((watch, &hearers, &told), &mut look, now).await? {
            next = next.or_at(hour);
        }
        let rings = look.rings() > 0;
        let again = watches::keep(db, watch, look, Some(next)).await?;
        if rings {
            self.due.notify_one();
        }
        Ok(again)
    }
}

/// The alarms of a kennel as an audience hears them.
struct Heard<'a> {
    watch: &'a Watch,
    audience: Audience,
    alarms: &'a [Alarm],
    hearers: &'a [Hearer],
    now: DateTime<Utc>,
}

impl Heard<'_> {
    /// Compares with what was told before, and enters what is new.
    fn compare(&self, told: &[ToldOf], look: &mut Look, origin: Option<&str>) {
        let word = self.audience.word();
        let before: Vec<&ToldOf> = told.iter().filter(|told| told.audience == word).collect();
        let states: Vec<Told> = before.iter().map(|told| told.told).collect();
        let first = !self.watch.audiences.contains(&word);
        let (found, states) = turns(&states, self.alarms, first);
        let mut events: BTreeMap<Uuid, Value> =
            before.iter().map(|told| (told.told.alarm_id, told.alarm.clone())).collect();
        events.extend(self.alarms.iter().map(|alarm| (alarm.id, event(alarm))));
        let event_of = |id: &Uuid| events.get(id).cloned().unwrap_or_default();
        for turn in &found {
            if self.audience == Audience::All && self.watch.hooks {
                look.event(turn.kind, &event_of(&turn.told.alarm_id));
            }
            if matches!(turn.kind, TurnKind::Raised | TurnKind::Worse) {
                self.ring(turn, look, origin);
            }
        }
        let states = states.into_iter().map(|told| (told, event_of(&told.alarm_id)));
        look.heard(&word, states.collect());
    }

    fn ring(&self, turn: &Turn<'_>, look: &mut Look, origin: Option<&str>) {
        let Some(alarm) = turn.alarm else { return };
        let kennel = self.watch.kennel();
        let named = (self.watch.kennel_id, kennel.name.as_str());
        // Whoever sees all hears of it, too: a co-owner waits for them while they are on duty.
        let beside = |one: &&Hearer| [self.audience, Audience::All].contains(&one.audience);
        let hear: Vec<&Hearer> = self.hearers.iter().filter(beside).collect();
        let listeners: Vec<_> = hear.iter().map(|one| one.listener.clone()).collect();
        for ring in plan(turn, &listeners, self.now, kennel.tz()) {
            let is_own = |one: &&&Hearer| {
                one.audience == self.audience && one.listener.membership_id == ring.membership_id
            };
            let Some(hearer) = hear.iter().find(is_own) else { continue };
            let language = hearer.listener.choices.language;
            let content = words::alarm_words(alarm, named, ring.way, language, origin);
            look.ring((&self.audience.word(), hearer), &turn.told, &ring, &content);
        }
    }
}

/// What webhooks are told of an alarm: no words, which are in the list of alarms in each language.
fn event(alarm: &Alarm) -> Value {
    json!({
        "id": alarm.id, "code": alarm.code, "level": alarm.level,
        "litter_id": alarm.about.litter_id, "dog_id": alarm.about.dog_id,
        "since": alarm.since, "next_limit_at": alarm.next_limit_at,
        "seen_by": alarm.seen.as_ref().and_then(|seen| seen.person_id),
    })
}
