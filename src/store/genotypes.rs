//! Genotypes of dogs.

use super::{
    StoreResult, Tx,
    columns::JsonList,
    keep::{Hooks, Keep as _, keep},
    schema,
    scope::Right,
};
use chrono::NaiveDate;
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, Selectable,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    markers::GenotypeResult,
    record::{Dog, GenotypeTest, GenotypeTestFilter, Kept},
};
use uuid::Uuid;

keep!(GenotypeTest in genotype_tests { dog_id, marker, alleles as json, laboratory, tested_on, omia }
    sorted { tested_on Day, marker Word } dated tested_on
    filter GenotypeTestFilter { marker == marker });

impl Hooks for GenotypeTest {
    async fn validate(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        let dog = Dog::select(tx, self.dog_id, false).await?.record;
        Ok(self.admit(dog.sex)?)
    }
}

/// A laboratory's result, as it is kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::genotype_tests)]
struct ResultRow {
    dog_id: Uuid,
    marker: String,
    alleles: JsonList<String>,
    laboratory: Option<String>,
    tested_on: Option<NaiveDate>,
    omia: Option<String>,
}

/// The results on file of some dogs, as far as this person may see them.
///
/// # Errors
/// When the database is away.
pub async fn results_of(tx: &Tx, dog_ids: &[Uuid]) -> StoreResult<Vec<(Uuid, GenotypeResult)>> {
    use schema::genotype_tests::dsl;
    tx.scope.require(Right::Dogs)?;
    let rows: Vec<ResultRow> = dsl::genotype_tests
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(dog_ids)))
        .select(ResultRow::as_select())
        .order(dsl::id)
        .load(&mut tx.pipelined())
        .await?;
    let result = |row: ResultRow| {
        let ResultRow { dog_id, marker, alleles, laboratory, tested_on, omia } = row;
        (dog_id, GenotypeResult { marker, alleles: alleles.0, laboratory, tested_on, omia })
    };
    Ok(rows.into_iter().map(result).collect())
}
