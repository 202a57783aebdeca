//! The kennel's calendar: heats, births, critical weeks and go-home of all dams, and where they clash.
//!
//! Everything is a chance by day. A litter that is only planned comes with the chance that there
//! will be one at all. Nothing is written: a draft is a litter like any other, marked as such.

mod clashes;
mod colours;
mod demand;
mod draft;
mod limits;
mod options;
mod records;
mod what_if;

use catalogue::{Text, said};
pub use colours::expected_colours;
pub use demand::{BuyerWish, FreePup, MonthDemand, PupSupply};
pub(crate) use draft::{DraftTiming, chance_of_litter, draft_whelping};
pub use limits::PlannedMatingLimits;
pub(crate) use limits::history_of;
pub use options::{MovedDay, OptionCost};
pub(crate) use options::{
    compare_options, days_to_try, heat_key, heat_moves, heat_options, shift_options,
};
pub use records::{
    MatingDraft, PlannerRecords, PlannerReport, ReadPlan, heat_history, read_plan, report_plan,
};
pub use what_if::{PlannerMove, WhatIf, WhatIfAnswer, what_if};

use crate::{
    day_chances::{DayChance, DayChances, shift},
    expected_pups::PupForecast,
    fault::{Fault, Faults, quoted},
    rules::Rules,
};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::HashSet;
use utoipa::ToSchema;
use uuid::Uuid;

/// A span of days, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DateSpan {
    /// First day.
    #[serde(rename = "first_on", alias = "from")]
    pub from: NaiveDate,
    /// Last day.
    #[serde(rename = "last_on", alias = "to")]
    pub to: NaiveDate,
}

impl DateSpan {
    fn holds(&self, day: NaiveDate) -> bool {
        (self.from..=self.to).contains(&day)
    }

    fn meets(&self, from: NaiveDate, to: NaiveDate) -> bool {
        self.from <= to && from <= self.to
    }
}

/// The chance of one colour among the pups of a litter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ColourChance {
    /// Colour, as buyers' wishes name it.
    #[schema(value_type = String, example = "black")]
    pub colour: Text,
    /// Share of pups expected of it, 0–1.
    pub chance: f64,
}

/// A litter that is born, expected or planned.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannerLitter {
    /// A key unique within the plan: the litter's id, or a draft's own name.
    pub key: String,
    /// Dam.
    pub dam_id: Uuid,
    /// Name shown.
    pub name: Text,
    /// Whether it is only a thought: not written anywhere.
    pub draft: bool,
    /// Chance that there will be a litter, 0–1; see [`chance_of_litter`].
    pub chance_of_litter: f64,
    /// Chance of whelping by day; one certain day once born.
    pub whelping: Vec<DayChance>,
    /// Pups expected; `None` if unknown.
    pub pups: Option<PupForecast>,
    /// Pups alive and not yet promised, once born.
    pub free: Option<Vec<FreePup>>,
    /// Colours expected of a litter not born; empty if unknown.
    pub colours: Vec<ColourChance>,
    /// The place chosen for it.
    pub place_id: Option<Uuid>,
    /// Age from which pups may go home, days; `None` for the default.
    pub go_home_days: Option<u32>,
    /// The dam's heat to come that it follows from, the next being 1.
    pub heat: Option<u32>,
}

impl PlannerLitter {
    /// Pups not yet promised, once born.
    fn count_free(&self) -> Option<u32> {
        self.free.as_ref().map(|pups| u32::try_from(pups.len()).unwrap_or(u32::MAX))
    }
}

/// A dam's heats to come, see [`heat_chances`](super::cycle::coming_heats::heat_chances).
#[derive(Debug, Clone, PartialEq)]
pub struct PlannerDam {
    /// Dam.
    pub dam_id: Uuid,
    /// Name shown.
    pub name: String,
    /// Chances by day of the next heats, in order.
    pub heats: Vec<DayChances>,
}

/// A room or pen where a dam can whelp and raise her litter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WhelpingPlace {
    /// Id.
    pub id: Uuid,
    /// Name.
    #[schema(example = "Warm room")]
    pub name: String,
    /// How many litters it takes at once.
    #[schema(example = 1)]
    pub capacity: u32,
    /// Days on which it cannot be used.
    pub closed: Vec<DateSpan>,
}

/// A person who helps with litters.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlannerPerson {
    /// Id.
    pub id: Uuid,
    /// Name.
    pub name: String,
    /// Days away.
    pub away: Vec<DateSpan>,
}

/// Everything a plan is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannerInput {
    /// The span looked at.
    pub span: DateSpan,
    /// Litters born, expected and planned, of the span and before.
    pub litters: Vec<PlannerLitter>,
    /// Dams with their heats to come.
    pub dams: Vec<PlannerDam>,
    /// The kennel's places; empty when it keeps no list (then no clash over places is found).
    pub places: Vec<WhelpingPlace>,
    /// The people; empty when it keeps no list.
    pub people: Vec<PlannerPerson>,
    /// Buyers waiting.
    pub buyers: Vec<BuyerWish>,
}

/// A heat in the plan.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PlannedHeat {
    /// Its key.
    #[schema(example = "heat:0197a2c4-7a10-7c3e-9f5b-2d6f0e8a1b34:1")]
    pub key: String,
    /// Dam.
    pub dam_id: Uuid,
    /// Her name.
    pub name: String,
    /// 1 for her next heat.
    pub number: u32,
    /// First day of the span in which it begins.
    #[serde(rename = "earliest_on")]
    pub earliest: NaiveDate,
    /// Day by which it is as likely to have begun as not.
    #[serde(rename = "likely_on")]
    pub likely: NaiveDate,
    /// Last day.
    #[serde(rename = "latest_on")]
    pub latest: NaiveDate,
    /// Chance that it begins within, 0–1.
    pub coverage: f64,
}

/// A litter in the plan, with all its spans.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PlannedLitter {
    /// Its key.
    pub key: String,
    /// Dam.
    pub dam_id: Uuid,
    /// Name.
    #[schema(value_type = String)]
    pub name: Text,
    /// Whether it is only a draft.
    pub draft: bool,
    /// Chance that there will be a litter, 0–1.
    pub chance_of_litter: f64,
    /// Birth window.
    pub birth: DateSpan,
    /// Likely day of birth.
    #[serde(rename = "likely_on")]
    pub likely: NaiveDate,
    /// Chance that the birth falls in its window, 0–1.
    pub coverage: f64,
    /// When the whelping place is needed.
    pub place_needed: DateSpan,
    /// The place it is put in, else the first that can take it, by order of need; `None` when
    /// all are taken or no list is kept.
    pub place_id: Option<Uuid>,
    /// From the first birth night to the end of the critical weeks.
    pub critical: DateSpan,
    /// People needed around the birth.
    pub birth_hands: u32,
    /// Days of going home.
    pub go_home: DateSpan,
    /// Pups expected, or free, mean.
    pub pups_mean: Option<f64>,
    /// Range of pups expected.
    pub pups_range: Option<[u32; 2]>,
}

/// What kind of clash it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ClashKind {
    /// Two births on the same nights.
    SameNights,
    /// More litters than places.
    NoPlace,
    /// A place that more litters are put in than it takes, or that cannot be used then.
    PlaceTaken,
    /// Fewer hands than needed.
    TooFewHands,
    /// A birth while a person is away.
    PersonAway,
}

/// Something in the plan that may go wrong.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PlannerClash {
    /// Kind.
    pub kind: ClashKind,
    /// Its chance, 0–1 (on the worst day, for places and hands).
    #[schema(example = 0.32)]
    pub chance: f64,
    /// First day it concerns.
    #[serde(rename = "first_on")]
    pub from: NaiveDate,
    /// Last day.
    #[serde(rename = "last_on")]
    pub to: NaiveDate,
    /// Keys of the litters.
    pub litters: Vec<String>,
    /// The person, for [`ClashKind::PersonAway`].
    pub person_id: Option<Uuid>,
    /// In a sentence.
    #[schema(value_type = String)]
    pub detail: Text,
}

/// The kennel's calendar for a span of days.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct KennelPlan {
    /// The span.
    pub span: DateSpan,
    /// Heats that may begin in it.
    pub heats: Vec<PlannedHeat>,
    /// Litters that are born, raised or go home in it.
    pub litters: Vec<PlannedLitter>,
    /// Clashes, earliest first.
    pub clashes: Vec<PlannerClash>,
    /// Pups going home against buyers waiting, by month.
    pub demand: Vec<MonthDemand>,
}

/// A litter with its chances and whole-day rules at hand.
#[derive(Debug, Clone)]
struct Reckoned<'i> {
    litter: &'i PlannerLitter,
    chances: DayChances,
}

#[expect(clippy::cast_possible_truncation, reason = "rules of days are small")]
fn whole(rules: &Rules, key: &'static str) -> i64 {
    rules.value(key).round() as i64
}

/// Lays out the calendar.
///
/// # Errors
/// Faults of the input: a span that ends before it begins or is longer than three years, two
/// litters of one key, a litter without chances by day, chances outside 0–1.
pub fn plan(input: &PlannerInput, rules: &Rules) -> Result<KennelPlan, Vec<Fault>> {
    let reckoned = reckon(input)?;
    let mut litters: Vec<PlannedLitter> =
        reckoned.iter().map(|r| planned_litter(r, rules)).collect();
    litters.sort_by(|a, b| (a.place_needed.from, &a.key).cmp(&(b.place_needed.from, &b.key)));
    assign_places(&mut litters, &input.places);
    litters.retain(|l| l.place_needed.from <= input.span.to && input.span.from <= l.go_home.to);
    Ok(KennelPlan {
        span: input.span,
        heats: heats(input, rules),
        litters,
        clashes: clashes::find(input, &reckoned, rules),
        demand: demand::by_month(input, &reckoned, rules),
    })
}

fn reckon(input: &PlannerInput) -> Result<Vec<Reckoned<'_>>, Vec<Fault>> {
    let mut faults = Faults::new();
    let length = (input.span.to - input.span.from).num_days();
    faults.unless((0..=1100).contains(&length), "/last_on", || {
        said!("fault-out-of-range-span", from = input.span.from)
    });
    let mut keys = HashSet::new();
    let mut reckoned = Vec::new();
    for (i, litter) in input.litters.iter().enumerate() {
        if !keys.insert(&litter.key) {
            faults.add(
                format!("/litters/{i}/key"),
                said!("fault-twice-key", key = quoted(&litter.key)),
            );
        }
        if !(0.0..=1.0).contains(&litter.chance_of_litter) {
            let range = said!("fault-out-of-range-from-to", from = 0, to = 1);
            faults.add(format!("/litters/{i}/chance_of_litter"), range);
        }
        match DayChances::from_list(&litter.whelping) {
            Some(chances) => reckoned.push(Reckoned { litter, chances }),
            None => {
                faults.add(format!("/litters/{i}/whelping"), said!("fault-empty-chances"));
            }
        }
    }
    faults.into_result().map(|()| reckoned)
}

fn heats(input: &PlannerInput, rules: &Rules) -> Vec<PlannedHeat> {
    let coverage = rules.value("planner.coverage");
    let mut found = Vec::new();
    for dam in &input.dams {
        for (chances, number) in dam.heats.iter().zip(1..) {
            let span = chances.shortest_span(coverage);
            if input.span.meets(span.earliest, span.latest) {
                found.push(PlannedHeat {
                    key: heat_key(dam.dam_id, number),
                    dam_id: dam.dam_id,
                    name: dam.name.clone(),
                    number,
                    earliest: span.earliest,
                    likely: chances.median(),
                    latest: span.latest,
                    coverage: span.coverage,
                });
            }
        }
    }
    found.sort_by_key(|heat| (heat.likely, heat.dam_id, heat.number));
    found
}

fn planned_litter(reckoned: &Reckoned<'_>, rules: &Rules) -> PlannedLitter {
    let Reckoned { litter, chances } = reckoned;
    let span = chances.shortest_span(rules.value("planner.coverage"));
    let (birth, likely) = (DateSpan { from: span.earliest, to: span.latest }, chances.median());
    let days = |key| whole(rules, key);
    let age = litter.go_home_days.map_or_else(|| days("planner.go_home_days"), i64::from);
    let born = birth.from == birth.to && litter.chance_of_litter >= 1.0;
    let expected = litter.pups.as_ref().filter(|_| litter.free.is_none());
    PlannedLitter {
        key: litter.key.clone(),
        dam_id: litter.dam_id,
        name: litter.name.clone(),
        draft: litter.draft,
        chance_of_litter: litter.chance_of_litter,
        birth,
        likely,
        coverage: span.coverage,
        place_needed: DateSpan {
            from: shift(birth.from, -days("planner.place_before_days")),
            to: shift(birth.to, days("planner.place_after_days")),
        },
        place_id: litter.place_id,
        critical: DateSpan {
            from: shift(birth.from, if born { 0 } else { -days("planner.birth_nights") }),
            to: shift(birth.to, days("planner.critical_after_days")),
        },
        birth_hands: u32::try_from(days("planner.birth_hands")).unwrap_or(0),
        go_home: DateSpan {
            from: shift(birth.from, age),
            to: shift(birth.to, age + days("planner.go_home_span_days")),
        },
        pups_mean: litter.count_free().map(f64::from).or(expected.map(|p| p.mean)),
        pups_range: litter
            .count_free()
            .map(|n| [n, n])
            .or(expected.map(|p| [p.at_least, p.at_most])),
    }
}

/// Gives each litter that is put nowhere, in order of need, the first place that is free for its
/// whole span.
fn assign_places(litters: &mut [PlannedLitter], places: &[WhelpingPlace]) {
    for i in 0..litters.len() {
        if litters[i].place_id.is_some() {
            continue;
        }
        let need = litters[i].place_needed;
        let free = places.iter().find(|place| {
            let closed = place.closed.iter().any(|c| c.meets(need.from, need.to));
            // The most litters at once is reached on the first day of one of the spans.
            let held: Vec<DateSpan> = litters
                .iter()
                .filter(|l| l.place_id == Some(place.id))
                .map(|l| l.place_needed)
                .filter(|span| span.meets(need.from, need.to))
                .collect();
            let at = |day| held.iter().filter(|span| span.holds(day)).count();
            let most = held.iter().map(|s| s.from.max(need.from)).map(at).max().unwrap_or(0);
            !closed && most < usize::try_from(place.capacity).unwrap_or(usize::MAX)
        });
        litters[i].place_id = free.map(|place| place.id);
    }
}

#[cfg(test)]
pub(crate) mod kept_limits_tests;
#[cfg(test)]
pub(crate) mod limits_tests;
#[cfg(test)]
mod tests;
