//! What a trial mating's pups can inherit at each marker.

use super::{
    catalogue::{Genotype, Inheritance, Marker, MarkerCatalogue},
    cautions::cautions,
    family::{AlleleFrequencies, MarkerFamily, check_results, contradiction},
    peeling::{LocusCases, PeelingLimits, peel},
    ratio::{Bounds, MendelianChance, Ratio},
    risk::MarkerRisk,
};
use crate::{
    advice::Caution,
    breeding_limits::BreedingSex,
    fault::{Fault, Faults, quoted},
    rules::{Rules, Status},
    seen_traits::SeenTraitCaution,
};
use catalogue::{Text, said};
use num_traits::Zero;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// How a parent's genotype is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum GenotypeBasis {
    /// A result of its own.
    Tested,
    /// Its relatives' results leave one genotype.
    Deduced,
    /// Its relatives' results or allele frequencies give chances.
    Estimated,
    /// Nothing on record narrows it.
    Unknown,
}

/// Chance of one genotype.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct GenotypeChance {
    /// Alleles, e.g. `N/prcd`; a male's X `N/Y`.
    #[schema(example = "N/prcd")]
    pub genotype: String,
    /// What the genotype shows.
    #[schema(value_type = String, example = "carrier")]
    pub class: Text,
    /// Chance at conception.
    pub chance: MendelianChance,
    /// Chance among pups that live to be born, where a genotype dies before; else `null`.
    pub among_born: Option<MendelianChance>,
}

/// Chance of what pups show at one marker.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MarkerClassChance {
    /// `clear`, `carrier`, `affected`, `at risk`, `one copy`, `two copies`, `shows …` or `dies before birth`; of a
    /// male's one X, that nothing stands beside it.
    #[schema(value_type = String, example = "affected")]
    pub class: Text,
    /// Chance at conception.
    pub chance: MendelianChance,
}

/// What is known of a parent at one marker.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ParentGenotype {
    /// How it is known.
    pub basis: GenotypeBasis,
    /// The genotype, when one is certain.
    #[schema(example = "N/prcd")]
    pub genotype: Option<String>,
    /// Chances of the genotypes that are possible.
    pub chances: Vec<GenotypeChance>,
}

/// One marker in a trial mating.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MarkerOutlook {
    /// Key of the marker.
    pub marker: String,
    /// Name of the condition or locus.
    #[schema(value_type = String)]
    pub name: Text,
    /// Identifier in Online Mendelian Inheritance in Animals.
    pub omia: Option<String>,
    /// How it is inherited.
    pub inheritance: Inheritance,
    /// The dam's genotype.
    pub dam: ParentGenotype,
    /// The sire's genotype.
    pub sire: ParentGenotype,
    /// Genotypes of daughters.
    pub daughters: Vec<GenotypeChance>,
    /// Genotypes of sons.
    pub sons: Vec<GenotypeChance>,
    /// What daughters show.
    pub daughters_show: Vec<MarkerClassChance>,
    /// What sons show.
    pub sons_show: Vec<MarkerClassChance>,
    /// How great the risk of a genotype is, as it was published: ranges with their sources.
    pub risks: Vec<MarkerRisk>,
    /// What the figures rest on beyond the parents' own results.
    #[schema(value_type = Vec<String>)]
    pub assumptions: Vec<Text>,
    /// Where the marker's row comes from.
    pub source: String,
    /// How that row was confirmed.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

/// All markers of a trial mating.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MarkerMatingReport {
    /// The dam.
    pub dam_id: Uuid,
    /// The sire.
    pub sire_id: Uuid,
    /// Markers, in the catalogue's order.
    pub markers: Vec<MarkerOutlook>,
    /// What to mind.
    pub cautions: Vec<Caution>,
}

/// Which mating is tried, with what knowledge.
#[derive(Debug, Clone, Copy)]
pub struct TrialMatingGenetics<'a> {
    /// The parents and those relatives that are tested or lead to them.
    pub family: &'a MarkerFamily,
    /// The dam, a member.
    pub dam_id: Uuid,
    /// The sire, a member.
    pub sire_id: Uuid,
    /// Known markers.
    pub catalogue: &'a MarkerCatalogue,
    /// Markers asked for beyond those that some member is tested for.
    pub markers: &'a [String],
    /// Frequencies for untested founders, at most one entry a marker.
    pub frequencies: &'a [AlleleFrequencies],
}

/// A trial mating's genotype chances, worked out exactly, locus by locus.
#[derive(Debug, Clone)]
pub struct MatingGenotypes<'a> {
    dam_id: Uuid,
    sire_id: Uuid,
    pub(crate) loci: Vec<MatingLocus<'a>>,
}

/// One worked-out marker.
#[derive(Debug, Clone)]
pub(crate) struct MatingLocus<'a> {
    pub marker: &'a Marker,
    pub cases: LocusCases,
    pub dam_tested: bool,
    pub sire_tested: bool,
    pub frequency_source: Option<String>,
}

impl<'a> TrialMatingGenetics<'a> {
    /// Works out every marker that a member is tested for, and those asked for.
    ///
    /// # Errors
    /// A parent who is not a member or of the wrong sex, an unknown marker, frequencies that do
    /// not sum to 1, results that contradict one another; all at once.
    pub fn solve(&self, rules: &Rules) -> Result<MatingGenotypes<'a>, Vec<Fault>> {
        let mut faults = Faults::new();
        let dam = self.parent(self.dam_id, BreedingSex::Female, "/dam_id", &mut faults);
        let sire = self.parent(self.sire_id, BreedingSex::Male, "/sire_id", &mut faults);
        for (at, key) in self.markers.iter().enumerate() {
            faults.unless(self.catalogue.get(key).is_some(), &format!("/markers/{at}"), || {
                let known = self.catalogue.keys();
                said!("fault-unknown-value-marker", value = quoted(key), known = known)
            });
        }
        for (at, entry) in self.frequencies.iter().enumerate() {
            let known = self.catalogue.get(&entry.marker).is_some();
            faults.unless(known, &format!("/frequencies/{at}/marker"), || {
                said!("fault-unknown-value-marker-here", known = self.catalogue.keys())
            });
        }
        check_results(self.family, self.catalogue, &mut faults);
        let mut loci = Vec::new();
        let tested = self.family.tested_markers(self.catalogue);
        for marker in self.catalogue.iter() {
            let asked = self.markers.contains(&marker.key);
            if let (Some(dam), Some(sire), true) =
                (dam, sire, asked || tested.iter().any(|m| m.key == marker.key))
            {
                match self.locus(marker, dam, sire, rules) {
                    Ok(locus) => loci.push(locus),
                    Err(more) => more.into_iter().for_each(|f| faults.add(f.pointer, f.detail)),
                }
            }
        }
        faults.into_result()?;
        Ok(MatingGenotypes { dam_id: self.dam_id, sire_id: self.sire_id, loci })
    }

    fn parent(
        &self,
        id: Uuid,
        sex: BreedingSex,
        pointer: &str,
        faults: &mut Faults,
    ) -> Option<usize> {
        let place = self.family.place(id);
        match self.family.member(id) {
            None => {
                faults.add(pointer, said!("fault-not-found-among-dogs", id = id.to_string()));
            }
            Some(dog) if dog.sex != sex => faults.add(
                pointer,
                match sex {
                    BreedingSex::Female => said!("fault-wrong-sex-dam"),
                    BreedingSex::Male => said!("fault-wrong-sex-sire"),
                },
            ),
            Some(_) => {}
        }
        place
    }

    fn locus(
        &self,
        marker: &'a Marker,
        dam: usize,
        sire: usize,
        rules: &Rules,
    ) -> Result<MatingLocus<'a>, Vec<Fault>> {
        let entry = self.frequencies.iter().find(|f| f.marker == marker.key);
        let frequencies = entry.map(|f| f.check(marker)).transpose()?;
        let network = self.family.network(marker, frequencies)?;
        let cases = peel(&network, marker, dam, sire, PeelingLimits::of(rules))
            .map_err(|_| contradiction(marker))?;
        let tested = |at: usize| network.evidence[at].certain().is_some();
        let used = cases.estimated;
        Ok(MatingLocus {
            marker,
            dam_tested: tested(dam),
            sire_tested: tested(sire),
            frequency_source: entry.filter(|_| used).map(|f| f.source.clone()),
            cases,
        })
    }
}

impl MatingGenotypes<'_> {
    /// The worked-out locus of a marker.
    pub(crate) fn locus(&self, key: &str) -> Option<&MatingLocus<'_>> {
        self.loci.iter().find(|locus| locus.marker.key == key)
    }

    /// The report: parents, pups of both sexes, assumptions and cautions.
    pub fn report(&self, rules: &Rules) -> MarkerMatingReport {
        self.report_with(&[], rules)
    }

    /// The report, with what is `seen` of the parents beside what they are tested for.
    pub fn report_with(&self, seen: &[SeenTraitCaution], rules: &Rules) -> MarkerMatingReport {
        MarkerMatingReport {
            dam_id: self.dam_id,
            sire_id: self.sire_id,
            markers: self.loci.iter().map(MatingLocus::outlook).collect(),
            cautions: cautions(self, seen, rules),
        }
    }
}

impl MatingLocus<'_> {
    /// Bounds of the chance of those genotypes of the pups for which `counts` holds.
    pub(crate) fn pup_bounds(&self, male: bool, counts: impl Fn(Genotype) -> bool) -> Bounds {
        let genotypes = self.marker.genotypes(male);
        Bounds::of(self.cases.cases.iter().map(|case| {
            let chances = if male { &case.sons } else { &case.daughters };
            genotypes.iter().zip(chances).filter(|(g, _)| counts(**g)).map(|(_, p)| p).sum()
        }))
    }

    /// The same of the dam or the sire.
    pub(crate) fn parent_bounds(&self, male: bool, counts: impl Fn(Genotype) -> bool) -> Bounds {
        let genotypes = self.marker.genotypes(male);
        Bounds::of(self.cases.cases.iter().map(|case| {
            let chances = if male { &case.sire } else { &case.dam };
            genotypes.iter().zip(chances).filter(|(g, _)| counts(**g)).map(|(_, p)| p).sum()
        }))
    }

    /// What pups of a sex can show, with bounds; impossible classes left out.
    fn classes(&self, male: bool) -> Vec<(Text, Bounds)> {
        let mut names: Vec<Text> = Vec::new();
        for genotype in self.marker.genotypes(male) {
            let class = self.marker.class(genotype);
            if !names.contains(&class) {
                names.push(class);
            }
        }
        let bounds = |name: &Text| self.pup_bounds(male, |g| self.marker.class(g) == *name);
        let all = names.into_iter().map(|name| (bounds(&name), name)).map(|(b, n)| (n, b));
        all.filter(|(_, b)| !b.high.is_zero()).collect()
    }

    fn genotype_chances(&self, male: bool, pups: bool) -> Vec<GenotypeChance> {
        let marker = self.marker;
        let genotypes = marker.genotypes(male);
        let lethal = genotypes.iter().any(|g| marker.lethal(*g));
        let row = |g: &Genotype| {
            let bounds = if pups {
                self.pup_bounds(male, |x| x == *g)
            } else {
                self.parent_bounds(male, |x| x == *g)
            };
            (!bounds.high.is_zero()).then(|| GenotypeChance {
                genotype: marker.write(*g),
                class: marker.class(*g),
                chance: bounds.chance(self.cases.estimated),
                among_born: (pups && lethal && !marker.lethal(*g))
                    .then(|| self.among_born(male, *g).chance(self.cases.estimated)),
            })
        };
        genotypes.iter().filter_map(row).collect()
    }

    fn among_born(&self, male: bool, wanted: Genotype) -> Bounds {
        let genotypes = self.marker.genotypes(male);
        Bounds::of(self.cases.cases.iter().filter_map(|case| {
            let chances = if male { &case.sons } else { &case.daughters };
            let pairs = || genotypes.iter().zip(chances);
            let born: Ratio =
                pairs().filter(|(g, _)| !self.marker.lethal(**g)).map(|(_, p)| p).sum();
            let of: Ratio = pairs().filter(|(g, _)| **g == wanted).map(|(_, p)| p).sum();
            (!born.is_zero()).then(|| of / born)
        }))
    }

    /// How a parent's genotype is known.
    pub(crate) fn parent_basis(&self, male: bool) -> GenotypeBasis {
        self.parent(male, if male { self.sire_tested } else { self.dam_tested }).basis
    }

    fn parent(&self, male: bool, tested: bool) -> ParentGenotype {
        let chances = self.genotype_chances(male, false);
        let certain = chances.iter().find(|c| c.chance.lowest >= 1.0).map(|c| c.genotype.clone());
        let open = chances.len() == self.marker.genotypes(male).len()
            && chances.iter().all(|c| c.chance.lowest <= 0.0 && c.chance.highest >= 1.0);
        let basis = match (tested, &certain) {
            (true, _) => GenotypeBasis::Tested,
            (_, Some(_)) => GenotypeBasis::Deduced,
            _ if open => GenotypeBasis::Unknown,
            _ => GenotypeBasis::Estimated,
        };
        ParentGenotype { basis, genotype: certain, chances }
    }

    fn assumptions(&self) -> Vec<Text> {
        let mut lines = Vec::new();
        if let Some(source) = &self.frequency_source {
            lines.push(said!("marker-founders-by-frequency", source = source));
        }
        if self.cases.coarse {
            lines.push(said!("marker-too-many-untested"));
        } else if self.cases.unknown_founders > 0 {
            let founders = self.cases.unknown_founders;
            lines.push(said!("marker-founders-any", founders = founders));
        }
        lines.extend(
            self.marker.penetrance.iter().map(|p| said!("marker-with-penetrance", penetrance = p)),
        );
        lines.extend(self.marker.risks.iter().map(MarkerRisk::says));
        lines.extend(self.marker.note.clone());
        lines
    }

    fn outlook(&self) -> MarkerOutlook {
        let show = |male| {
            let rows = self.classes(male).into_iter();
            rows.map(|(class, b)| MarkerClassChance {
                class,
                chance: b.chance(self.cases.estimated),
            })
            .collect()
        };
        MarkerOutlook {
            marker: self.marker.key.clone(),
            name: self.marker.name.clone(),
            omia: self.marker.omia.clone(),
            inheritance: self.marker.inheritance,
            dam: self.parent(false, self.dam_tested),
            sire: self.parent(true, self.sire_tested),
            daughters: self.genotype_chances(false, true),
            sons: self.genotype_chances(true, true),
            daughters_show: show(false),
            sons_show: show(true),
            risks: self.marker.risks.clone(),
            assumptions: self.assumptions(),
            source: self.marker.source.clone(),
            status: self.marker.status,
        }
    }
}
