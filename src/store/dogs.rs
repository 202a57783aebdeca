//! Dogs and shares.

use super::{
    StoreError, StoreResult, Tx,
    columns::Stored,
    keep::{Conditions, Hooks, keep},
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
use domain::record::{Dog, DogFilter, Kept, Residence, Search, Share, ShareFilter};

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
fn asked_of_dogs(filter: &DogFilter, _today: NaiveDate) -> Conditions<schema::dogs::table> {
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
    asked
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

keep!(Share in shares { dog_id, person_id, numerator, denominator }
    sorted {}
    filter ShareFilter { person_id == person_id });

impl Hooks for Share {
    /// A share lets somebody see the dog, so a person gives it.
    fn may_write(&self, scope: &Scope) -> StoreResult<()> {
        scope.require_person()
    }
}
