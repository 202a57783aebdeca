//! The wall screen: every litter, every pup's last weight, what is due and what is wrong, at once.

mod memory;

pub use memory::BoardMemory;

use crate::{
    advice::standing_line,
    alarms::{
        Alarm, Watched, WatchedLitter, in_order, look_at as alarms_of, records_here, told_of_record,
    },
    growth::{LitterGrowth, PupGrowth, WeightPoint},
    litter::{Core, DueWalk, Walked, due_walk_of, walked},
    moment::Moment,
    schedule::completed_days,
    shared::{Shared, Written},
    stop,
};
use catalogue::{Text, speaking, spoken};
use chrono::{DateTime, NaiveDate, Utc};
use memory::Found;
use rayon::iter::{IntoParallelIterator as _, ParallelIterator as _};
use serde::Serialize;
use std::sync::Arc;
use utoipa::ToSchema;
use uuid::Uuid;

/// One answer for the wall screen.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TodayBoard {
    /// The moment it was made.
    #[serde(rename = "reckoned_at")]
    pub as_of: DateTime<Utc>,
    /// The day on the kennel's calendar.
    pub today: NaiveDate,
    /// Litters expected, and litters with a pup or a dam to look after.
    #[schema(value_type = Vec<TodayLitter>)]
    pub litters: Vec<Written<TodayLitter>>,
    /// What can be given today, in the order of a walk through the kennel.
    pub due: DueWalk,
    /// All alarms, the gravest first.
    #[schema(value_type = Vec<Alarm>)]
    pub wrong: Vec<Written<Alarm>>,
    /// The line that stands beside every piece of advice.
    #[schema(value_type = String)]
    pub standing_line: Text,
}

/// A litter on the wall screen.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TodayLitter {
    /// The litter.
    pub litter_id: Uuid,
    /// Its name, or its dam's.
    #[schema(example = "K litter")]
    pub name: Option<String>,
    /// Room or box.
    #[schema(example = "whelping room")]
    pub place: Option<String>,
    /// Day of whelping; null while it is expected.
    pub whelped_on: Option<NaiveDate>,
    /// Age in days on the kennel's calendar, once born.
    #[schema(example = 7)]
    pub age_days: Option<i64>,
    /// When it is due, while it is expected.
    pub expected: Option<TodayExpected>,
    /// The living pups in the kennel, in order of birth.
    pub pups: Vec<TodayPup>,
}

/// When an expected litter is due.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TodayExpected {
    /// First day of the window; null without evidence.
    #[serde(rename = "earliest_on")]
    pub earliest: Option<NaiveDate>,
    /// Likely day.
    #[serde(rename = "likely_on")]
    pub likely: Option<NaiveDate>,
    /// Last day of the window.
    #[serde(rename = "latest_on")]
    pub latest: Option<NaiveDate>,
    /// Today's day of pregnancy.
    #[schema(example = 58)]
    pub day_of_pregnancy: Option<i64>,
}

/// A pup on the wall screen.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TodayPup {
    /// The pup.
    pub dog_id: Uuid,
    /// Its name or collar.
    #[schema(value_type = String, example = "green collar")]
    pub label: Text,
    /// The last weight; null when it was never weighed.
    pub last: Option<WeightPoint>,
    /// Gain since yesterday in grams; null without a weighing to compare.
    #[schema(example = 24.0)]
    pub gain_since_yesterday_g: Option<f64>,
    /// The same as a fraction of the earlier weight.
    #[schema(example = 0.06)]
    pub gain_since_yesterday_fraction: Option<f64>,
    /// Gain since birth in grams.
    #[schema(example = 180.0)]
    pub gain_since_birth_g: Option<f64>,
    /// Place by weight among the pups weighed in the same round; 1 is the heaviest.
    #[schema(example = 3)]
    pub rank: Option<u32>,
}

/// The board, from the records of the litters to look after and of the grown dogs.
///
/// Litters say nothing of one another: they are looked at side by side, as far as there are processors, and not again
/// where `memory` knows what would be found.
pub fn today_board(
    litters: Vec<(Shared<Core>, Watched)>,
    moment: &Moment,
    memory: &BoardMemory,
) -> TodayBoard {
    let looked_at = found_of_all(litters, moment, memory);
    let here = records_here(looked_at.iter().map(|one| &*one.core));
    let of_record = |one: &Arc<Found>| {
        let told = one.found.alarms.iter().filter(|alarm| told_of_record(alarm, &one.core, &here));
        told.cloned().collect::<Vec<_>>()
    };
    let mut wrong: Vec<Written<Alarm>> = looked_at.iter().flat_map(of_record).collect();
    in_order(&mut wrong);
    TodayBoard {
        as_of: moment.now,
        today: moment.today(),
        litters: looked_at.iter().filter_map(|one| one.found.litter.clone()).collect(),
        due: due_walk_of(looked_at.iter().map(|one| &one.found.walked), moment),
        wrong,
        standing_line: standing_line(),
    }
}

/// What is found of each record, in their order.
fn found_of_all(
    litters: Vec<(Shared<Core>, Watched)>,
    moment: &Moment,
    memory: &BoardMemory,
) -> Vec<Arc<Found>> {
    let known: Vec<Option<Arc<Found>>> =
        litters.iter().map(|record| memory.known(record, moment)).collect();
    let is_new = known.iter().map(Option::is_none);
    let new: Vec<(Shared<Core>, Watched)> =
        litters.into_iter().zip(is_new).filter_map(|(record, new)| new.then_some(record)).collect();
    let find = |record| memory.found(record, moment, |core, parts| look_at(core, parts, moment));
    // Other processors are asked for what takes longer than to wake them.
    let found: Vec<Arc<Found>> = match new.len() {
        0 | 1 => new.into_iter().map(find).collect(),
        _ => {
            let stop = stop::here();
            // Each thread has a language of its own.
            let language = spoken();
            let find = |record| stop::carried(stop.clone(), || speaking(language, || find(record)));
            new.into_par_iter().map(find).collect()
        }
    };
    let mut found = found.into_iter();
    known.into_iter().filter_map(|known| known.or_else(|| found.next())).collect()
}

/// What the board takes of one record.
#[derive(Debug)]
struct LookedAt {
    /// No line for dogs that are in no litter, or whose litter has grown up.
    litter: Option<Written<TodayLitter>>,
    alarms: Vec<Written<Alarm>>,
    walked: Walked,
}

fn look_at(core: &Core, parts: &Watched, moment: &Moment) -> LookedAt {
    stop::look();
    let WatchedLitter { alarms, growth, schedules } = alarms_of(core, parts, moment);
    let walked = walked((core, &parts.2, &parts.5), schedules, moment).open();
    let litter = on_the_board(core, parts, growth, moment).map(Written::from);
    LookedAt { litter, alarms: alarms.into_iter().map(Written::from).collect(), walked }
}

fn on_the_board(
    core: &Core,
    parts: &Watched,
    growth: LitterGrowth,
    moment: &Moment,
) -> Option<TodayLitter> {
    let shown = core.follows_dam(moment) || !outgrown(core, moment);
    let litter_id = core.id().filter(|_| shown)?;
    let unborn = core.whelped_on().is_none();
    let window = unborn.then(|| parts.4.due_window(core, moment)).flatten();
    Some(TodayLitter {
        litter_id,
        name: core.called(),
        place: core.place.clone(),
        whelped_on: core.whelped_on(),
        age_days: core.whelped_on().and_then(|born| completed_days(born, moment.today())),
        expected: window.map(|window| TodayExpected {
            earliest: window.earliest,
            likely: window.likely,
            latest: window.latest,
            day_of_pregnancy: window.day_of_pregnancy,
        }),
        pups: pups(growth),
    })
}

/// Whether the pups of a litter have grown up: who was kept is a dog like the others by then.
///
/// The age is the rule `today.pups_shown` in weeks.
pub(crate) fn outgrown(core: &Core, moment: &Moment) -> bool {
    let age_days = core.whelped_on().and_then(|born| completed_days(born, moment.today()));
    age_days.is_some_and(|days| days as f64 > moment.rules.value("today.pups_shown") * 7.0)
}

/// The pups that are here.
fn pups(growth: LitterGrowth) -> Vec<TodayPup> {
    let of_pup = |pup: PupGrowth| TodayPup {
        dog_id: pup.dog_id,
        label: pup.label,
        last: pup.last,
        gain_since_yesterday_g: pup.since_yesterday.as_ref().map(|change| change.gain_g),
        gain_since_yesterday_fraction: pup.since_yesterday.map(|change| change.gain_fraction),
        gain_since_birth_g: pup.since_birth.map(|change| change.gain_g),
        rank: pup.position.map(|position| position.rank),
    };
    growth.pups.into_iter().filter(|pup| pup.present).map(of_pup).collect()
}
