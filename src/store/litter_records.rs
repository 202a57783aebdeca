//! All that is recorded of litters, their dams and pups, gathered for the questions of the domain.

use super::{StoreError, StoreResult, Tx, kennels, people::Right, schema};
use crate::domain::{
    growth::Weighing,
    litter_record::{DogRecord, LitterRecord, RecordedEvent},
    partial_date::PartialDate,
    placement::{Money, PlacementKind},
    readiness::{
        BalanceFact, KennelReadinessRules, PaperDone, ReadinessOverride, ReadinessRule,
        ReadinessRuleSet,
    },
    record::{BirthOutcome, Residence, Sex, Tie},
    rules::Rules,
    schedule::{GivenEvent, HealthKind, PlanBook},
};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
    QueryableByName,
    sql_types::{Array, BigInt, Date, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// Which litters to gather.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// Litters with a pup in the kennel, and those whose dam is followed: what a walk meets.
    Current,
    /// One litter.
    Litter(Uuid),
    /// All litters.
    All,
}

/// What the questions are asked by: the kennel's rules, plans and what it asks before go-home.
#[derive(Debug)]
pub struct Asked {
    /// The rules in force.
    pub rules: Rules,
    /// The kennel's plans.
    pub book: PlanBook,
    /// What must hold before a pup leaves.
    pub set: ReadinessRuleSet,
}

/// The rules, plans and readiness rules of the kennel.
///
/// # Errors
/// When the database is away.
pub async fn asked(tx: &mut Tx) -> StoreResult<Asked> {
    Ok(Asked {
        rules: kennels::rules(tx).await?,
        book: super::health::plan_book(tx).await?,
        set: rule_set(tx).await?,
    })
}

/// What the kennel asks before a pup leaves, on top of its jurisdiction, and its version (0 for none).
///
/// # Errors
/// When the database is away.
pub async fn own_readiness_rules(tx: &mut Tx) -> StoreResult<(KennelReadinessRules, i64)> {
    use schema::readiness_rules::dsl;
    let own = dsl::readiness_rules
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((dsl::own, dsl::version))
        .first(&mut tx.conn)
        .await
        .optional()?;
    Ok(own.unwrap_or_default())
}

/// Sets what the kennel asks before a pup leaves, from the version the client has seen.
///
/// # Errors
/// [`StoreError::Stale`] when somebody else was faster; [`StoreError::Refused`] when it goes below
/// the law of the kennel's jurisdiction.
pub async fn set_readiness_rules(
    tx: &mut Tx,
    own: &KennelReadinessRules,
    version: i64,
) -> StoreResult<()> {
    use schema::readiness_rules::dsl;
    tx.scope.require(Right::Managing)?;
    let jurisdiction = jurisdiction(tx);
    ReadinessRuleSet::for_kennel(&jurisdiction, own).map_err(StoreError::Refused)?;
    let kennel_id = tx.scope.kennel_id();
    let written = if version == 0 {
        diesel::insert_into(dsl::readiness_rules)
            .values((dsl::kennel_id.eq(kennel_id), dsl::id.eq(kennel_id), dsl::own.eq(own)))
            .on_conflict_do_nothing()
            .execute(&mut tx.conn)
            .await?
    } else {
        let row =
            dsl::readiness_rules.filter(dsl::kennel_id.eq(kennel_id).and(dsl::version.eq(version)));
        diesel::update(row).set(dsl::own.eq(own)).execute(&mut tx.conn).await?
    };
    if written == 0 { Err(StoreError::Stale) } else { Ok(()) }
}

fn jurisdiction(tx: &Tx) -> String {
    tx.scope.kennel().jurisdiction.clone().unwrap_or_default()
}

/// The readiness rules in force; what the kennel set for itself gives way where the law has become
/// stricter since.
///
/// # Errors
/// When the database is away.
pub async fn rule_set(tx: &mut Tx) -> StoreResult<ReadinessRuleSet> {
    let (own, _) = own_readiness_rules(tx).await?;
    let jurisdiction = jurisdiction(tx);
    let set = ReadinessRuleSet::for_kennel(&jurisdiction, &own)
        .or_else(|_| ReadinessRuleSet::for_kennel(&jurisdiction, &KennelReadinessRules::default()));
    set.map_err(|faults| StoreError::Internal(format!("readiness rules: {faults:?}")))
}

struct LitterRow {
    id: Uuid,
    dam_id: Uuid,
    sire_id: Option<Uuid>,
    mating_id: Option<Uuid>,
    name: Option<String>,
    place: Option<String>,
    whelped_on: Option<NaiveDate>,
    weaned_on: Option<NaiveDate>,
}

struct DogRow {
    name: Option<String>,
    call_name: Option<String>,
    sex: Option<Sex>,
    breed: Option<String>,
    born_on: Option<PartialDate>,
    died_on: Option<NaiveDate>,
    chip_number: Option<String>,
    adult_weight_g: Option<i32>,
    residence: Residence,
}

struct BirthRow {
    litter_id: Uuid,
    dog_id: Uuid,
    ordinal: i32,
    born_at: DateTime<Utc>,
    outcome: BirthOutcome,
    weight_g: Option<i32>,
    collar: Option<String>,
}

/// The records of the litters wanted, oldest first.
///
/// # Errors
/// [`StoreError::NotFound`] when the one litter asked for is not there.
pub async fn litters(
    tx: &mut Tx,
    wanted: Wanted,
    now: DateTime<Utc>,
) -> StoreResult<Vec<LitterRecord>> {
    tx.scope.require(Right::Dogs)?;
    let rules = kennels::rules(tx).await?;
    let today = tx.scope.day_of(now);
    let rows = litter_rows(tx, wanted).await?;
    if rows.is_empty() && matches!(wanted, Wanted::Litter(_)) {
        return Err(StoreError::NotFound);
    }
    let births = birth_rows(tx, &rows).await?;
    let mated = first_ties(tx, &rows).await?;
    let mut ids: BTreeSet<Uuid> = births.iter().map(|birth| birth.dog_id).collect();
    ids.extend(rows.iter().flat_map(|row| [Some(row.dam_id), row.sire_id]).flatten());
    let mut facts = Facts::of(tx, ids.into_iter().collect()).await?;
    let latest = latest_litters(&rows);
    let mut records = Vec::with_capacity(rows.len());
    for row in &rows {
        let pups: Vec<DogRecord> = births
            .iter()
            .filter(|birth| birth.litter_id == row.id && birth.outcome == BirthOutcome::Alive)
            .map(|birth| facts.pup(birth, tx))
            .collect();
        let followed = latest.contains(&row.id)
            && LitterRecord::follows_dam(row.whelped_on, row.weaned_on, today, &rules);
        if wanted == Wanted::Current && !followed && !pups.iter().any(|pup| pup.here) {
            continue;
        }
        let dam = if followed { facts.dam(row.dam_id) } else { None };
        records.push(LitterRecord {
            litter_id: Some(row.id),
            name: row.name.clone().or_else(|| facts.name_of(row.dam_id)),
            place: row.place.clone(),
            mated_on: row.mating_id.and_then(|id| mated.get(&id)).copied(),
            whelped_on: row.whelped_on,
            weaned_on: row.weaned_on,
            breed: <[DogRecord]>::first(&pups)
                .and_then(|pup| facts.dogs.get(&pup.dog_id)?.breed.clone()),
            adult_weight_g: facts.adult_weight(row),
            dam_weight_g: facts.grown(Some(row.dam_id)),
            dam,
            pups,
        });
    }
    Ok(records)
}

/// The record of one dog, with its litter when its birth is recorded here.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such dog that this person may see.
pub async fn of_dog(
    tx: &mut Tx,
    dog_id: Uuid,
    now: DateTime<Utc>,
) -> StoreResult<(LitterRecord, DogRecord)> {
    use schema::births::dsl;
    let litter_id: Option<Uuid> = dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)))
        .select(dsl::litter_id)
        .first(&mut tx.conn)
        .await
        .optional()?;
    if let Some(litter_id) = litter_id
        && let Some(litter) = litters(tx, Wanted::Litter(litter_id), now).await?.pop()
        && let Some(pup) = litter.pups.iter().find(|pup| pup.dog_id == dog_id).cloned()
    {
        return Ok((litter, pup));
    }
    let mut facts = Facts::of(tx, vec![dog_id]).await?;
    let dog = facts.dam(dog_id).ok_or(StoreError::NotFound)?;
    let row = facts.dogs.remove(&dog_id).ok_or(StoreError::NotFound)?;
    let alone = LitterRecord {
        litter_id: None,
        name: None,
        place: None,
        mated_on: None,
        whelped_on: None,
        weaned_on: None,
        breed: row.breed,
        adult_weight_g: row.adult_weight_g.map(f64::from),
        dam_weight_g: None,
        dam: None,
        pups: vec![dog.clone()],
    };
    Ok((alone, dog))
}

/// The newest litter of each dam: her schedule is followed for that one alone.
fn latest_litters(rows: &[LitterRow]) -> BTreeSet<Uuid> {
    let mut latest: BTreeMap<Uuid, Uuid> = BTreeMap::new();
    for row in rows {
        latest.insert(row.dam_id, row.id);
    }
    latest.into_values().collect()
}

async fn litter_rows(tx: &mut Tx, wanted: Wanted) -> StoreResult<Vec<LitterRow>> {
    use schema::litters::dsl;
    let mut query = dsl::litters
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((
            (dsl::id, dsl::dam_id, dsl::sire_id, dsl::mating_id),
            (dsl::name, dsl::place, dsl::whelped_on, dsl::weaned_on),
        ))
        // Nulls come last: an expected litter is the newest of its dam.
        .order((dsl::whelped_on, dsl::id))
        .into_boxed();
    if let Wanted::Litter(id) = wanted {
        query = query.filter(dsl::id.eq(id));
    }
    type Ids = (Uuid, Uuid, Option<Uuid>, Option<Uuid>);
    type Words = (Option<String>, Option<String>, Option<NaiveDate>, Option<NaiveDate>);
    let rows: Vec<(Ids, Words)> = query.load(&mut tx.conn).await?;
    let row = |((id, dam_id, sire_id, mating_id), words): (Ids, Words)| {
        let (name, place, whelped_on, weaned_on) = words;
        LitterRow { id, dam_id, sire_id, mating_id, name, place, whelped_on, weaned_on }
    };
    Ok(rows.into_iter().map(row).collect())
}

async fn birth_rows(tx: &mut Tx, litters: &[LitterRow]) -> StoreResult<Vec<BirthRow>> {
    use schema::births::dsl;
    let ids: Vec<Uuid> = litters.iter().map(|row| row.id).collect();
    let rows: Vec<(Uuid, Uuid, i32, DateTime<Utc>, BirthOutcome, Option<i32>, Option<String>)> =
        dsl::births
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::litter_id.eq_any(ids)))
            .select((
                dsl::litter_id,
                dsl::dog_id,
                dsl::ordinal,
                dsl::born_at,
                dsl::outcome,
                dsl::weight_g,
                dsl::collar,
            ))
            .order((dsl::litter_id, dsl::ordinal))
            .load(&mut tx.conn)
            .await?;
    Ok(rows
        .into_iter()
        .map(|(litter_id, dog_id, ordinal, born_at, outcome, weight_g, collar)| BirthRow {
            litter_id,
            dog_id,
            ordinal,
            born_at,
            outcome,
            weight_g,
            collar,
        })
        .collect())
}

/// The day of the first tie of each mating.
async fn first_ties(tx: &mut Tx, litters: &[LitterRow]) -> StoreResult<BTreeMap<Uuid, NaiveDate>> {
    use super::columns::JsonList;
    use schema::matings::dsl;
    let ids: Vec<Uuid> = litters.iter().filter_map(|row| row.mating_id).collect();
    let rows: Vec<(Uuid, JsonList<Tie>)> = dsl::matings
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(ids)))
        .select((dsl::id, dsl::ties))
        .load(&mut tx.conn)
        .await?;
    let first = |(id, JsonList(ties)): (Uuid, JsonList<Tie>)| {
        let at = ties.iter().map(|tie| tie.at).min()?;
        Some((id, tx.scope.day_of(at)))
    };
    Ok(rows.into_iter().filter_map(first).collect())
}

/// What is recorded of single dogs, by dog.
#[derive(Default)]
struct Facts {
    dogs: BTreeMap<Uuid, DogRow>,
    events: BTreeMap<Uuid, Vec<RecordedEvent>>,
    weighings: BTreeMap<Uuid, Vec<Weighing>>,
    papers: BTreeMap<Uuid, Vec<PaperDone>>,
    balances: BTreeMap<Uuid, BalanceFact>,
    set_aside: BTreeMap<Uuid, Vec<ReadinessOverride>>,
}

impl Facts {
    async fn of(tx: &mut Tx, ids: Vec<Uuid>) -> StoreResult<Self> {
        let dogs = dogs(tx, &ids).await?;
        // Only of dogs that this person may see.
        let ids: Vec<Uuid> = dogs.keys().copied().collect();
        Ok(Self {
            events: events(tx, &ids).await?,
            weighings: weighings(tx, &ids).await?,
            papers: papers(tx, &ids).await?,
            balances: balances(tx, &ids).await?,
            set_aside: set_aside(tx, &ids).await?,
            dogs,
        })
    }

    fn name_of(&self, id: Uuid) -> Option<String> {
        let dog = self.dogs.get(&id)?;
        dog.call_name.clone().or_else(|| dog.name.clone())
    }

    fn grown(&self, id: Option<Uuid>) -> Option<f64> {
        self.dogs.get(&id?)?.adult_weight_g.map(f64::from)
    }

    /// The mean of the parents' weights; the one that is known when the other is not.
    fn adult_weight(&self, row: &LitterRow) -> Option<f64> {
        match (self.grown(Some(row.dam_id)), self.grown(row.sire_id)) {
            (Some(dam_g), Some(sire_g)) => Some(f64::midpoint(dam_g, sire_g)),
            (dam_g, sire_g) => sire_g.or(dam_g),
        }
    }

    fn dam(&mut self, id: Uuid) -> Option<DogRecord> {
        let born_on = match self.dogs.get(&id)?.born_on {
            Some(PartialDate::Day(day)) => Some(day),
            _ => None,
        };
        let label = self.name_of(id).unwrap_or_else(|| "without a name".to_owned());
        self.record(id, label, None, born_on, None)
    }

    fn pup(&mut self, birth: &BirthRow, tx: &Tx) -> DogRecord {
        let label = self
            .name_of(birth.dog_id)
            .or_else(|| birth.collar.as_ref().map(|collar| format!("{collar} collar")))
            .unwrap_or_else(|| format!("pup {}", birth.ordinal));
        let born_on = Some(tx.scope.day_of(birth.born_at));
        let ordinal = u32::try_from(birth.ordinal).ok();
        let known = self.record(birth.dog_id, label.clone(), ordinal, born_on, Some(birth));
        known.unwrap_or_else(|| unseen(birth.dog_id, label, ordinal))
    }

    fn record(
        &mut self,
        id: Uuid,
        label: String,
        ordinal: Option<u32>,
        born_on: Option<NaiveDate>,
        birth: Option<&BirthRow>,
    ) -> Option<DogRecord> {
        let dog = self.dogs.get(&id)?;
        Some(DogRecord {
            dog_id: id,
            label,
            ordinal,
            born_on,
            is_female: dog.sex.map(|sex| sex == Sex::Female),
            here: dog.residence == Residence::Here && dog.died_on.is_none(),
            born_at: birth.map(|birth| birth.born_at),
            birth_weight_g: birth.and_then(|birth| birth.weight_g).map(f64::from),
            weighings: self.weighings.remove(&id).unwrap_or_default(),
            chip_number: dog.chip_number.clone(),
            events: self.events.get(&id).cloned().unwrap_or_default(),
            papers: self.papers.remove(&id).unwrap_or_default(),
            balance: self.balances.get(&id).copied().unwrap_or_default(),
            set_aside: self.set_aside.remove(&id).unwrap_or_default(),
        })
    }
}

/// A pup whose dog this person may not see: it is counted by nobody.
fn unseen(dog_id: Uuid, label: String, ordinal: Option<u32>) -> DogRecord {
    DogRecord {
        dog_id,
        label,
        ordinal,
        born_on: None,
        is_female: None,
        here: false,
        born_at: None,
        birth_weight_g: None,
        weighings: Vec::new(),
        chip_number: None,
        events: Vec::new(),
        papers: Vec::new(),
        balance: BalanceFact::NoSale,
        set_aside: Vec::new(),
    }
}

async fn dogs(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<BTreeMap<Uuid, DogRow>> {
    use schema::dogs::dsl;
    type Names = (Option<String>, Option<String>, Option<Sex>, Option<String>);
    type Rest = (Option<PartialDate>, Option<NaiveDate>, Option<String>, Option<i32>, Residence);
    let rows: Vec<(Uuid, Names, Rest)> = dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(ids)))
        .select((
            dsl::id,
            (dsl::name, dsl::call_name, dsl::sex, dsl::breed),
            (dsl::born_on, dsl::died_on, dsl::chip_number, dsl::adult_weight_g, dsl::residence),
        ))
        .load(&mut tx.conn)
        .await?;
    let row = |(id, (name, call_name, sex, breed), rest): (Uuid, Names, Rest)| {
        let (born_on, died_on, chip_number, adult_weight_g, residence) = rest;
        let dog = DogRow {
            name,
            call_name,
            sex,
            breed,
            born_on,
            died_on,
            chip_number,
            adult_weight_g,
            residence,
        };
        (id, dog)
    };
    Ok(rows.into_iter().map(row).collect())
}

async fn events(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<BTreeMap<Uuid, Vec<RecordedEvent>>> {
    use schema::health_events::dsl;
    type Row =
        (Uuid, Uuid, HealthKind, Option<String>, Option<String>, DateTime<Utc>, Option<NaiveDate>);
    let rows: Vec<Row> = dsl::health_events
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(ids)))
        .select((
            dsl::dog_id,
            dsl::id,
            dsl::kind,
            dsl::series,
            dsl::step,
            dsl::given_at,
            dsl::expires_on,
        ))
        .order((dsl::given_at, dsl::id))
        .load(&mut tx.conn)
        .await?;
    let mut by_dog: BTreeMap<Uuid, Vec<RecordedEvent>> = BTreeMap::new();
    for (dog_id, id, kind, series, step, given_at, expires_on) in rows {
        let given_on = tx.scope.day_of(given_at);
        let given = GivenEvent { id: Some(id), kind, series, step, given_on };
        by_dog.entry(dog_id).or_default().push(RecordedEvent { given, expires_on });
    }
    Ok(by_dog)
}

async fn weighings(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<BTreeMap<Uuid, Vec<Weighing>>> {
    use schema::weights::dsl;
    let rows: Vec<(Uuid, Uuid, DateTime<Utc>, i32)> = dsl::weights
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(ids)))
        .select((dsl::dog_id, dsl::id, dsl::measured_at, dsl::weight_g))
        .order((dsl::measured_at, dsl::id))
        .load(&mut tx.conn)
        .await?;
    let mut by_dog: BTreeMap<Uuid, Vec<Weighing>> = BTreeMap::new();
    for (dog_id, id, measured_at, weight_g) in rows {
        by_dog.entry(dog_id).or_default().push(Weighing {
            id: Some(id),
            measured_at,
            weight_g: f64::from(weight_g),
            doubtful: false,
        });
    }
    Ok(by_dog)
}

async fn papers(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<BTreeMap<Uuid, Vec<PaperDone>>> {
    use schema::papers::dsl;
    let rows: Vec<(Uuid, String, NaiveDate)> = dsl::papers
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(ids)))
        .select((dsl::dog_id, dsl::paper, dsl::done_on))
        .order(dsl::id)
        .load(&mut tx.conn)
        .await?;
    let mut by_dog: BTreeMap<Uuid, Vec<PaperDone>> = BTreeMap::new();
    for (dog_id, paper, done_on) in rows {
        by_dog.entry(dog_id).or_default().push(PaperDone { paper, done_on });
    }
    Ok(by_dog)
}

async fn set_aside(
    tx: &mut Tx,
    ids: &[Uuid],
) -> StoreResult<BTreeMap<Uuid, Vec<ReadinessOverride>>> {
    use schema::readiness_overrides::dsl;
    type Row = (Uuid, ReadinessRule, String, Option<String>, Option<NaiveDate>);
    let rows: Vec<Row> = dsl::readiness_overrides
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(ids)))
        .select((dsl::dog_id, dsl::rule, dsl::reason, dsl::by, dsl::on))
        .order(dsl::id)
        .load(&mut tx.conn)
        .await?;
    let mut by_dog: BTreeMap<Uuid, Vec<ReadinessOverride>> = BTreeMap::new();
    for (dog_id, rule, reason, by, on) in rows {
        if let (Some(by), Some(on)) = (by, on) {
            let set_aside = ReadinessOverride { rule, reason, by, on };
            by_dog.entry(dog_id).or_default().push(set_aside);
        }
    }
    Ok(by_dog)
}

#[derive(QueryableByName)]
struct AccountRow {
    #[diesel(sql_type = SqlUuid)]
    dog_id: Uuid,
    #[diesel(sql_type = Text)]
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

/// How the accounts stand, asked past the wall around money: readiness tells whether, not how much.
async fn balances(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<BTreeMap<Uuid, BalanceFact>> {
    let rows: Vec<AccountRow> = diesel::sql_query("SELECT * FROM accounts_of($1)")
        .bind::<Array<SqlUuid>, _>(ids)
        .load(&mut tx.conn)
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
