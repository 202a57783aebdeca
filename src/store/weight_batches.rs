//! Which weights of a batch are to be asked about.

use super::{
    StoreError, StoreResult, Tx, aside,
    batches::{Offered, RowOutcome},
    birth_weights, care,
    litters::{self, Which},
};
use chrono::{DateTime, NaiveDate, SubsecRound as _, Utc};
use domain::{
    fault::Fault,
    growth::{GrowthLitter, WeightJudge},
    litter::{Core, Weights, litter_to_weigh},
    moment::Moment,
    record::{RowStatus, Weight},
};
use std::collections::{HashMap, HashSet};
use uuid::Uuid;

/// Asks about weights that are far from what is expected, a litter after another.
///
/// # Errors
/// When the database is away.
pub async fn screen(
    tx: &mut Tx,
    rows: Vec<Offered<Weight>>,
    done: &mut Vec<RowOutcome>,
) -> StoreResult<Vec<Offered<Weight>>> {
    let rows = leave_out_births(tx, rows, done).await?;
    let dogs: HashSet<Uuid> = rows.iter().map(|row| row.record.dog_id).collect();
    let dogs: Vec<Uuid> = dogs.into_iter().collect();
    let moment = tx.moment().await?;
    let known = litters::load::<Weights>(tx, Which::OfDogs(dogs)).await?;
    let mut litters = Vec::with_capacity(known.len());
    for (core, weights) in &known {
        if core.litter.is_some() {
            litters.push(litter_to_weigh(core, weights, &moment));
            continue;
        }
        // Each dog of none is weighed by itself.
        for dog in &core.pups {
            let alone = Core::of_dogs(vec![dog.clone()]);
            litters.push(litter_to_weigh(&alone, weights, &moment));
        }
    }
    let (good, refused) = aside(move || judge_weights(rows, litters, &moment)).await?;
    done.extend(refused);
    Ok(good)
}

/// Refuses weights at birth that are none, or of which the pup has one already.
async fn leave_out_births(
    tx: &mut Tx,
    rows: Vec<Offered<Weight>>,
    done: &mut Vec<RowOutcome>,
) -> StoreResult<Vec<Offered<Weight>>> {
    let mut good = Vec::with_capacity(rows.len());
    let mut taken: HashSet<Uuid> = HashSet::new();
    for row in rows {
        if !row.record.at_birth {
            good.push(row);
            continue;
        }
        let dog_id = row.record.dog_id;
        match care::admit_at_birth(&row.record, tx).await {
            Err(StoreError::Refused(faults)) => done.push(RowOutcome::refused(row.index, faults)),
            Err(error) => return Err(error),
            Ok(())
                if birth_weights::row_of(tx, dog_id).await?.is_some() || !taken.insert(dog_id) =>
            {
                let pointer = "/at_birth".to_owned();
                let detail = "the pup has a weight at birth already; change that one".to_owned();
                done.push(RowOutcome::refused(row.index, vec![Fault { pointer, detail }]));
            }
            Ok(()) => good.push(row),
        }
    }
    Ok(good)
}

/// Judges weights a day after the other, each day by one fit of its litter to what was accepted before.
fn judge_weights(
    rows: Vec<Offered<Weight>>,
    mut litters: Vec<GrowthLitter>,
    moment: &Moment,
) -> (Vec<Offered<Weight>>, Vec<RowOutcome>) {
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
        let judge = WeightJudge::new(&litters[index], moment.now, &moment.rules);
        let mut accepted = Vec::new();
        for row in rows {
            let Weight { dog_id, measured_at, weight_g, .. } = row.record;
            if there.contains(&(dog_id, measured_at.trunc_subsecs(6), weight_g.into())) {
                let detail = "the same weighing is there under another id";
                done.push(RowOutcome::new(row.index, RowStatus::AlreadyThere, Some(detail)));
                continue;
            }
            match judge_weight(&judge, &row) {
                Ok(()) => {
                    there.insert((dog_id, measured_at.trunc_subsecs(6), weight_g.into()));
                    accepted.push(row);
                }
                Err(faults) => done.push(RowOutcome::refused(row.index, faults)),
            }
        }
        for row in &accepted {
            if let Some((litter, pup)) = place.get(&row.record.dog_id) {
                let weighing = care::weighing(&row.record, Some(row.id));
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
    match care::verdict_of(judge.judge(row.record.dog_id, &care::weighing(&row.record, None))?) {
        Err(StoreError::Refused(faults)) => Err(faults),
        Err(other) => Err(vec![Fault { pointer: String::new(), detail: other.to_string() }]),
        Ok(()) => Ok(()),
    }
}
