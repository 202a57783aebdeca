//! The score of a mating: weighted parts, each shown with its figure and source.

use super::candidate::{MatingCandidate, PlanContext};
use crate::{
    listing::semicolons,
    markers::{GeneticRiskKind, PairGeneticRisk},
    partial_date::PartialDate,
    rules::{Rule, Rules},
};
use catalogue::{Text, figure, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Days of a mean year, for ages in years (365.2425, the Gregorian calendar's).
const DAYS_PER_YEAR: f64 = 365.2425;

/// What a part of the score is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ScorePartKind {
    /// Inbreeding of the pups against the ceiling.
    Inbreeding,
    /// Mean kinship of the pups to the living breeding stock.
    MeanKinship,
    /// Genetic risks of the pups.
    Health,
    /// Ages of dam and sire.
    Ages,
}

/// A part of a mating's score.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MatingScorePart {
    /// What it is about.
    pub part: ScorePartKind,
    /// Its points, 0 (worst) to 1 (best).
    #[schema(example = 0.75)]
    pub points: f64,
    /// Its weight against the other parts.
    #[schema(example = 4.0)]
    pub weight: f64,
    /// Whether its figure is known; if not, the points are those of the rule for unknown parts.
    pub known: bool,
    /// The figure and what it is held against.
    #[schema(value_type = String, example = "inbreeding 0.0156, ceiling 0.065")]
    pub detail: Text,
    /// Where the standard comes from.
    pub source: String,
}

/// How the score is made, in words.
pub(super) fn formula() -> Text {
    said!("score-formula")
}

pub(super) struct PairFigures<'a> {
    pub dam: &'a MatingCandidate,
    pub sire: &'a MatingCandidate,
    pub inbreeding: Option<f64>,
    pub mean_kinship: Option<f64>,
    pub risks: Option<&'a [PairGeneticRisk]>,
}

/// The parts of a pair's score, in a fixed order.
pub(super) fn parts(figures: &PairFigures<'_>, context: &PlanContext<'_>) -> Vec<MatingScorePart> {
    let rules = context.rules;
    vec![
        scaled(
            rules,
            ScorePartKind::Inbreeding,
            figures.inbreeding,
            rules.get("breeding.inbreeding_ceiling"),
        ),
        scaled(
            rules,
            ScorePartKind::MeanKinship,
            figures.mean_kinship,
            rules.get("breeding.kinship_full_scale"),
        ),
        health(rules, figures.risks),
        ages(rules, figures.dam.born_on, figures.sire.born_on, context.mated_on),
    ]
}

/// The weighted mean of the parts' points, 0 to 1.
pub(super) fn score(parts: &[MatingScorePart]) -> f64 {
    let weight: f64 = parts.iter().map(|part| part.weight).sum();
    let points: f64 = parts.iter().map(|part| part.weight * part.points).sum();
    if weight > 0.0 { points / weight } else { 0.0 }
}

fn weight(rules: &Rules, part: ScorePartKind) -> f64 {
    rules.value(match part {
        ScorePartKind::Inbreeding => "breeding.weight_inbreeding",
        ScorePartKind::MeanKinship => "breeding.weight_kinship",
        ScorePartKind::Health => "breeding.weight_health",
        ScorePartKind::Ages => "breeding.weight_age",
    })
}

fn part(
    rules: &Rules,
    part: ScorePartKind,
    points: Option<f64>,
    detail: Text,
    source: String,
) -> MatingScorePart {
    let unknown = rules.value("breeding.unknown_part");
    MatingScorePart {
        part,
        points: points.map_or(unknown, |p| p.clamp(0.0, 1.0)),
        weight: weight(rules, part),
        known: points.is_some(),
        detail,
        source,
    }
}

fn scaled(rules: &Rules, kind: ScorePartKind, value: Option<f64>, scale: &Rule) -> MatingScorePart {
    let points = value.map(|v| if scale.value > 0.0 { 1.0 - v / scale.value } else { 0.0 });
    let against = scale.value;
    let detail = match (kind, value) {
        (ScorePartKind::MeanKinship, Some(v)) => {
            said!("score-kinship", kinship = figure(v, 4), full_scale = against)
        }
        (ScorePartKind::MeanKinship, None) => {
            said!("score-kinship-unknown", full_scale = against)
        }
        (_, Some(v)) => said!("score-inbreeding", inbreeding = figure(v, 4), ceiling = against),
        (_, None) => said!("score-inbreeding-unknown", ceiling = against),
    };
    part(rules, kind, points, detail, scale.source.clone())
}

fn health(rules: &Rules, risks: Option<&[PairGeneticRisk]>) -> MatingScorePart {
    let worst = risks.map(|all| all.iter().fold(0.0_f64, |worst, risk| worst.max(risk.highest)));
    let detail = match (risks, worst) {
        (None, _) => said!("score-no-test"),
        (Some([]), _) => said!("score-no-risk"),
        (Some(all), _) => semicolons(all.iter().map(describe)),
    };
    let source = rules.get("breeding.affected_chance_max").source.clone();
    part(rules, ScorePartKind::Health, worst.map(|w| 1.0 - w), detail, source)
}

/// A risk in words.
pub(super) fn describe(risk: &PairGeneticRisk) -> Text {
    let (low, high) = (figure(100.0 * risk.lowest, 1), figure(100.0 * risk.highest, 1));
    let chance = if risk.highest - risk.lowest < 1e-12 {
        said!("chance-percent", share = high)
    } else {
        said!("chance-percent-range", low = low, high = high)
    };
    let name = &risk.name;
    match risk.risk {
        GeneticRiskKind::Affected => said!("risk-affected", name = name, chance = chance),
        GeneticRiskKind::OneCopyHarms => said!("risk-one-copy", name = name, chance = chance),
        GeneticRiskKind::DoubleMerle => said!("risk-double-merle", name = name, chance = chance),
        GeneticRiskKind::DiesBeforeBirth => said!("risk-lost", name = name, chance = chance),
    }
}

/// Greatest age in years that a birth date allows.
fn age_years(born: PartialDate, on: NaiveDate) -> f64 {
    (on - born.earliest()).num_days() as f64 / DAYS_PER_YEAR
}

fn ages(
    rules: &Rules,
    dam: Option<PartialDate>,
    sire: Option<PartialDate>,
    on: NaiveDate,
) -> MatingScorePart {
    let falling = |age: f64, best: f64, none: f64| {
        if age <= best { 1.0 } else { (none - age) / (none - best).max(1e-9) }
    };
    let value = |key| rules.value(key);
    let (from, to) =
        (value("breeding.dam_best_age_from_years"), value("breeding.dam_best_age_to_years"));
    let of_dam = dam.map(|born| {
        let age = age_years(born, on);
        if age < from { age / from } else { falling(age, to, value("breeding.dam_decline_years")) }
    });
    let of_sire = sire.map(|born| {
        let best = value("breeding.sire_best_age_to_years");
        falling(age_years(born, on), best, value("breeding.sire_decline_years"))
    });
    let years = |born: Option<PartialDate>| {
        born.map_or_else(
            || said!("score-age-unknown"),
            |born| said!("score-age", years = figure(age_years(born, on), 1)),
        )
    };
    let detail = said!(
        "score-ages",
        dam = years(dam),
        dam_from = from,
        dam_to = to,
        sire = years(sire),
        sire_to = value("breeding.sire_best_age_to_years")
    );
    let points = of_dam.zip(of_sire).map(|(d, s)| d.min(s));
    let source = rules.get("breeding.dam_best_age_to_years").source.clone();
    part(rules, ScorePartKind::Ages, points, detail, source)
}
