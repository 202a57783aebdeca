//! Tests before a mating, with their age on the day.

use super::{problem::Kind, query::Query, resource::prelude::*};
use catalogue::said;
use chrono::NaiveDate;
use domain::{
    mating_tests::{MatingTests, mating_tests},
    record::{BreedTest, BreedTestFilter, Dog, HealthEvent, Sex},
};
use serde::Deserialize;
use store::{StoreError, StoreResult, Tx, health, keep};
use utoipa::IntoParams;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_mating_tests)
        .service(create_breed_test)
        .service(list_breed_tests)
        .service(read_breed_test)
        .service(change_breed_test)
        .service(delete_breed_test);
}

resource!(BreedTest, tag "rules", one "a test that the kennel asks for before a mating", many "the tests that the kennel asks for itself before a mating",
    at "/v1/kennels/{kennel_id}/rules/mating-tests", "/v1/kennels/{kennel_id}/rules/mating-tests/{test_id}";
    create_breed_test, list_breed_tests, read_breed_test, change_breed_test, delete_breed_test);

/// Whose tests.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PairQuery {
    /// The dam.
    dam_id: Option<Uuid>,
    /// The sire.
    sire_id: Option<Uuid>,
    /// The day of mating; today when left out.
    mated_on: Option<NaiveDate>,
}

type TestedDog = (Uuid, Dog, Vec<Kept<HealthEvent>>);

/// A dog with its health events; refused when it is of the other sex.
async fn tested(
    tx: &mut Tx,
    dog_id: Option<Uuid>,
    other: Sex,
    wrong: StoreError,
) -> StoreResult<Option<TestedDog>> {
    let Some(id) = dog_id else { return Ok(None) };
    let dog: Kept<Dog> = keep::find(tx, id).await?;
    if dog.record.sex == Some(other) {
        return Err(wrong);
    }
    Ok(Some((id, dog.record, health::events_of(tx, id).await?)))
}

/// Read which tests a mating asks for, and how old each is on the day.
///
/// Brucellosis of both, herpes of the dam, what the clubs of their breeds ask for, and what the kennel asks for itself
/// (`GET …/rules/mating-tests`), which stands for the others of its series. A test is a health event of
/// kind `test` or `examination` with the series named here and a `result`. Gene tests are in trial matings.
#[utoipa::path(tag = "matings", params(PairQuery),
    responses((status = 200, description = "The tests of each of the two.", body = MatingTests)))]
#[get("/v1/kennels/{kennel_id}/mating-tests")]
pub(crate) async fn read_mating_tests(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    query: Query<PairQuery>,
) -> Result<HttpResponse, Problem> {
    let PairQuery { dam_id, sire_id, mated_on } = query.0;
    if dam_id.is_none() && sire_id.is_none() {
        let detail = said!("fault-missing-dam-or-sire");
        return Err(Problem::fault(Kind::Unreadable, "#query/dam_id", detail));
    }
    let work = async |tx: &mut Tx| {
        let no_dam = StoreError::refused("#query/dam_id", said!("fault-wrong-sex-dam"));
        let no_sire = StoreError::refused("#query/sire_id", said!("fault-wrong-sex-sire"));
        let dam = tested(tx, dam_id, Sex::Male, no_dam).await?;
        let sire = tested(tx, sire_id, Sex::Female, no_sire).await?;
        Ok((dam, sire, health::breed_tests(tx).await?, tx.moment().await?))
    };
    let (dam, sire, own, moment) = app.db.within(&scope.0, work).await?;
    let mated_on = mated_on.unwrap_or(moment.today());
    fn of(tested: &TestedDog) -> domain::mating_tests::Tested<'_> {
        (tested.0, &tested.1, tested.2.as_slice())
    }
    let told = mating_tests(dam.as_ref().map(of), sire.as_ref().map(of), &own, mated_on, &moment);
    Ok(HttpResponse::Ok().json(told))
}
