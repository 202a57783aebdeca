//! What is open today, in the order of one walk through the kennel.

use super::due::{DueState, DueStep};
use crate::shared::Written;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// One dog with its steps, as the walk takes it in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WalkEntry {
    /// The dog.
    pub dog_id: Uuid,
    /// Its name, collar or call name.
    pub dog_name: String,
    /// Place in the litter; the dam and single dogs have none.
    pub ordinal: Option<u32>,
    /// Room or box.
    pub place: Option<String>,
    /// The litter it belongs to, or that it nurses.
    pub litter_id: Option<Uuid>,
    /// Name of that litter.
    pub litter_name: Option<String>,
    /// Its steps.
    pub steps: Written<Vec<DueStep>>,
}

/// A dog on the walk and what is open for it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct WalkDog {
    /// The dog.
    pub dog_id: Uuid,
    /// Its name.
    #[schema(example = "Red collar")]
    pub dog_name: String,
    /// Place in the litter.
    #[schema(example = 3)]
    pub ordinal: Option<u32>,
    /// What can be given today, late first.
    #[schema(value_type = Vec<DueStep>)]
    pub steps: Written<Vec<DueStep>>,
}

/// A stop of the walk: one litter, or the single dogs, at one place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct WalkStop {
    /// Room or box.
    #[schema(example = "whelping room")]
    pub place: Option<String>,
    /// The litter.
    pub litter_id: Option<Uuid>,
    /// Its name.
    #[schema(example = "Juno's spring litter")]
    pub litter_name: Option<String>,
    /// The most pressing state at this stop.
    #[serde(rename = "status")]
    pub state: DueState,
    /// The dogs: the dam first, then the pups in order of birth.
    pub dogs: Vec<WalkDog>,
}

impl WalkStop {
    /// What tells it from the other stops of a walk.
    pub fn key(&self) -> String {
        format!(
            "{} {}",
            self.litter_id.unwrap_or_default(),
            self.place.as_deref().unwrap_or_default()
        )
    }
}

/// Groups what can be given today by place and litter, then by dog.
///
/// Places and litters come in the order of their names, what has no place comes last; within a
/// litter the dam comes first and the pups in order of birth. A dog without an open step is left
/// out.
pub fn walk(entries: impl IntoIterator<Item = WalkEntry>) -> Vec<WalkStop> {
    type Stop = (bool, Option<String>, bool, Option<String>, Option<Uuid>);
    let mut stops: BTreeMap<Stop, Vec<WalkDog>> = BTreeMap::new();
    for entry in entries {
        let steps = open_steps(entry.steps);
        if steps.is_empty() {
            continue;
        }
        let key = (
            entry.place.is_none(),
            entry.place,
            entry.litter_id.is_none(),
            entry.litter_name,
            entry.litter_id,
        );
        stops.entry(key).or_default().push(WalkDog {
            dog_id: entry.dog_id,
            dog_name: entry.dog_name,
            ordinal: entry.ordinal,
            steps,
        });
    }
    let stop = |((_, place, _, litter_name, litter_id), mut dogs): (Stop, Vec<WalkDog>)| {
        dogs.sort_by(|a, b| (a.ordinal, &a.dog_name).cmp(&(b.ordinal, &b.dog_name)));
        let states = dogs.iter().flat_map(|dog| dog.steps.iter()).map(|step| step.state);
        let state = states.min().unwrap_or(DueState::Done);
        WalkStop { place, litter_id, litter_name, state, dogs }
    };
    stops.into_iter().map(stop).collect()
}

/// What can be given today, late first.
pub(crate) fn open_steps(steps: Written<Vec<DueStep>>) -> Written<Vec<DueStep>> {
    let place = |step: &DueStep| (step.state, step.ideal_on);
    if steps.iter().all(DueStep::is_open) && steps.is_sorted_by_key(place) {
        return steps;
    }
    let mut open: Vec<DueStep> = steps.iter().filter(|step| step.is_open()).cloned().collect();
    open.sort_by_key(place);
    open.into()
}
