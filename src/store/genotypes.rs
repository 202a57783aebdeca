//! Genotypes of dogs.

use super::{StoreError, StoreResult, Tx, columns::JsonList, keep::keep, schema, scope::Right};
use chrono::NaiveDate;
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    breeding_limits::BreedingSex,
    markers::{GenotypeResult, MarkerCatalogue},
    record::{Dog, GenotypeTest, GenotypeTestFilter, Kept, Sex},
};
use uuid::Uuid;

keep!(GenotypeTest in genotype_tests { dog_id, marker, alleles as json, laboratory, tested_on, omia }
    under dog_id of Dog
    filter GenotypeTestFilter { marker == marker };
    read Dogs, write Observations, {
    async fn validate(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        let dog = Dog::select(tx, self.dog_id, false).await?.record;
        // One allele of an X-linked marker says that the dog is a male.
        let sex = match dog.sex {
            Some(Sex::Male) => BreedingSex::Male,
            None if self.alleles.len() == 1 => BreedingSex::Male,
            _ => BreedingSex::Female,
        };
        let day = self.tested_on.unwrap_or(NaiveDate::MAX);
        let checked = self.result().check(MarkerCatalogue::standard(), sex, day);
        checked.map(drop).map_err(StoreError::Refused)
    }
});

/// The results on file of some dogs, as far as this person may see them.
///
/// # Errors
/// When the database is away.
pub async fn results_of(tx: &mut Tx, dog_ids: &[Uuid]) -> StoreResult<Vec<(Uuid, GenotypeResult)>> {
    use schema::genotype_tests::dsl;
    tx.scope.require(Right::Dogs)?;
    type Row = (Uuid, String, JsonList<String>, Option<String>, Option<NaiveDate>, Option<String>);
    let rows: Vec<Row> = dsl::genotype_tests
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(dog_ids)))
        .select((
            dsl::dog_id,
            dsl::marker,
            dsl::alleles,
            dsl::laboratory,
            dsl::tested_on,
            dsl::omia,
        ))
        .order(dsl::id)
        .load(&mut tx.conn)
        .await?;
    let result = |(dog_id, marker, alleles, laboratory, tested_on, omia): Row| {
        (dog_id, GenotypeResult { marker, alleles: alleles.0, laboratory, tested_on, omia })
    };
    Ok(rows.into_iter().map(result).collect())
}
