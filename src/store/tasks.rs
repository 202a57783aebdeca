//! Every task that a kennel's records ask for, read together.

use super::{
    StoreResult, Tx, after_placement, aside, buyer_reports,
    litters::{self, Which},
    planning,
    scope::Right,
};
use domain::{
    alarms::Watched,
    inbreeding::Studbook,
    kennel_tasks::{KennelTasks, TaskRecords},
    pregnancy::DamRecords,
};
use uuid::Uuid;

/// What the records of these dams, and all that is followed here, ask for.
///
/// # Errors
/// When the database is away.
pub async fn asked_for(tx: &mut Tx, dams: &[DamRecords]) -> StoreResult<KennelTasks> {
    let moment = tx.moment().await?;
    let template = planning::template(tx).await?;
    let house = planning::house(tx, dams).await?;
    let own = planning::own_tasks(tx).await?;
    let litters = litters::load_shared::<Watched>(tx, Which::Kennel).await?;
    let (gone, reports) = match tx.scope().require(Right::Placing) {
        Ok(()) => {
            (Some(after_placement::reminders(tx, None).await?), buyer_reports::waiting(tx).await?)
        }
        Err(_) => (None, Vec::new()),
    };
    let marks = planning::marks(tx).await?;
    let records = TaskRecords { dams: dams.to_vec(), template, house, own, litters, gone, reports };
    // Whoever asks has a seat in the room for work.
    aside(move || KennelTasks::of(&records, marks, &moment)).await
}

/// All that is asked for in the kennel.
///
/// # Errors
/// When the database is away.
pub async fn in_kennel(tx: &mut Tx, book: &Studbook<Uuid>) -> StoreResult<KennelTasks> {
    let dam_ids = litters::planned_dams(tx).await?;
    let dams = litters::of_dams(tx, book, &dam_ids).await?;
    asked_for(tx, &dams).await
}
