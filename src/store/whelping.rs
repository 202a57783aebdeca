//! The night and the weeks after it: the log of a whelping, the dam's checks, hand feeding.

use super::{
    StoreError, StoreResult, Tx,
    births::births_of_litter,
    keep::{Keep as _, keep},
    kennels, pregnancies, schema,
};
use crate::domain::{
    dam_after_birth::{DamAfterBirth, DamObservation},
    feeding::FeedTaken,
    inbreeding::Studbook,
    pregnancy::DamRecords,
    record::{
        Birth, BirthOutcome, DamCheck, DamCheckFilter, Dog, Feed, FeedFilter, Kept, Litter, Mating,
        Placenta, PregnancyMethod, Residence, WhelpingLine, WhelpingLineFilter,
    },
    rules::Rules,
    whelping::{ExpectedPups, PupOut, WhelpingCase, WhelpingEntry, WhelpingEvent, where_it_stands},
};
use chrono::{DateTime, Duration, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, JoinOnDsl as _, OptionalExtension as _,
    QueryDsl as _,
};
use diesel_async::RunQueryDsl as _;
use uuid::Uuid;

keep!(WhelpingLine in whelping_lines { litter_id, at, event, note }
    under litter_id of Litter
    filter WhelpingLineFilter {}
    and |query, filter| {
        match filter.since {
            Some(since) => query.filter(dsl::at.ge(since)),
            None => query,
        }
    };
    read Dogs, write Observations);

keep!(DamCheck in dam_checks {
    litter_id, checked_at, temperature_c, discharge, eats, glands, signs as json, pups_cry, note,
}
under litter_id of Litter
filter DamCheckFilter {}
and |query, filter| {
    match filter.since {
        Some(since) => query.filter(dsl::checked_at.ge(since)),
        None => query,
    }
};
read Dogs, write Observations);

keep!(Feed in feeds { dog_id, fed_at, volume_ml, food, note }
    under dog_id of Dog
    filter FeedFilter {}
    and |query, filter| {
        match filter.since {
            Some(since) => query.filter(dsl::fed_at.ge(since)),
            None => query,
        }
    };
    read Dogs, write Observations);

/// A whelping as it is known: what the question asks for, and who came.
pub struct Night {
    /// What is asked about.
    pub case: WhelpingCase,
    /// The births, by ordinal.
    pub births: Vec<Kept<Birth>>,
    /// Collars worn by the pups of every litter in the house.
    pub worn: Vec<String>,
    /// The kennel's own collars, in its order.
    pub collars: Vec<String>,
}

/// All that is known of the whelping of a litter at `now`.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such litter that this person may see.
pub async fn night(
    tx: &mut Tx,
    litter_id: Uuid,
    now: DateTime<Utc>,
    rules: &Rules,
) -> StoreResult<Night> {
    let litter = Litter::select(tx, litter_id, false).await?.record;
    let births = births_of_litter(tx, litter_id).await?;
    let mated = first_tie(tx, litter.mating_id).await?;
    let mut entries = lines(tx, litter_id).await?;
    if let Some(since) = mated.or_else(|| entries.iter().map(|entry| entry.at).min()) {
        for (at, temperature_c) in temperatures(tx, litter.dam_id, since).await? {
            entries.push(WhelpingEntry { at, event: WhelpingEvent::Temperature { temperature_c } });
        }
    }
    entries.extend(silent_end(&births, &entries, now, rules));
    let today = tx.scope.day_of(now);
    let case = WhelpingCase {
        entries,
        births: births.iter().map(|birth| pup_out(&birth.record)).collect(),
        expected: expected(tx, litter.mating_id, rules).await?,
        day_of_pregnancy: mated.map(|at| (today - tx.scope.day_of(at)).num_days()),
        time_zone: tx.scope.tz(),
    };
    Ok(Night {
        case,
        births,
        worn: worn_collars(tx, now, rules).await?,
        collars: kennels::collars(tx).await?,
    })
}

fn pup_out(birth: &Birth) -> PupOut {
    PupOut {
        born_at: birth.born_at,
        alive: birth.outcome == BirthOutcome::Alive,
        placenta_seen: birth.placenta == Placenta::Passed,
    }
}

/// A log that fell silent long after the last pup was finished by somebody who forgot to write it.
fn silent_end(
    births: &[Kept<Birth>],
    entries: &[WhelpingEntry],
    now: DateTime<Utc>,
    rules: &Rules,
) -> Option<WhelpingEntry> {
    let last_pup = births.iter().map(|birth| birth.record.born_at).max()?;
    let strained = |event: &WhelpingEvent| {
        matches!(event, WhelpingEvent::Contractions { .. } | WhelpingEvent::Alarm { .. })
    };
    let last_straining = entries.iter().filter(|e| strained(&e.event)).map(|entry| entry.at).max();
    let last = last_straining.map_or(last_pup, |at| at.max(last_pup));
    let silent = Duration::minutes((rules.value("whelping.silent_hours") * 60.0) as i64);
    (now - last > silent).then_some(WhelpingEntry { at: last, event: WhelpingEvent::Finished {} })
}

/// The lines of the log of a litter, in order of time.
pub(super) async fn lines(tx: &mut Tx, litter_id: Uuid) -> StoreResult<Vec<WhelpingEntry>> {
    use schema::whelping_lines::dsl;
    let rows: Vec<(DateTime<Utc>, WhelpingEvent)> = dsl::whelping_lines
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::litter_id.eq(litter_id)))
        .select((dsl::at, dsl::event))
        .order((dsl::at, dsl::id))
        .load(&mut tx.conn)
        .await?;
    Ok(rows.into_iter().map(|(at, event)| WhelpingEntry { at, event }).collect())
}

async fn first_tie(tx: &mut Tx, mating_id: Option<Uuid>) -> StoreResult<Option<DateTime<Utc>>> {
    let Some(mating_id) = mating_id else { return Ok(None) };
    match Mating::select(tx, mating_id, false).await {
        Ok(mating) => Ok(mating.record.ties.iter().map(|tie| tie.at).min()),
        // A co-owner of the sire alone sees the litter without its mating's particulars.
        Err(StoreError::NotFound) => Ok(None),
        Err(error) => Err(error),
    }
}

async fn temperatures(
    tx: &mut Tx,
    dog_id: Uuid,
    since: DateTime<Utc>,
) -> StoreResult<Vec<(DateTime<Utc>, f64)>> {
    use schema::temperatures::dsl;
    Ok(dsl::temperatures
        .filter(
            dsl::kennel_id
                .eq(tx.scope.kennel_id())
                .and(dsl::dog_id.eq(dog_id))
                .and(dsl::measured_at.ge(since)),
        )
        .select((dsl::measured_at, dsl::temperature_c))
        .order(dsl::measured_at)
        .load(&mut tx.conn)
        .await?)
}

/// The pups counted before birth: by the last X-ray, else by the last scan that counted.
async fn expected(
    tx: &mut Tx,
    mating_id: Option<Uuid>,
    rules: &Rules,
) -> StoreResult<Option<ExpectedPups>> {
    use schema::pregnancy_checks::dsl;
    let Some(mating_id) = mating_id else { return Ok(None) };
    let rows: Vec<(DateTime<Utc>, PregnancyMethod, Option<i32>, Option<i32>)> =
        dsl::pregnancy_checks
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::mating_id.eq(mating_id)))
            .select((dsl::checked_at, dsl::method, dsl::count_at_least, dsl::count_at_most))
            .load(&mut tx.conn)
            .await?;
    let counted = rows.into_iter().filter(|row| row.2.is_some() || row.3.is_some());
    let best = counted.max_by_key(|row| (row.1 == PregnancyMethod::Xray, row.0));
    let Some((_, _, least, most)) = best else { return Ok(None) };
    let at_least = least.and_then(|n| u32::try_from(n).ok()).unwrap_or(0);
    // A count without an upper end is a lower bound: one pup more is always possible.
    let hidden = rules.value("whelping.hidden_pups") as u32;
    let at_most = most.and_then(|n| u32::try_from(n).ok()).unwrap_or(at_least + hidden);
    Ok(Some(ExpectedPups { at_least, at_most: at_most.max(at_least) }))
}

/// Collars on pups that live here and are young enough to wear one.
async fn worn_collars(tx: &mut Tx, now: DateTime<Utc>, rules: &Rules) -> StoreResult<Vec<String>> {
    use schema::{births as b, dogs as d};
    let since = now - Duration::days(rules.value("whelping.collars_until_days") as i64);
    let worn: Vec<Option<String>> = b::table
        .inner_join(d::table.on(d::kennel_id.eq(b::kennel_id).and(d::id.eq(b::dog_id))))
        .filter(
            b::kennel_id
                .eq(tx.scope.kennel_id())
                .and(b::born_at.ge(since))
                .and(b::outcome.eq(BirthOutcome::Alive))
                .and(b::collar.is_not_null())
                .and(d::died_on.is_null())
                .and(d::residence.eq(Residence::Here)),
        )
        .select(b::collar)
        .load(&mut tx.conn)
        .await?;
    Ok(worn.into_iter().flatten().collect())
}

/// The dam of a litter after whelping, as she was seen.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such litter; a fault when no pup is born yet.
pub async fn dam_after_birth(
    tx: &mut Tx,
    litter_id: Uuid,
    now: DateTime<Utc>,
    rules: &Rules,
) -> StoreResult<DamAfterBirth> {
    let night = night(tx, litter_id, now, rules).await?;
    let Some(last_pup_at) = night.births.iter().map(|birth| birth.record.born_at).max() else {
        return Err(StoreError::refused("#path/litter_id", "names a litter that is not born yet"));
    };
    let dam_id = Litter::select(tx, litter_id, false).await?.record.dam_id;
    let mut observations = checks(tx, litter_id).await?;
    for (at, temperature_c) in temperatures(tx, dam_id, last_pup_at).await? {
        observations.push(DamObservation {
            at,
            temperature_c: Some(temperature_c),
            discharge: None,
            eats: None,
            glands: None,
            signs: Vec::new(),
            pups_cry: None,
        });
    }
    Ok(DamAfterBirth {
        last_pup_at,
        pups: nursing(tx, litter_id).await?,
        first_litter: Some(!whelped_before(tx, dam_id, litter_id).await?),
        placentas_missing: Some(where_it_stands(&night.case, now, rules).placentas_missing),
        observations,
    })
}

async fn checks(tx: &mut Tx, litter_id: Uuid) -> StoreResult<Vec<DamObservation>> {
    let filter = DamCheckFilter::default();
    let page = super::keep::Page { after: None, limit: i64::MAX };
    let rows = DamCheck::page(tx, Some(litter_id), &filter, page).await?;
    Ok(rows.into_iter().map(|kept| kept.record.observation()).collect())
}

/// Pups of a litter that live and are here.
async fn nursing(tx: &mut Tx, litter_id: Uuid) -> StoreResult<u32> {
    use schema::{births as b, dogs as d};
    let count: i64 = b::table
        .inner_join(d::table.on(d::kennel_id.eq(b::kennel_id).and(d::id.eq(b::dog_id))))
        .filter(
            b::kennel_id
                .eq(tx.scope.kennel_id())
                .and(b::litter_id.eq(litter_id))
                .and(b::outcome.eq(BirthOutcome::Alive))
                .and(d::died_on.is_null())
                .and(d::residence.eq(Residence::Here)),
        )
        .count()
        .get_result(&mut tx.conn)
        .await?;
    Ok(u32::try_from(count).unwrap_or(u32::MAX))
}

async fn whelped_before(tx: &mut Tx, dam_id: Uuid, litter_id: Uuid) -> StoreResult<bool> {
    use schema::litters::dsl;
    let earlier = dsl::litters.filter(
        dsl::kennel_id
            .eq(tx.scope.kennel_id())
            .and(dsl::dam_id.eq(dam_id))
            .and(dsl::id.ne(litter_id))
            .and(dsl::whelped_on.is_not_null()),
    );
    let count: i64 = earlier.count().get_result(&mut tx.conn).await?;
    Ok(count > 0)
}

/// What feeding asks of a dog.
pub struct FedDog {
    /// The dog.
    pub dog: Dog,
    /// Its last weight in grams, and when it was taken.
    pub weight: Option<(DateTime<Utc>, f64)>,
    /// Litters that it may carry, and what is on record of it as a dam.
    pub carrying: Option<(Vec<Uuid>, DamRecords)>,
    /// Birth of the last pup of the litter that it nurses, and how many pups nurse.
    pub nursing: Option<(DateTime<Utc>, u32)>,
    /// When it was born, for a pup of a litter here.
    pub born_at: Option<DateTime<Utc>>,
    /// Its last temperature in degrees Celsius, and when it was taken.
    pub temperature: Option<(DateTime<Utc>, f64)>,
    /// What it was fed by hand.
    pub feeds: Vec<FeedTaken>,
}

/// All that feeding asks of a dog.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such dog that this person may see.
pub async fn fed_dog(
    tx: &mut Tx,
    book: &Studbook<Uuid>,
    dog_id: Uuid,
    now: DateTime<Utc>,
) -> StoreResult<FedDog> {
    let dog = Dog::select(tx, dog_id, false).await?.record;
    let weight = last_weight(tx, dog_id).await?;
    let temperature = temperatures(tx, dog_id, DateTime::UNIX_EPOCH).await?.pop();
    let feeds = feeds(tx, dog_id).await?;
    let born_at = born_at(tx, dog_id).await?;
    let litters = litters_of_dam(tx, dog_id).await?;
    let mut expected = Vec::new();
    let mut nursing_now = None;
    for (litter_id, whelped_on, weaned_on) in litters {
        match (whelped_on, weaned_on) {
            (None, _) => expected.push(litter_id),
            (Some(_), None) => {
                let births = births_of_litter(tx, litter_id).await?;
                let last = births.iter().map(|birth| birth.record.born_at).max();
                if let Some(last) = last {
                    nursing_now = nursing_now.max(Some((last, nursing(tx, litter_id).await?)));
                }
            }
            (Some(_), Some(_)) => {}
        }
    }
    let carrying = if expected.is_empty() {
        None
    } else {
        pregnancies::of_dams(tx, book, &[dog_id], now).await?.pop().map(|dam| (expected, dam))
    };
    Ok(FedDog { dog, weight, carrying, nursing: nursing_now, born_at, temperature, feeds })
}

type LitterDays = (Uuid, Option<NaiveDate>, Option<NaiveDate>);

async fn litters_of_dam(tx: &mut Tx, dam_id: Uuid) -> StoreResult<Vec<LitterDays>> {
    use schema::litters::dsl;
    Ok(dsl::litters
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dam_id.eq(dam_id)))
        .select((dsl::id, dsl::whelped_on, dsl::weaned_on))
        .load(&mut tx.conn)
        .await?)
}

async fn last_weight(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Option<(DateTime<Utc>, f64)>> {
    use schema::weights::dsl;
    let row: Option<(DateTime<Utc>, i32)> = dsl::weights
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)))
        .select((dsl::measured_at, dsl::weight_g))
        .order((dsl::measured_at.desc(), dsl::id.desc()))
        .first(&mut tx.conn)
        .await
        .optional()?;
    Ok(row.map(|(at, weight_g)| (at, f64::from(weight_g))))
}

async fn born_at(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Option<DateTime<Utc>>> {
    use schema::births::dsl;
    Ok(dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)))
        .select(dsl::born_at)
        .first(&mut tx.conn)
        .await
        .optional()?)
}

async fn feeds(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Vec<FeedTaken>> {
    use schema::feeds::dsl;
    let rows: Vec<(DateTime<Utc>, f64)> = dsl::feeds
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)))
        .select((dsl::fed_at, dsl::volume_ml))
        .order(dsl::fed_at)
        .load(&mut tx.conn)
        .await?;
    Ok(rows.into_iter().map(|(at, volume_ml)| FeedTaken { at, volume_ml }).collect())
}
