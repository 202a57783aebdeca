//! What screening found of hips, elbows, knees, hearts and eyes, among a dog's kin, and breeding values of it.

use super::{
    answer,
    inbreeding::{book, computed, particulars},
    resource::prelude::*,
};
use domain::{
    breeding_values::{BreedingValue, BreedingValueFacts, BreedingValueModel},
    family_tree::PedigreeDog,
    record::{Dog, ScreeningResult, ScreeningResultFilter},
    screening::{RelativesScreened, ScreenedFamily, ScreenedTrait, ScreeningScheme},
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use store::{
    keep::{self, RowPath},
    kennels, pedigrees, screening, studbooks,
};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(create_screening_result)
        .service(list_screening_results)
        .service(read_screening_result)
        .service(change_screening_result)
        .service(delete_screening_result)
        .service(list_screening_schemes)
        .service(read_relatives_screened)
        .service(list_breeding_values);
}

resource!(ScreeningResult, tag "genetics", one "a result of screening", many "the results of a dog's screening",
    at "/v1/kennels/{kennel_id}/dogs/{dog_id}/screening-results",
       "/v1/kennels/{kennel_id}/dogs/{dog_id}/screening-results/{result_id}", under dog_id;
    create_screening_result, list_screening_results, read_screening_result, change_screening_result,
    delete_screening_result);

/// The schemes by which dogs are screened.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ScreeningSchemeList {
    /// Each with its results from best to worst, and its source.
    items: Vec<ScreeningScheme>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
}

/// List the schemes by which hips, elbows, knees, hearts and eyes are screened.
#[utoipa::path(tag = "genetics", params(Paging), responses((status = 200, description = "A page.", body = ScreeningSchemeList)))]
#[get("/v1/kennels/{kennel_id}/screening-schemes")]
pub(crate) async fn list_screening_schemes(
    _scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<All>,
) -> Result<HttpResponse, Problem> {
    let all = ScreeningScheme::all().to_vec();
    let (items, next_cursor) = listing.asked.cut(all, |scheme| scheme.key.clone())?;
    let list = ScreeningSchemeList { items, next_cursor };
    answer::list::<ScreeningScheme>(&request, list.next_cursor.as_deref(), &list)
}

/// What screening found among a dog's near kin.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct RelativesScreenedAnswer {
    /// The dog, its parents, grandparents, sibs and offspring, with their results.
    #[serde(flatten)]
    screened: RelativesScreened,
    /// Who the dogs are.
    dogs: Vec<PedigreeDog>,
}

/// Read what screening found of a dog, its parents, grandparents, sibs and offspring.
#[utoipa::path(tag = "genetics",
    responses((status = 200, description = "Results, relation by relation.", body = RelativesScreenedAnswer)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/relatives-screened")]
pub(crate) async fn read_relatives_screened(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (scope, dog_id) = (scope.0, path.1);
    let seat = app.room.seat(scope.kennel_id()).await?;
    let head = app
        .db
        .within(&scope, async |tx| {
            keep::find::<Dog>(tx, RowPath::from(dog_id)).await?;
            studbooks::head(tx).await
        })
        .await?;
    let book = book(&app, &scope, head).await?;
    let kin = computed(&seat, move || book.near_kin(dog_id)).await?;
    let ids: Vec<Uuid> = kin.iter().map(|(dog, _)| *dog).collect();
    let (seen, results) = app
        .db
        .within(&scope, async |tx| {
            Ok((pedigrees::sexes(tx, &ids).await?, screening::results_of(tx, &ids).await?))
        })
        .await?;
    let kin: Vec<_> = kin.into_iter().filter(|(dog, _)| seen.contains_key(dog)).collect();
    let screened = ScreenedFamily { dog_id, kin: &kin, results: &results }.screened();
    let named: Vec<Uuid> = kin.into_iter().map(|(dog, _)| dog).collect();
    let dogs = particulars(&app, &scope, &named).await?;
    Ok(HttpResponse::Ok().json(RelativesScreenedAnswer { screened, dogs }))
}

/// Which breeding values to list.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct BreedingValueQuery {
    /// What was screened.
    #[serde(rename = "trait")]
    #[param(example = "hips")]
    screened: ScreenedTrait,
    /// Only of this dog.
    dog_id: Option<Uuid>,
}

/// Breeding values of a screened trait.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct BreedingValueList {
    /// The dogs that were screened and the living breeding stock, from the best value to the worst.
    items: Vec<BreedingValue>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
    /// How the values were made, and why there are none.
    model: BreedingValueModel,
    /// Who the dogs are.
    dogs: Vec<PedigreeDog>,
}

/// List breeding values of a screened trait, each with its error, from all results on record.
///
/// An animal model weighs a dog's own results and those of all its kin by how they are related. Of what this person
/// may not see nothing is used.
#[utoipa::path(tag = "genetics", params(BreedingValueQuery, Paging),
    responses((status = 200, description = "A page.", body = BreedingValueList)))]
#[get("/v1/kennels/{kennel_id}/breeding-values")]
pub(crate) async fn list_breeding_values(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<BreedingValueQuery>,
) -> Result<HttpResponse, Problem> {
    let scope = scope.0;
    let Listing { filter: BreedingValueQuery { screened, dog_id }, asked } = listing;
    let seat = app.room.seat(scope.kennel_id()).await?;
    let schemes = ScreeningScheme::of_trait(screened);
    let (born_on, results, stock, rules, head) = app
        .db
        .within(&scope, async |tx| {
            if let Some(dog) = dog_id {
                keep::find::<Dog>(tx, RowPath::from(dog)).await?;
            }
            let born_on = screening::screened_by(tx, &schemes).await?;
            let ids: Vec<Uuid> = born_on.keys().copied().collect();
            let results = screening::results_of(tx, &ids).await?;
            let stock = pedigrees::breeding_stock(tx).await?;
            Ok((born_on, results, stock, kennels::rules(tx).await?, studbooks::head(tx).await?))
        })
        .await?;
    let book = book(&app, &scope, head).await?;
    let born_on = born_on.into_iter().filter_map(|(dog, born)| Some((dog, born?))).collect();
    let facts = BreedingValueFacts { book, screened, results, born_on, rules };
    let known = facts.clone();
    let ordered = computed(&seat, move || {
        let told: BTreeSet<Uuid> = match dog_id {
            Some(dog) => BTreeSet::from([dog]),
            None => known.screened_dogs().into_iter().chain(stock).collect(),
        };
        known.ordered(told.into_iter().collect())
    })
    .await?;
    let (page, next_cursor) = asked.cut(ordered, |dog| dog.to_string())?;
    let named = page.clone();
    let report = computed(&seat, move || facts.report(&page)).await?;
    let dogs = particulars(&app, &scope, &named).await?;
    let list = BreedingValueList { items: report.values, next_cursor, model: report.model, dogs };
    answer::list::<BreedingValue>(&request, list.next_cursor.as_deref(), &list)
}
