//! Matings that were not made: the inbreeding that their pups would have.

use super::{
    inbreeding::{MOST_LIMITED_GENERATIONS, book, computed, particulars, within},
    resource::prelude::*,
};
use catalogue::Text;
use domain::{
    admission::TrialGrid,
    inbreeding::{
        choice::TrialPair,
        lower_bound::about_inbreeding,
        report::{InbreedingReport, ReportSize},
    },
    seen_traits::{SeenTraitPairs, TraitSigns, grid_cautions},
};
use serde::{Deserialize, Serialize};
use std::{
    collections::{BTreeSet, HashMap},
    sync::Arc,
};
use store::{StoreError, kennels, pedigrees, seen_traits, studbooks};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(try_matings);
}

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
    let TrialMatingRequest { dams, sires, explain, .. } = asked;
    let (limited, explained) = (generations.is_some(), explain);
    let grid = TrialGrid { dams: &dams, sires: &sires, limited, explained };
    grid.admit_size().map_err(StoreError::from)?;
    let seat = app.room.seat(scope.kennel_id()).await?;
    let both: Vec<Uuid> = dams.iter().chain(&sires).copied().collect();
    let (sexes, head, signs, rules) = app
        .db
        .within(&scope, async |tx| {
            tokio::try_join!(
                pedigrees::sexes(tx, &both),
                studbooks::head(tx),
                seen_traits::signs_of(tx, &both),
                kennels::rules(tx)
            )
        })
        .await?;
    grid.admit_parents(&sexes).map_err(StoreError::from)?;
    let book = book(&app, &scope, head).await?;
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
