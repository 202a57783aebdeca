//! The inbreeding of a dog or of pups of a trial mating, explained for a person.

use super::{
    Studbook,
    contributions::blood_shares,
    explanation::{self, AncestorContribution, CommonAncestors, common_ancestors},
    limited::inbreeding_within,
    lower_bound::LowerBound,
};
use crate::{
    family_tree::PedigreeDog,
    pedigree::{
        Animal, PedigreeError,
        completeness::{Completeness, completeness_of_pair, depth_of_pair},
    },
    record::{GenomicInbreeding, GenomicMethod},
};
use catalogue::{Text, figure, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use utoipa::ToSchema;
use uuid::Uuid;

/// How much a report lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReportSize {
    /// Limit of the figure over some generations; `None` leaves it out.
    pub generations: Option<u32>,
    /// Generations of which the known ancestors are counted.
    pub counted_generations: u32,
    /// Common ancestors listed, largest contribution first.
    pub ancestors: usize,
    /// Paths listed for each of them, shortest first.
    pub paths: usize,
    /// Founders listed, largest share first.
    pub founders: usize,
    /// Most steps of taking the coefficient apart, see [`explanation::common_ancestors`].
    pub explanation_steps: usize,
}

impl Default for ReportSize {
    fn default() -> Self {
        Self {
            generations: None,
            counted_generations: 10,
            ancestors: 50,
            paths: 10,
            founders: 50,
            // About a second's work.
            explanation_steps: 150_000_000,
        }
    }
}

/// The inbreeding coefficient over the nearest generations only.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LimitedInbreeding {
    /// Generations walked back; the parents are the first.
    #[schema(example = 5)]
    pub generations: u32,
    /// F over these generations alone (0-1); not comparable with the full figure.
    #[schema(example = 0.0312)]
    pub inbreeding: f64,
    /// What was cut.
    #[schema(
        value_type = String,
        example = "An ancestor whose shortest distance is the limit counts as a founder."
    )]
    pub rule: Text,
}

/// A common ancestor of both parents.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CommonAncestor {
    /// The ancestor.
    pub dog_id: Uuid,
    /// Its own inbreeding coefficient (0-1).
    #[schema(example = 0.0625)]
    pub inbreeding: f64,
    /// What it adds to the coefficient (0-1).
    #[schema(example = 0.0332)]
    pub contribution: f64,
    /// All paths through it; `null` where there are more than can be counted exactly.
    #[schema(example = 2)]
    pub path_count: Option<u64>,
    /// Paths, shortest first: from the sire up to the ancestor and down to the dam.
    pub paths: Vec<Vec<Uuid>>,
}

/// A founder's part in the blood.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FounderShare {
    /// The founder: an ancestor whose parents are not known.
    pub dog_id: Uuid,
    /// Expected share of the genes (0-1).
    #[schema(example = 0.125)]
    pub share: f64,
}

/// The inbreeding of a dog or of pups of a trial mating, and where it comes from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct InbreedingReport {
    /// Inbreeding coefficient over the whole pedigree (0-1): Wright's F, founders unrelated.
    #[schema(example = 0.0654)]
    pub inbreeding: f64,
    /// Why it is a lower bound, and how much of the pedigree is behind it.
    pub lower_bound: LowerBound,
    /// The coefficient over the nearest generations only, when asked for.
    pub limited: Option<LimitedInbreeding>,
    /// Common ancestors, largest contribution first.
    pub ancestors: Vec<CommonAncestor>,
    /// Common ancestors that are not listed.
    #[schema(example = 0)]
    pub ancestors_not_listed: usize,
    /// Of these, the oldest in a very large pedigree: what each of them adds was not worked out.
    #[schema(example = 0)]
    pub ancestors_not_examined: usize,
    /// What those not listed add together; with the contributions listed it sums to `inbreeding`.
    #[schema(example = 0.0)]
    pub contribution_not_listed: f64,
    /// How complete the pedigree is: a low coefficient from a short pedigree says little.
    pub known_ancestors: Completeness,
    /// Founders, largest share first.
    pub founders: Vec<FounderShare>,
    /// Founders in all.
    #[schema(example = 14)]
    pub founder_count: usize,
    /// Share of the genes that comes from unknown parents (0-1).
    #[schema(example = 0.0)]
    pub unknown_share: f64,
    /// What laboratories measured in the dog's genome, newest first, beside the pedigree's figure; empty for pups
    /// that are not born.
    pub genomic: Vec<GenomicBesidePedigree>,
    /// Who the dogs named above are.
    pub dogs: Vec<PedigreeDog>,
}

/// Inbreeding as a laboratory measured it, beside what the pedigree says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct GenomicBesidePedigree {
    /// The coefficient that was measured (0-1; less than 0 where there are fewer equal copies than expected).
    #[schema(example = 0.29)]
    pub inbreeding: f64,
    /// How it was measured.
    pub method: GenomicMethod,
    /// Shortest run that counted, in millions of bases.
    pub shortest_run_mb: Option<f64>,
    /// Who measured.
    pub laboratory: Option<String>,
    /// Day of the result.
    pub tested_on: Option<NaiveDate>,
    /// What was measured less what the pedigree says.
    #[schema(example = 0.22)]
    pub above_pedigree: f64,
    /// What the difference means.
    #[schema(value_type = String)]
    pub says: Text,
}

impl InbreedingReport {
    /// The report with what laboratories measured in the dog, newest first.
    #[must_use]
    pub fn with_genomic(mut self, measured: Vec<GenomicInbreeding>) -> Self {
        self.genomic = measured.into_iter().map(|one| self.beside(one)).collect();
        self.genomic.sort_by_key(|one| std::cmp::Reverse(one.tested_on));
        self
    }

    /// A measurement beside the pedigree's figure. The two have different bases: a pedigree begins at its
    /// founders, runs of homozygosity go back as far as the shortest of them are old. That a genome shows more is
    /// therefore expected, and no error of either.
    fn beside(&self, measured: GenomicInbreeding) -> GenomicBesidePedigree {
        let above_pedigree = measured.inbreeding - self.inbreeding;
        let (genome, pedigree) = (figure(measured.inbreeding, 3), figure(self.inbreeding, 3));
        let says = match measured.method {
            GenomicMethod::RunsOfHomozygosity if above_pedigree >= 0.0 => {
                said!("genomic-runs-above", genome = genome, pedigree = pedigree)
            }
            GenomicMethod::RunsOfHomozygosity => {
                said!("genomic-runs-below", genome = genome, pedigree = pedigree)
            }
            _ => said!("genomic-other-base", genome = genome, pedigree = pedigree),
        };
        GenomicBesidePedigree {
            inbreeding: measured.inbreeding,
            method: measured.method,
            shortest_run_mb: measured.shortest_run_mb,
            laboratory: measured.laboratory,
            tested_on: measured.tested_on,
            above_pedigree,
            says,
        }
    }

    /// The dogs that the report names, each once.
    pub fn named(&self) -> BTreeSet<Uuid> {
        let of_ancestors = self
            .ancestors
            .iter()
            .flat_map(|one| one.paths.iter().flatten().copied().chain([one.dog_id]));
        of_ancestors.chain(self.founders.iter().map(|one| one.dog_id)).collect()
    }
}

impl Studbook<Uuid> {
    /// Explains the inbreeding of a dog.
    ///
    /// # Errors
    /// The dog is not in the pedigree.
    pub fn report(
        &self,
        dog_id: Uuid,
        size: ReportSize,
    ) -> Result<InbreedingReport, PedigreeError<Uuid>> {
        let dog = self.position(dog_id)?;
        let parents = self.pedigree().parents();
        let pair = [parents.sire(dog), parents.dam(dog)];
        Ok(self.report_on(pair, self.coefficients()[dog as usize], size))
    }

    /// Explains the inbreeding that pups of a sire and a dam would have.
    ///
    /// # Errors
    /// One of them is not in the pedigree.
    pub fn trial_report(
        &self,
        sire_id: Uuid,
        dam_id: Uuid,
        size: ReportSize,
    ) -> Result<InbreedingReport, PedigreeError<Uuid>> {
        let pair = [Some(self.position(sire_id)?), Some(self.position(dam_id)?)];
        let inbreeding = self.trial_mating(&sire_id, &dam_id)?;
        Ok(self.report_on(pair, inbreeding, size))
    }

    fn report_on(
        &self,
        pair: [Option<Animal>; 2],
        inbreeding: f64,
        size: ReportSize,
    ) -> InbreedingReport {
        let parents = self.pedigree().parents();
        let mut ancestors = Vec::new();
        let mut not_listed = (0, 0.0);
        let mut not_examined = 0;
        let mut limited = size.generations.map(|generations| (generations, 0.0));
        if let [Some(sire), Some(dam)] = pair {
            let steps = size.explanation_steps;
            let found = common_ancestors(parents, self.coefficients(), sire, dam, steps);
            let CommonAncestors { contributions: all, unexamined } = found;
            not_examined = unexamined;
            let sum = |some: &[AncestorContribution]| -> f64 {
                some.iter().map(|one| one.contribution).sum()
            };
            let (listed, rest) = all.split_at(size.ancestors.min(all.len()));
            not_listed = (rest.len() + unexamined, sum(rest));
            if unexamined > 0 {
                not_listed.1 = inbreeding - sum(listed);
            }
            ancestors =
                listed.iter().map(|one| self.common_ancestor(one, sire, dam, size)).collect();
            limited = limited.map(|(k, _)| (k, inbreeding_within(parents, sire, dam, k)));
        }
        let known: Vec<Animal> = pair.into_iter().flatten().collect();
        let (founders, unknown_share) = self.founders(&known);
        let [sire, dam] = pair;
        let depth = depth_of_pair(parents, sire, dam);
        InbreedingReport {
            inbreeding,
            lower_bound: LowerBound::of(sire.is_some(), dam.is_some(), depth),
            limited: limited.map(|(generations, inbreeding)| LimitedInbreeding {
                generations,
                inbreeding,
                rule: said!("inbreeding-limited-rule"),
            }),
            ancestors,
            ancestors_not_listed: not_listed.0,
            ancestors_not_examined: not_examined,
            contribution_not_listed: not_listed.1,
            known_ancestors: completeness_of_pair(parents, sire, dam, size.counted_generations),
            founder_count: founders.len(),
            founders: founders.into_iter().take(size.founders).collect(),
            unknown_share,
            genomic: Vec::new(),
            dogs: Vec::new(),
        }
    }

    fn common_ancestor(
        &self,
        one: &explanation::AncestorContribution,
        sire: Animal,
        dam: Animal,
        size: ReportSize,
    ) -> CommonAncestor {
        let parents = self.pedigree().parents();
        let name = |animal: &Animal| *self.pedigree().id(*animal);
        let paths = explanation::shortest_paths(parents, sire, dam, one.ancestor, size.paths);
        CommonAncestor {
            dog_id: name(&one.ancestor),
            inbreeding: one.inbreeding,
            contribution: one.contribution,
            path_count: one.path_count,
            paths: paths.iter().map(|path| path.iter().map(name).collect()).collect(),
        }
    }

    /// Founders of pups of the `known` parents, and the share from unknown parents.
    fn founders(&self, known: &[Animal]) -> (Vec<FounderShare>, f64) {
        let shares = blood_shares(self.pedigree().parents(), known);
        // Each known parent gives half; an unknown one gives the rest.
        let weight = known.len() as f64 / 2.0;
        let founders = shares.ancestors.iter().filter(|one| one.is_founder).map(|one| {
            FounderShare { dog_id: *self.pedigree().id(one.ancestor), share: one.share * weight }
        });
        (founders.collect(), shares.unknown * weight + (1.0 - weight))
    }

    pub(super) fn position(&self, id: Uuid) -> Result<Animal, PedigreeError<Uuid>> {
        self.pedigree().find(&id).ok_or(PedigreeError::NotThere(id))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        inbreeding::lower_bound::UnknownAncestry,
        pedigree::{Pedigree, PedigreeRow},
    };

    /// Small ids for a small pedigree: 1 and 2 unrelated; 3 and 4 full sibs; 5 half sib by 1.
    fn book() -> Studbook<Uuid> {
        let rows = [(3, 1, 2), (4, 1, 2), (5, 1, 0), (6, 3, 4)];
        let id = |n: u128| (n > 0).then(|| Uuid::from_u128(n));
        let row =
            |(n, sire, dam)| PedigreeRow { id: Uuid::from_u128(n), sire: id(sire), dam: id(dam) };
        Studbook::compute(Pedigree::build(rows.map(row)).unwrap(), 1)
    }

    fn id(n: u128) -> Uuid {
        Uuid::from_u128(n)
    }

    #[test]
    fn explains_a_full_sib_mating() {
        let size = ReportSize { generations: Some(1), ..ReportSize::default() };
        let report = book().report(id(6), size).unwrap();
        assert_eq!(report.inbreeding, 0.25);
        assert_eq!(report.limited.as_ref().unwrap().inbreeding, 0.0, "parents cut");
        let ancestors: Vec<_> =
            report.ancestors.iter().map(|a| (a.dog_id, a.contribution)).collect();
        assert_eq!(ancestors.len(), 2);
        assert!(ancestors.contains(&(id(1), 0.125)) && ancestors.contains(&(id(2), 0.125)));
        assert!(report.ancestors.iter().any(|a| a.paths == [[id(3), id(1), id(4)]]));
        assert_eq!(report.known_ancestors.complete_generation_equivalents, 2.0);
        assert_eq!(report.founders.iter().map(|f| f.share).sum::<f64>(), 1.0);
        assert_eq!(book().trial_report(id(3), id(4), size).unwrap(), report);
    }

    #[test]
    fn states_what_it_leaves_out() {
        let size = ReportSize { ancestors: 1, founders: 1, ..ReportSize::default() };
        let report = book().report(id(6), size).unwrap();
        assert_eq!((report.ancestors.len(), report.ancestors_not_listed), (1, 1));
        assert_eq!(report.contribution_not_listed, 0.125);
        assert_eq!((report.founders.len(), report.founder_count), (1, 2));
        let founder = book().report(id(1), size).unwrap();
        assert_eq!((founder.inbreeding, founder.unknown_share), (0.0, 1.0));
        let half_known = book().report(id(5), size).unwrap();
        assert_eq!((half_known.unknown_share, half_known.founders[0].share), (0.5, 0.5));
        assert_eq!(half_known.inbreeding, 0.0, "the convention's figure");
        let bound = |report: &InbreedingReport| {
            (report.lower_bound.unknown, report.lower_bound.unknown_from_generation)
        };
        assert_eq!(bound(&half_known), (UnknownAncestry::Dam, 1));
        assert_eq!(bound(&founder), (UnknownAncestry::BothParents, 1));
        assert_eq!(bound(&report), (UnknownAncestry::Ancestors, 3));
        assert_eq!(book().report(id(9), size), Err(PedigreeError::NotThere(id(9))));
    }
}
