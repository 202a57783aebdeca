//! Dogs and shares.

use super::{StoreError, StoreResult, Tx, columns::Stored, keep::keep, scope::Scope};
use domain::record::{Dog, DogFilter, Kept, Residence, Share, ShareFilter};

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
filter DogFilter {
    residence == residence, for_breeding == for_breeding, breed == breed, sire_id == sire_id,
    dam_id == dam_id, chip_number == chip_number, imported_id == imported_id,
}
and |query, filter| {
    let query = match filter.sex {
        Some(sex) => query.filter(dsl::sex.eq(Stored(Some(sex)))),
        None => query,
    };
    match filter.residence {
        // Who is dead, or was born so, lives nowhere.
        Some(Residence::Here) => query.filter(dsl::died_on.is_null()).filter(born_alive!()),
        _ => query,
    }
};
read Dogs, write Breeding, of id, {
    /// Who comes to live here came today, unless it is said otherwise.
    async fn completed(self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<Self> {
        let was_here = before.is_some_and(|before| before.record.residence == Residence::Here);
        let comes = self.residence == Residence::Here && !was_here;
        let today = tx.scope.today();
        Ok(Self { came_on: self.came_on.or(comes.then_some(today)), ..self })
    }

    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        if before.is_none() && !tx.scope.sees_all_dogs() {
            return Err(StoreError::Forbidden("only an owner enters a new dog; pups enter by their birth"));
        }
        Ok(())
    }
});

keep!(Share in shares { dog_id, person_id, numerator, denominator }
    under dog_id of Dog
    filter ShareFilter { person_id == person_id };
    read Money, write Managing, {
    /// A share lets somebody see the dog, so a person gives it.
    fn may_write(&self, scope: &Scope) -> StoreResult<()> {
        scope.require_person()
    }
});
