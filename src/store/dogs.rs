//! Dogs and shares.

use super::{StoreError, StoreResult, Tx, keep::keep};
use crate::domain::record::{Dog, DogFilter, Kept, Share, ShareFilter};

keep!(Dog in dogs {
    name, call_name, sex, breed, colour, markings, born_on, died_on, died_of, sire_id, dam_id, chip_number,
    registrations as json, adult_weight_g, residence, for_breeding, imported_id, note,
}
filter DogFilter {
    sex == sex, residence == residence, for_breeding == for_breeding, breed == breed, sire_id == sire_id,
    dam_id == dam_id, chip_number == chip_number, imported_id == imported_id,
};
read Dogs, write Breeding, of id, {
    async fn admit(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        if before.is_none() && !tx.scope.sees_all_dogs() {
            return Err(StoreError::Forbidden("only an owner enters a new dog; pups enter by their birth"));
        }
        Ok(())
    }
});

keep!(Share in shares { dog_id, person_id, numerator, denominator }
    under dog_id of Dog
    filter ShareFilter { person_id == person_id };
    read Money, write Managing);
