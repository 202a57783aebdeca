//! The parts of a litter's record, each loaded for all litters asked about at once.

use super::dams;
use crate::{
    StoreError, StoreResult, Tx, alarms, columns::Word, keep::Gather as _, reads::ListKey, schema,
    statement::statement, weighings,
};
use chrono::{DateTime, Days, Duration, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, QueryableByName,
    Selectable, SelectableHelper as _,
    sql_types::{Array, BigInt, Date, Nullable, Text, Timestamptz, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    alarms::Sights,
    litter::{ByDog, Core, Health, HeatSign, Homes, Nursing, Pregnancy, Weights, WhelpingWatch},
    moment::Moment,
    placement::{Money, PlacementKind},
    pregnancy::signs_since,
    readiness::BalanceFact,
    record::{
        DamCheck, Feed, HealthEvent, Kept, Paper, PupCheck, SetAside, Temperature, WhelpingLine,
    },
    shared::Shared,
};
use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};
use tokio::sync::OnceCell;
use uuid::Uuid;

/// What parts are loaded from: the cores, and what several parts ask for, asked once.
pub struct Loading<'a> {
    pub(super) tx: &'a Tx,
    pub(super) cores: &'a [Shared<Core>],
    pub(super) moment: &'a Moment,
    /// Whose temperatures, and from which day on.
    measured: (Vec<Uuid>, NaiveDate),
    temperatures: OnceCell<Arc<ByDog<Kept<Temperature>>>>,
    log: OnceCell<Arc<Vec<Kept<WhelpingLine>>>>,
}

impl<'a> Loading<'a> {
    pub(super) fn of(tx: &'a Tx, cores: &'a [Shared<Core>], moment: &'a Moment) -> Self {
        let measured = (dogs_of_all(cores), earliest(cores, moment));
        let (temperatures, log) = (OnceCell::new(), OnceCell::new());
        Self { tx, cores, moment, measured, temperatures, log }
    }

    /// The same for plans, which look at pregnancies of now: temperatures of the dams alone, and none
    /// older than a pregnancy.
    pub(super) fn to_plan(
        tx: &'a Tx,
        cores: &'a [Shared<Core>],
        dams: &[Uuid],
        moment: &'a Moment,
    ) -> Self {
        let since = moment.day_of(moment.now - Duration::days(PREGNANCY_DAYS));
        Self { measured: (dams.to_vec(), since), ..Self::of(tx, cores, moment) }
    }

    /// Temperatures of pups and dams since the earliest of the pregnancies.
    pub(super) async fn temperatures(&self) -> StoreResult<&ByDog<Kept<Temperature>>> {
        let (dogs, since) = &self.measured;
        self.temperatures.get_or_try_init(|| temperatures(self, dogs, *since)).await.map(|of| &**of)
    }

    /// The whelping logs, in order of time: of these litters, and of those of their dams that are
    /// expected or just born, for what they tell of the dam now.
    pub(super) async fn log(&self) -> StoreResult<&[Kept<WhelpingLine>]> {
        let load = async || {
            let since = self.moment.day_of(signs_since(self.moment)) - Days::new(1);
            let of_dams = self.cores.iter().flat_map(|core| &core.of_dam);
            let recent = of_dams.filter(|litter| litter.whelped_on.is_none_or(|on| on >= since));
            let wanted: BTreeSet<Uuid> =
                recent.map(|litter| litter.litter_id).chain(litter_ids(self.cores)).collect();
            let wanted: Vec<Uuid> = wanted.into_iter().collect();
            let log = WhelpingLine::gathered(self.tx, &wanted).await?;
            let in_time = || {
                let mut log = log.to_vec();
                log.sort_by_key(|line| (line.record.at, line.id));
                log
            };
            Ok::<_, StoreError>(self.tx.made("log of whelpings", vec![log.clone()], in_time))
        };
        self.log.get_or_try_init(load).await.map(|log| log.as_slice())
    }
}

/// A part of the record of a litter.
pub trait Part: Sized {
    /// The part for each of the litters, in their order.
    fn load(from: &Loading<'_>) -> impl Future<Output = StoreResult<Vec<Self>>>;
}

impl Part for () {
    async fn load(from: &Loading<'_>) -> StoreResult<Vec<Self>> {
        Ok(vec![(); from.cores.len()])
    }
}

impl<A: Part, B: Part> Part for (A, B) {
    async fn load(from: &Loading<'_>) -> StoreResult<Vec<Self>> {
        let (a, b) = tokio::try_join!(A::load(from), B::load(from))?;
        Ok(a.into_iter().zip(b).collect())
    }
}

impl<A: Part, B: Part, C: Part> Part for (A, B, C) {
    async fn load(from: &Loading<'_>) -> StoreResult<Vec<Self>> {
        let (a, rest) = tokio::try_join!(A::load(from), <(B, C) as Part>::load(from))?;
        Ok(a.into_iter().zip(rest).map(|(a, (b, c))| (a, b, c)).collect())
    }
}

impl<A: Part, B: Part, C: Part, D: Part> Part for (A, B, C, D) {
    async fn load(from: &Loading<'_>) -> StoreResult<Vec<Self>> {
        let (a, rest) = tokio::try_join!(A::load(from), <(B, C, D) as Part>::load(from))?;
        Ok(a.into_iter().zip(rest).map(|(a, (b, c, d))| (a, b, c, d)).collect())
    }
}

impl<A: Part, B: Part, C: Part, D: Part, E: Part> Part for (A, B, C, D, E) {
    async fn load(from: &Loading<'_>) -> StoreResult<Vec<Self>> {
        let (a, rest) = tokio::try_join!(A::load(from), <(B, C, D, E) as Part>::load(from))?;
        Ok(a.into_iter().zip(rest).map(|(a, (b, c, d, e))| (a, b, c, d, e)).collect())
    }
}

impl<A: Part, B: Part, C: Part, D: Part, E: Part, F: Part> Part for (A, B, C, D, E, F) {
    async fn load(from: &Loading<'_>) -> StoreResult<Vec<Self>> {
        let (a, rest) = tokio::try_join!(A::load(from), <(B, C, D, E, F) as Part>::load(from))?;
        Ok(a.into_iter().zip(rest).map(|(a, (b, c, d, e, f))| (a, b, c, d, e, f)).collect())
    }
}

/// The pups that this person may see, and the dam.
fn dogs_of(core: &Core) -> Vec<Uuid> {
    let pups = core.pups.iter().filter(|pup| pup.dog.is_some()).map(|pup| pup.dog_id);
    pups.chain(core.dam_id()).collect()
}

fn dogs_of_all(cores: &[Shared<Core>]) -> Vec<Uuid> {
    let dogs: BTreeSet<Uuid> = cores.iter().flat_map(|core| dogs_of(core)).collect();
    dogs.into_iter().collect()
}

fn litter_ids(cores: &[Shared<Core>]) -> Vec<Uuid> {
    cores.iter().filter_map(|core| core.id()).collect()
}

/// How long before a whelping, or before now, readings of a pregnancy may lie.
const PREGNANCY_DAYS: i64 = 80;

/// The time from which on readings belong to the pregnancy of a litter.
fn pregnant_since(core: &Core, moment: &Moment) -> DateTime<Utc> {
    let until = core.whelped_on().map_or(moment.now, |on| moment.midnight(on));
    let since = until - Duration::days(PREGNANCY_DAYS);
    core.mated_at.map_or(since, |mated| mated.min(since))
}

fn earliest(cores: &[Shared<Core>], moment: &Moment) -> NaiveDate {
    let all = cores.iter().map(|core| pregnant_since(core, moment));
    moment.day_of(all.min().unwrap_or(moment.now))
}

/// A temperature as it is kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::temperatures)]
struct TemperatureRow {
    id: Uuid,
    version: i64,
    created_at: DateTime<Utc>,
    updated_at: DateTime<Utc>,
    dog_id: Uuid,
    measured_at: DateTime<Utc>,
    temperature_c: f64,
    note: Option<String>,
}

/// Temperatures of these dogs taken from a day on, of each in order of time.
async fn temperatures(
    Loading { tx, moment, .. }: &Loading<'_>,
    dogs: &[Uuid],
    since: NaiveDate,
) -> StoreResult<Arc<ByDog<Kept<Temperature>>>> {
    use schema::temperatures::dsl;
    let taken = |row: TemperatureRow| {
        let TemperatureRow { dog_id, measured_at, temperature_c, note, .. } = row;
        let stamp = (row.id, row.version, row.created_at, row.updated_at);
        crate::keep::kept(stamp, Temperature { dog_id, measured_at, temperature_c, note })
    };
    let read = async || {
        let rows: Vec<TemperatureRow> = dsl::temperatures
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(dogs)))
            .filter(dsl::measured_at.ge(moment.midnight(since)))
            .select(TemperatureRow::as_select())
            .load(&mut tx.pipelined())
            .await?;
        Ok(rows.into_iter().map(taken).collect())
    };
    let asked = || ListKey::of("temperatures since", dogs).since(since);
    let rows = tx.remembered(asked, &["temperature"], read).await?;
    Ok(in_time(tx, "temperatures", &rows, |row| (row.dog_id, row.measured_at)))
}

/// Rows by dog, of each in order of time.
fn in_time<R: Clone + Send + Sync + 'static>(
    tx: &Tx,
    what: &'static str,
    rows: &Arc<Vec<Kept<R>>>,
    place: impl Fn(&R) -> (Uuid, DateTime<Utc>),
) -> Arc<ByDog<Kept<R>>> {
    tx.made(what, vec![rows.clone()], || {
        let mut rows = rows.to_vec();
        rows.sort_by_key(|row| (place(&row.record), row.id));
        ByDog::group(rows, |row| place(&row.record).0)
    })
}

/// Two statements: what the log tells of weights since they were read last, and those that have to be read.
impl Part for Weights {
    async fn load(from: &Loading<'_>) -> StoreResult<Vec<Self>> {
        let Loading { tx, cores, .. } = from;
        let weighings = weighings::weighings(tx, &dogs_of_all(cores)).await?;
        let of = |core: &Shared<Core>| Self { weighings: weighings.only(&dogs_of(core)) };
        Ok(cores.iter().map(of).collect())
    }
}

/// Three statements: temperatures (shared), feeds, looks at the pups.
impl Part for Nursing {
    async fn load(from: &Loading<'_>) -> StoreResult<Vec<Self>> {
        let Loading { tx, cores, .. } = from;
        let dogs = dogs_of_all(cores);
        let (temperatures, feeds, pup_checks) = tokio::try_join!(
            from.temperatures(),
            Feed::gathered(tx, &dogs),
            PupCheck::gathered(tx, &dogs),
        )?;
        let of_pup = |check: &PupCheck| (check.dog_id, check.checked_at);
        let pup_checks = in_time(tx, "looks at pups", &pup_checks, of_pup);
        let feeds = in_time(tx, "feeds", &feeds, |feed| (feed.dog_id, feed.fed_at));
        let of = |core: &Shared<Core>| {
            let dogs = dogs_of(core);
            Self {
                temperatures: temperatures.only(&dogs),
                feeds: feeds.only(&dogs),
                pup_checks: pup_checks.only(&dogs),
            }
        };
        Ok(cores.iter().map(of).collect())
    }
}

/// Two statements: events, signs after heats.
impl Part for Health {
    async fn load(from: &Loading<'_>) -> StoreResult<Vec<Self>> {
        let Loading { tx, cores, moment, .. } = from;
        let dogs = dogs_of_all(cores);
        let (events, signs) =
            tokio::try_join!(HealthEvent::gathered(tx, &dogs), heat_signs(tx, &dogs, moment))?;
        let events = in_time(tx, "health events", &events, |event| (event.dog_id, event.given_at));
        let of_dog = || ByDog::group(signs.to_vec(), |sign: &HeatSign| sign.dog_id);
        let signs = tx.made("signs after heats", vec![signs.clone()], of_dog);
        let of = |core: &Shared<Core>| {
            let dogs = dogs_of(core);
            Self { events: events.only(&dogs), heat_signs: signs.only(&dogs) }
        };
        Ok(cores.iter().map(of).collect())
    }
}

#[derive(QueryableByName)]
struct HeatSignRow {
    #[diesel(sql_type = SqlUuid)]
    dog_id: Uuid,
    #[diesel(sql_type = Date)]
    began_on: NaiveDate,
    #[diesel(sql_type = Timestamptz)]
    taken_at: DateTime<Utc>,
    #[diesel(sql_type = Text)]
    finding: String,
}

/// Signs after heats of these dogs, for as long as they may call for somebody.
async fn heat_signs(tx: &Tx, dogs: &[Uuid], moment: &Moment) -> StoreResult<Arc<Vec<HeatSign>>> {
    let longest = moment.rules.span("cycle.womb_sign_days") + Duration::days(1);
    let since = moment.day_of(moment.now - longest);
    let sign = |row: HeatSignRow| {
        let HeatSignRow { dog_id, began_on, taken_at, finding } = row;
        HeatSign { dog_id, heat_began_on: began_on, seen_at: taken_at, finding }
    };
    let read = async || {
        let query = statement(
            "SELECT h.dog_id, h.began_on, r.taken_at, r.finding FROM heats h \
             JOIN heat_readings r ON r.kennel_id = h.kennel_id AND r.heat_id = h.id \
             WHERE h.kennel_id = $1 AND h.dog_id = ANY ($2) AND r.kind = 'sign' AND r.finding IS NOT NULL \
             AND r.taken_at >= $3 ORDER BY r.taken_at, r.id",
        );
        let rows: Vec<HeatSignRow> = query
            .bind::<SqlUuid, _>(tx.scope.kennel_id())
            .bind::<Array<SqlUuid>, _>(dogs)
            .bind::<Timestamptz, _>(moment.midnight(since))
            .load(&mut tx.pipelined())
            .await?;
        Ok(rows.into_iter().map(sign).collect())
    };
    let asked = || ListKey::of("signs after heats", dogs).since(since);
    tx.remembered(asked, &["heat", "heat_reading"], read).await
}

/// Three statements: papers, rules set aside, accounts.
impl Part for Homes {
    async fn load(from: &Loading<'_>) -> StoreResult<Vec<Self>> {
        let Loading { tx, cores, .. } = from;
        let dogs = dogs_of_all(cores);
        let (papers, set_aside, balances) = tokio::try_join!(
            Paper::gather(tx, &dogs),
            SetAside::gather(tx, &dogs),
            balances(tx, &dogs),
        )?;
        let papers = ByDog::group(papers, |paper| paper.record.dog_id);
        let set_aside = ByDog::group(set_aside, |rule| rule.record.dog_id);
        let of = |core: &Shared<Core>| {
            let dogs = dogs_of(core);
            Self {
                papers: papers.only(&dogs),
                set_aside: set_aside.only(&dogs),
                balances: dogs.iter().filter_map(|id| Some((*id, *balances.get(id)?))).collect(),
            }
        };
        Ok(cores.iter().map(of).collect())
    }
}

/// Three statements: log (shared), checks of the dam, temperatures (shared).
impl Part for WhelpingWatch {
    async fn load(from: &Loading<'_>) -> StoreResult<Vec<Self>> {
        let Loading { tx, cores, moment, .. } = from;
        let litters = litter_ids(cores);
        let (log, checks, temperatures) =
            tokio::try_join!(from.log(), DamCheck::gather(tx, &litters), from.temperatures())?;
        let mut checks = checks;
        checks.sort_by_key(|check| (check.record.checked_at, check.id));
        let of = |core: &Shared<Core>| {
            let id = core.id();
            let since = pregnant_since(core, moment);
            let taken = core.dam_id().map(|dam| temperatures.of(dam)).unwrap_or_default();
            Self {
                log: log.iter().filter(|line| Some(line.record.litter_id) == id).cloned().collect(),
                dam_temperatures: taken
                    .iter()
                    .filter(|kept| kept.record.measured_at >= since)
                    .cloned()
                    .collect(),
                dam_checks: checks
                    .iter()
                    .filter(|check| Some(check.record.litter_id) == id)
                    .cloned()
                    .collect(),
            }
        };
        Ok(cores.iter().map(of).collect())
    }
}

/// Seven statements: heats, matings, illnesses, temperatures (shared), log (shared), and the readings and
/// checks that hang on those. The dam herself and her litters are in the core.
impl Part for Pregnancy {
    async fn load(from: &Loading<'_>) -> StoreResult<Vec<Self>> {
        let known = |core: &Shared<Core>| {
            let (dam_id, dog, born_here) = (core.dam_id()?, core.dam.clone(), core.dam_born_here);
            Some((dam_id, dams::Dam { dog, born_here }))
        };
        let dams = dams::gather(from, from.cores.iter().filter_map(known).collect()).await?;
        let of = |core: &Shared<Core>| {
            let known = dams.iter().find(|dam| Some(dam.dam_id) == core.dam_id());
            let mut dam = known.cloned().unwrap_or_else(|| dams::unknown(core.dam_id()));
            let since = pregnant_since(core, from.moment);
            dam.temperatures.retain(|kept| kept.record.measured_at >= since);
            dam.litters.retain(|litter| Some(litter.litter.id) == core.id());
            Self { dam }
        };
        Ok(from.cores.iter().map(of).collect())
    }
}

/// One statement; a second one, for names, where something was seen.
impl Part for Sights {
    async fn load(from: &Loading<'_>) -> StoreResult<Vec<Self>> {
        let Loading { tx, cores, .. } = from;
        let alone =
            cores.iter().filter(|core| core.litter.is_none()).flat_map(|core| dogs_of(core));
        // What was seen of a pup that is a dam now may stand with the litter that she is followed for.
        let pups = cores.iter().flat_map(|core| &core.pups);
        let dams = pups.filter(|pup| !pup.litters.is_empty()).map(|pup| pup.dog_id);
        let dogs: Vec<Uuid> = alone.chain(dams).collect();
        let seen = alarms::seen_of(tx, &litter_ids(cores), &dogs).await?;
        let of = |core: &Shared<Core>| {
            let dogs = dogs_of(core);
            let own = seen.iter().filter(|seen| {
                core.id().is_some_and(|id| seen.litter_id == Some(id))
                    || seen.dog_id.is_some_and(|dog| dogs.contains(&dog))
            });
            Self::new(own.map(|seen| (seen.alarm_id, seen.sight.clone())))
        };
        Ok(cores.iter().map(of).collect())
    }
}

#[derive(QueryableByName)]
struct AccountRow {
    #[diesel(sql_type = SqlUuid)]
    dog_id: Uuid,
    #[diesel(sql_type = Word)]
    kind: PlacementKind,
    #[diesel(sql_type = Nullable<BigInt>)]
    price_minor: Option<i64>,
    #[diesel(sql_type = Nullable<Text>)]
    currency: Option<String>,
    #[diesel(sql_type = BigInt)]
    balance_minor: i64,
    #[diesel(sql_type = Nullable<Date>)]
    due_on: Option<NaiveDate>,
    #[diesel(sql_type = Nullable<Date>)]
    paid_on: Option<NaiveDate>,
}

/// How the accounts stand, asked past the wall around money: readiness tells whether, not how much. Only
/// of dogs that this person may see.
async fn balances(tx: &Tx, ids: &[Uuid]) -> StoreResult<BTreeMap<Uuid, BalanceFact>> {
    let rows: Vec<AccountRow> = statement(
        "SELECT dog_id, kind, price_minor, currency, balance_minor, due_on, paid_on FROM accounts_of($1)",
    )
    .bind::<Array<SqlUuid>, _>(ids)
    .load(&mut tx.pipelined())
    .await?;
    let fact = |row: AccountRow| {
        let currency = row.currency.as_deref().and_then(|code| code.parse().ok());
        let fact = match (row.price_minor, currency) {
            (Some(_), Some(currency)) => BalanceFact::Known {
                balance_due: Money { amount_minor: row.balance_minor, currency },
                due_on: row.due_on,
                paid_on: row.paid_on,
            },
            _ if row.kind == PlacementKind::Sale => BalanceFact::Unknown,
            _ => BalanceFact::NoSale,
        };
        (row.dog_id, fact)
    };
    Ok(rows.into_iter().map(fact).collect())
}
