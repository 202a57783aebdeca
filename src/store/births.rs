//! Births: each makes the pup's dog, and its first weight when given.

use super::{
    StoreError, StoreResult, Tx, asked, birth_weights, changes,
    keep::{self, Keep, Page},
    schema,
    scope::Right,
};
use crate::columns::Stored;
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, JoinOnDsl as _,
    NullableExpressionMethods as _, QueryDsl as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    litter::Presence,
    partial_date::PartialDate,
    record::{Birth, BirthFilter, BirthOutcome, Dog, Kept, Litter, Mating, Residence, Weight},
    slips,
    whelping::{BirthMarks, NewbornSigns, double_of, same_pup},
};
use uuid::Uuid;

/// Refuses a birth before its mating, or a pup that weighs as much as its dam.
async fn validate(tx: &mut Tx, litter: &Litter, birth: &Birth) -> StoreResult<()> {
    if let Some(mating_id) = litter.mating_id {
        let mating = Mating::select(tx, mating_id, false).await?.record;
        let first = mating.ties.iter().map(|tie| tie.at).min();
        if let Some(first) = first.filter(|first| birth.born_at <= *first) {
            return Err(StoreError::refused(
                "/born_at",
                format!(
                    "is before the mating ({}); correct one of the two",
                    first.format("%FT%TZ")
                ),
            ));
        }
    }
    if !birth.confirmed {
        let moment = tx.moment().await?;
        let rules = &moment.rules;
        asked(slips::birth_day(tx.scope.day_of(birth.born_at), litter.whelped_on, rules))?;
    }
    let dam = Dog::select(tx, litter.dam_id, false).await?.record;
    match (birth.weight_g, dam.adult_weight_g) {
        (Some(pup_g), Some(dam_g)) if pup_g >= dam_g => Err(StoreError::refused(
            "/weight_g",
            format!("is more than the dam weighs ({dam_g} g); give grams"),
        )),
        _ => Ok(()),
    }
}

/// The dog that a birth makes.
async fn pup_of(tx: &mut Tx, litter: &Litter, birth: &Birth) -> StoreResult<Dog> {
    Ok(Dog {
        name: birth.name.clone(),
        call_name: None,
        sex: birth.sex,
        breed: breed_of_pup(tx, litter).await?,
        colour: birth.colour.clone(),
        markings: birth.markings.clone(),
        born_on: Some(PartialDate::Day(tx.scope.day_of(birth.born_at))),
        died_on: None,
        died_of: None,
        sire_id: litter.sire_id,
        dam_id: Some(litter.dam_id),
        chip_number: None,
        registrations: Vec::new(),
        adult_weight_g: None,
        residence: Residence::Here,
        came_on: None,
        for_breeding: false,
        imported_id: None,
        note: None,
    })
}

/// The breed, where both parents share it.
async fn breed_of_pup(tx: &mut Tx, litter: &Litter) -> StoreResult<Option<String>> {
    let dam = Dog::select(tx, litter.dam_id, false).await?.record;
    let Some(sire_id) = litter.sire_id else { return Ok(None) };
    use schema::dogs::dsl;
    let sire: Option<Option<String>> = diesel::OptionalExtension::optional(
        dsl::dogs
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(sire_id)))
            .select(dsl::breed)
            .first(&mut tx.conn)
            .await,
    )?;
    Ok(dam.breed.filter(|breed| sire.flatten().is_some_and(|other| other == *breed)))
}

async fn next_ordinal(tx: &mut Tx, litter_id: Uuid) -> StoreResult<i32> {
    use schema::births::dsl;
    let last: Option<i32> = dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::litter_id.eq(litter_id)))
        .select(diesel::dsl::max(dsl::ordinal))
        .first(&mut tx.conn)
        .await?;
    let next = last.unwrap_or(0) + 1;
    if next > LARGEST_LITTER {
        return Err(StoreError::Conflict(format!("the litter has {LARGEST_LITTER} pups already")));
    }
    Ok(next)
}

/// The database's own limit on ordinals; the largest litter on record had 24 pups.
const LARGEST_LITTER: i32 = 30;

/// When and whether a dog was born here.
pub(super) async fn born_at(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Option<DateTime<Utc>>> {
    use schema::births::dsl;
    let row = dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)))
        .select(dsl::born_at);
    Ok(diesel::OptionalExtension::optional(row.first(&mut tx.conn).await)?)
}

type Stamp = (Uuid, i64, DateTime<Utc>, DateTime<Utc>);

/// A birth is read with the pup's own sex, colour, markings and name, which live on its dog, and with its
/// weight at birth, which lives among its weights.
macro_rules! births_with_dogs {
    ($tx:expr) => {{
        use schema::{births as b, dogs as d, weights as w};
        let at_birth = w::kennel_id.eq(b::kennel_id).and(w::dog_id.eq(b::dog_id)).and(w::at_birth);
        b::table
            .inner_join(d::table.on(d::kennel_id.eq(b::kennel_id).and(d::id.eq(b::dog_id))))
            .left_join(w::table.on(at_birth))
            .filter(b::kennel_id.eq($tx.scope.kennel_id()))
            .select((
                (b::id, b::version, b::created_at, b::updated_at),
                (b::litter_id, b::dog_id, b::ordinal, b::born_at),
                (d::sex, d::colour, d::markings, d::name),
                (
                    b::collar,
                    w::weight_g.nullable(),
                    b::presentation,
                    b::outcome,
                    b::placenta,
                    b::note,
                ),
                (b::vitality, b::vitality_minutes, b::resuscitation_minutes, b::confirmed),
            ))
    }};
}

type Row = (
    Stamp,
    (Uuid, Uuid, i32, DateTime<Utc>),
    (Option<domain::record::Sex>, Option<String>, Option<String>, Option<String>),
    (
        Option<String>,
        Option<i32>,
        domain::record::Presentation,
        domain::record::BirthOutcome,
        domain::record::Placenta,
        Option<String>,
    ),
    (Option<NewbornSigns>, Option<i32>, Option<i32>, bool),
);

fn kept((stamp, own, dog, seen, vitality): Row) -> Kept<Birth> {
    let (litter_id, dog_id, ordinal, born_at) = own;
    let (sex, colour, markings, name) = dog;
    let (collar, weight_g, presentation, outcome, placenta, note) = seen;
    let (vitality, vitality_minutes, resuscitation_minutes, confirmed) = vitality;
    keep::kept(
        stamp,
        Birth {
            litter_id,
            dog_id,
            ordinal,
            born_at,
            sex,
            colour,
            markings,
            collar,
            weight_g,
            presentation,
            outcome,
            vitality,
            vitality_minutes,
            resuscitation_minutes,
            placenta,
            name,
            note,
            confirmed,
        },
    )
}

/// Refuses a collar that another living pup of the litter wears.
async fn admit_collar(tx: &mut Tx, birth: &Birth) -> StoreResult<()> {
    use schema::{births as b, dogs as d};
    let Some(collar) = birth.collar.as_ref() else { return Ok(()) };
    if birth.outcome != BirthOutcome::Alive {
        return Ok(());
    }
    type Row = (i32, Uuid, Option<String>, Option<NaiveDate>, Residence);
    let collared: Vec<Row> = b::table
        .inner_join(d::table.on(d::kennel_id.eq(b::kennel_id).and(d::id.eq(b::dog_id))))
        .filter(b::kennel_id.eq(tx.scope.kennel_id()).and(b::litter_id.eq(birth.litter_id)))
        .filter(b::outcome.eq(Stored(BirthOutcome::Alive)).and(b::collar.is_not_null()))
        .order(b::ordinal)
        .select((b::ordinal, b::dog_id, b::collar, d::died_on, d::residence))
        .load(&mut tx.conn)
        .await?;
    let same = |other: &Option<String>| {
        other
            .as_ref()
            .is_some_and(|other| other.trim().to_lowercase() == collar.trim().to_lowercase())
    };
    let today = tx.scope.today();
    let worn = collared.iter().find(|(_, dog_id, other, died_on, residence)| {
        let here = Presence::by_record(*died_on, *residence, today).is_here();
        *dog_id != birth.dog_id && here && same(other)
    });
    match worn {
        Some((ordinal, ..)) => Err(StoreError::Conflict(format!(
            "pup {ordinal} of this litter wears that collar. If this is that pup, it is written down already; if it is \
             another one, give it another collar, or pup {ordinal} one first"
        ))),
        None => Ok(()),
    }
}

/// Asks about a pup that is written down already: with the same marks within minutes, or by somebody
/// else when nothing tells the two apart.
async fn admit_beside(tx: &mut Tx, birth: &Birth, next: i32) -> StoreResult<()> {
    let moment = tx.moment().await?;
    let known = births_of_litter(tx, birth.litter_id).await?;
    let marks: Vec<BirthMarks> = known.iter().map(|kept| kept.record.marks()).collect();
    if let Some(same) = same_pup(&marks, &birth.marks(), &moment.rules) {
        return Err(StoreError::Conflict(format!(
            "this looks like pup {}, written down {} s apart with the same marks. If yours is another pup, send it \
             again with \"ordinal\": {next}",
            same.ordinal,
            (same.born_at - birth.born_at).num_seconds().abs()
        )));
    }
    let Some(double) = double_of(&marks, &birth.marks(), &moment.rules) else { return Ok(()) };
    let row = known.iter().find(|kept| kept.record.ordinal == double.ordinal).map(|kept| kept.id);
    let Some(row) = row else { return Ok(()) };
    // One who writes down two pups knows that they are two.
    if changes::created_by(tx, row).await? == Some(tx.scope.person_id()) {
        return Ok(());
    }
    Err(StoreError::Conflict(format!(
        "this may be pup {}, which somebody else wrote down {} s apart and which nothing tells from it. If yours is \
         another pup, send it again with \"ordinal\": {next}",
        double.ordinal,
        (double.born_at - birth.born_at).num_seconds().abs()
    )))
}

/// Writes a birth under an id, with the pup's dog (under an id of the client's, when it gave one).
///
/// # Errors
/// [`StoreError::Conflict`] when it names an ordinal that is taken; faults against other rows.
pub async fn enter_as(tx: &mut Tx, id: Uuid, birth: &Birth) -> StoreResult<()> {
    let litter = Litter::select(tx, birth.litter_id, true).await?;
    validate(tx, &litter.record, birth).await?;
    let ordinal = next_ordinal(tx, birth.litter_id).await?;
    if birth.ordinal != 0 && birth.ordinal != ordinal {
        return Err(StoreError::Conflict(format!(
            "pup {} is written down already, or one before it is not; the next is pup {ordinal}. If yours is another pup, send it again without ordinal",
            birth.ordinal
        )));
    }
    if birth.ordinal == 0 && !birth.confirmed {
        admit_beside(tx, birth, ordinal).await?;
    }
    admit_collar(tx, birth).await?;
    let dog_id = if birth.dog_id.is_nil() { Uuid::now_v7() } else { birth.dog_id };
    let birth = Birth { dog_id, ordinal, ..birth.clone() };
    let pup = pup_of(tx, &litter.record, &birth).await?;
    Dog::insert(tx, birth.dog_id, &pup).await?;
    Birth::insert(tx, id, &birth).await?;
    birth_weights::write(tx, &birth).await?;
    if litter.record.whelped_on.is_none() {
        let whelped_on = Some(tx.scope.day_of(birth.born_at));
        Litter::update(tx, litter.id, &Litter { whelped_on, ..litter.record }).await?;
    }
    Ok(())
}

/// The births of a litter, by ordinal.
///
/// # Errors
/// When the database is away.
pub async fn births_of_litter(tx: &mut Tx, litter_id: Uuid) -> StoreResult<Vec<Kept<Birth>>> {
    let rows: Vec<Row> = births_with_dogs!(tx)
        .filter(schema::births::litter_id.eq(litter_id))
        .order(schema::births::ordinal)
        .load(&mut tx.conn)
        .await?;
    Ok(rows.into_iter().map(kept).collect())
}

/// Births by id.
///
/// # Errors
/// When the database is away.
pub async fn select_all(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<Vec<Kept<Birth>>> {
    let rows: Vec<Row> =
        births_with_dogs!(tx).filter(schema::births::id.eq_any(ids)).load(&mut tx.conn).await?;
    Ok(rows.into_iter().map(kept).collect())
}

impl Keep for Birth {
    type Filter = BirthFilter;
    const FIELDS: &'static [&'static str] = &[
        "litter_id",
        "dog_id",
        "ordinal",
        "born_at",
        "presentation",
        "outcome",
        "placenta",
        "vitality",
        "vitality_minutes",
        "resuscitation_minutes",
        "weight_g",
        "collar",
        "note",
        "confirmed",
    ];
    const READ: Right = Right::Dogs;
    const WRITE: Right = Right::Observations;

    async fn insert(tx: &mut Tx, id: Uuid, birth: &Self) -> StoreResult<()> {
        use schema::births::dsl;
        diesel::insert_into(dsl::births)
            .values((
                dsl::kennel_id.eq(tx.scope.kennel_id()),
                dsl::id.eq(id),
                dsl::litter_id.eq(birth.litter_id),
                dsl::dog_id.eq(birth.dog_id),
                dsl::ordinal.eq(birth.ordinal),
                dsl::born_at.eq(birth.born_at),
                dsl::presentation.eq(Stored(birth.presentation)),
                dsl::outcome.eq(Stored(birth.outcome)),
                dsl::placenta.eq(Stored(birth.placenta)),
                dsl::vitality.eq(Stored(&birth.vitality)),
                dsl::vitality_minutes.eq(birth.vitality_minutes),
                dsl::resuscitation_minutes.eq(birth.resuscitation_minutes),
                dsl::collar.eq(&birth.collar),
                dsl::note.eq(&birth.note),
                dsl::confirmed.eq(birth.confirmed),
            ))
            .execute(&mut tx.conn)
            .await?;
        Ok(())
    }

    async fn select(tx: &mut Tx, id: Uuid, lock: bool) -> StoreResult<Kept<Self>> {
        if lock {
            let row = schema::births::table.filter(
                schema::births::kennel_id.eq(tx.scope.kennel_id()).and(schema::births::id.eq(id)),
            );
            row.select(schema::births::id).for_no_key_update().first::<Uuid>(&mut tx.conn).await?;
        }
        let row: Row =
            births_with_dogs!(tx).filter(schema::births::id.eq(id)).first(&mut tx.conn).await?;
        Ok(kept(row))
    }

    async fn page(
        tx: &mut Tx,
        parent: Option<Uuid>,
        filter: &BirthFilter,
        page: Page,
    ) -> StoreResult<Vec<Kept<Self>>> {
        let mut query =
            births_with_dogs!(tx).order(schema::births::id).limit(page.limit).into_boxed();
        if let Some(after) = page.after {
            query = query.filter(schema::births::id.gt(after));
        }
        if let Some(litter_id) = parent {
            query = query.filter(schema::births::litter_id.eq(litter_id));
        }
        if let Some(outcome) = filter.outcome {
            query = query.filter(schema::births::outcome.eq(Stored(outcome)));
        }
        Ok(query.load::<Row>(&mut tx.conn).await?.into_iter().map(kept).collect())
    }

    async fn update(tx: &mut Tx, id: Uuid, birth: &Self) -> StoreResult<()> {
        use schema::births::dsl;
        let before = Self::select(tx, id, false).await?.record;
        let own = dsl::births.filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)));
        diesel::update(own)
            .set((
                dsl::born_at.eq(birth.born_at),
                dsl::presentation.eq(Stored(birth.presentation)),
                dsl::outcome.eq(Stored(birth.outcome)),
                dsl::placenta.eq(Stored(birth.placenta)),
                dsl::vitality.eq(Stored(&birth.vitality)),
                dsl::vitality_minutes.eq(birth.vitality_minutes),
                dsl::resuscitation_minutes.eq(birth.resuscitation_minutes),
                dsl::collar.eq(&birth.collar),
                dsl::note.eq(&birth.note),
                dsl::confirmed.eq(birth.confirmed),
            ))
            .execute(&mut tx.conn)
            .await?;
        let dog = Dog::select(tx, before.dog_id, true).await?.record;
        let pup = Dog {
            sex: birth.sex,
            colour: birth.colour.clone(),
            markings: birth.markings.clone(),
            name: birth.name.clone(),
            born_on: Some(PartialDate::Day(tx.scope.day_of(birth.born_at))),
            ..dog
        };
        Dog::update(tx, before.dog_id, &pup).await?;
        birth_weights::write(tx, &Birth { dog_id: before.dog_id, ..birth.clone() }).await
    }

    async fn delete(tx: &mut Tx, id: Uuid) -> StoreResult<()> {
        use schema::births::dsl;
        let own = dsl::births.filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)));
        diesel::delete(own).execute(&mut tx.conn).await?;
        Ok(())
    }

    fn parent(&self) -> Option<Uuid> {
        Some(self.litter_id)
    }

    async fn find_parent(tx: &mut Tx, parent: Uuid) -> StoreResult<()> {
        Litter::select(tx, parent, false).await.map(drop)
    }

    /// The next birth of its litter, with the pup's dog. The litter is locked, so that two phones at
    /// once never make two pups with one ordinal.
    async fn add(tx: &mut Tx, birth: &Self) -> StoreResult<Uuid> {
        let id = Uuid::now_v7();
        enter_as(tx, id, birth).await?;
        Ok(id)
    }

    /// The pup's dog was deleted beside the birth, and comes back before it.
    async fn add_again(tx: &mut Tx, id: Uuid, birth: &Self) -> StoreResult<()> {
        let litter = Litter::select(tx, birth.litter_id, true).await?;
        validate(tx, &litter.record, birth).await?;
        match Dog::select(tx, birth.dog_id, true).await {
            Err(StoreError::NotFound) => {
                return Err(StoreError::Conflict(
                    "the pup's dog was deleted with the birth; restore that first".to_owned(),
                ));
            }
            found => found?,
        };
        Self::insert(tx, id, birth).await?;
        // A log of before weights had one home holds the weight with the birth; later ones hold it by itself.
        if birth.weight_g.is_some() { birth_weights::write(tx, birth).await } else { Ok(()) }
    }

    /// A birth recorded by mistake goes with its pup's dog and first weight, unless something else
    /// refers to the pup already.
    async fn delete_cascading(tx: &mut Tx, birth: &Kept<Self>) -> StoreResult<()> {
        if let Some(id) = birth_weights::row_of(tx, birth.record.dog_id).await? {
            Weight::delete(tx, id).await?;
        }
        Self::delete(tx, birth.id).await?;
        Dog::delete(tx, birth.record.dog_id).await
    }

    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let Some(before) = before.map(|kept| &kept.record) else { return Ok(()) };
        let given = (before.litter_id, before.dog_id, before.ordinal);
        if (self.litter_id, self.dog_id, self.ordinal) != given {
            return Err(StoreError::refused(
                "",
                "litter_id, dog_id and ordinal are the server's and do not change",
            ));
        }
        let litter = Litter::select(tx, self.litter_id, false).await?.record;
        if (&before.collar, before.outcome) != (&self.collar, self.outcome) {
            admit_collar(tx, self).await?;
        }
        validate(tx, &litter, self).await
    }
}
