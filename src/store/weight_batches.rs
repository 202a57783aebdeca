//! Which weights of a batch are to be asked about.

use super::{
    StoreError, StoreResult, Tx, aside,
    batches::{Offered, RowOutcome},
    birth_weights, births,
    keep::Validated,
    litters::{self, Which},
};
use catalogue::said;
use domain::{
    admission::BirthWeightFacts,
    growth::{BatchVerdict, GrowthLitter, OfferedWeight, judge_weights},
    litter::{Core, Weights, litter_to_weigh},
    moment::Moment,
    record::{RowStatus, Weight},
};
use std::collections::HashSet;
use uuid::Uuid;

/// Asks about weights that are far from what is expected, a litter after another: all that is known of the litters is
/// read, and judged while the rows are written.
///
/// # Errors
/// When the database is away.
pub(crate) async fn screen(
    tx: &mut Tx,
    rows: Vec<Offered<Weight>>,
    done: &mut Vec<RowOutcome>,
) -> StoreResult<Validated<Weight>> {
    let rows = leave_out_births(tx, rows, done).await?;
    let dogs: HashSet<Uuid> = rows.iter().map(|row| row.record.dog_id).collect();
    let dogs: Vec<Uuid> = dogs.into_iter().collect();
    let moment = tx.moment().await?;
    let known = litters::load::<Weights>(tx, Which::OfDogs(dogs)).await?;
    let offered: Vec<OfferedWeight> = rows.iter().map(offered).collect();
    let judge = move || judge_weights(offered, litters_to_weigh(&known, &moment), &moment);
    let judging = async move {
        let judged = aside(judge).await?;
        Ok(judged.into_iter().filter_map(|(row, verdict)| not_kept(row.index, verdict)).collect())
    };
    Ok(Validated { rows, judging: Some(Box::pin(judging)) })
}

fn offered(row: &Offered<Weight>) -> OfferedWeight {
    let Offered { index, id, record: weight } = row.clone();
    OfferedWeight { index, id, weight }
}

fn litters_to_weigh(known: &[(Core, Weights)], moment: &Moment) -> Vec<GrowthLitter> {
    let mut litters = Vec::with_capacity(known.len());
    for (core, weights) in known {
        if core.litter.is_some() {
            litters.push(litter_to_weigh(core, weights, moment));
            continue;
        }
        // Each dog of none is weighed by itself.
        for dog in &core.pups {
            let alone = Core::of_dogs(vec![dog.clone()]);
            litters.push(litter_to_weigh(&alone, weights, moment));
        }
    }
    litters
}

fn not_kept(index: usize, verdict: BatchVerdict) -> Option<RowOutcome> {
    match verdict {
        BatchVerdict::Good => None,
        BatchVerdict::AlreadyThere => {
            let detail = said!("batch-same-weighing");
            Some(RowOutcome::new(index, RowStatus::AlreadyThere, Some(detail)))
        }
        BatchVerdict::Refused(faults) => Some(RowOutcome::refused(index, faults)),
    }
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
        let facts = BirthWeightFacts {
            born_at: births::born_at(tx, dog_id).await?,
            taken: taken.contains(&dog_id) || birth_weights::row_of(tx, dog_id).await?.is_some(),
        };
        match row.record.admit_at_birth(facts).map_err(StoreError::from) {
            Ok(()) => {
                taken.insert(dog_id);
                good.push(row);
            }
            Err(StoreError::Refused(faults)) => done.push(RowOutcome::refused(row.index, faults)),
            Err(error) => return Err(error),
        }
    }
    Ok(good)
}
