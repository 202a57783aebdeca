//! Many new weights at once: each is judged by what was known of its litter before its day.

use super::{
    plausibility::{WeightJudge, WeightVerdict},
    series::{GrowthLitter, Weighing},
};
use crate::{fault::Fault, moment::Moment, record::Weight};
use catalogue::said;
use chrono::{DateTime, NaiveDate, SubsecRound as _, Utc};
use std::collections::{HashMap, HashSet};
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// A weight of a batch.
#[derive(Debug, Clone, PartialEq)]
pub struct OfferedWeight {
    /// Its place in the batch.
    pub index: usize,
    /// The id that it is to have.
    pub id: Uuid,
    /// What was weighed.
    pub weight: Weight,
}

/// What becomes of a weight of a batch.
#[derive(Debug, Clone, PartialEq)]
pub enum BatchVerdict {
    /// It is kept.
    Good,
    /// The same dog was weighed the same at the same time: it is there already.
    AlreadyThere,
    /// It is refused, or asked about.
    Refused(Vec<Fault>),
}

impl Weighing {
    /// A weight as the questions of growth see it.
    pub fn of(weight: &Weight, id: Option<Uuid>) -> Self {
        Self {
            id,
            measured_at: weight.measured_at,
            weight_g: f64::from(weight.weight_g),
            // A doubtful weight is asked about before it is kept.
            doubtful: false,
        }
    }
}

impl WeightVerdict {
    /// Asks about an implausible weight: what was probably meant, and how to keep it.
    pub fn questions(self) -> Vec<Fault> {
        match self {
            Self::Plausible => Vec::new(),
            Self::Implausible(why) => {
                let detail = said!("fault-unlikely-weighed", what = why.detail);
                vec![Fault::new("/weight_g", detail)]
            }
        }
    }
}

/// A weighing, told apart from all others; Postgres keeps microseconds.
type Weighed = (Uuid, DateTime<Utc>, i32);

fn weighed(weight: &Weight) -> Weighed {
    (weight.dog_id, weight.measured_at.trunc_subsecs(6), weight.weight_g)
}

/// Where each dog stands among the litters: the litter's place, and its own in it.
fn places(litters: &[GrowthLitter]) -> HashMap<Uuid, (usize, usize)> {
    let of = |(l, litter): (usize, &GrowthLitter)| {
        let dogs: Vec<Uuid> = litter.pups.iter().map(|pup| pup.dog_id).collect();
        dogs.into_iter().enumerate().map(move |(p, dog_id)| (dog_id, (l, p)))
    };
    litters.iter().enumerate().flat_map(of).collect()
}

/// All weighings that are there.
fn known(litters: &[GrowthLitter]) -> HashSet<Weighed> {
    let pups = litters.iter().flat_map(|litter| &litter.pups);
    pups.flat_map(|pup| {
        // They were written as whole grams.
        pup.weighings.iter().map(|w| (pup.dog_id, w.measured_at, w.weight_g as i32))
    })
    .collect()
}

/// Judges weights a day after the other, each day by one fit of its litter to what was accepted before.
/// Those of dogs of no litter given are good. Answers them in the order in which they were judged.
pub fn judge_weights(
    offered: Vec<OfferedWeight>,
    mut litters: Vec<GrowthLitter>,
    moment: &Moment,
) -> Vec<(OfferedWeight, BatchVerdict)> {
    let place = places(&litters);
    let mut there = known(&litters);
    let mut judged = Vec::with_capacity(offered.len());
    let mut by_day: HashMap<(usize, NaiveDate), Vec<OfferedWeight>> = HashMap::new();
    for row in offered {
        match place.get(&row.weight.dog_id) {
            Some((litter, _)) => {
                let zone = litters[*litter].time_zone;
                let day = row.weight.measured_at.with_timezone(&zone).date_naive();
                by_day.entry((*litter, day)).or_default().push(row);
            }
            None => judged.push((row, BatchVerdict::Good)),
        }
    }
    let mut days: Vec<_> = by_day.into_iter().collect();
    days.sort_by_key(|(day, _)| *day);
    for ((index, _), rows) in days {
        let judge = WeightJudge::new(&litters[index], moment.now, &moment.rules);
        let verdicts: Vec<BatchVerdict> =
            rows.iter().map(|row| verdict(&judge, &row.weight, &mut there)).collect();
        for (row, verdict) in rows.into_iter().zip(verdicts) {
            if verdict == BatchVerdict::Good
                && let Some((litter, pup)) = place.get(&row.weight.dog_id)
            {
                let weighing = Weighing::of(&row.weight, Some(row.id));
                litters[*litter].pups[*pup].weighings.push(weighing);
            }
            judged.push((row, verdict));
        }
    }
    judged
}

fn verdict(judge: &WeightJudge<'_>, new: &Weight, there: &mut HashSet<Weighed>) -> BatchVerdict {
    if there.contains(&weighed(new)) {
        return BatchVerdict::AlreadyThere;
    }
    if !new.confirmed {
        let asked = judge.judge(new.dog_id, &Weighing::of(new, None)).map(WeightVerdict::questions);
        let faults = asked.unwrap_or_else(|faults| faults);
        if !faults.is_empty() {
            return BatchVerdict::Refused(faults);
        }
    }
    there.insert(weighed(new));
    BatchVerdict::Good
}
