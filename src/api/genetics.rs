//! Genotypes of dogs, what pups of a mating can inherit, and shares of breeds.

use super::{
    answer,
    inbreeding::{book, computed, particulars},
    problem::Kind,
    resource::prelude::*,
};
use domain::{
    admission::TrialParents,
    breeds::{BreedFamily, BreedMember, BreedShareReport, GeneticMap},
    fault::Fault,
    markers::{AlleleFrequencies, Marker, MarkerCatalogue},
    pedigree::PedigreeRow,
    record::{
        Dog, FreeTest, FreeTestFilter, GenomicInbreeding, GenomicInbreedingFilter, GenotypeTest,
        GenotypeTestFilter,
    },
    trial_genetics::{BREED_GENERATIONS, TESTED_GENERATIONS, TrialFamily, TrialGenetics},
};
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use store::{
    StoreError, genotypes,
    keep::{self, RowPath},
    kennels, pedigrees,
    scope::Scope,
    screening, seen_traits, studbooks,
};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(create_genotype_test)
        .service(list_genotype_tests)
        .service(read_genotype_test)
        .service(change_genotype_test)
        .service(delete_genotype_test)
        .service(create_free_test)
        .service(list_free_tests)
        .service(read_free_test)
        .service(change_free_test)
        .service(delete_free_test)
        .service(create_genomic_inbreeding)
        .service(list_genomic_inbreedings)
        .service(read_genomic_inbreeding)
        .service(change_genomic_inbreeding)
        .service(delete_genomic_inbreeding)
        .service(list_markers)
        .service(try_genetics)
        .service(read_breed_shares);
}

resource!(GenotypeTest, tag "genetics", one "a genotype of a dog", many "the genotypes of a dog",
    at "/v1/kennels/{kennel_id}/dogs/{dog_id}/genotype-tests",
       "/v1/kennels/{kennel_id}/dogs/{dog_id}/genotype-tests/{genotype_id}", under dog_id;
    create_genotype_test, list_genotype_tests, read_genotype_test, change_genotype_test, delete_genotype_test);

resource!(FreeTest, tag "genetics", one "a genetic test that no catalogue knows", many "a dog's genetic tests that no catalogue knows",
    at "/v1/kennels/{kennel_id}/dogs/{dog_id}/free-tests",
       "/v1/kennels/{kennel_id}/dogs/{dog_id}/free-tests/{test_id}", under dog_id;
    create_free_test, list_free_tests, read_free_test, change_free_test, delete_free_test);

resource!(GenomicInbreeding, tag "genetics", one "inbreeding that a laboratory measured", many "what laboratories measured of a dog's inbreeding",
    at "/v1/kennels/{kennel_id}/dogs/{dog_id}/genomic-inbreeding",
       "/v1/kennels/{kennel_id}/dogs/{dog_id}/genomic-inbreeding/{measurement_id}", under dog_id;
    create_genomic_inbreeding, list_genomic_inbreedings, read_genomic_inbreeding, change_genomic_inbreeding,
    delete_genomic_inbreeding);

/// The catalogue of genetic markers.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct MarkerList {
    /// Diseases and coat colours, each with inheritance, alleles in order of dominance, source.
    items: Vec<Marker>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
}

/// List the genetic markers that are known.
#[utoipa::path(tag = "genetics", params(Paging), responses((status = 200, description = "A page.", body = MarkerList)))]
#[get("/v1/kennels/{kennel_id}/genetic-markers")]
pub(crate) async fn list_markers(
    _scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<All>,
) -> Result<HttpResponse, Problem> {
    let all = MarkerCatalogue::standard().iter().cloned().collect();
    let (items, next_cursor) = listing.asked.cut(all, |marker: &Marker| marker.key.clone())?;
    let list = MarkerList { items, next_cursor };
    answer::list::<Marker>(&request, list.next_cursor.as_deref(), &list)
}

/// A mating to try.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct TrialGeneticsRequest {
    /// The dam.
    dam_id: Uuid,
    /// The sire.
    sire_id: Uuid,
    /// Markers to answer beyond those that the parents or their near ancestors are tested for.
    #[serde(default)]
    #[schema(example = json!(["prcd_pra"]), max_items = 100)]
    markers: Vec<String>,
    /// How common alleles are where untested founders come from; without them their chances
    /// are a range.
    #[serde(default)]
    #[schema(max_items = 100)]
    frequencies: Vec<AlleleFrequencies>,
}

/// Compute the chances of pups' genotypes, phenotypes and colours, and their shares of breeds.
///
/// Parents that are not tested take their chances from the tests of three generations above.
#[utoipa::path(tag = "genetics", request_body = TrialGeneticsRequest,
    responses((status = 200, description = "Chances, exact where all is known, else as ranges.", body = TrialGenetics)))]
#[post("/v1/kennels/{kennel_id}/trial-matings/genetics")]
pub(crate) async fn try_genetics(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let scope = scope.0;
    let TrialGeneticsRequest { dam_id, sire_id, markers, frequencies } = body.parse().await?;
    let pair = [dam_id, sire_id];
    let seat = app.room.seat(scope.kennel_id()).await?;
    let (sexes, rules, head) = app
        .db
        .within(&scope, async |tx| {
            let sexes = pedigrees::sexes(tx, &pair).await?;
            Ok((sexes, kennels::rules(tx).await?, studbooks::head(tx).await?))
        })
        .await?;
    TrialParents { dam_id, sire_id }.admit(&sexes).map_err(StoreError::from)?;
    let book = book(&app, &scope, head).await?;
    let family = book.near_ancestors(&pair, TESTED_GENERATIONS)?;
    let lineage = book.near_ancestors(&pair, BREED_GENERATIONS)?;
    let ids: Vec<Uuid> = family.iter().map(|row| row.id).collect();
    let (results, free_tests, signs) = app
        .db
        .within(&scope, async |tx| {
            let results = genotypes::results_of(tx, &ids).await?;
            let free_tests = screening::free_tests_of(tx, &ids).await?;
            Ok((results, free_tests, seen_traits::signs_of(tx, &pair).await?))
        })
        .await?;
    let breeds = breed_family(&app, &scope, lineage).await?;
    let work = move || {
        let family = TrialFamily {
            dam_id,
            sire_id,
            ancestors: &family,
            results: &results,
            free_tests: &free_tests,
            signs: &signs,
            breeds,
        };
        Ok(family.genetics(&markers, &frequencies, &rules))
    };
    let answer = computed(&seat, work).await?;
    Ok(HttpResponse::Ok().json(answer.map_err(refused)?))
}

fn refused(faults: Vec<Fault>) -> Problem {
    Problem::faults(Kind::NotAcceptable, faults)
}

async fn breed_family(
    app: &App,
    scope: &Scope,
    rows: Vec<PedigreeRow<Uuid>>,
) -> Result<Vec<BreedMember>, Problem> {
    let ids: Vec<Uuid> = rows.iter().map(|row| row.id).collect();
    let known = particulars(app, scope, &ids).await?;
    let breeds: HashMap<Uuid, Option<String>> =
        known.into_iter().map(|dog| (dog.dog_id, dog.breed)).collect();
    let member = |row: PedigreeRow<Uuid>| {
        BreedMember::recorded(row, breeds.get(&row.id).and_then(Option::as_deref))
    };
    Ok(rows.into_iter().map(member).collect())
}

/// Read a dog's shares of breeds by its pedigree, expected and as a range.
#[utoipa::path(tag = "genetics",
    responses((status = 200, description = "Largest share first.", body = BreedShareReport)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/breed-shares")]
pub(crate) async fn read_breed_shares(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (scope, dog_id) = (scope.0, path.1);
    let seat = app.room.seat(scope.kennel_id()).await?;
    let (rules, head) = app
        .db
        .within(&scope, async |tx| {
            keep::find::<Dog>(tx, RowPath::from(dog_id)).await?;
            Ok((kennels::rules(tx).await?, studbooks::head(tx).await?))
        })
        .await?;
    let book = book(&app, &scope, head).await?;
    let family = breed_family(&app, &scope, book.near_ancestors(&[dog_id], BREED_GENERATIONS)?);
    let family = family.await?;
    let report = computed(&seat, move || {
        Ok(BreedFamily::new(family)
            .and_then(|family| family.shares_of(dog_id, GeneticMap::dog(), &rules)))
    });
    Ok(HttpResponse::Ok().json(report.await?.map_err(refused)?))
}
