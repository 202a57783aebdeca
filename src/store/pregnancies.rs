//! All that is on record of dams and their pregnancies, gathered at once.

use super::{
    StoreResult, Tx,
    keep::{self, Gather, Keep, Page},
    schema,
};
use crate::domain::{
    dating::PregnancySign,
    inbreeding::Studbook,
    placement::{PlacementKind, PlacementStage},
    planner::FreePup,
    pregnancy::{DamRecords, KennelTime, LitterOnRecord, sign_in_log},
    record::{
        BirthOutcome, Dog, Heat, HeatReading, Kept, Litter, Mating, MatingStatus, PregnancyCheck,
        Residence, Sex, Temperature, TemperatureFilter,
    },
    schedule::HealthKind,
    whelping::WhelpingEvent,
};
use chrono::{DateTime, Duration, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, JoinOnDsl as _,
    NullableExpressionMethods as _, QueryDsl as _,
};
use diesel_async::RunQueryDsl as _;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

impl Tx {
    /// The moment `now` on the kennel's clock.
    pub fn time(&self, now: DateTime<Utc>) -> KennelTime {
        KennelTime { now, tz: self.scope.tz() }
    }
}

/// Most temperatures read of one dam: three a day for longer than a pregnancy lasts.
const MOST_TEMPERATURES: i64 = 1000;

/// How long before now, or before a whelping, readings of a pregnancy may lie.
const PREGNANCY_DAYS: i64 = 80;

/// A litter and the records of its dam.
///
/// # Errors
/// [`super::StoreError::NotFound`] when there is no such litter that this person may see.
pub async fn of_litter(
    tx: &mut Tx,
    book: &Studbook<Uuid>,
    litter_id: Uuid,
    now: DateTime<Utc>,
) -> StoreResult<(Kept<Litter>, DamRecords)> {
    let litter: Kept<Litter> = keep::find(tx, litter_id).await?;
    let dam_id = litter.record.dam_id;
    let mut dams = of_dams(tx, book, &[dam_id], now).await?;
    let mut records = dams.pop().unwrap_or_else(|| unknown(dam_id));
    if let Some(whelped_on) = litter.record.whelped_on {
        records.temperatures = temperatures_before(tx, dam_id, whelped_on).await?;
    }
    Ok((litter, records))
}

/// A dam of whom nothing may be seen.
fn unknown(dam_id: Uuid) -> DamRecords {
    DamRecords {
        dam_id,
        dog: None,
        born_here: false,
        heats: Vec::new(),
        readings: Vec::new(),
        matings: Vec::new(),
        checks: Vec::new(),
        temperatures: Vec::new(),
        signs: Vec::new(),
        litters: Vec::new(),
        inbreeding: None,
        pups_inbreeding: BTreeMap::new(),
    }
}

/// The records of these dams, in their order; `book` is the kennel's pedigree.
///
/// # Errors
/// When the database is away.
pub async fn of_dams(
    tx: &mut Tx,
    book: &Studbook<Uuid>,
    dam_ids: &[Uuid],
    now: DateTime<Utc>,
) -> StoreResult<Vec<DamRecords>> {
    let mut dogs: BTreeMap<Uuid, Dog> =
        Dog::gather(tx, dam_ids).await?.into_iter().map(|kept| (kept.id, kept.record)).collect();
    let born_here = born_here(tx, dam_ids).await?;
    let heats = Heat::gather(tx, dam_ids).await?;
    let readings = HeatReading::gather(tx, &ids(&heats)).await?;
    let matings = Mating::gather(tx, dam_ids).await?;
    let checks = PregnancyCheck::gather(tx, &ids(&matings)).await?;
    let litters = litters_of(tx, dam_ids).await?;
    let signs = signs(tx, dam_ids, now).await?;
    let mut all = Vec::with_capacity(dam_ids.len());
    for dam_id in dam_ids {
        let heats: Vec<_> = heats.iter().filter(|h| h.record.dog_id == *dam_id).cloned().collect();
        let matings: Vec<_> =
            matings.iter().filter(|m| m.record.dam_id == *dam_id).cloned().collect();
        let of_heats = |id: Uuid| heats.iter().any(|h| h.id == id);
        let of_matings = |id: Uuid| matings.iter().any(|m| m.id == id);
        let litters: Vec<_> =
            litters.iter().filter(|l| l.litter.record.dam_id == *dam_id).cloned().collect();
        // Only a dam who is carrying is taken the temperature of, to foretell labour.
        let expecting = litters.iter().any(|l| l.litter.record.whelped_on.is_none());
        let temperatures =
            if expecting { temperatures_since(tx, *dam_id, now).await? } else { Vec::new() };
        let mut records = DamRecords {
            dam_id: *dam_id,
            dog: dogs.remove(dam_id),
            born_here: born_here.contains(dam_id),
            readings: readings.iter().filter(|r| of_heats(r.record.heat_id)).cloned().collect(),
            checks: checks.iter().filter(|c| of_matings(c.record.mating_id)).cloned().collect(),
            temperatures,
            signs: signs.iter().filter(|s| s.0 == *dam_id).map(|s| (s.1, s.2)).collect(),
            heats,
            matings,
            litters,
            inbreeding: None,
            pups_inbreeding: BTreeMap::new(),
        };
        records.look_up_inbreeding(book, &[]);
        all.push(records);
    }
    Ok(all)
}

/// Dams to plan for: with a litter or a mating, or bred from here.
///
/// # Errors
/// When the database is away.
pub async fn planned_dams(tx: &mut Tx) -> StoreResult<Vec<Uuid>> {
    use schema::{dogs as d, litters as l, matings as m};
    let kennel_id = tx.scope.kennel_id();
    let here: Vec<Uuid> = d::table
        .filter(d::kennel_id.eq(kennel_id).and(d::sex.eq(Sex::Female)))
        .filter(d::residence.eq(Residence::Here).and(d::died_on.is_null()))
        .filter(d::for_breeding.eq(true))
        .select(d::id)
        .load(&mut tx.conn)
        .await?;
    let with_litter: Vec<Uuid> = l::table
        .filter(l::kennel_id.eq(kennel_id))
        .select(l::dam_id)
        .distinct()
        .load(&mut tx.conn)
        .await?;
    let mated: Vec<Uuid> = m::table
        .filter(m::kennel_id.eq(kennel_id).and(m::status.ne(MatingStatus::CalledOff)))
        .select(m::dam_id)
        .distinct()
        .load(&mut tx.conn)
        .await?;
    let all: BTreeSet<Uuid> = here.into_iter().chain(with_litter).chain(mated).collect();
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

/// The readings of a heat.
///
/// # Errors
/// When the database is away.
pub async fn readings_of(tx: &mut Tx, heat_id: Uuid) -> StoreResult<Vec<Kept<HeatReading>>> {
    HeatReading::gather(tx, &[heat_id]).await
}

fn ids<R>(rows: &[Kept<R>]) -> Vec<Uuid> {
    rows.iter().map(|row| row.id).collect()
}

async fn temperatures_since(
    tx: &mut Tx,
    dam_id: Uuid,
    now: DateTime<Utc>,
) -> StoreResult<Vec<Kept<Temperature>>> {
    let filter = TemperatureFilter { since: Some(now - Duration::days(PREGNANCY_DAYS)) };
    let page = Page { after: None, limit: MOST_TEMPERATURES };
    Temperature::page(tx, Some(dam_id), &filter, page).await
}

/// Temperatures of the pregnancy that ended on `whelped_on`.
async fn temperatures_before(
    tx: &mut Tx,
    dam_id: Uuid,
    whelped_on: NaiveDate,
) -> StoreResult<Vec<Kept<Temperature>>> {
    let noon = whelped_on.and_time(chrono::NaiveTime::MIN).and_utc();
    temperatures_since(tx, dam_id, noon).await
}

/// Which of these dogs were born in this kennel.
async fn born_here(tx: &mut Tx, dog_ids: &[Uuid]) -> StoreResult<BTreeSet<Uuid>> {
    use schema::births::dsl;
    let born: Vec<Uuid> = dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(dog_ids)))
        .select(dsl::dog_id)
        .load(&mut tx.conn)
        .await?;
    Ok(born.into_iter().collect())
}

/// Signs of the last days that need a vet: illnesses, and what the whelping logs say.
async fn signs(
    tx: &mut Tx,
    dam_ids: &[Uuid],
    now: DateTime<Utc>,
) -> StoreResult<Vec<(Uuid, DateTime<Utc>, PregnancySign)>> {
    use schema::{health_events as h, litters as l, whelping_lines as w};
    let (kennel_id, since) = (tx.scope.kennel_id(), now - Duration::days(2));
    let ill: Vec<(Uuid, DateTime<Utc>)> = h::table
        .filter(h::kennel_id.eq(kennel_id).and(h::dog_id.eq_any(dam_ids)))
        .filter(h::kind.eq(HealthKind::Illness).and(h::given_at.ge(since)))
        .select((h::dog_id, h::given_at))
        .load(&mut tx.conn)
        .await?;
    let of_litter = l::kennel_id.eq(w::kennel_id).and(l::id.eq(w::litter_id));
    let logged: Vec<(Uuid, DateTime<Utc>, WhelpingEvent)> = w::table
        .inner_join(l::table.on(of_litter))
        .filter(l::kennel_id.eq(kennel_id).and(l::dam_id.eq_any(dam_ids)))
        .filter(w::at.ge(since))
        .select((l::dam_id, w::at, w::event))
        .load(&mut tx.conn)
        .await?;
    let seen = logged
        .into_iter()
        .filter_map(|(dam_id, at, event)| Some((dam_id, at, sign_in_log(&event)?)));
    Ok(ill.into_iter().map(|(id, at)| (id, at, PregnancySign::Unwell)).chain(seen).collect())
}

/// Litters with a whelping log, and whether a caesarean stands in it.
///
/// # Errors
/// When the database is away.
pub async fn caesareans(tx: &mut Tx, litter_ids: &[Uuid]) -> StoreResult<BTreeMap<Uuid, bool>> {
    use schema::whelping_lines::dsl;
    let rows: Vec<(Uuid, WhelpingEvent)> = dsl::whelping_lines
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::litter_id.eq_any(litter_ids)))
        .select((dsl::litter_id, dsl::event))
        .load(&mut tx.conn)
        .await?;
    let mut found = BTreeMap::new();
    for (litter_id, event) in rows {
        *found.entry(litter_id).or_default() |= matches!(event, WhelpingEvent::Caesarean {});
    }
    Ok(found)
}

type PupRow = (
    (Uuid, BirthOutcome, Option<NaiveDate>, Residence, Option<PlacementStage>),
    (Option<Sex>, Option<String>),
);

/// The litters of these dams with their pups counted.
async fn litters_of(tx: &mut Tx, dam_ids: &[Uuid]) -> StoreResult<Vec<LitterOnRecord>> {
    use schema::{births as b, dogs as d, placements as p};
    let litters = Litter::gather(tx, dam_ids).await?;
    let standing =
        [PlacementStage::Reserved, PlacementStage::Confirmed, PlacementStage::HandedOver];
    let promised = p::kennel_id
        .eq(b::kennel_id)
        .and(p::dog_id.eq(b::dog_id))
        .and(p::stage.eq_any(standing))
        .and(p::kind.ne(PlacementKind::Return));
    // A pup is promised once at most, so the join doubles no row.
    let pups: Vec<PupRow> = b::table
        .inner_join(d::table.on(d::kennel_id.eq(b::kennel_id).and(d::id.eq(b::dog_id))))
        .left_join(p::table.on(promised))
        .filter(b::kennel_id.eq(tx.scope.kennel_id()).and(b::litter_id.eq_any(ids(&litters))))
        .select((
            (b::litter_id, b::outcome, d::died_on, d::residence, p::stage.nullable()),
            (d::sex, d::colour),
        ))
        .order((b::litter_id, b::ordinal))
        .load(&mut tx.conn)
        .await?;
    let caesareans = caesareans(tx, &ids(&litters)).await?;
    let on_record = |litter: Kept<Litter>| {
        let caesarean = caesareans.get(&litter.id).copied();
        LitterOnRecord { caesarean, ..counted(litter, &pups) }
    };
    Ok(litters.into_iter().map(on_record).collect())
}

fn counted(litter: Kept<Litter>, pups: &[PupRow]) -> LitterOnRecord {
    let mut on_record = LitterOnRecord {
        litter,
        born: 0,
        born_alive: 0,
        free: Vec::new(),
        here: 0,
        caesarean: None,
    };
    let own = pups.iter().filter(|(pup, _)| pup.0 == on_record.litter.id);
    for ((_, outcome, died_on, residence, stage), (sex, colour)) in own {
        on_record.born += 1;
        if *outcome != BirthOutcome::Alive {
            continue;
        }
        on_record.born_alive += 1;
        if died_on.is_none() && *residence == Residence::Here {
            on_record.here += u32::from(*stage != Some(PlacementStage::HandedOver));
            if stage.is_none() {
                on_record.free.push(FreePup { sex: *sex, colour: colour.clone() });
            }
        }
    }
    on_record
}
