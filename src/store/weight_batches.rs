//! Which weights of a batch are to be asked about.

use super::{
    StoreError, StoreResult, Tx,
    batches::{Offered, Outcome},
    care, growth, kennels,
};
use crate::domain::{
    fault::Fault,
    growth::{GrowthLitter, WeightJudge},
    record::{RowStatus, Weight},
    rules::Rules,
};
use chrono::{DateTime, NaiveDate, SubsecRound as _, Utc};
use std::collections::{HashMap, HashSet};
use uuid::Uuid;

/// Asks about weights that are far from what is expected, a litter after another.
///
/// # Errors
/// When the database is away.
pub async fn screen(
    tx: &mut Tx,
    rows: Vec<Offered<Weight>>,
    done: &mut Vec<Outcome>,
) -> StoreResult<Vec<Offered<Weight>>> {
    let dogs: HashSet<Uuid> = rows.iter().map(|row| row.record.dog_id).collect();
    let dogs: Vec<Uuid> = dogs.into_iter().collect();
    let litter_of = growth::litters_of_dogs(tx, &dogs).await?;
    let mut ids: Vec<Uuid> = litter_of.values().copied().collect();
    ids.sort_unstable();
    ids.dedup();
    let mut litters = growth::litters_to_weigh(tx, &ids, Utc::now()).await?;
    for dog in dogs.iter().filter(|dog| !litter_of.contains_key(*dog)) {
        litters.extend(care::litter_to_weigh(tx, *dog).await?);
    }
    let rules = kennels::rules(tx).await?;
    let judged = tokio::task::spawn_blocking(move || judge_weights(rows, litters, &rules));
    let (good, refused) = judged.await.map_err(|error| StoreError::Internal(error.to_string()))?;
    done.extend(refused);
    Ok(good)
}

/// Judges weights a day after the other, each day by one fit of its litter to what was accepted before.
fn judge_weights(
    rows: Vec<Offered<Weight>>,
    mut litters: Vec<GrowthLitter>,
    rules: &Rules,
) -> (Vec<Offered<Weight>>, Vec<Outcome>) {
    let mut by_day: HashMap<(usize, NaiveDate), Vec<Offered<Weight>>> = HashMap::new();
    let mut good = Vec::with_capacity(rows.len());
    let mut done = Vec::new();
    let place: HashMap<Uuid, (usize, usize)> = litters
        .iter()
        .enumerate()
        .flat_map(|(l, litter)| {
            litter.pups.iter().enumerate().map(move |(p, pup)| (pup.dog_id, (l, p)))
        })
        .collect();
    let mut there: HashSet<Weighed> = litters
        .iter()
        .flat_map(|litter| &litter.pups)
        .flat_map(|pup| {
            pup.weighings.iter().map(|w| (pup.dog_id, w.measured_at, w.weight_g as i64))
        })
        .collect();
    for row in rows {
        match place.get(&row.record.dog_id) {
            Some((litter, _)) => {
                let zone = litters[*litter].time_zone;
                let day = row.record.measured_at.with_timezone(&zone).date_naive();
                by_day.entry((*litter, day)).or_default().push(row);
            }
            None => good.push(row),
        }
    }
    let mut days: Vec<_> = by_day.into_iter().collect();
    days.sort_by_key(|(day, _)| *day);
    for ((index, _), rows) in days {
        let judge = WeightJudge::new(&litters[index], Utc::now(), rules);
        let mut accepted = Vec::new();
        for row in rows {
            let Weight { dog_id, measured_at, weight_g, .. } = row.record;
            if there.contains(&(dog_id, measured_at.trunc_subsecs(6), weight_g.into())) {
                let detail = "the same weighing is there under another id";
                done.push(Outcome::new(row.index, RowStatus::AlreadyThere, Some(detail)));
                continue;
            }
            match judge_weight(&judge, &row) {
                Ok(()) => {
                    there.insert((dog_id, measured_at.trunc_subsecs(6), weight_g.into()));
                    accepted.push(row);
                }
                Err(faults) => done.push(Outcome::refused(row.index, faults)),
            }
        }
        for row in &accepted {
            if let Some((litter, pup)) = place.get(&row.record.dog_id) {
                let weighing = row.record.weighing(Some(row.id));
                litters[*litter].pups[*pup].weighings.push(weighing);
            }
        }
        good.extend(accepted);
    }
    (good, done)
}

/// A weighing, told apart from all others.
type Weighed = (Uuid, DateTime<Utc>, i64);

fn judge_weight(judge: &WeightJudge<'_>, row: &Offered<Weight>) -> Result<(), Vec<Fault>> {
    if row.record.confirmed {
        return Ok(());
    }
    match care::verdict_of(judge.judge(row.record.dog_id, &row.record.weighing(None))?) {
        Err(StoreError::Refused(faults)) => Err(faults),
        Err(other) => Err(vec![Fault { pointer: String::new(), detail: other.to_string() }]),
        Ok(()) => Ok(()),
    }
}
