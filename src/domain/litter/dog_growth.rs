//! How a dog grew from birth, as a pup of its litter; and what beside its weights a picture shows.

use super::{Core, Health, Weights, growth_litter};
use crate::{
    advice::standing_line,
    alarms::Alarm,
    fault::Fault,
    feeding::weaned_by,
    growth::{
        GrowthLitter, PupGrowth, PupRisk, SwapProposal,
        forecast::PupGrowthForecast,
        litter_figures, litter_forecast,
        own_lines::{AdultWeightUsed, OwnLines},
        series::age_days,
    },
    moment::Moment,
    record::HealthKind,
};
use catalogue::{Text, said};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// How a dog grew from birth, and what is expected of it.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DogGrowthAnswer {
    /// Its figures.
    #[serde(flatten)]
    pub growth: PupGrowth,
    /// The litter it was born into; null when it was not born here.
    pub litter_id: Option<Uuid>,
    /// The moment it was looked at.
    #[serde(rename = "reckoned_at")]
    pub as_of: DateTime<Utc>,
    /// The probability that it is failing; null when it left the litter.
    pub risk: Option<PupRisk>,
    /// Where its weights seem exchanged with those of a littermate.
    pub swaps: Vec<SwapProposal>,
    /// Fit and forecast.
    pub forecast: Option<PupGrowthForecast>,
    /// Share of weighings that the intervals of the forecast should hold.
    #[schema(example = 0.95)]
    pub interval: f64,
    /// What dogs of its breed weigh in the kennel's own lines, with their number, beside what is published; null where
    /// the breed is not known.
    pub own_lines: Option<OwnLines>,
    /// The adult weight to reckon with: the dog's own, else the mean of enough dogs of the own lines.
    pub adult_weight: Option<AdultWeightUsed>,
    /// The norms that the forecast rests on.
    pub forecast_sources: Vec<String>,
    /// What stands beside every piece of advice.
    #[schema(value_type = String)]
    pub advice: Text,
}

/// The litter of a dog as the questions of growth see it.
///
/// # Errors
/// A fault when its day of birth is not known.
pub fn born_litter(
    core: &Core,
    weights: &Weights,
    dog_id: Uuid,
    moment: &Moment,
) -> Result<GrowthLitter, Vec<Fault>> {
    let unknown = core.pup(dog_id).is_some_and(|pup| pup.born_on(moment).is_none());
    if unknown {
        return Err(vec![Fault::new("#path/dog_id", said!("fault-unknowable-growth-unborn"))]);
    }
    Ok(growth_litter(core, weights, moment))
}

/// The last day of the usual weaning of a litter.
pub fn usually_weaned_on(litter: &GrowthLitter, moment: &Moment) -> NaiveDate {
    let born = litter.pups.iter().map(|pup| pup.born_at).min().unwrap_or(moment.now);
    weaned_by(moment.day_of(born), &moment.rules)
}

/// What dogs of a dog's breed weigh in the kennel's own lines, and what follows for it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LinesOfDog {
    own_lines: Option<OwnLines>,
    adult_weight: Option<AdultWeightUsed>,
}

/// What the own lines say of a dog; nothing where its breed is not known but its own adult weight.
pub fn lines_of_dog(core: &Core, dog_id: Uuid, lines: OwnLines) -> LinesOfDog {
    let adult_weight = adult_weight_of(core, dog_id, &lines);
    let own_lines = Some(lines).filter(|lines| !lines.breed.is_empty());
    LinesOfDog { own_lines, adult_weight }
}

/// The adult weight to reckon with for a dog of this record.
pub(crate) fn adult_weight_of(
    core: &Core,
    dog_id: Uuid,
    lines: &OwnLines,
) -> Option<AdultWeightUsed> {
    let dog = core.pup(dog_id)?.dog.as_ref()?;
    lines.adult_weight(dog.adult_weight_g.map(f64::from), dog.sex)
}

/// How a dog of this litter grew, with a forecast `until` a day and what the alarms say of it; `None` for one
/// born dead.
pub fn dog_growth(
    dog_id: Uuid,
    litter: &GrowthLitter,
    alarms: &[Alarm],
    lines: LinesOfDog,
    until: NaiveDate,
    moment: &Moment,
) -> Option<DogGrowthAnswer> {
    let mut report = litter_figures(litter, moment.now, &moment.rules);
    report.hear(alarms);
    let mut forecast = litter_forecast(litter, until, moment.now, &moment.rules);
    let index = report.pups.iter().position(|pup| pup.dog_id == dog_id)?;
    let growth = report.pups.swap_remove(index);
    let index = forecast.pups.iter().position(|pup| pup.dog_id == dog_id);
    report.swaps.retain(|swap| swap.dog_ids.contains(&dog_id));
    Some(DogGrowthAnswer {
        growth,
        litter_id: (!litter.litter_id.is_nil()).then_some(litter.litter_id),
        as_of: moment.now,
        risk: report.risks.into_iter().find(|risk| risk.dog_id == dog_id),
        swaps: report.swaps,
        forecast: index.map(|index| forecast.pups.swap_remove(index)),
        interval: forecast.interval,
        own_lines: lines.own_lines,
        adult_weight: lines.adult_weight,
        forecast_sources: forecast.sources,
        advice: standing_line(),
    })
}

/// Something beside the weights that a picture of growth shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PicturedEvent {
    /// Age in days.
    pub age_days: f64,
    /// What it was.
    pub kind: HealthKind,
}

/// What happened to these dogs since `born_at` that a picture of their growth shows: each kind once a day of
/// the litter's calendar, by its time.
pub fn pictured_events(
    health: &Health,
    dogs: &[Uuid],
    born_at: DateTime<Utc>,
    litter: &GrowthLitter,
) -> Vec<PicturedEvent> {
    let events = dogs.iter().flat_map(|dog| health.events.of(*dog));
    let mut given: Vec<(DateTime<Utc>, HealthKind)> = events
        .map(|event| (event.record.given_at, event.record.kind))
        .filter(|(at, _)| *at >= born_at)
        .collect();
    given.sort_by_key(|(at, _)| *at);
    let mut seen: Vec<(NaiveDate, HealthKind)> = Vec::new();
    given.retain(|(at, kind)| {
        let mark = (at.with_timezone(&litter.time_zone).date_naive(), *kind);
        let is_new = !seen.contains(&mark);
        seen.extend(is_new.then_some(mark));
        is_new
    });
    let pictured = |(at, kind)| PicturedEvent { age_days: age_days(born_at, at), kind };
    given.into_iter().map(pictured).collect()
}
