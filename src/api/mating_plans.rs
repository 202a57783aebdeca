//! Which matings to make: sires ranked for dams, a year's proposal, and the state of the stock.

use super::{
    inbreeding::{book, computed, particulars},
    problem::Kind,
    resource::prelude::*,
};
use chrono::NaiveDate;
use domain::{
    breeding_limits::{BreedingSex, RuleSet},
    family_tree::PedigreeDog,
    fault::{Fault, Faults},
    inbreeding::{Studbook, choice::MeanKinship, population::InbreedingRate},
    markers::{GenotypeBook, GenotypeResult, MarkerCatalogue, MarkerFamily},
    mating_plan::{
        KinshipTable, MatingCandidate, MatingGrid, PlanContext, ProposalAnimal, YearPlanRequest,
        YearProposal, plan_grid, propose_year,
    },
    pedigree::PedigreeRow,
    rules::Rules,
    seen_traits::TraitSigns,
};
use serde::{Deserialize, Serialize};
use std::{
    collections::{BTreeSet, HashMap, HashSet},
    sync::Arc,
};
use store::{genotypes, kennels, mating_plans, pedigrees, seen_traits, studbooks};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(plan_matings).service(list_rule_sets).service(read_population);
}

/// Most dogs that a plan weighs, breeding stock included: kinship is computed of every two.
const MOST_DOGS: usize = 600;
/// Most matings that an answer tells, and as many that are left out: it stays under 1 MB.
const MOST_TOLD: usize = 300;
/// Generations whose genetic tests tell of an untested dog.
const FAMILY_GENERATIONS: u32 = 2;
/// The rule set when none is chosen.
const DEFAULT_RULE_SET: &str = "careful";

/// What to plan.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MatingPlanRequest {
    /// Dams; all females of the living breeding stock when left out or empty.
    #[serde(default)]
    #[schema(max_items = 600)]
    dams: Vec<Uuid>,
    /// Sires; all males of the living breeding stock when left out or empty.
    #[serde(default)]
    #[schema(max_items = 600)]
    sires: Vec<Uuid>,
    /// Day of mating that ages and rests are counted to; today when left out.
    #[serde(default)]
    mated_on: Option<NaiveDate>,
    /// Name of the rule set that limits are held against; `careful` when left out.
    #[serde(default)]
    #[schema(example = "careful", min_length = 1, max_length = 100)]
    rule_set: Option<String>,
    /// Litters wanted: adds the proposal of pairs with the lowest mean kinship of the pups.
    #[serde(default)]
    #[schema(example = 4, minimum = 1, maximum = 1000)]
    litters: Option<u32>,
    /// Most litters of a dam in the proposal; 1 when left out.
    #[serde(default)]
    #[schema(example = 1, minimum = 1, maximum = 10)]
    litters_per_dam: Option<u32>,
    /// Most litters of a sire in the proposal; as many as wanted when left out.
    #[serde(default)]
    #[schema(example = 2, minimum = 1, maximum = 1000)]
    litters_per_sire: Option<u32>,
    /// Pups expected in a litter; the rule `breeding.pups_per_litter` when left out.
    #[serde(default)]
    #[schema(example = 6.5, minimum = 1, maximum = 24)]
    pups_per_litter: Option<f64>,
}

/// Sires ranked for every dam, and the proposal when litters were asked for.
#[derive(Debug, Serialize, ToSchema)]
pub struct MatingPlan {
    /// Every dam's sires, best first, and those left out with all reasons.
    grid: MatingGrid,
    /// Which pairs to mate, with a bound on how much better any plan could be; null when no
    /// number of litters was asked for.
    proposal: Option<YearProposal>,
    /// Dogs of the living breeding stock that mean kinship is taken to.
    #[schema(example = 14)]
    breeding_stock: usize,
    /// Who the dogs are.
    dogs: Vec<PedigreeDog>,
}

/// All that a plan is computed from.
struct PlanInput {
    asked: MatingPlanRequest,
    book: Arc<Studbook<Uuid>>,
    dams: Vec<MatingCandidate>,
    sires: Vec<MatingCandidate>,
    stock: Vec<Uuid>,
    family: Vec<PedigreeRow<Uuid>>,
    results: Vec<(Uuid, GenotypeResult)>,
    traits: HashMap<Uuid, TraitSigns>,
    rule_set: &'static RuleSet,
    rules: Rules,
    mated_on: NaiveDate,
}

/// Rank every sire for every dam, and propose a year's matings.
///
/// Excluded matings carry every reason; what is not known never excludes, it is noted. One dam
/// gives the ranking for her. Of all, some 300 matings and exclusions are told.
#[utoipa::path(tag = "planning", request_body = MatingPlanRequest,
    responses((status = 200, description = "The plan.", body = MatingPlan)))]
#[post("/v1/kennels/{kennel_id}/mating-plans")]
pub async fn plan_matings(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let scope = scope.0;
    let asked: MatingPlanRequest = body.parse().await?;
    let rule_set = rule_set(asked.rule_set.as_deref())?;
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
    let [dams, sires] = chosen(&asked, &stock, &known).map_err(refused)?;
    let book = book(&app, &scope, head).await?;
    let named: Vec<Uuid> = dams.iter().chain(&sires).map(|dog| dog.id).collect();
    let family = book.near_ancestors(&named, FAMILY_GENERATIONS)?;
    let members: Vec<Uuid> = family.iter().map(|row| row.id).collect();
    let (results, traits) = app
        .db
        .within(&scope, async |tx| {
            let results = genotypes::results_of(tx, &members).await?;
            Ok((results, seen_traits::signs_of(tx, &named).await?))
        })
        .await?;
    let mated_on = asked.mated_on.unwrap_or_else(|| scope.today());
    let breeding_stock = stock.len();
    let input = PlanInput {
        asked,
        book,
        dams,
        sires,
        stock,
        family,
        results,
        traits,
        rule_set,
        rules,
        mated_on,
    };
    let (grid, proposal) = computed(&seat, move || Ok(planned(&input))).await?.map_err(refused)?;
    let dogs = particulars(&app, &scope, &named).await?;
    Ok(HttpResponse::Ok().json(MatingPlan { grid, proposal, breeding_stock, dogs }))
}

fn refused(faults: Vec<Fault>) -> Problem {
    Problem::faults(Kind::NotAcceptable, faults)
}

fn rule_set(name: Option<&str>) -> Result<&'static RuleSet, Problem> {
    RuleSet::named(name.unwrap_or(DEFAULT_RULE_SET)).ok_or_else(|| {
        let known: Vec<&str> = RuleSet::all().iter().map(|set| set.name.as_str()).collect();
        let detail = format!("is no rule set; known: {}", known.join(", "));
        Problem::fault(Kind::NotAcceptable, "/rule_set", detail)
    })
}

/// The candidates that were named, or those of the breeding stock.
fn chosen(
    asked: &MatingPlanRequest,
    stock: &[Uuid],
    known: &HashMap<Uuid, MatingCandidate>,
) -> Result<[Vec<MatingCandidate>; 2], Vec<Fault>> {
    let mut faults = Faults::new();
    let mut list = |name: &str, named: &[Uuid], sex: BreedingSex| -> Vec<MatingCandidate> {
        if named.is_empty() {
            let of_stock = stock.iter().filter_map(|id| known.get(id));
            return of_stock.filter(|dog| dog.sex == sex).cloned().collect();
        }
        let mut found = Vec::new();
        for (at, id) in named.iter().enumerate() {
            match known.get(id) {
                Some(dog) => found.push(dog.clone()),
                None => faults.add(
                    format!("/{name}/{at}"),
                    "names no dog of this kennel's list whose sex is known",
                ),
            }
        }
        found
    };
    let dams = list("dams", &asked.dams, BreedingSex::Female);
    let sires = list("sires", &asked.sires, BreedingSex::Male);
    let dogs: HashSet<Uuid> =
        stock.iter().copied().chain(dams.iter().chain(&sires).map(|dog| dog.id)).collect();
    faults.unless(dogs.len() <= MOST_DOGS, "/dams", || {
        format!(
            "{} dogs with the sires and the breeding stock; {MOST_DOGS} are the most",
            dogs.len()
        )
    });
    faults.into_result()?;
    Ok([dams, sires])
}

fn planned(input: &PlanInput) -> Result<(MatingGrid, Option<YearProposal>), Vec<Fault>> {
    let PlanInput { asked, book, dams, sires, stock, rules, .. } = input;
    let gone = |_| vec![Fault { pointer: String::new(), detail: "a dog was deleted".to_owned() }];
    let ids: BTreeSet<Uuid> =
        dams.iter().chain(sires).map(|dog| dog.id).chain(stock.iter().copied()).collect();
    let ids: Vec<Uuid> = ids.into_iter().collect();
    let values = book.kinship_values(&ids).map_err(gone)?;
    let generations = book.generation_equivalents(&ids).map_err(gone)?;
    let kinship = KinshipTable::new(ids, values)?;
    let females: HashSet<Uuid> =
        dams.iter().chain(sires).filter(|d| d.sex == BreedingSex::Female).map(|d| d.id).collect();
    let family = MarkerFamily::of_pedigree(&input.family, &females, &input.results)?;
    let named: Vec<Uuid> = dams.iter().chain(sires).map(|dog| dog.id).collect();
    let genotypes = GenotypeBook::new(&family, MarkerCatalogue::standard(), &[], &named, rules)?;
    let context = PlanContext {
        kinship: &kinship,
        stock,
        generations: &generations,
        traits: &input.traits,
        genotypes: Some(&genotypes),
        rule_set: input.rule_set,
        rules,
        mated_on: input.mated_on,
    };
    let mut grid = plan_grid(dams, sires, &context)?;
    let Some(litters) = asked.litters else {
        grid.shorten(MOST_TOLD);
        return Ok((grid, None));
    };
    let per_dam = asked.litters_per_dam.unwrap_or(1);
    let per_sire = asked.litters_per_sire.unwrap_or(litters);
    let offer = |dogs: &[MatingCandidate], at_most| {
        dogs.iter().map(|dog| ProposalAnimal { id: dog.id, at_least: 0, at_most }).collect()
    };
    let request = YearPlanRequest {
        litters,
        dams: offer(dams, per_dam),
        sires: offer(sires, per_sire),
        pairs: grid.allowed_pairs(per_dam),
        pups_per_litter: asked.pups_per_litter,
    };
    let proposal = propose_year(&request, &kinship, rules)?;
    grid.shorten(MOST_TOLD);
    Ok((grid, Some(proposal)))
}

/// The rule sets on breeding limits.
#[derive(Debug, Serialize, ToSchema)]
pub struct BreedingRuleSets {
    /// All sets, each limit with its source.
    items: Vec<RuleSet>,
    /// Always null: all come at once.
    next_cursor: Option<String>,
    /// When they were last compared with their sources.
    checked_on: NaiveDate,
    /// The line on local law.
    law: String,
}

/// List the rule sets on ages, litters and kin that a plan can be held against.
#[utoipa::path(tag = "planning", responses((status = 200, description = "All of them.", body = BreedingRuleSets)))]
#[get("/v1/kennels/{kennel_id}/breeding-rule-sets")]
pub async fn list_rule_sets(_scope: InKennel, _path: web::Path<Uuid>) -> HttpResponse {
    HttpResponse::Ok().json(BreedingRuleSets {
        items: RuleSet::all().to_vec(),
        next_cursor: None,
        checked_on: RuleSet::checked_on(),
        law: RuleSet::note().to_owned(),
    })
}

/// How the living breeding stock is related.
#[derive(Debug, Serialize, ToSchema)]
pub struct PopulationReport {
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
pub async fn read_population(
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
