//! The wall screen: every litter, every pup's last weight, what is due and what is wrong, at once.

use super::{
    advice::{Caution, STANDING_LINE},
    growth::{WeightPoint, litter_growth},
    litter_record::{AskedOn, DueWalk, LitterRecord, due_walk},
    pregnancy::LitterDueWindow,
    schedule::completed_days,
};
use chrono::{DateTime, NaiveDate, Utc};
use rayon::iter::{IntoParallelRefIterator as _, ParallelIterator as _};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// One answer for the wall screen.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TodayBoard {
    /// The moment it was made.
    pub as_of: DateTime<Utc>,
    /// The day on the kennel's calendar.
    pub today: NaiveDate,
    /// Litters expected, and litters with a pup or a dam to look after.
    pub litters: Vec<TodayLitter>,
    /// What can be given today, in the order of a walk through the kennel.
    pub due: DueWalk,
    /// What is wrong, the gravest first.
    pub wrong: Vec<TodayCaution>,
    /// The line that stands beside every piece of advice.
    pub standing_line: String,
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
    pub earliest: Option<NaiveDate>,
    /// Likely day.
    pub likely: Option<NaiveDate>,
    /// Last day of the window.
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
    #[schema(example = "green collar")]
    pub label: String,
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

/// Something wrong, and with whom.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TodayCaution {
    /// The litter.
    pub litter_id: Option<Uuid>,
    /// The dog, when it is about one.
    pub dog_id: Option<Uuid>,
    /// Whom it is about.
    #[schema(example = "green collar")]
    pub label: Option<String>,
    /// What to know.
    pub caution: Caution,
}

/// The board, from the records of the litters to look after and the windows of the expected ones.
///
/// Litters say nothing of one another: they are looked at side by side, as far as there are processors.
pub fn today_board(
    litters: &[LitterRecord],
    expected: &[LitterDueWindow],
    ask: AskedOn<'_>,
) -> TodayBoard {
    let shown = |record: &&LitterRecord| record.dam.is_some() || !outgrown(record, ask);
    let (due, looked_at) = rayon::join(
        || due_walk(litters, ask),
        || -> Vec<(TodayLitter, Vec<TodayCaution>)> {
            let shown = litters.par_iter().filter(shown);
            shown.filter_map(|record| look_at(record, expected, ask)).collect()
        },
    );
    let of_dogs = due.cautions.iter().flat_map(|dog| {
        dog.cautions.iter().map(|caution| TodayCaution {
            litter_id: None,
            dog_id: Some(dog.dog_id),
            label: Some(dog.dog_name.clone()),
            caution: caution.clone(),
        })
    });
    let mut wrong: Vec<TodayCaution> = of_dogs.collect();
    let mut litters = Vec::with_capacity(looked_at.len());
    for (litter, cautions) in looked_at {
        litters.push(litter);
        wrong.extend(cautions);
    }
    wrong.sort_by_key(|one| std::cmp::Reverse(one.caution.level));
    TodayBoard {
        as_of: ask.now,
        today: ask.today(),
        litters,
        due,
        wrong,
        standing_line: STANDING_LINE.to_owned(),
    }
}

/// A litter on the board, and what is wrong with it; `None` for dogs that are in no litter.
fn look_at(
    record: &LitterRecord,
    expected: &[LitterDueWindow],
    ask: AskedOn<'_>,
) -> Option<(TodayLitter, Vec<TodayCaution>)> {
    let litter_id = record.litter_id?;
    let window = expected.iter().find(|window| window.litter_id == litter_id);
    let of_window = window.into_iter().flat_map(|window| &window.cautions);
    let mut wrong: Vec<TodayCaution> = of_window
        .map(|caution| TodayCaution {
            litter_id: Some(litter_id),
            dog_id: None,
            label: record.name.clone(),
            caution: caution.clone(),
        })
        .collect();
    let litter = TodayLitter {
        litter_id,
        name: record.name.clone(),
        place: record.place.clone(),
        whelped_on: record.whelped_on,
        age_days: record.whelped_on.and_then(|born| completed_days(born, ask.today())),
        expected: window.map(|window| TodayExpected {
            earliest: window.earliest,
            likely: window.likely,
            latest: window.latest,
            day_of_pregnancy: window.day_of_pregnancy,
        }),
        pups: pups(record, litter_id, ask, &mut wrong),
    };
    Some((litter, wrong))
}

/// Whether the pups of a litter have grown up: who was kept is a dog like the others by then.
///
/// The age is the rule `today.pups_shown` in weeks.
fn outgrown(record: &LitterRecord, ask: AskedOn<'_>) -> bool {
    let age_days = record.whelped_on.and_then(|born| completed_days(born, ask.today()));
    age_days.is_some_and(|days| days as f64 >= ask.rules.value("today.pups_shown") * 7.0)
}

/// The pups that are here, with what is wrong with their growth added to `wrong`.
fn pups(
    record: &LitterRecord,
    litter_id: Uuid,
    ask: AskedOn<'_>,
    wrong: &mut Vec<TodayCaution>,
) -> Vec<TodayPup> {
    let Some(litter) = record.growth_litter(ask.zone) else { return Vec::new() };
    let growth = litter_growth(&litter, ask.now, ask.rules);
    let here = |dog_id: Uuid| record.pups.iter().any(|pup| pup.dog_id == dog_id && pup.here);
    wrong.extend(growth.cautions.into_iter().map(|caution| TodayCaution {
        litter_id: Some(litter_id),
        dog_id: None,
        label: record.name.clone(),
        caution,
    }));
    let mut shown = Vec::new();
    for pup in growth.pups.into_iter().filter(|pup| here(pup.dog_id)) {
        wrong.extend(pup.cautions.into_iter().map(|caution| TodayCaution {
            litter_id: Some(litter_id),
            dog_id: Some(pup.dog_id),
            label: Some(pup.label.clone()),
            caution,
        }));
        shown.push(TodayPup {
            dog_id: pup.dog_id,
            label: pup.label,
            last: pup.last,
            gain_since_yesterday_g: pup.since_yesterday.as_ref().map(|change| change.gain_g),
            gain_since_yesterday_fraction: pup.since_yesterday.map(|change| change.gain_fraction),
            gain_since_birth_g: pup.since_birth.map(|change| change.gain_g),
            rank: pup.position.map(|position| position.rank),
        });
    }
    shown
}
