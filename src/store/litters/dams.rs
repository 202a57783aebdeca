//! All that is on record of dams and their pregnancies, gathered at once.

use super::{
    load::{Which, cores},
    parts::Loading,
};
use crate::{StoreResult, Tx, columns::Stored, keep::Gather as _, reads::ListKey, schema};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, Selectable,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    dating::PregnancySign,
    inbreeding::Studbook,
    litter::{LitterOfDam, Presence},
    moment::Moment,
    pregnancy::{DamRecords, LitterOnRecord, sign_in_log, signs_since},
    record::{
        DamCheck, Dog, Heat, HeatReading, Kept, Mating, MatingStatus, PregnancyCheck, Residence,
        Sex, WhelpingLine,
    },
    schedule::HealthKind,
    whelping::{WhelpingEntry, by_caesarean},
};
use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};
use uuid::Uuid;

/// A dam of whom nothing may be seen.
pub(super) fn unknown(dam_id: Option<Uuid>) -> DamRecords {
    DamRecords {
        dam_id: dam_id.unwrap_or_else(Uuid::nil),
        dog: None,
        born_here: false,
        heats: Vec::new(),
        readings: Vec::new(),
        matings: Vec::new(),
        checks: Vec::new(),
        temperatures: Vec::new(),
        signs: Vec::new(),
        litters: Vec::new(),
        whelpings: Vec::new(),
        inbreeding: None,
        pups_inbreeding: BTreeMap::new(),
    }
}

/// What is known of a dam before her records are loaded.
pub(super) struct Dam {
    pub(super) dog: Option<Dog>,
    pub(super) born_here: bool,
}

/// The records of these dams, in their order; `book` is the kennel's pedigree.
///
/// It is the [`Pregnancy`](domain::litter::Pregnancy) of each dam, with all her litters: a plan asks by
/// dams, of whom some have heats and matings and no litter yet, and so no record of a litter.
///
/// # Errors
/// When the database is away.
pub async fn of_dams(
    tx: &mut Tx,
    book: &Studbook<Uuid>,
    dam_ids: &[Uuid],
) -> StoreResult<Vec<DamRecords>> {
    let tx = &*tx;
    let moment = tx.moment().await?;
    let which = Which::OfDams(dam_ids.to_vec());
    let (cores, dogs, born_here) = tokio::try_join!(
        cores(tx, &which, &moment),
        Dog::gather(tx, dam_ids),
        born_here(tx, dam_ids)
    )?;
    let mut dogs: BTreeMap<Uuid, Dog> =
        dogs.into_iter().map(|kept| (kept.id, kept.record)).collect();
    let known = |id: &Uuid| (*id, Dam { dog: dogs.remove(id), born_here: born_here.contains(id) });
    let known = dam_ids.iter().map(known).collect();
    let from = Loading::to_plan(tx, &cores, dam_ids, &moment);
    let mut found = gather(&from, known).await?;
    for dam in &mut found {
        dam.look_up_inbreeding(book, &[]);
    }
    let place: BTreeMap<Uuid, usize> = dam_ids.iter().copied().zip(0..).collect();
    found.sort_by_key(|dam| place.get(&dam.dam_id).copied());
    Ok(found)
}

/// The records of these dams; their litters are those loaded from.
pub(super) async fn gather(
    from: &Loading<'_>,
    known: BTreeMap<Uuid, Dam>,
) -> StoreResult<Vec<DamRecords>> {
    let (tx, moment) = (from.tx, from.moment);
    let ids: Vec<Uuid> = known.keys().copied().collect();
    let (heats, matings, ill, log, temperatures) = tokio::try_join!(
        Heat::gather(tx, &ids),
        Mating::gather(tx, &ids),
        illnesses(tx, &ids, moment),
        from.log(),
        from.temperatures(),
    )?;
    let (heat_ids, mating_ids) = (row_ids(&heats), row_ids(&matings));
    let (readings, checks) = tokio::try_join!(
        HeatReading::gather(tx, &heat_ids),
        PregnancyCheck::gather(tx, &mating_ids),
    )?;
    let of_dam = |(dam_id, Dam { dog, born_here }): (Uuid, Dam)| {
        let heats: Vec<_> = heats.iter().filter(|h| h.record.dog_id == dam_id).cloned().collect();
        let matings: Vec<_> =
            matings.iter().filter(|m| m.record.dam_id == dam_id).cloned().collect();
        let of_heats = |id: Uuid| heats.iter().any(|h| h.id == id);
        let of_matings = |id: Uuid| matings.iter().any(|m| m.id == id);
        let own = || from.cores.iter().filter(|core| core.dam_id() == Some(dam_id));
        let litters = own().filter_map(|core| {
            let of_litter = |line: &&Kept<WhelpingLine>| Some(line.record.litter_id) == core.id();
            let entries: Vec<WhelpingEntry> = log.iter().filter(of_litter).map(entry).collect();
            LitterOnRecord::of(core, &entries, moment)
        });
        let whelpings = own().next().map(|core| core.of_dam.clone()).unwrap_or_default();
        let hers = |line: &&Kept<WhelpingLine>| {
            whelpings.iter().any(|litter| litter.litter_id == line.record.litter_id)
        };
        let logged = log.iter().filter(hers).filter(|line| line.record.at >= signs_since(moment));
        let signs =
            logged.filter_map(|line| Some((line.record.at, sign_in_log(&line.record.event)?)));
        let unwell = ill.iter().filter(|(id, _)| *id == dam_id);
        DamRecords {
            dam_id,
            dog,
            born_here,
            readings: readings.iter().filter(|r| of_heats(r.record.heat_id)).cloned().collect(),
            checks: checks.iter().filter(|c| of_matings(c.record.mating_id)).cloned().collect(),
            temperatures: temperatures.of(dam_id).to_vec(),
            signs: unwell.map(|(_, at)| (*at, PregnancySign::Unwell)).chain(signs).collect(),
            litters: litters.collect(),
            whelpings: whelpings.clone(),
            heats,
            matings,
            inbreeding: None,
            pups_inbreeding: BTreeMap::new(),
        }
    };
    Ok(known.into_iter().map(of_dam).collect())
}

fn entry(line: &Kept<WhelpingLine>) -> WhelpingEntry {
    WhelpingEntry { at: line.record.at, event: line.record.event.clone() }
}

/// A dam that the kennel breeds from, and whether she is there.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::dogs)]
struct BredFromRow {
    id: Uuid,
    died_on: Option<NaiveDate>,
    residence: Residence,
}

/// Dams to plan for: with a litter or a mating, or bred from here.
///
/// # Errors
/// When the database is away.
pub async fn planned_dams(tx: &mut Tx) -> StoreResult<Vec<Uuid>> {
    use schema::{dogs as d, litters as l, matings as m};
    let kennel_id = tx.scope.kennel_id();
    let bred_from: Vec<BredFromRow> = d::table
        .filter(d::kennel_id.eq(kennel_id).and(d::sex.eq(Stored(Some(Sex::Female)))))
        .filter(d::for_breeding.eq(true))
        .select(BredFromRow::as_select())
        .load(&mut tx.conn)
        .await?;
    let today = tx.scope.today();
    let here = bred_from
        .into_iter()
        .filter(|row| Presence::by_record(row.died_on, row.residence, today).is_here());
    let with_litter: Vec<Uuid> = l::table
        .filter(l::kennel_id.eq(kennel_id))
        .select(l::dam_id)
        .distinct()
        .load(&mut tx.conn)
        .await?;
    let mated: Vec<Uuid> = m::table
        .filter(m::kennel_id.eq(kennel_id).and(m::status.ne(Stored(MatingStatus::CalledOff))))
        .select(m::dam_id)
        .distinct()
        .load(&mut tx.conn)
        .await?;
    let here = here.map(|row| row.id);
    let all: BTreeSet<Uuid> = here.chain(with_litter).chain(mated).collect();
    Ok(all.into_iter().collect())
}

/// The sires of these dams' matings, and the others named, that this person may see.
///
/// # Errors
/// When the database is away.
pub async fn sires_of(
    tx: &mut Tx,
    dams: &[DamRecords],
    others: &[Uuid],
) -> StoreResult<BTreeMap<Uuid, Dog>> {
    let matings = dams.iter().flat_map(|dam| &dam.matings);
    let mut sires: BTreeSet<Uuid> = matings.map(|mating| mating.record.sire_id).collect();
    sires.extend(others);
    let sires: Vec<Uuid> = sires.into_iter().collect();
    let dogs = Dog::gather(tx, &sires).await?;
    Ok(dogs.into_iter().map(|kept| (kept.id, kept.record)).collect())
}

/// What was seen of a dam after these litters of hers, as far as this person may see them.
///
/// # Errors
/// When the database is away.
pub async fn dam_checks(tx: &mut Tx, litters: &[LitterOfDam]) -> StoreResult<Vec<Kept<DamCheck>>> {
    let litters: Vec<Uuid> = litters.iter().map(|litter| litter.litter_id).collect();
    DamCheck::gather(tx, &litters).await
}

/// The readings of a heat.
///
/// # Errors
/// When the database is away.
pub async fn readings_of(tx: &mut Tx, heat_id: Uuid) -> StoreResult<Vec<Kept<HeatReading>>> {
    HeatReading::gather(tx, &[heat_id]).await
}

fn row_ids<R>(rows: &[Kept<R>]) -> Vec<Uuid> {
    rows.iter().map(|row| row.id).collect()
}

/// Which of these dogs were born in this kennel.
async fn born_here(tx: &Tx, dog_ids: &[Uuid]) -> StoreResult<BTreeSet<Uuid>> {
    use schema::births::dsl;
    let born: Vec<Uuid> = dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(dog_ids)))
        .select(dsl::dog_id)
        .load(&mut tx.pipelined())
        .await?;
    Ok(born.into_iter().collect())
}

/// Illnesses of the last days.
async fn illnesses(
    tx: &Tx,
    dam_ids: &[Uuid],
    moment: &Moment,
) -> StoreResult<Vec<(Uuid, DateTime<Utc>)>> {
    use schema::health_events::dsl;
    let since = signs_since(moment);
    let day = moment.day_of(since);
    let read = async || {
        let query = dsl::health_events
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(dam_ids)))
            .filter(dsl::kind.eq(Stored(HealthKind::Illness)))
            .filter(dsl::given_at.ge(moment.midnight(day)))
            .select((dsl::dog_id, dsl::given_at));
        Ok(query.load(&mut tx.pipelined()).await?)
    };
    let asked = || ListKey::of("illnesses since", dam_ids).since(day);
    let ill: Arc<Vec<(Uuid, DateTime<Utc>)>> =
        tx.remembered(asked, &["health_event"], read).await?;
    Ok(ill.iter().filter(|(_, at)| *at >= since).copied().collect())
}

/// Litters with a whelping log, and whether a caesarean stands in it.
///
/// # Errors
/// When the database is away.
pub(crate) async fn caesareans(tx: &Tx, litter_ids: &[Uuid]) -> StoreResult<BTreeMap<Uuid, bool>> {
    let mut logs: BTreeMap<Uuid, Vec<WhelpingEntry>> = BTreeMap::new();
    for line in WhelpingLine::gather(tx, litter_ids).await? {
        logs.entry(line.record.litter_id).or_default().push(entry(&line));
    }
    Ok(logs.into_iter().filter_map(|(id, log)| Some((id, by_caesarean(&log)?))).collect())
}
