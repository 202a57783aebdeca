//! Dogs and shares.

use super::{
    StoreError, StoreResult, Tx,
    columns::Stored,
    keep::{Conditions, Gather as _, Hooks, keep, write},
    schema,
    scope::Scope,
    search::Finds,
};
use catalogue::said;
use chrono::NaiveDate;
use diesel::{
    ExpressionMethods as _, NullableExpressionMethods as _, QueryDsl as _,
    dsl::sql,
    sql_types::{Bool, Nullable, Text},
};
use domain::record::{
    Dog, DogFilter, FormerShare, FormerShareFilter, Kept, Residence, Search, Share, ShareFilter,
};
use uuid::Uuid;

/// Asks of the rows of `dogs` that the dog was not born dead.
macro_rules! born_alive {
    () => {{
        use crate::schema::{births, dogs};
        let dead = births::table
            .filter(births::kennel_id.eq(dogs::kennel_id))
            .filter(births::dog_id.eq(dogs::id))
            .filter(
                births::outcome.eq(crate::columns::Stored(domain::record::BirthOutcome::Stillborn)),
            )
            .select(births::id);
        diesel::dsl::not(diesel::dsl::exists(dead))
    }};
}
pub(crate) use born_alive;

keep!(Dog in dogs {
    name, call_name, sex, breed, colour, markings, born_on, died_on, died_of, sire_id, dam_id, chip_number,
    registrations as json, adult_weight_g, residence, came_on, for_breeding, imported_id, note,
}
sorted { born_on Word, name Name, call_name Name, breed Name, came_on Day }
filter DogFilter {
    residence == residence, for_breeding == for_breeding, breed == breed, sire_id == sire_id,
    dam_id == dam_id, chip_number == chip_number, imported_id == imported_id,
}
and asked_of_dogs, of id);

/// What a list of dogs asks beside the values of columns.
fn asked_of_dogs(
    filter: &DogFilter,
    _today: Option<NaiveDate>,
) -> Option<Conditions<schema::dogs::table>> {
    use schema::dogs::dsl;
    let mut asked: Conditions<schema::dogs::table> = Vec::new();
    if let Some(sex) = filter.sex {
        asked.push(Box::new(dsl::sex.eq(Stored(Some(sex)))));
    }
    if let Some(since) = filter.since {
        // Where only the year or the month of birth is known, what may fit is told.
        asked.push(Box::new(
            sql::<Nullable<Bool>>("dogs.born_on COLLATE \"C\" >= left(")
                .bind::<Text, _>(since.to_string())
                .sql(", length(dogs.born_on))"),
        ));
    }
    if let Some(until) = filter.until {
        asked.push(Box::new(
            sql::<Nullable<Bool>>(
                "dogs.born_on || right('2000-01-01', 10 - length(dogs.born_on)) COLLATE \"C\" < ",
            )
            .bind::<Text, _>(until.to_string()),
        ));
    }
    for word in filter.search.iter().flat_map(Search::words) {
        asked.push(Box::new(Finds::in_dog(word).nullable()));
    }
    if filter.residence == Some(Residence::Here) {
        // Who is dead, or was born so, lives nowhere.
        asked.push(Box::new(dsl::died_on.is_null().nullable()));
        asked.push(Box::new(born_alive!().nullable()));
    }
    Some(asked)
}

impl Hooks for Dog {
    /// Who comes to live here came today, unless it is said otherwise.
    async fn completed(self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<Self> {
        Ok(self.completed_on(before.map(|kept| &kept.record), tx.scope.today()))
    }

    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        if before.is_none() && !tx.scope.sees_all_dogs() {
            return Err(StoreError::Forbidden(said!("problem-forbidden-new-dog")));
        }
        Ok(())
    }
}

keep!(Share in shares { dog_id, person_id, numerator, denominator, held_from }
    sorted { held_from Day }
    filter ShareFilter { person_id == person_id });

keep!(FormerShare in former_shares { dog_id, person_id, numerator, denominator, held_from, held_until }
    sorted { held_until Day, held_from Day } dated held_until
    filter FormerShareFilter { person_id == person_id }, of dog_id);

impl Hooks for FormerShare {}

impl Hooks for Share {
    /// A share lets somebody see the dog, so a person gives it.
    fn may_write(&self, scope: &Scope) -> StoreResult<()> {
        scope.require_person()
    }

    async fn completed(self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<Self> {
        let has_former = !FormerShare::gather(tx, &[self.dog_id]).await?.is_empty();
        Ok(self.completed_on(before.map(|kept| &kept.record), has_former, tx.scope.today()))
    }

    /// What was held before is kept as a former share, and gives way where it was held from the same day on.
    async fn after_write(
        tx: &mut Tx,
        _id: Uuid,
        before: Option<&Self>,
        after: &Self,
    ) -> StoreResult<()> {
        for kept in FormerShare::gather(tx, &[after.dog_id]).await? {
            if kept.record.person_id != after.person_id {
                continue;
            }
            match kept.record.left_before(after.held_from) {
                None => write::remove_settled::<FormerShare>(tx, kept.id).await?,
                Some(left) if left != kept.record => {
                    write::change_settled(tx, kept.id, &kept.record, &left).await?;
                }
                Some(_) => {}
            }
        }
        match before.and_then(|before| before.former(after)) {
            Some(former) => write::enter_settled(tx, Uuid::now_v7(), former).await,
            None => Ok(()),
        }
    }

    /// It was held until yesterday.
    async fn after_removal(tx: &mut Tx, kept: &Kept<Self>) -> StoreResult<()> {
        match kept.record.held_before(tx.scope.today()) {
            Some(former) => write::enter_settled(tx, Uuid::now_v7(), former).await,
            None => Ok(()),
        }
    }
}
