//! Births: each makes the pup's dog, and its first weight when given.

mod beside;

use super::{
    Db, StoreError, StoreResult, Tx,
    ask::Answer,
    birth_weights,
    keep::{self, Hooks, Keep, Page, Pen, write},
    schema,
    scope::Claim,
};
use crate::columns::Stored;
use beside::{admit_collar, admit_new, validate};
use catalogue::said;
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, JoinOnDsl as _,
    NullableExpressionMethods as _, QueryDsl as _, Queryable, Selectable, SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    admission::{self, shared_breed},
    partial_date::PartialDate,
    record::{
        Birth, BirthFilter, BirthOutcome, Dog, Kept, Litter, Placenta, Presentation, Sex, Weight,
    },
    whelping::NewbornSigns,
};
use postgres::order::{By, Sortable};
use uuid::Uuid;

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
    Ok(shared_breed(dam.breed, sire.flatten().as_deref()))
}

async fn next_ordinal(tx: &mut Tx, litter_id: Uuid) -> StoreResult<i32> {
    use schema::births::dsl;
    let last: Option<i32> = dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::litter_id.eq(litter_id)))
        .select(diesel::dsl::max(dsl::ordinal))
        .first(&mut tx.conn)
        .await?;
    Ok(admission::next_ordinal(last)?)
}

/// When and whether a dog was born here.
pub(super) async fn born_at(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Option<DateTime<Utc>>> {
    use schema::births::dsl;
    let row = dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)))
        .select(dsl::born_at);
    Ok(diesel::OptionalExtension::optional(row.first(&mut tx.conn).await)?)
}

/// The id of a birth where its dog and its weight have ids as well.
const ID: &str = "births.id";

/// What a list of births is sorted by.
const SORTS: &[Sortable] = &[
    Sortable { name: "born_at", column: "births.born_at", by: By::Time },
    Sortable { name: "ordinal", column: "births.ordinal", by: By::Number },
    Sortable { name: "created_at", column: "births.created_at", by: By::Time },
    Sortable { name: "updated_at", column: "births.updated_at", by: By::Time },
];

/// A birth without what belongs to the pup itself, with its weight at birth, which lives among its weights.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::births)]
pub(crate) struct BirthRow {
    id: Uuid,
    version: i64,
    created_at: DateTime<Utc>,
    updated_at: DateTime<Utc>,
    litter_id: Uuid,
    dog_id: Uuid,
    ordinal: i32,
    born_at: DateTime<Utc>,
    collar: Option<String>,
    #[diesel(
        select_expression = schema::weights::weight_g.nullable(),
        select_expression_type = diesel::dsl::Nullable<schema::weights::weight_g>
    )]
    weight_g: Option<i32>,
    presentation: Presentation,
    outcome: BirthOutcome,
    placenta: Placenta,
    note: Option<String>,
    vitality: Option<NewbornSigns>,
    vitality_minutes: Option<i32>,
    resuscitation_minutes: Option<i32>,
    confirmed: bool,
}

/// The same with the pup's own sex, colour, markings and name, which live on its dog.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::births)]
struct BirthOfDog {
    #[diesel(embed)]
    birth: BirthRow,
    #[diesel(select_expression = schema::dogs::sex)]
    sex: Option<Sex>,
    #[diesel(select_expression = schema::dogs::colour)]
    colour: Option<String>,
    #[diesel(select_expression = schema::dogs::markings)]
    markings: Option<String>,
    #[diesel(select_expression = schema::dogs::name)]
    name: Option<String>,
}

/// Births with what their rows are read with.
macro_rules! births_with_dogs {
    ($tx:expr) => {{
        use schema::{births as b, dogs as d, weights as w};
        let at_birth = w::kennel_id.eq(b::kennel_id).and(w::dog_id.eq(b::dog_id)).and(w::at_birth);
        b::table
            .inner_join(d::table.on(d::kennel_id.eq(b::kennel_id).and(d::id.eq(b::dog_id))))
            .left_join(w::table.on(at_birth))
            .filter(b::kennel_id.eq($tx.scope.kennel_id()))
            .select(BirthOfDog::as_select())
    }};
}

impl From<BirthRow> for Kept<Birth> {
    fn from(row: BirthRow) -> Self {
        let stamp = (row.id, row.version, row.created_at, row.updated_at);
        let birth = Birth {
            litter_id: row.litter_id,
            dog_id: row.dog_id,
            ordinal: row.ordinal,
            born_at: row.born_at,
            sex: None,
            colour: None,
            markings: None,
            collar: row.collar,
            weight_g: row.weight_g,
            presentation: row.presentation,
            outcome: row.outcome,
            vitality: row.vitality,
            vitality_minutes: row.vitality_minutes,
            resuscitation_minutes: row.resuscitation_minutes,
            placenta: row.placenta,
            name: None,
            note: row.note,
            confirmed: row.confirmed,
        };
        keep::kept(stamp, birth)
    }
}

impl From<BirthOfDog> for Kept<Birth> {
    fn from(row: BirthOfDog) -> Self {
        let BirthOfDog { birth, sex, colour, markings, name } = row;
        let mut kept = Self::from(birth);
        kept.record = Birth { sex, colour, markings, name, ..kept.record };
        kept
    }
}

/// The birth under the next number of its litter, with the pup's dog.
async fn numbered(tx: &mut Tx, birth: &Birth) -> StoreResult<Birth> {
    let ordinal = next_ordinal(tx, birth.litter_id).await?;
    let litter = Litter::select(tx, birth.litter_id, false).await?.record;
    let breed = breed_of_pup(tx, &litter).await?;
    let pup = birth.pup(&litter, breed, tx.scope.day_of(birth.born_at));
    write::enter_settled(tx, birth.dog_id, pup).await?;
    Ok(Birth { ordinal, ..birth.clone() })
}

/// The births of a litter, by ordinal.
///
/// # Errors
/// When the database is away.
pub(crate) async fn births_of_litter(
    tx: &mut Tx,
    litter_id: Uuid,
) -> StoreResult<Vec<Kept<Birth>>> {
    let rows: Vec<BirthOfDog> = births_with_dogs!(tx)
        .filter(schema::births::litter_id.eq(litter_id))
        .order(schema::births::ordinal)
        .load(&mut tx.conn)
        .await?;
    Ok(rows.into_iter().map(Kept::from).collect())
}

/// Births by id.
///
/// # Errors
/// When the database is away.
pub(crate) async fn select_all(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<Vec<Kept<Birth>>> {
    let rows: Vec<BirthOfDog> =
        births_with_dogs!(tx).filter(schema::births::id.eq_any(ids)).load(&mut tx.conn).await?;
    Ok(rows.into_iter().map(Kept::from).collect())
}

impl Keep for Birth {
    type Filter = BirthFilter;
    const SORTS: &'static [Sortable] = SORTS;
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

    /// With the pup's dog and the weight at birth, where these live. A dog that was deleted beside its birth is
    /// back before it, and so is the weight, unless it stands in the birth: in a log of before weights had one home.
    async fn insert(tx: &mut Tx, id: Uuid, birth: &Self, pen: &Pen) -> StoreResult<()> {
        use schema::births::dsl;
        let birth = if pen.comes_back() { birth.clone() } else { numbered(tx, birth).await? };
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
        match birth.weight_g {
            Some(_) => birth_weights::write(tx, &birth).await,
            None => Ok(()),
        }
    }

    async fn select(tx: &mut Tx, id: Uuid, lock: bool) -> StoreResult<Kept<Self>> {
        if lock {
            let row = schema::births::table.filter(
                schema::births::kennel_id.eq(tx.scope.kennel_id()).and(schema::births::id.eq(id)),
            );
            row.select(schema::births::id).for_no_key_update().first::<Uuid>(&mut tx.conn).await?;
        }
        let row: BirthOfDog =
            births_with_dogs!(tx).filter(schema::births::id.eq(id)).first(&mut tx.conn).await?;
        Ok(row.into())
    }

    /// A birth is put together from three tables, which a transaction reads.
    async fn ask_row(_: &Db, _: &Claim, _: Uuid) -> StoreResult<Answer<Kept<Self>>> {
        Ok(Answer::Later)
    }

    async fn ask_page(
        _: &Db,
        _: &Claim,
        _: Option<Uuid>,
        _: &BirthFilter,
        _: Page,
    ) -> StoreResult<Answer<Kept<Self>>> {
        Ok(Answer::Later)
    }

    async fn page(
        tx: &mut Tx,
        parent: Option<Uuid>,
        filter: &BirthFilter,
        page: Page,
    ) -> StoreResult<Vec<Kept<Self>>> {
        let mut query =
            births_with_dogs!(tx).order(page.order.by(ID)).limit(page.limit).into_boxed();
        if let Some(place) = page.after {
            query = query.filter(page.order.after(ID, place));
        }
        if let Some(since) = filter.since {
            query = query.filter(schema::births::born_at.ge(since));
        }
        if let Some(until) = filter.until {
            query = query.filter(schema::births::born_at.lt(until));
        }
        if let Some(litter_id) = parent {
            query = query.filter(schema::births::litter_id.eq(litter_id));
        }
        if let Some(outcome) = filter.outcome {
            query = query.filter(schema::births::outcome.eq(Stored(outcome)));
        }
        let rows: Vec<BirthOfDog> = query.load(&mut tx.conn).await?;
        Ok(rows.into_iter().map(Kept::from).collect())
    }

    async fn update(tx: &mut Tx, id: Uuid, birth: &Self, _pen: &Pen) -> StoreResult<()> {
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
            ..dog.clone()
        };
        write::change_settled(tx, before.dog_id, &dog, &pup).await?;
        birth_weights::write(tx, &Birth { dog_id: before.dog_id, ..birth.clone() }).await
    }

    async fn delete(tx: &mut Tx, id: Uuid, _pen: &Pen) -> StoreResult<()> {
        use schema::births::dsl;
        let own = dsl::births.filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)));
        diesel::delete(own).execute(&mut tx.conn).await?;
        Ok(())
    }
}

impl Hooks for Birth {
    /// The pup's dog has an id of the client's, when it gave one.
    async fn completed(self, _tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<Self> {
        let made = before.is_none() && self.dog_id.is_nil();
        let dog_id = if made { Uuid::now_v7() } else { self.dog_id };
        Ok(Self { dog_id, ..self })
    }

    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let Some(before) = before.map(|kept| &kept.record) else {
            return admit_new(tx, self).await;
        };
        self.admit_change(before)?;
        let litter = Litter::select(tx, self.litter_id, false).await?.record;
        if (&before.collar, before.outcome) != (&self.collar, self.outcome) {
            admit_collar(tx, self).await?;
        }
        validate(tx, &litter, self).await
    }

    /// The pup's dog was deleted beside the birth, and comes back before it.
    async fn validate_again(&self, tx: &mut Tx) -> StoreResult<()> {
        let litter = Litter::select(tx, self.litter_id, true).await?;
        validate(tx, &litter.record, self).await?;
        match Dog::select(tx, self.dog_id, true).await {
            Err(StoreError::NotFound) => {
                Err(StoreError::Conflict(said!("problem-conflict-pups-dog-deleted")))
            }
            found => found.map(drop),
        }
    }

    /// The first birth of a litter says when it was whelped.
    async fn after_write(
        tx: &mut Tx,
        _id: Uuid,
        before: Option<&Self>,
        after: &Self,
    ) -> StoreResult<()> {
        if before.is_some() {
            return Ok(());
        }
        let litter = Litter::select(tx, after.litter_id, true).await?.record;
        if litter.whelped_on.is_some() {
            return Ok(());
        }
        let whelped_on = Some(tx.scope.day_of(after.born_at));
        let born = Litter { whelped_on, ..litter.clone() };
        write::change_settled(tx, after.litter_id, &litter, &born).await
    }

    /// A birth recorded by mistake goes with its pup's dog and first weight, unless something else
    /// refers to the pup already. A helper takes back what happened in the night, and no older pup.
    async fn before_removal(tx: &mut Tx, birth: &Kept<Self>) -> StoreResult<()> {
        let moment = tx.moment().await?;
        birth.record.admit_removal(tx.scope.role(), moment.now, &moment.rules)?;
        match birth_weights::row_of(tx, birth.record.dog_id).await? {
            Some(id) => write::remove_settled::<Weight>(tx, id).await,
            None => Ok(()),
        }
    }

    async fn after_removal(tx: &mut Tx, birth: &Kept<Self>) -> StoreResult<()> {
        write::remove_settled::<Dog>(tx, birth.record.dog_id).await
    }
}
