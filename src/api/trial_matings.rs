//! Matings that were not made: the inbreeding that their pups would have.

use super::{
    inbreeding::{MOST_LIMITED_GENERATIONS, book, computed, particulars, within},
    problem::Kind,
    resource::prelude::*,
};
use catalogue::{Text, said};
use domain::{
    fault::Faults,
    inbreeding::{
        choice::TrialPair,
        lower_bound::about_inbreeding,
        report::{InbreedingReport, ReportSize},
    },
    record::Sex,
    seen_traits::{SeenTraitPairs, TraitSigns, grid_cautions},
};
use serde::{Deserialize, Serialize};
use std::{
    collections::{BTreeSet, HashMap, HashSet},
    sync::Arc,
};
use store::{kennels, pedigrees, seen_traits, studbooks};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(try_matings);
}

/// Most pairs of one request: an answer stays under 1 MB.
pub(crate) const MOST_PAIRS: usize = 4_000;
/// Most pairs for which a figure over some generations is computed, each by itself.
const MOST_LIMITED_PAIRS: usize = 2_000;
/// Most pairs that are explained.
const MOST_EXPLAINED: usize = 20;

/// Dams and sires to try with one another.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct TrialMatingRequest {
    /// Dams; dams times sires may be 4,000 pairs.
    #[schema(min_items = 1, max_items = 4000)]
    dams: Vec<Uuid>,
    /// Sires.
    #[schema(min_items = 1, max_items = 4000)]
    sires: Vec<Uuid>,
    /// Adds the figure over so many generations alone (`limited_inbreeding`), as certificates
    /// quote it; for at most 2000 pairs.
    #[serde(default)]
    #[schema(example = 5, minimum = 1, maximum = 50)]
    generations: Option<u32>,
    /// Whether to say where the inbreeding comes from; for at most 20 pairs.
    #[serde(default)]
    explain: bool,
}

/// Where the inbreeding of pups of one pair would come from.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct TrialExplanation {
    /// The dam.
    dam_id: Uuid,
    /// The sire.
    sire_id: Uuid,
    /// Common ancestors, paths, founders, completeness.
    report: InbreedingReport,
}

/// What pups of every pair would be.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct TrialMatings {
    /// One entry a pair, dam by dam in the order given.
    pairs: Vec<TrialPair>,
    /// One entry a pair when asked for, in the same order; else empty.
    explanations: Vec<TrialExplanation>,
    /// Why every coefficient is a lower bound.
    #[schema(value_type = String)]
    about_inbreeding: Text,
    /// What is seen of the dams and sires without any test, and what to mind before they are mated.
    cautions: Vec<SeenTraitPairs>,
}

/// Compute the inbreeding that pups of every dam with every sire would have.
#[utoipa::path(tag = "pedigree", request_body = TrialMatingRequest,
    responses((status = 200, description = "Every pair.", body = TrialMatings)))]
#[post("/v1/kennels/{kennel_id}/trial-matings")]
pub(crate) async fn try_matings(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let scope = scope.0;
    let asked: TrialMatingRequest = body.parse().await?;
    let generations = within(asked.generations, "/generations", MOST_LIMITED_GENERATIONS)?;
    check_size(&asked)?;
    let seat = app.room.seat(scope.kennel_id()).await?;
    let both: Vec<Uuid> = asked.dams.iter().chain(&asked.sires).copied().collect();
    let (sexes, head, signs, rules) = app
        .db
        .within(&scope, async |tx| {
            let sexes = pedigrees::sexes(tx, &both).await?;
            let signs = seen_traits::signs_of(tx, &both).await?;
            Ok((sexes, studbooks::head(tx).await?, signs, kennels::rules(tx).await?))
        })
        .await?;
    let mut faults = Faults::new();
    check_parents("dams", &asked.dams, Sex::Female, &sexes, &mut faults);
    check_parents("sires", &asked.sires, Sex::Male, &sexes, &mut faults);
    faults.into_result().map_err(|faults| Problem::faults(Kind::NotAcceptable, faults))?;
    let book = book(&app, &scope, head).await?;
    let explain = asked.explain;
    let TrialMatingRequest { dams, sires, .. } = asked;
    let known = Arc::clone(&book);
    let (pairs, mut explanations, cautions) = computed(&seat, move || {
        let seen = |dogs: &[Uuid]| -> Vec<(Uuid, TraitSigns)> {
            dogs.iter().filter_map(|id| Some((*id, signs.get(id)?.clone()))).collect()
        };
        let cautions = grid_cautions(&seen(&dams), &seen(&sires), &rules);
        let pairs = known.trial_pairs(&dams, &sires, generations)?;
        let size = ReportSize { generations, ..ReportSize::default() };
        let explained = pairs.iter().filter(|_| explain).map(|pair| {
            let TrialPair { dam_id, sire_id, .. } = *pair;
            let report = known.trial_report(sire_id, dam_id, size)?;
            Ok(TrialExplanation { dam_id, sire_id, report })
        });
        let explained = explained.collect::<Result<Vec<_>, _>>()?;
        Ok((pairs, explained, cautions))
    })
    .await?;
    let named: BTreeSet<Uuid> = explanations.iter().flat_map(|one| one.report.named()).collect();
    if !named.is_empty() {
        let dogs = particulars(&app, &scope, &named.into_iter().collect::<Vec<_>>()).await?;
        let dogs: HashMap<Uuid, _> = dogs.into_iter().map(|dog| (dog.dog_id, dog)).collect();
        for one in &mut explanations {
            let named = one.report.named();
            one.report.dogs = named.iter().filter_map(|id| dogs.get(id).cloned()).collect();
        }
    }
    let answer = move || {
        Ok(TrialMatings { pairs, explanations, about_inbreeding: about_inbreeding(), cautions })
    };
    seat.answer(answer).await
}

fn check_size(asked: &TrialMatingRequest) -> Result<(), Problem> {
    let pairs = asked.dams.len().saturating_mul(asked.sires.len());
    let mut faults = Faults::new();
    faults.unless(pairs <= MOST_PAIRS, "/sires", || {
        said!("fault-too-many-pairs", pairs = pairs, most = MOST_PAIRS)
    });
    faults.unless(
        asked.generations.is_none() || pairs <= MOST_LIMITED_PAIRS,
        "/generations",
        || said!("fault-too-many-pairs-limited", pairs = pairs, most = MOST_LIMITED_PAIRS),
    );
    faults.unless(!asked.explain || pairs <= MOST_EXPLAINED, "/explain", || {
        said!("fault-too-many-pairs-explained", pairs = pairs, most = MOST_EXPLAINED)
    });
    faults.into_result().map_err(|faults| Problem::faults(Kind::NotAcceptable, faults))
}

/// Reports dogs that are not there, of the wrong sex, or twice in a list.
pub(crate) fn check_parents(
    list: &str,
    dogs: &[Uuid],
    wanted: Sex,
    sexes: &HashMap<Uuid, Option<Sex>>,
    faults: &mut Faults,
) {
    let mut seen = HashSet::new();
    for (index, dog) in dogs.iter().enumerate() {
        let pointer = format!("/{list}/{index}");
        match sexes.get(dog) {
            None => faults.add(&pointer, said!("fault-not-found-dog-of-list")),
            Some(Some(sex)) if *sex != wanted => {
                let detail = match wanted {
                    Sex::Female => said!("fault-wrong-sex-not-female"),
                    Sex::Male => said!("fault-wrong-sex-not-male"),
                };
                faults.add(&pointer, detail);
            }
            Some(_) => {}
        }
        faults.unless(seen.insert(dog), &pointer, || said!("fault-twice-dog-of-list"));
    }
}
