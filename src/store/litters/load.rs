//! Records of litters, loaded in one place.
//!
//! Statements do not grow with litters or pups: a core takes five (litters, the dams' litters, births,
//! dogs, placements), [`Which::Kennel`] one more for the dogs that live here. What each part adds stands
//! with it.

use super::{
    births::{births, births_apart},
    parts::{Loading, Part},
    presence::{living_here, placements},
};
use crate::{
    StoreError, StoreResult, Tx,
    columns::{JsonList, Stored},
    keep,
    reads::{Anything, ListKey},
    schema,
    scope::Right,
};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, JoinOnDsl as _,
    NullableExpressionMethods as _, QueryDsl as _, Queryable, Selectable, SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    litter::{Core, LitterOfDam, Placed, Pup},
    moment::Moment,
    record::{Birth, BirthOutcome, Dog, Kept, Litter, Residence, Tie},
    shared::Shared,
};
use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};
use uuid::Uuid;

/// Which litters to load.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Which {
    /// One litter.
    One(Uuid),
    /// These litters; those that this person may not see are left out.
    These(Vec<Uuid>),
    /// All litters of these dams.
    OfDams(Vec<Uuid>),
    /// The litters into which these dogs were born; dogs of a litter that is not seen as a record of their
    /// own, dogs of none of ours as a record of no litter, the last.
    OfDogs(Vec<Uuid>),
    /// Litters expected, and those with a pup in the kennel or a dam who is followed.
    Current,
    /// The same, and the grown dogs that live here as a record of no litter, the last.
    Kennel,
    /// Litters whelped from one day to another, and these.
    Whelped {
        /// First day.
        from: NaiveDate,
        /// Last day.
        to: NaiveDate,
        /// Others.
        and: Vec<Uuid>,
    },
}

/// The records of the litters wanted with the parts named, oldest first.
///
/// # Errors
/// [`StoreError::NotFound`] when the one litter or dog asked for is not there.
pub async fn load<P: Part>(tx: &mut Tx, which: Which) -> StoreResult<Vec<(Core, P)>> {
    let records = load_shared(tx, which).await?;
    Ok(records.into_iter().map(|(core, parts)| (core.into_own(), parts)).collect())
}

/// The same, sharing cores with other looks at the whole kennel.
///
/// # Errors
/// As [`load`].
pub(crate) async fn load_shared<P: Part>(
    tx: &mut Tx,
    which: Which,
) -> StoreResult<Vec<(Shared<Core>, P)>> {
    tx.scope().require(Right::Dogs)?;
    let tx = &*tx;
    let moment = tx.moment().await?;
    // Boxed, since futures within futures are laid out one in another as deep as they nest.
    let cores = Box::pin(cores(tx, &which, &moment)).await?;
    if cores.is_empty() && matches!(which, Which::One(_)) {
        return Err(StoreError::NotFound);
    }
    let parts = Box::pin(P::load(&Loading::of(tx, &cores, &moment))).await?;
    Ok(cores.into_iter().zip(parts).collect())
}

/// The record of one litter.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such litter that this person may see.
pub async fn one<P: Part>(tx: &mut Tx, litter_id: Uuid) -> StoreResult<(Core, P)> {
    load(tx, Which::One(litter_id)).await?.pop().ok_or(StoreError::NotFound)
}

/// The record of the litter into which a dog was born, or of the dog by itself.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such dog that this person may see.
pub async fn of_dog<P: Part>(tx: &mut Tx, dog_id: Uuid) -> StoreResult<(Core, P)> {
    load(tx, Which::OfDogs(vec![dog_id])).await?.pop().ok_or(StoreError::NotFound)
}

/// Loads parts of records whose cores are there.
///
/// # Errors
/// When the database is away.
pub async fn parts<P: Part>(tx: &mut Tx, cores: &[Shared<Core>]) -> StoreResult<Vec<P>> {
    let tx = &*tx;
    let moment = tx.moment().await?;
    Box::pin(P::load(&Loading::of(tx, cores, &moment))).await
}

/// A litter's row with the name of its place and the first tie of its mating.
#[derive(PartialEq)]
struct LitterRow {
    litter: Kept<Litter>,
    place: Option<String>,
    mated_at: Option<DateTime<Utc>>,
}

pub(super) async fn cores(
    tx: &Tx,
    which: &Which,
    moment: &Moment,
) -> StoreResult<Vec<Shared<Core>>> {
    let rows = litter_rows(tx, which, moment).await?;
    let ids: Vec<Uuid> = rows.iter().map(|row| row.litter.id).collect();
    let dams: Vec<Uuid> = rows.iter().map(|row| row.litter.record.dam_id).collect();
    let mut mothers = dams.clone();
    if let Which::OfDogs(dogs) = which {
        mothers.extend(dogs);
    }
    let (of_dams, births, living_here) = tokio::try_join!(
        litters_of_dams(tx, &mothers, &ids),
        births(tx, &ids, &dams),
        living_here(tx, *which == Which::Kennel)
    )?;
    let mut wanted: BTreeSet<Uuid> = births.iter().map(|birth| birth.record.dog_id).collect();
    wanted.extend(&dams);
    wanted.extend(rows.iter().filter_map(|row| row.litter.record.sire_id));
    let mut alone = living_here.to_vec();
    if let Which::OfDogs(dogs) = which {
        alone.extend(dogs);
    }
    wanted.extend(&alone);
    let wanted: Vec<Uuid> = wanted.into_iter().collect();
    let (gathered, apart) =
        tokio::try_join!(Gathered::of(tx, &wanted), births_apart(tx, &ids, &alone))?;
    let Gathered { dogs, placements } = &gathered;
    let of: Vec<Anything> =
        vec![rows.clone(), of_dams.clone(), births.clone(), dogs.clone(), placements.clone()];
    let put_together =
        || rows.iter().map(|row| gathered.core(row, &births, &of_dams).into()).collect();
    let mut cores: Vec<Shared<Core>> = Vec::clone(&*tx.made("cores", of, put_together));
    match which {
        Which::Current | Which::Kennel => {
            cores.retain(|core| core.follows_dam(moment) || core.here(moment).next().is_some());
        }
        Which::OfDogs(dogs) => {
            let born = |id: &&Uuid| cores.iter().any(|core| core.pup(**id).is_some());
            let others = dogs.iter().filter(|id| !born(id));
            let (unseen, alone) = gathered.apart(others, (&apart, &of_dams));
            cores.extend(unseen);
            cores.extend((!alone.is_empty()).then(|| Core::of_dogs(alone).into()));
        }
        _ => {}
    }
    if *which == Which::Kennel {
        let pups = cores.iter().flat_map(|core| &core.pups).map(|pup| pup.dog_id);
        let followed = cores.iter().filter(|core| core.follows_dam(moment));
        let dams = followed.filter_map(|core| core.dam_id());
        let met: BTreeSet<Uuid> = pups.chain(dams).collect();
        let others = living_here.iter().filter(|id| !met.contains(id));
        let (unseen, alone) = gathered.apart(others, (&apart, &of_dams));
        cores.extend(unseen);
        cores.push(Core::of_dogs(alone).into());
    }
    Ok(cores)
}

/// Dogs and placements, by dog.
struct Gathered {
    dogs: Arc<BTreeMap<Uuid, Dog>>,
    placements: Arc<BTreeMap<Uuid, Vec<Placed>>>,
}

impl Gathered {
    async fn of(tx: &Tx, ids: &[Uuid]) -> StoreResult<Self> {
        use keep::Gather as _;
        let (dogs, placements) = tokio::try_join!(Dog::gathered(tx, ids), placements(tx, ids))?;
        let by_id = || dogs.iter().map(|kept| (kept.id, kept.record.clone())).collect();
        Ok(Self { dogs: tx.made("dogs", vec![dogs.clone()], by_id), placements })
    }

    fn core(&self, row: &LitterRow, births: &[Kept<Birth>], of_dams: &[LitterOfDam]) -> Core {
        let LitterRow { litter, place, mated_at } = row;
        let Litter { dam_id, sire_id, .. } = litter.record;
        let own = births.iter().filter(|birth| birth.record.litter_id == litter.id);
        let of_dog = |id: Uuid| of_dams.iter().filter(move |of| of.dam_id == id).copied();
        Core {
            place: place.clone(),
            mated_at: *mated_at,
            dam: self.dogs.get(&dam_id).cloned(),
            dam_born_here: births.iter().any(|birth| birth.record.dog_id == dam_id),
            sire: sire_id.and_then(|id| self.dogs.get(&id)).cloned(),
            of_dam: of_dog(dam_id).collect(),
            pups: own.map(|birth| self.pup(birth, of_dams)).collect(),
            litter: Some(litter.clone()),
        }
    }

    fn pup(&self, birth: &Kept<Birth>, of_dams: &[LitterOfDam]) -> Pup {
        let dog_id = birth.record.dog_id;
        let dog = self.dogs.get(&dog_id).cloned();
        let mut birth = birth.clone();
        if let Some(dog) = &dog {
            // What belongs to the pup itself stands on its dog.
            birth.record.sex = dog.sex;
            birth.record.colour.clone_from(&dog.colour);
            birth.record.markings.clone_from(&dog.markings);
            birth.record.name.clone_from(&dog.name);
        }
        let litters = of_dams.iter().filter(|of| of.dam_id == dog_id).copied().collect();
        Pup { dog_id, dog, birth: Some(birth), placements: self.placements_of(dog_id), litters }
    }

    /// Dogs that are in no litter that is seen: a record for those of each litter that is not, and the dogs of
    /// none of ours.
    fn apart<'d>(
        &self,
        dogs: impl Iterator<Item = &'d Uuid>,
        (births, of_dams): (&[Kept<Birth>], &[LitterOfDam]),
    ) -> (Vec<Shared<Core>>, Vec<Pup>) {
        let mut unseen: BTreeMap<Uuid, Vec<Pup>> = BTreeMap::new();
        let mut alone = Vec::new();
        for dog_id in dogs.copied().filter(|id| self.dogs.contains_key(id)) {
            match births.iter().find(|birth| birth.record.dog_id == dog_id) {
                Some(birth) => {
                    let pups = unseen.entry(birth.record.litter_id).or_default();
                    pups.push(self.pup(birth, of_dams));
                }
                None => alone.push(Pup {
                    dog_id,
                    dog: self.dogs.get(&dog_id).cloned(),
                    birth: None,
                    placements: self.placements_of(dog_id),
                    litters: of_dams.iter().filter(|of| of.dam_id == dog_id).copied().collect(),
                }),
            }
        }
        (unseen.into_values().map(|pups| Core::of_dogs(pups).into()).collect(), alone)
    }

    fn placements_of(&self, dog_id: Uuid) -> Vec<Placed> {
        self.placements.get(&dog_id).cloned().unwrap_or_default()
    }
}

/// A litter as it is kept, with its place and the ties of its mating.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::litters)]
struct JoinedRow {
    id: Uuid,
    version: i64,
    created_at: DateTime<Utc>,
    updated_at: DateTime<Utc>,
    dam_id: Uuid,
    sire_id: Option<Uuid>,
    mating_id: Option<Uuid>,
    name: Option<String>,
    place_id: Option<Uuid>,
    whelped_on: Option<NaiveDate>,
    weaned_on: Option<NaiveDate>,
    note: Option<String>,
    confirmed: bool,
    #[diesel(
        select_expression = schema::places::name.nullable(),
        select_expression_type = diesel::dsl::Nullable<schema::places::name>
    )]
    place: Option<String>,
    #[diesel(
        select_expression = schema::matings::ties.nullable(),
        select_expression_type = diesel::dsl::Nullable<schema::matings::ties>
    )]
    ties: Option<JsonList<Tie>>,
}

impl From<JoinedRow> for LitterRow {
    fn from(row: JoinedRow) -> Self {
        let stamp = (row.id, row.version, row.created_at, row.updated_at);
        let litter = Litter {
            dam_id: row.dam_id,
            sire_id: row.sire_id,
            mating_id: row.mating_id,
            name: row.name,
            place_id: row.place_id,
            whelped_on: row.whelped_on,
            weaned_on: row.weaned_on,
            note: row.note,
            confirmed: row.confirmed,
        };
        let mated_at = row.ties.and_then(|JsonList(ties)| ties.iter().map(|tie| tie.at).min());
        Self { litter: keep::kept(stamp, litter), place: row.place, mated_at }
    }
}

/// The rows of the litters wanted; a look at the whole kennel remembers them.
async fn litter_rows(tx: &Tx, which: &Which, moment: &Moment) -> StoreResult<Arc<Vec<LitterRow>>> {
    if *which != Which::Kennel {
        return read_litter_rows(tx, which, moment).await.map(Arc::new);
    }
    let asked = || ListKey::all("litters wanted").since(followed_from(moment));
    let words = &["litter", "place", "mating", "birth", "dog", "rule_override", "kennel"];
    tx.remembered(asked, words, async || read_litter_rows(tx, which, moment).await).await
}

/// The first day of whelping from which on a dam is followed.
fn followed_from(moment: &Moment) -> NaiveDate {
    moment.days_before_today("schedule.dam_followed")
}

async fn read_litter_rows(tx: &Tx, which: &Which, moment: &Moment) -> StoreResult<Vec<LitterRow>> {
    use schema::{births as b, dogs as d, litters::dsl, matings, places};
    let kennel_id = tx.scope.kennel_id();
    let of_place =
        places::kennel_id.eq(dsl::kennel_id).and(places::id.nullable().eq(dsl::place_id));
    let of_mating =
        matings::kennel_id.eq(dsl::kennel_id).and(matings::id.nullable().eq(dsl::mating_id));
    let mut query = dsl::litters
        .left_join(places::table.on(of_place))
        .left_join(matings::table.on(of_mating))
        .filter(dsl::kennel_id.eq(kennel_id))
        .select(JoinedRow::as_select())
        // Nulls come last: an expected litter is the newest of its dam.
        .order((dsl::whelped_on, dsl::id))
        .into_boxed();
    query = match which {
        Which::One(id) => query.filter(dsl::id.eq(*id)),
        Which::These(ids) => query.filter(dsl::id.eq_any(ids)),
        Which::OfDams(dams) => query.filter(dsl::dam_id.eq_any(dams)),
        Which::OfDogs(dogs) => {
            let born = b::table.filter(b::kennel_id.eq(kennel_id).and(b::dog_id.eq_any(dogs)));
            query.filter(dsl::id.eq_any(born.select(b::litter_id)))
        }
        Which::Current | Which::Kennel => {
            let of_pup = d::kennel_id.eq(b::kennel_id).and(d::id.eq(b::dog_id));
            let here = b::table
                .inner_join(d::table.on(of_pup))
                .filter(b::kennel_id.eq(kennel_id).and(b::outcome.eq(Stored(BirthOutcome::Alive))))
                .filter(d::residence.eq(Stored(Residence::Here)).and(d::died_on.is_null()))
                .select(b::litter_id);
            query.filter(
                dsl::id
                    .eq_any(here)
                    .or(dsl::whelped_on.is_null())
                    .or(dsl::whelped_on.ge(followed_from(moment)))
                    .or(dsl::weaned_on.ge(moment.today())),
            )
        }
        Which::Whelped { from, to, and } => {
            query.filter(dsl::id.eq_any(and).or(dsl::whelped_on.between(*from, *to)))
        }
    };
    let rows: Vec<JoinedRow> = query.load(&mut tx.pipelined()).await?;
    Ok(rows.into_iter().map(LitterRow::from).collect())
}

/// A litter of a dam.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::litters)]
struct OfDamRow {
    id: Uuid,
    dam_id: Uuid,
    whelped_on: Option<NaiveDate>,
    weaned_on: Option<NaiveDate>,
}

/// The litters of these dams, and of the pups of these litters that have become dams themselves.
async fn litters_of_dams(
    tx: &Tx,
    dams: &[Uuid],
    born_in: &[Uuid],
) -> StoreResult<Arc<Vec<LitterOfDam>>> {
    let asked = || ListKey::of_both("litters of dams", dams, born_in);
    let read = async || read_litters_of_dams(tx, dams, born_in).await;
    tx.remembered(asked, &["litter", "birth"], read).await
}

async fn read_litters_of_dams(
    tx: &Tx,
    dams: &[Uuid],
    born_in: &[Uuid],
) -> StoreResult<Vec<LitterOfDam>> {
    use schema::{births as b, litters::dsl};
    let born = b::table
        .filter(b::kennel_id.eq(dsl::kennel_id).and(b::litter_id.eq(dsl::id)))
        .count()
        .single_value();
    let kennel_id = tx.scope.kennel_id();
    let daughters = b::table
        .filter(b::kennel_id.eq(kennel_id).and(b::litter_id.eq_any(born_in)))
        .select(b::dog_id);
    let rows: Vec<(OfDamRow, Option<i64>)> = dsl::litters
        .filter(dsl::kennel_id.eq(kennel_id))
        .filter(dsl::dam_id.eq_any(dams).or(dsl::dam_id.eq_any(daughters)))
        .select((OfDamRow::as_select(), born))
        .order((dsl::whelped_on, dsl::id))
        .load(&mut tx.pipelined())
        .await?;
    let litter = |(row, born): (OfDamRow, Option<i64>)| LitterOfDam {
        litter_id: row.id,
        dam_id: row.dam_id,
        whelped_on: row.whelped_on,
        weaned_on: row.weaned_on,
        born: born.and_then(|born| u32::try_from(born).ok()).unwrap_or(0),
    };
    Ok(rows.into_iter().map(litter).collect())
}
