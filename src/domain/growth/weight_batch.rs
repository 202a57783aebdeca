//! Many new weights at once: each is judged by what was known of its litter before its day.

use super::{
    plausibility::{WeightJudge, WeightVerdict},
    series::{GrowthLitter, Weighing},
};
use crate::{fault::Fault, moment::Moment, record::Weight, stop};
use catalogue::{said, speaking, spoken};
use chrono::{DateTime, NaiveDate, SubsecRound as _, Utc};
use rayon::iter::{IndexedParallelIterator as _, IntoParallelIterator as _, ParallelIterator as _};
use std::collections::{BTreeMap, HashMap, HashSet};
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

/// Where each dog stands among the litters: the place of its litter.
fn places(litters: &[GrowthLitter]) -> HashMap<Uuid, usize> {
    let of = |(place, litter): (usize, &GrowthLitter)| {
        let dogs: Vec<Uuid> = litter.pups.iter().map(|pup| pup.dog_id).collect();
        dogs.into_iter().map(move |dog_id| (dog_id, place))
    };
    litters.iter().enumerate().flat_map(of).collect()
}

/// The weighings of a litter that are there.
fn known(litter: &GrowthLitter) -> HashSet<Weighed> {
    let of_pups = litter.pups.iter().flat_map(|pup| {
        // They were written as whole grams.
        pup.weighings.iter().map(|w| (pup.dog_id, w.measured_at, w.weight_g as i32))
    });
    of_pups.collect()
}

/// What became of weights, in the order in which they were judged.
type Judged = Vec<(OfferedWeight, BatchVerdict)>;

/// Judges weights a day after the other, each day by one fit of its litter to what was accepted before; litters side by
/// side. Those of dogs of no litter given are good. Answers them litter by litter, in the order in which they were judged.
pub fn judge_weights(
    offered: Vec<OfferedWeight>,
    litters: Vec<GrowthLitter>,
    moment: &Moment,
) -> Judged {
    let place = places(&litters);
    let mut judged = Vec::with_capacity(offered.len());
    let mut by_litter: Vec<Vec<OfferedWeight>> = litters.iter().map(|_| Vec::new()).collect();
    for row in offered {
        match place.get(&row.weight.dog_id) {
            Some(litter) => by_litter[*litter].push(row),
            None => judged.push((row, BatchVerdict::Good)),
        }
    }
    // What this thread looks up to, and the language in which faults are said, are each thread's own.
    let (stop, language) = (stop::here(), spoken());
    let judge = |(litter, rows): (GrowthLitter, Vec<OfferedWeight>)| {
        stop::carried(stop.clone(), || speaking(language, || judge_litter(litter, rows, moment)))
    };
    let of_litters: Vec<Judged> = litters.into_par_iter().zip(by_litter).map(judge).collect();
    judged.extend(of_litters.into_iter().flatten());
    judged
}

/// Judges the weights of one litter.
fn judge_litter(mut litter: GrowthLitter, rows: Vec<OfferedWeight>, moment: &Moment) -> Judged {
    let mut there = known(&litter);
    let mut judged = Vec::with_capacity(rows.len());
    let mut by_day: BTreeMap<NaiveDate, Vec<OfferedWeight>> = BTreeMap::new();
    for row in rows {
        let day = row.weight.measured_at.with_timezone(&litter.time_zone).date_naive();
        by_day.entry(day).or_default().push(row);
    }
    for rows in by_day.into_values() {
        stop::look();
        let judge = WeightJudge::new(&litter, moment.now, &moment.rules);
        let verdicts: Vec<BatchVerdict> =
            rows.iter().map(|row| verdict(&judge, &row.weight, &mut there)).collect();
        for (row, verdict) in rows.into_iter().zip(verdicts) {
            let pup = litter.pups.iter_mut().find(|pup| pup.dog_id == row.weight.dog_id);
            if let Some(pup) = pup.filter(|_| verdict == BatchVerdict::Good) {
                pup.weighings.push(Weighing::of(&row.weight, Some(row.id)));
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
