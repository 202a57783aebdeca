//! What alarms are made of, and who has seen which.

use super::{
    Db, StoreResult, Tx,
    columns::Stored,
    kennels,
    litters::{self, Which},
    reads::ListKey,
    schema,
    scope::{Right, Scope},
    studbooks::{self, PedigreeHead, Studbooks},
};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, Selectable,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    advice::Level,
    alarms::{Alarm, AlarmSeen, Sight, Watched},
    litter::Core,
    moment::Moment,
    shared::Shared,
};
use std::{collections::BTreeMap, sync::Arc};
use uuid::Uuid;

/// Who has seen an alarm.
pub(super) struct SightOf {
    /// The litter that the alarm is about.
    pub litter_id: Option<Uuid>,
    /// The dog that it is about.
    pub dog_id: Option<Uuid>,
    /// The alarm.
    pub alarm_id: Uuid,
    /// Who has seen it, and when.
    pub sight: Sight,
}

/// That an alarm was seen, as it is kept.
#[derive(Clone, PartialEq, Queryable, Selectable)]
#[diesel(table_name = schema::alarms_seen)]
struct SightRow {
    litter_id: Option<Uuid>,
    dog_id: Option<Uuid>,
    alarm_id: Uuid,
    level: Level,
    seen_at: DateTime<Utc>,
    person_id: Uuid,
    note: Option<String>,
}

/// What was seen of the alarms of these litters, and of these dogs of none, or of one that is not seen.
pub(super) async fn seen_of(tx: &Tx, litters: &[Uuid], dogs: &[Uuid]) -> StoreResult<Vec<SightOf>> {
    use schema::alarms_seen::dsl;
    let read = async || {
        let query = dsl::alarms_seen
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
            .filter(dsl::litter_id.eq_any(litters).or(dsl::dog_id.eq_any(dogs)))
            .select(SightRow::as_select())
            .order((dsl::seen_at, dsl::id));
        Ok(query.load(&mut tx.pipelined()).await?)
    };
    let asked = || ListKey::of_both("alarms seen", litters, dogs);
    let rows: Arc<Vec<SightRow>> = tx.remembered(asked, &["alarm_seen"], read).await?;
    if rows.is_empty() {
        return Ok(Vec::new());
    }
    let names = names(tx).await?;
    let sight = |row: SightRow| {
        let SightRow { litter_id, dog_id, alarm_id, level, seen_at, person_id, note } = row;
        let name = names.get(&person_id).cloned();
        let seen = AlarmSeen { at: seen_at, person_id: Some(person_id), name, note };
        SightOf { litter_id, dog_id, alarm_id, sight: Sight { level, seen } }
    };
    Ok(rows.iter().cloned().map(sight).collect())
}

async fn names(tx: &Tx) -> StoreResult<BTreeMap<Uuid, String>> {
    let members = kennels::members(tx).await?;
    Ok(members.into_iter().map(|member| (member.person.id, member.person.name)).collect())
}

/// The records of these litters, as their alarms are made of them.
///
/// The pedigree is asked for only where a litter is expected.
///
/// # Errors
/// When the database is away.
pub async fn watched(
    db: &Db,
    studbooks: &Studbooks,
    scope: &Scope,
    which: Which,
) -> StoreResult<(Vec<(Shared<Core>, Watched)>, Arc<Moment>)> {
    let is_whole = which == Which::Kennel;
    let read = async |tx: &mut Tx| {
        let litters = litters::load_shared::<Watched>(tx, which).await?;
        let moment = tx.moment().await?;
        let asks_book = litters.iter().any(|(core, _)| unborn(core));
        let head = match asks_book {
            true => pedigree_head(tx).await?,
            false => None,
        };
        Ok((litters, moment, head))
    };
    let (mut litters, moment, head) = match is_whole {
        true => db.looking(scope, read).await?,
        false => db.within(scope, read).await?,
    };
    if let Some(head) = head {
        let book = studbooks.at_least(scope, head).await?;
        for (core, parts) in &mut litters {
            if unborn(core) {
                parts.4.look_up_inbreeding(&book);
            }
        }
    }
    Ok((litters, moment))
}

/// Where the pedigree stands, which only a dog moves.
async fn pedigree_head(tx: &Tx) -> StoreResult<Option<PedigreeHead>> {
    let read = async || Ok(vec![studbooks::head(tx).await?]);
    let head = tx.remembered(|| ListKey::all("pedigree"), &["dog"], read).await?;
    Ok(head.as_slice().first().copied())
}

fn unborn(core: &Core) -> bool {
    core.litter.is_some() && core.whelped_on().is_none()
}

/// Writes down that the person of this scope has seen an alarm, and marks it.
///
/// # Errors
/// When the role does not allow it.
pub async fn seen(
    tx: &mut Tx,
    alarm: &mut Alarm,
    note: Option<&str>,
    now: DateTime<Utc>,
) -> StoreResult<()> {
    use schema::alarms_seen::dsl;
    tx.scope.require(Right::Observations)?;
    tx.begin_writing().await?;
    diesel::insert_into(dsl::alarms_seen)
        .values((
            dsl::kennel_id.eq(tx.scope.kennel_id()),
            dsl::id.eq(Uuid::now_v7()),
            dsl::alarm_id.eq(alarm.id),
            dsl::code.eq(alarm.code.as_str()),
            dsl::level.eq(Stored(alarm.level)),
            dsl::litter_id.eq(alarm.about.litter_id),
            dsl::dog_id.eq(alarm.about.dog_id),
            dsl::seen_at.eq(now),
            dsl::person_id.eq(tx.scope.person_id()),
            dsl::note.eq(note),
        ))
        .execute(&mut tx.conn)
        .await?;
    let person_id = tx.scope.person_id();
    let name = names(tx).await?.remove(&person_id);
    let note = note.map(str::to_owned);
    alarm.mark_seen(alarm.level, AlarmSeen { at: now, person_id: Some(person_id), name, note });
    Ok(())
}
