//! Which matings to make: sires ranked for dams, a year's proposal, and the state of the stock.

use super::{
    answer,
    inbreeding::{book, computed, particulars},
    problem::Kind,
    resource::prelude::*,
};
use catalogue::Text;
use domain::{
    advice::Caution,
    breeding_limits::{RuleSet, law_cautions, law_line},
    family_tree::PedigreeDog,
    fault::Fault,
    inbreeding::{choice::MeanKinship, population::InbreedingRate},
    mating_plan::{
        BreedKinship, ChoiceCost, MatingGrid, MatingPlanFacts, MatingPlanRequest, PlannedYear,
        YearProposal,
    },
};
use serde::Serialize;
use std::collections::BTreeSet;
use store::{genotypes, kennels, mating_plans, pedigrees, seen_traits, studbooks};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(plan_matings).service(list_rule_sets).service(read_population);
}

/// Generations whose genetic tests tell of an untested dog.
const FAMILY_GENERATIONS: u32 = 2;

/// Sires ranked for every dam, and the proposal when litters were asked for.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct MatingPlan {
    /// Every dam's sires, best first, and those left out with all reasons.
    grid: MatingGrid,
    /// Which pairs to mate, with a bound on how much better any plan could be; null when no
    /// number of litters was asked for.
    proposal: Option<YearProposal>,
    /// What each pair of `choices` costs the others, in their order; empty when none was asked for.
    choices: Vec<ChoiceCost>,
    /// How the dams and sires stand to their breed; null when no breed was asked for.
    breed: Option<BreedKinship>,
    /// Dogs of the living breeding stock that mean kinship is taken to.
    #[schema(example = 14)]
    breeding_stock: usize,
    /// Who the dogs are.
    dogs: Vec<PedigreeDog>,
}

/// Rank every sire for every dam, and propose a year's matings.
///
/// Excluded matings carry every reason; what is not known never excludes, it is noted. One dam
/// gives the ranking for her. Of all, some 300 matings and exclusions are told. A co-owner's plan is one of the dogs
/// that they may see; what a choice of theirs costs the others, `choices` says.
#[utoipa::path(tag = "planning", request_body = MatingPlanRequest,
    responses((status = 200, description = "The plan.", body = MatingPlan)))]
#[post("/v1/kennels/{kennel_id}/mating-plans")]
pub(crate) async fn plan_matings(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let scope = scope.0;
    let asked: MatingPlanRequest = body.parse().await?;
    let rule_set = asked.limits().map_err(|fault| refused(vec![fault]))?;
    let seat = app.room.seat(scope.kennel_id()).await?;
    let (stock, known, rules, head) = app
        .db
        .within(&scope, async |tx| {
            let stock = pedigrees::breeding_stock(tx).await?;
            let ids: BTreeSet<Uuid> =
                stock.iter().chain(&asked.dams).chain(&asked.sires).copied().collect();
            let ids: Vec<Uuid> = ids.into_iter().collect();
            let known = mating_plans::candidates(tx, &ids).await?;
            Ok((stock, known, kennels::rules(tx).await?, studbooks::head(tx).await?))
        })
        .await?;
    let [dams, sires] = asked.candidates(&stock, &known).map_err(refused)?;
    let book = book(&app, &scope, head).await?;
    let named: Vec<Uuid> = dams.iter().chain(&sires).map(|dog| dog.id).collect();
    let family = book.near_ancestors(&named, FAMILY_GENERATIONS)?;
    let members: Vec<Uuid> = family.iter().map(|row| row.id).collect();
    let (results, traits, breed) = app
        .db
        .within(&scope, async |tx| {
            let results = genotypes::results_of(tx, &members).await?;
            let traits = seen_traits::signs_of(tx, &named).await?;
            let breed = match &asked.breed {
                Some(breed) => Some(pedigrees::of_breed(tx, breed).await?),
                None => None,
            };
            Ok((results, traits, breed))
        })
        .await?;
    let mated_on = asked.mated_on.unwrap_or_else(|| scope.today());
    let breeding_stock = stock.len();
    let facts = MatingPlanFacts {
        book,
        dams,
        sires,
        stock,
        family,
        results,
        traits,
        law: law_line(scope.jurisdiction(), Some(rule_set), scope.today()),
        rule_set,
        rules,
        mated_on,
        breed,
    };
    let planned = computed(&seat, move || Ok(facts.plan(&asked))).await?;
    let PlannedYear { grid, proposal, choices, breed } = planned.map_err(refused)?;
    let dogs = particulars(&app, &scope, &named).await?;
    let plan = MatingPlan { grid, proposal, choices, breed, breeding_stock, dogs };
    Ok(HttpResponse::Ok().json(plan))
}

fn refused(faults: Vec<Fault>) -> Problem {
    Problem::faults(Kind::NotAcceptable, faults)
}

/// The rule sets on breeding limits.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct BreedingRuleSets {
    /// All sets, each limit with its source.
    items: Vec<RuleSet>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
    /// What to know of the kennel's own law.
    cautions: Vec<Caution>,
    /// The line on local law.
    #[schema(value_type = String)]
    law: Text,
}

/// List the rule sets on ages, litters and kin that a plan can be held against.
#[utoipa::path(tag = "planning", params(Paging), responses((status = 200, description = "A page.", body = BreedingRuleSets)))]
#[get("/v1/kennels/{kennel_id}/rules/breeding-sets")]
pub(crate) async fn list_rule_sets(
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<All>,
) -> Result<HttpResponse, Problem> {
    let all = RuleSet::all().to_vec();
    let (items, next_cursor) = listing.asked.cut(all, |set| set.name.clone())?;
    let list = BreedingRuleSets {
        items,
        next_cursor,
        cautions: law_cautions(scope.0.jurisdiction(), None, scope.0.today()),
        law: RuleSet::note(),
    };
    answer::list::<RuleSet>(&request, list.next_cursor.as_deref(), &list)
}

/// How the living breeding stock is related.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct PopulationReport {
    /// Each dog's mean kinship with the whole stock, itself included; rarest blood first.
    mean_kinships: Vec<MeanKinship>,
    /// Mean over all pairs, each with itself included (0-1); null without stock.
    #[schema(example = 0.094)]
    mean_kinship: Option<f64>,
    /// Rate of inbreeding and effective population size; null when no grandparent is known.
    inbreeding_rate: Option<InbreedingRate>,
    /// Who the dogs are.
    dogs: Vec<PedigreeDog>,
}

/// Read how the living breeding stock is related, and how fast its inbreeding rises.
///
/// A dog is of the breeding stock while it is `for_breeding` and no day of death is known.
#[utoipa::path(tag = "planning", responses((status = 200, description = "The stock.", body = PopulationReport)))]
#[get("/v1/kennels/{kennel_id}/population")]
pub(crate) async fn read_population(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let scope = scope.0;
    let seat = app.room.seat(scope.kennel_id()).await?;
    let (stock, head) = app
        .db
        .within(&scope, async |tx| {
            Ok((pedigrees::breeding_stock(tx).await?, studbooks::head(tx).await?))
        })
        .await?;
    let book = book(&app, &scope, head).await?;
    let named = stock.clone();
    let (mean_kinships, inbreeding_rate) = computed(&seat, move || {
        Ok((book.mean_kinships(&stock, &stock)?, book.inbreeding_rate(&stock)?))
    })
    .await?;
    let mean_kinship = MeanKinship::mean_of(&mean_kinships);
    let dogs = particulars(&app, &scope, &named).await?;
    let report = PopulationReport { mean_kinships, mean_kinship, inbreeding_rate, dogs };
    Ok(HttpResponse::Ok().json(report))
}
