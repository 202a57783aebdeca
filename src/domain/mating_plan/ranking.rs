//! Sires ranked for a dam, and the whole grid of a year's dams and sires, with every exclusion
//! reasoned.

use super::{
    candidate::{MatingCandidate, PlanContext, check_candidates, close_kin},
    proposal::ProposalPair,
    score::{MatingScorePart, PairFigures, describe, formula, parts, score},
};
use crate::{
    advice::{Caution, Level},
    breeding_limits::{
        BreedingSex, DamHistory, LimitFinding, LimitKind, LimitResult, RuleSet, SireHistory,
        check_dam, check_sire,
    },
    fault::Fault,
    inbreeding::lower_bound::about_inbreeding,
    markers::{GeneticRiskKind, PairGeneticRisk},
    seen_traits::{SeenTraitCaution, pair_cautions},
};
use catalogue::{Text, figure, said};
use serde::{Deserialize, Serialize};
use std::cmp::Reverse;
use utoipa::ToSchema;
use uuid::Uuid;

/// Why a mating is left out of the ranking.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum MatingExclusionKind {
    /// The dam or sire cannot be mated at all.
    Unavailable,
    /// A limit on ages, litters or kin is broken.
    BreedingLimit,
    /// The pups' inbreeding is over the ceiling.
    InbreedingCeiling,
    /// A pup is affected with a greater chance than the kennel allows.
    AffectedPups,
    /// Both parents carry merle, by test or by what is seen.
    DoubleMerle,
}

/// One reason for leaving a mating out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct MatingExclusion {
    /// Its kind.
    pub reason: MatingExclusionKind,
    /// The figures behind it.
    #[schema(value_type = String, example = "inbreeding of at least 0.2500 is over the ceiling of 0.065")]
    pub detail: Text,
    /// Where the rule comes from.
    pub source: String,
}

/// A mating that nothing speaks against, with its score.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RankedMating {
    /// The dam.
    pub dam_id: Uuid,
    /// The sire.
    pub sire_id: Uuid,
    /// Place among the dam's sires, from 1; equal scores share a place.
    #[schema(example = 1)]
    pub rank: u32,
    /// Score, 0 to 1; see the formula.
    #[schema(example = 0.87)]
    pub score: f64,
    /// Inbreeding of the pups, which is the kinship of the parents; a lower bound, since ancestors
    /// that are not known count as unrelated; `null` when not known.
    #[schema(example = 0.015625)]
    pub inbreeding: Option<f64>,
    /// Complete generation equivalents of the pups' pedigree behind that figure.
    #[schema(example = 6.4)]
    pub complete_generation_equivalents: Option<f64>,
    /// Mean kinship of the pups to the living breeding stock, its own parents not counted.
    pub mean_kinship: Option<f64>,
    /// Mean kinship of the pups to the living dogs of the breed, where one was asked for; it is not scored.
    pub mean_kinship_to_breed: Option<f64>,
    /// Parts of the score.
    pub parts: Vec<MatingScorePart>,
    /// Genetic risks that are not ruled out.
    pub risks: Vec<PairGeneticRisk>,
    /// What is seen of the two without any test, and what to mind before they are mated.
    pub cautions: Vec<Caution>,
    /// Limits that the records do not decide, and what else to know.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Text>,
}

/// A mating that is left out, with all reasons.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ExcludedMating {
    /// The dam.
    pub dam_id: Uuid,
    /// The sire.
    pub sire_id: Uuid,
    /// Inbreeding of the pups, a lower bound; `null` when not known.
    pub inbreeding: Option<f64>,
    /// Complete generation equivalents of the pups' pedigree behind that figure.
    #[schema(example = 6.4)]
    pub complete_generation_equivalents: Option<f64>,
    /// Every reason.
    pub exclusions: Vec<MatingExclusion>,
    /// What is seen of the two without any test, and what to mind before they are mated.
    pub cautions: Vec<Caution>,
}

/// The sires on offer for one dam.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SireRanking {
    /// The dam.
    pub dam_id: Uuid,
    /// Possible sires, best first.
    pub ranked: Vec<RankedMating>,
    /// Sires left out, fewest reasons first.
    pub excluded: Vec<ExcludedMating>,
    /// All of them, also those that did not fit the answer.
    #[schema(example = 7)]
    pub ranked_in_all: usize,
    /// All of them.
    #[schema(example = 3)]
    pub excluded_in_all: usize,
}

/// A ranking for every dam of the year.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MatingGrid {
    /// One ranking a dam, in the order given.
    pub dams: Vec<SireRanking>,
    /// How the score is made.
    #[schema(value_type = String)]
    pub formula: Text,
    /// Why every coefficient is a lower bound.
    #[schema(value_type = String)]
    pub about_inbreeding: Text,
    /// Title of the rule set that limits were held against.
    #[schema(value_type = String)]
    pub rule_set: Text,
    /// The line on local law.
    #[schema(value_type = String)]
    pub law: Text,
}

impl MatingGrid {
    /// The pairs that are not excluded, for a year's proposal; `at_most` litters each.
    pub(crate) fn allowed_pairs(&self, at_most: u32) -> Vec<ProposalPair> {
        let pair =
            |m: &RankedMating| ProposalPair { dam_id: m.dam_id, sire_id: m.sire_id, at_most };
        self.dams.iter().flat_map(|dam| dam.ranked.iter().map(pair)).collect()
    }

    /// Why a pair is left out; `None` where nothing speaks against it.
    pub(crate) fn reasons(&self, dam_id: Uuid, sire_id: Uuid) -> Option<Vec<Text>> {
        let of_dam = self.dams.iter().find(|dam| dam.dam_id == dam_id)?;
        let pair = of_dam.excluded.iter().find(|pair| pair.sire_id == sire_id)?;
        Some(pair.exclusions.iter().map(|reason| reason.detail.clone()).collect())
    }

    /// Keeps so many matings as an answer can hold, and as many exclusions, an equal share for each dam
    /// and at least one: her best sires, and those that the least speaks against.
    pub(crate) fn shorten(&mut self, matings: usize) {
        let share = (matings / self.dams.len().max(1)).max(1);
        for dam in &mut self.dams {
            dam.ranked.truncate(share);
            dam.excluded.truncate(share);
        }
    }
}

/// Ranks every sire for every dam by the stated score and reasons each exclusion.
///
/// Excluded are dogs not on offer, broken limits of the rule set, pups over the rule
/// `breeding.inbreeding_ceiling`, a chance of affected pups surely over
/// `breeding.affected_chance_max`, and merle with merle. What is not known never excludes; it is
/// noted and scores `breeding.unknown_part`.
///
/// # Errors
/// No dam or no sire, a dog twice in a list, a dog of the wrong sex, more pairs than
/// `breeding.grid_pairs_limit`.
pub(crate) fn plan_grid(
    dams: &[MatingCandidate],
    sires: &[MatingCandidate],
    context: &PlanContext<'_>,
) -> Result<MatingGrid, Vec<Fault>> {
    check_candidates(dams, sires, context.rules)?;
    let screen = Screen::new(context);
    let sides: Vec<Side<'_>> = sires.iter().map(|sire| screen.sire(sire)).collect();
    let rows = dams.iter().map(|dam| screen.rank(&screen.dam(dam), &sides)).collect();
    Ok(MatingGrid {
        dams: rows,
        formula: formula(),
        about_inbreeding: about_inbreeding(),
        rule_set: context.rule_set.title.clone(),
        law: context.law.clone(),
    })
}

/// A dam or sire with what does not depend on the mate.
struct Side<'a> {
    dog: &'a MatingCandidate,
    findings: Vec<LimitFinding>,
    mean_kinship: Option<f64>,
}

struct Screen<'a> {
    context: &'a PlanContext<'a>,
    /// The rule set's limits on one dog, and on the kinship of the two.
    single: RuleSet,
    kin: RuleSet,
}

impl<'a> Screen<'a> {
    fn new(context: &'a PlanContext<'a>) -> Self {
        let part = |kin: bool| {
            let mut set = context.rule_set.clone();
            set.limits.retain(|l| (l.kind == LimitKind::NoParentOffspringOrFullSib) == kin);
            set
        };
        Self { context, single: part(false), kin: part(true) }
    }

    fn dam(&self, dog: &'a MatingCandidate) -> Side<'a> {
        let history = DamHistory { born_on: dog.born_on, ..dog.history.clone() };
        self.side(dog, check_dam(&self.single, &history, self.context.mated_on))
    }

    fn sire(&self, dog: &'a MatingCandidate) -> Side<'a> {
        let history = SireHistory { born_on: dog.born_on };
        self.side(dog, check_sire(&self.single, &history, self.context.mated_on))
    }

    fn side(&self, dog: &'a MatingCandidate, findings: Vec<LimitFinding>) -> Side<'a> {
        let mean_kinship = self.context.kinship.mean_to(dog.id, self.context.stock);
        Side { dog, findings, mean_kinship }
    }

    fn rank(&self, dam: &Side<'a>, sires: &[Side<'a>]) -> SireRanking {
        let mut ranking = SireRanking {
            dam_id: dam.dog.id,
            ranked: Vec::new(),
            excluded: Vec::new(),
            ranked_in_all: 0,
            excluded_in_all: 0,
        };
        for sire in sires {
            crate::stop::look();
            match self.weigh(dam, sire) {
                Ok(mating) => ranking.ranked.push(mating),
                Err(mating) => ranking.excluded.push(mating),
            }
        }
        // Equal scores keep the order of ids, so that an answer does not depend on row order.
        ranking.ranked.sort_by(|a, b| b.score.total_cmp(&a.score).then(a.sire_id.cmp(&b.sire_id)));
        ranking.excluded.sort_by_key(|m| (Reverse(m.exclusions.len()), m.sire_id));
        ranking.excluded.reverse();
        ranking.ranked_in_all = ranking.ranked.len();
        ranking.excluded_in_all = ranking.excluded.len();
        let (mut place, mut last) = (0, f64::NAN);
        for (at, mating) in (1_u32..).zip(&mut ranking.ranked) {
            if mating.score != last {
                (place, last) = (at, mating.score);
            }
            mating.rank = place;
        }
        ranking
    }

    fn weigh(&self, dam: &Side<'a>, sire: &Side<'a>) -> Result<RankedMating, ExcludedMating> {
        let (dam_id, sire_id) = (dam.dog.id, sire.dog.id);
        let inbreeding = self.context.kinship.kinship(dam_id, sire_id);
        let risks = self.context.genotypes.filter(|book| !book.is_empty());
        let risks = risks.map(|book| book.risks(dam_id, sire_id));
        let kin = DamHistory {
            parent_offspring_or_full_sib: close_kin(dam.dog, sire.dog),
            ..DamHistory::default()
        };
        let kin = check_dam(&self.kin, &kin, self.context.mated_on);
        let findings = || dam.findings.iter().chain(&sire.findings).chain(&kin);
        let mut exclusions = self.exclusions([dam.dog, sire.dog], inbreeding, risks.as_deref());
        exclusions.extend(findings().filter(|f| f.result == LimitResult::Unmet).map(|f| {
            MatingExclusion {
                reason: MatingExclusionKind::BreedingLimit,
                detail: f.detail.clone(),
                source: f.source.clone(),
            }
        }));
        let seen = self.seen([dam_id, sire_id]);
        exclusions.extend(seen.iter().filter(|one| one.caution.level >= Level::Act).map(|one| {
            MatingExclusion {
                reason: MatingExclusionKind::DoubleMerle,
                detail: one.caution.why.clone(),
                source: one.caution.source.clone(),
            }
        }));
        let cautions = seen.into_iter().map(|one| one.caution).collect();
        let complete_generation_equivalents = self.pups_generations([dam_id, sire_id]);
        if !exclusions.is_empty() {
            return Err(ExcludedMating {
                dam_id,
                sire_id,
                inbreeding,
                complete_generation_equivalents,
                exclusions,
                cautions,
            });
        }
        let mean_kinship = dam.mean_kinship.zip(sire.mean_kinship).map(|(d, s)| 0.5 * (d + s));
        let figures = PairFigures {
            dam: dam.dog,
            sire: sire.dog,
            inbreeding,
            mean_kinship,
            risks: risks.as_deref(),
        };
        let parts = parts(&figures, self.context);
        let undecided = findings().filter(|f| f.result == LimitResult::Unknown);
        let note = |finding: &LimitFinding| {
            said!("mating-undecided", detail = &finding.detail, source = &finding.source)
        };
        let mut notes: Vec<Text> = undecided.map(note).collect();
        notes.extend(self.pedigree_notes([dam_id, sire_id], inbreeding));
        Ok(RankedMating {
            dam_id,
            sire_id,
            rank: 0,
            score: score(&parts),
            inbreeding,
            complete_generation_equivalents,
            mean_kinship,
            mean_kinship_to_breed: None,
            parts,
            risks: risks.unwrap_or_default(),
            cautions,
            notes,
        })
    }

    /// Cautions by colour and markings, where both dogs are on record.
    fn seen(&self, pair: [Uuid; 2]) -> Vec<SeenTraitCaution> {
        match pair.map(|id| self.context.traits.get(&id)) {
            [Some(dam), Some(sire)] => pair_cautions(dam, sire, self.context.rules),
            _ => Vec::new(),
        }
    }

    /// Complete generation equivalents of the pups: the mean over both parents of one more.
    fn pups_generations(&self, pair: [Uuid; 2]) -> Option<f64> {
        let known = pair.map(|id| self.context.generations.get(&id));
        let [Some(dam), Some(sire)] = known else { return None };
        Some(1.0 + 0.5 * (dam + sire))
    }

    fn exclusions(
        &self,
        pair: [&MatingCandidate; 2],
        inbreeding: Option<f64>,
        risks: Option<&[PairGeneticRisk]>,
    ) -> Vec<MatingExclusion> {
        let rules = self.context.rules;
        let mut found = Vec::new();
        let mut add = |reason, detail: Text, source: &str| {
            found.push(MatingExclusion { reason, detail, source: source.to_owned() });
        };
        for dog in pair {
            if let Some(reason) = &dog.unavailable {
                let detail = match dog.sex {
                    BreedingSex::Female => said!("mating-dam-not-on-offer", reason = reason),
                    BreedingSex::Male => said!("mating-sire-not-on-offer", reason = reason),
                };
                add(MatingExclusionKind::Unavailable, detail, "the kennel's record");
            }
        }
        let ceiling = rules.get("breeding.inbreeding_ceiling");
        if let Some(f) = inbreeding.filter(|f| *f > ceiling.value + 1e-12) {
            let detail =
                said!("mating-over-ceiling", inbreeding = figure(f, 4), ceiling = ceiling.value);
            add(MatingExclusionKind::InbreedingCeiling, detail, &ceiling.source);
        }
        let allowed = rules.value("breeding.affected_chance_max");
        for risk in risks.unwrap_or_default() {
            let reason = match risk.risk {
                GeneticRiskKind::Affected if risk.lowest > allowed => {
                    MatingExclusionKind::AffectedPups
                }
                GeneticRiskKind::DoubleMerle if risk.lowest > 0.0 => {
                    MatingExclusionKind::DoubleMerle
                }
                _ => continue,
            };
            add(reason, describe(risk), &risk.source);
        }
        found
    }

    fn pedigree_notes(&self, pair: [Uuid; 2], inbreeding: Option<f64>) -> Option<Text> {
        inbreeding?;
        let least = self.context.rules.value("breeding.low_pedigree_generations");
        let known = pair.map(|id| self.context.generations.get(&id).copied());
        let [Some(a), Some(b)] = known else {
            return Some(said!("mating-pedigrees-unknown"));
        };
        (a.min(b) < least).then(|| {
            let generations = figure(a.min(b), 1);
            said!("mating-pedigree-short", generations = generations, least = least)
        })
    }
}
