//! Finds which tasks ring for whom, at the hour that each chose and when one comes due after it.

use super::{Ringing, words};
use chrono::{DateTime, Utc};
use domain::{
    record::Role,
    rings::{Hearing, Noted, TaskToRing, TasksTold, due_tasks, next_time},
};
use serde_json::json;
use std::collections::{BTreeMap, btree_map::Entry};
use store::{
    StoreResult, Tx, aside,
    rings::watches::{Hearer, Look, ToldOf, Watch},
    tasks,
};
use uuid::Uuid;

/// With whose eyes tasks are seen: one list for all of a role, one for each co-owner.
type Eyes = (Role, Option<Uuid>);

fn eyes(hearer: &Hearer) -> Eyes {
    let alone = hearer.role == Role::CoOwner;
    (hearer.role, alone.then_some(hearer.listener.membership_id))
}

impl Ringing {
    /// Enters what is new of the tasks for everybody whom they ring; the next hour at which they do for somebody.
    pub(super) async fn tasks_due(
        &self,
        (watch, hearers, told): (&Watch, &[Hearer], &[ToldOf]),
        look: &mut Look,
        now: DateTime<Utc>,
    ) -> StoreResult<Option<DateTime<Utc>>> {
        let zone = watch.kennel().tz();
        let mut next = None;
        let mut seen: BTreeMap<Eyes, Vec<TaskToRing>> = BTreeMap::new();
        for hearer in hearers {
            let Some(hour) = hearer.listener.choices.tasks_at.as_deref() else { continue };
            next = next.into_iter().chain(next_time(hour, now, zone)).min();
            let tasks = match seen.entry(eyes(hearer)) {
                Entry::Occupied(known) => known.into_mut(),
                Entry::Vacant(place) => place.insert(self.tasks_of(watch, hearer, now).await?),
            };
            let word = hearer.word_of_tasks();
            let (listener, person_id) = (&hearer.listener, hearer.person_id);
            let first = !watch.audiences.contains(&word);
            let hearing = Hearing { listener, person_id, first, now, zone };
            let (rings, states) = due_tasks(&noted(told, &word), tasks, hearing);
            for ring in rings {
                for planned in hearing.planned() {
                    let origin = self.bell.own_origin.as_deref();
                    let kennel = watch.kennel().name;
                    let language = listener.choices.language;
                    let named = (watch.kennel_id, kennel.as_str());
                    let content = words::task_words(&ring, named, planned.way, language, origin);
                    look.ring((&word, hearer), &ring.told, &planned, &content);
                }
            }
            let states = states.into_iter().map(|state| (state.told, json!(state.noted)));
            look.heard(&word, states.collect());
        }
        Ok(next)
    }

    async fn tasks_of(
        &self,
        watch: &Watch,
        hearer: &Hearer,
        now: DateTime<Utc>,
    ) -> StoreResult<Vec<TaskToRing>> {
        let scope = watch.scope_of_tasks(hearer, now);
        let book = self.bell.studbooks.current(&scope).await?;
        let asked =
            self.bell.db.within(&scope, async |tx: &mut Tx| tasks::in_kennel(tx, &book).await);
        let asked = asked.await?;
        aside(move || asked.to_ring()).await
    }
}

/// What somebody was told of tasks before.
fn noted(told: &[ToldOf], word: &str) -> Vec<TasksTold> {
    let own = told.iter().filter(|told| told.audience == word);
    let noted = own.map(|told| TasksTold {
        told: told.told,
        noted: serde_json::from_value(told.alarm.clone()).unwrap_or_else(|_| Noted::default()),
    });
    noted.collect()
}
