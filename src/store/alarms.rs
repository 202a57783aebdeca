//! Who has seen which alarm.

use super::{StoreResult, Tx, columns::Stored, kennels, schema, scope::Right};
use chrono::{DateTime, Utc};
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    advice::Level,
    alarms::{Alarm, AlarmSeen, Sight},
};
use std::collections::BTreeMap;
use uuid::Uuid;

/// A sight with the litter that the alarm was about, and the alarm's id.
type SightOf = (Option<Uuid>, Uuid, Sight);

/// What was seen of the alarms of these litters, and of these dogs of none.
pub(super) async fn seen_of(tx: &Tx, litters: &[Uuid], dogs: &[Uuid]) -> StoreResult<Vec<SightOf>> {
    use schema::alarms_seen::dsl;
    type Row = (Option<Uuid>, Uuid, Level, DateTime<Utc>, Uuid, Option<String>);
    let of_none = dsl::litter_id.is_null().and(dsl::dog_id.eq_any(dogs));
    let rows: Vec<Row> = dsl::alarms_seen
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .filter(dsl::litter_id.eq_any(litters).or(of_none))
        .select((
            dsl::litter_id,
            dsl::alarm_id,
            dsl::level,
            dsl::seen_at,
            dsl::person_id,
            dsl::note,
        ))
        .order((dsl::seen_at, dsl::id))
        .load(&mut tx.pipelined())
        .await?;
    if rows.is_empty() {
        return Ok(Vec::new());
    }
    let names = names(tx).await?;
    let sight = |(litter_id, alarm_id, level, at, person_id, note): Row| {
        let name = names.get(&person_id).cloned();
        let seen = AlarmSeen { at, person_id: Some(person_id), name, note };
        (litter_id, alarm_id, Sight { level, seen })
    };
    Ok(rows.into_iter().map(sight).collect())
}

async fn names(tx: &Tx) -> StoreResult<BTreeMap<Uuid, String>> {
    let members = kennels::members(tx).await?;
    Ok(members.into_iter().map(|member| (member.person.id, member.person.name)).collect())
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
