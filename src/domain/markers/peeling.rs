//! Genotype chances of two parents and their pups, from the results of all their relatives.
//!
//! The family is a network in which each genotype depends on the parents' genotypes. Summing the
//! others out one at a time ("peeling": Elston RC, Stewart J 1971, Hum Hered 21:523-542; for
//! pedigrees with loops Cannings C, Thompson EA, Skolnick MH 1978, Adv Appl Probab 10:26-61) is
//! exact for any pedigree, loops included. A founder without result and without allele
//! frequencies may have any genotype: every extreme case is worked out, and since a chance is
//! monotone in each founder's prior the true figure lies between the least and greatest of them.

use super::{
    catalogue::{Genotype, Marker},
    family::{Network, can_descend, founder_chance, transmission},
    ratio::Ratio,
};
use crate::rules::Rules;
use num_traits::{One, Zero};

/// Chances in one case of the unknown founders' genotypes, in the order of
/// [`Marker::genotypes`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct CaseChances {
    pub dam: Vec<Ratio>,
    pub sire: Vec<Ratio>,
    pub daughters: Vec<Ratio>,
    pub sons: Vec<Ratio>,
}

/// All cases of one marker.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct LocusCases {
    pub cases: Vec<CaseChances>,
    /// Whether founders' allele frequencies entered.
    pub estimated: bool,
    /// Founders that may have any genotype.
    pub unknown_founders: usize,
    /// Whether there was too much to combine: every genotype that is possible for a parent then
    /// is a case of its own.
    pub coarse: bool,
}

/// Sizes at which the work is given up.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PeelingLimits {
    pub cases: usize,
    pub table: usize,
}

/// Chances of one dog's genotype, a row for each case of the unknown founders.
pub(crate) fn peel_dog(
    network: &Network,
    marker: &Marker,
    dog: usize,
    limits: PeelingLimits,
) -> Result<Vec<Vec<Ratio>>, Contradiction> {
    // The dog stands for both parents; what such a pair's pups would be is not read.
    let cases = peel(network, marker, dog, dog, limits)?.cases.into_iter();
    Ok(cases.map(|case| if network.male[dog] { case.sire } else { case.dam }).collect())
}

/// No assignment of genotypes agrees with all results.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Contradiction;

impl PeelingLimits {
    /// The limits of the rules `breeding.peeling_*`.
    pub(crate) fn of(rules: &Rules) -> Self {
        // Small whole numbers within the bounds of their rules.
        let whole = |value: f64| value.clamp(0.0, 1e9) as usize;
        Self {
            cases: whole(rules.value("breeding.peeling_states_limit")),
            table: whole(rules.value("breeding.peeling_table_limit")),
        }
    }
}

/// Works out a locus; see the module.
pub(crate) fn peel(
    network: &Network,
    marker: &Marker,
    dam: usize,
    sire: usize,
    limits: PeelingLimits,
) -> Result<LocusCases, Contradiction> {
    let mut net = Peeler::new(network, marker, dam, sire);
    net.prune();
    net.eliminate()?;
    let relevant = net.relevant();
    let founders: Vec<usize> =
        relevant.iter().copied().filter(|v| net.parents[*v].is_none()).collect();
    let estimated = network.frequencies.is_some() && !founders.is_empty();
    let unknown = if network.frequencies.is_some() { Vec::new() } else { founders };
    let choices: Vec<Vec<Genotype>> = unknown.iter().map(|v| net.extremes(*v)).collect();
    let count = choices.iter().try_fold(1_usize, |n, c| n.checked_mul(c.len()));
    let mut outlook =
        LocusCases { cases: vec![], estimated, unknown_founders: unknown.len(), coarse: false };
    if count.is_none_or(|n| n > limits.cases) {
        return Ok(net.coarse(unknown.len()));
    }
    let possible = net.states.clone();
    for case in 0..count.unwrap_or(0) {
        crate::stop::look();
        let mut rest = case;
        for (founder, genotypes) in unknown.iter().zip(&choices) {
            net.states[*founder] = vec![genotypes[rest % genotypes.len()]];
            rest /= genotypes.len();
        }
        match net.solve(&relevant, limits.table) {
            Solved::TooLarge => {
                net.states = possible;
                return Ok(net.coarse(unknown.len()));
            }
            Solved::Impossible => {}
            Solved::Joint(joint) => {
                let chances = net.pups(&joint);
                if !outlook.cases.contains(&chances) {
                    outlook.cases.push(chances);
                }
            }
        }
    }
    if outlook.cases.is_empty() { Err(Contradiction) } else { Ok(outlook) }
}

enum Solved {
    TooLarge,
    Impossible,
    /// Chance of each (dam, sire) genotype.
    Joint(Vec<(Genotype, Genotype, Ratio)>),
}

struct Factor {
    scope: Vec<usize>,
    table: Vec<Ratio>,
}

struct Peeler<'a> {
    network: &'a Network,
    marker: &'a Marker,
    dam: usize,
    sire: usize,
    parents: Vec<Option<(usize, usize)>>,
    /// Genotypes still possible of each.
    states: Vec<Vec<Genotype>>,
    open: Vec<bool>,
    alive: Vec<bool>,
    offspring: Vec<Vec<usize>>,
}

impl<'a> Peeler<'a> {
    fn new(network: &'a Network, marker: &'a Marker, dam: usize, sire: usize) -> Self {
        let states = (0..network.male.len())
            .map(|v| {
                let all = marker.genotypes(network.male[v]).into_iter();
                all.zip(&network.evidence[v].0).filter(|(_, p)| **p).map(|(g, _)| g).collect()
            })
            .collect();
        let mut offspring = vec![Vec::new(); network.male.len()];
        for (child, parents) in network.parents.iter().enumerate() {
            for parent in parents.iter().flat_map(|(s, d)| [*s, *d]) {
                offspring[parent].push(child);
            }
        }
        Self {
            network,
            marker,
            dam,
            sire,
            parents: network.parents.clone(),
            states,
            open: network.evidence.iter().map(super::result::Evidence::is_open).collect(),
            alive: vec![true; network.male.len()],
            offspring,
        }
    }

    fn children(&self, dog: usize) -> impl Iterator<Item = usize> + '_ {
        self.offspring[dog].iter().copied().filter(|c| self.alive[*c] && self.parents[*c].is_some())
    }

    fn asked(&self, dog: usize) -> bool {
        dog == self.dam || dog == self.sire
    }

    /// Leaves out untested dogs without offspring, and untested couples whose only child may
    /// then have any genotype itself.
    fn prune(&mut self) {
        loop {
            let mut changed = false;
            for dog in 0..self.alive.len() {
                let bare = self.alive[dog] && self.open[dog] && !self.asked(dog);
                if bare && self.children(dog).next().is_none() {
                    self.alive[dog] = false;
                    changed = true;
                } else if self.alive[dog]
                    && self.network.frequencies.is_none()
                    && self.parents[dog].is_some_and(|(s, d)| self.free(s) && self.free(d))
                {
                    self.parents[dog] = None;
                    changed = true;
                }
            }
            if !changed {
                return;
            }
        }
    }

    /// Whether a dog is an untested founder that matters only through one child.
    fn free(&self, dog: usize) -> bool {
        self.open[dog]
            && !self.asked(dog)
            && self.parents[dog].is_none()
            && self.children(dog).count() == 1
    }

    /// Dogs of uncertain genotype that bear on the parents, themselves among them.
    fn relevant(&self) -> Vec<usize> {
        let mut reached = vec![false; self.alive.len()];
        let mut queue = vec![self.dam, self.sire];
        while let Some(dog) = queue.pop() {
            if reached[dog] || self.states[dog].len() == 1 {
                continue;
            }
            reached[dog] = true;
            queue.extend(self.parents[dog].into_iter().flat_map(|(s, d)| [s, d]));
            for child in self.children(dog) {
                queue.push(child);
                queue.extend(self.parents[child].into_iter().flat_map(|(s, d)| [s, d]));
            }
        }
        (0..reached.len()).filter(|v| reached[*v]).collect()
    }

    /// Genotypes that bound what an unknown founder can do. The gametes of a heterozygote are an
    /// even mixture of those of the homozygotes, so these suffice when only one gamete counts.
    fn extremes(&self, dog: usize) -> Vec<Genotype> {
        let full = self.states[dog].len() == self.network.evidence[dog].0.len();
        let one_gamete =
            full && self.open[dog] && !self.asked(dog) && self.children(dog).count() == 1;
        let keep = |g: &Genotype| !one_gamete || g.1.is_none_or(|b| b == g.0);
        self.states[dog].iter().copied().filter(keep).collect()
    }

    /// Strikes out genotypes that the results of parents or offspring exclude (Lange K, Goradia TM
    /// 1987, An algorithm for automatic genotype elimination, Am J Hum Genet 40:250-256).
    fn eliminate(&mut self) -> Result<(), Contradiction> {
        let full =
            |net: &Self, dog: usize| net.states[dog].len() == net.network.evidence[dog].0.len();
        loop {
            let mut changed = false;
            for child in (0..self.alive.len()).filter(|c| self.alive[*c]) {
                let Some((sire, dam)) = self.parents[child] else { continue };
                if [sire, dam, child].into_iter().all(|dog| full(self, dog)) {
                    continue;
                }
                let male = self.network.male[child];
                let fits = |s: &Genotype, d: &Genotype, c: &Genotype| {
                    can_descend(self.marker, *s, *d, *c, male)
                };
                let (of_sire, of_dam, of_child) =
                    (&self.states[sire], &self.states[dam], &self.states[child]);
                let any = |list: &[Genotype], f: &dyn Fn(&Genotype) -> bool| list.iter().any(f);
                let keep = |list: &[Genotype], f: &dyn Fn(&Genotype) -> bool| -> Vec<Genotype> {
                    list.iter().copied().filter(|g| f(g)).collect()
                };
                let sires = keep(of_sire, &|s| any(of_dam, &|d| any(of_child, &|c| fits(s, d, c))));
                let dams = keep(of_dam, &|d| any(of_sire, &|s| any(of_child, &|c| fits(s, d, c))));
                let pups = keep(of_child, &|c| any(of_sire, &|s| any(of_dam, &|d| fits(s, d, c))));
                for (dog, kept) in [(sire, sires), (dam, dams), (child, pups)] {
                    if kept.is_empty() {
                        return Err(Contradiction);
                    }
                    changed |= kept.len() < self.states[dog].len();
                    self.states[dog] = kept;
                }
            }
            if !changed {
                return Ok(());
            }
        }
    }

    /// Each possible genotype of the dam with each of the sire as a case of its own. Whatever the
    /// relatives' results make of the two, the pups' chances are a mixture of these cases.
    fn coarse(&self, unknown_founders: usize) -> LocusCases {
        let pairs = self.states[self.dam]
            .iter()
            .flat_map(|d| self.states[self.sire].iter().map(move |s| (*d, *s)));
        let cases = pairs.map(|(d, s)| self.pups(&[(d, s, Ratio::one())])).collect();
        LocusCases { cases, estimated: false, unknown_founders, coarse: true }
    }

    fn factors(&self, relevant: &[usize]) -> Vec<Factor> {
        let inside = |v: usize| relevant.binary_search(&v).is_ok();
        let mut factors = Vec::new();
        for dog in (0..self.alive.len()).filter(|v| self.alive[*v]) {
            match self.parents[dog] {
                Some((sire, dam)) if inside(dog) || inside(sire) || inside(dam) => {
                    factors.push(self.trio(sire, dam, dog));
                }
                None if inside(dog) => factors.extend(self.prior(dog)),
                _ => {}
            }
        }
        factors
    }

    fn prior(&self, dog: usize) -> Option<Factor> {
        let frequencies = self.network.frequencies.as_ref()?;
        let table = self.states[dog].iter().map(|g| founder_chance(*g, frequencies)).collect();
        Some(Factor { scope: vec![dog], table })
    }

    fn trio(&self, sire: usize, dam: usize, child: usize) -> Factor {
        let mut table = Vec::new();
        for s in &self.states[sire] {
            for d in &self.states[dam] {
                for c in &self.states[child] {
                    table.push(transmission(self.marker, *s, *d, *c, self.network.male[child]));
                }
            }
        }
        Factor { scope: vec![sire, dam, child], table }
    }

    fn solve(&self, relevant: &[usize], limit: usize) -> Solved {
        let mut factors = self.factors(relevant);
        let mut left: Vec<usize> = relevant.iter().copied().filter(|v| !self.asked(*v)).collect();
        while let Some(at) = self.cheapest(&left, &factors) {
            crate::stop::look();
            let dog = left.swap_remove(at);
            let (with, without) = factors.into_iter().partition(|f| f.scope.contains(&dog));
            factors = without;
            match self.multiply(&with, Some(dog), limit) {
                Some(summed) => factors.push(summed),
                None => return Solved::TooLarge,
            }
        }
        factors.push(Factor {
            scope: vec![self.dam, self.sire],
            table: vec![Ratio::one(); self.states[self.dam].len() * self.states[self.sire].len()],
        });
        let Some(joint) = self.multiply(&factors, None, limit) else { return Solved::TooLarge };
        let total: Ratio = joint.table.iter().sum();
        if total.is_zero() {
            return Solved::Impossible;
        }
        let size = |v: usize| self.states[v].len();
        let outer: usize = joint.scope.iter().map(|v| size(*v)).product();
        let entry = |at: usize, dog: usize| {
            let mut rest = at;
            let mut found = self.states[dog][0];
            for v in joint.scope.iter().rev() {
                if *v == dog {
                    found = self.states[dog][rest % size(*v)];
                }
                rest /= size(*v);
            }
            found
        };
        let rows = (0..outer).filter(|at| !joint.table[*at].is_zero());
        Solved::Joint(
            rows.map(|at| (entry(at, self.dam), entry(at, self.sire), &joint.table[at] / &total))
                .collect(),
        )
    }

    /// Which dog to sum out next: the one whose factors together span the smallest table.
    fn cheapest(&self, left: &[usize], factors: &[Factor]) -> Option<usize> {
        let cost = |dog: usize| -> usize {
            let with = factors.iter().filter(|f| f.scope.contains(&dog));
            let mut scope: Vec<usize> = with.flat_map(|f| f.scope.iter().copied()).collect();
            scope.sort_unstable();
            scope.dedup();
            scope.iter().fold(1, |n: usize, v| n.saturating_mul(self.states[*v].len()))
        };
        (0..left.len()).min_by_key(|at| cost(left[*at]))
    }

    /// Product of factors over the union of their scopes, with `summed` summed out.
    fn multiply(&self, factors: &[Factor], summed: Option<usize>, limit: usize) -> Option<Factor> {
        let mut all: Vec<usize> = factors.iter().flat_map(|f| f.scope.iter().copied()).collect();
        all.sort_unstable();
        all.dedup();
        let size = |v: usize| self.states[v].len();
        let total = all.iter().try_fold(1_usize, |n, v| n.checked_mul(size(*v)))?;
        if total > limit {
            return None;
        }
        let scope: Vec<usize> = all.iter().copied().filter(|v| Some(*v) != summed).collect();
        let mut table = vec![Ratio::zero(); scope.iter().map(|v| size(*v)).product()];
        let mut digits = vec![0_usize; all.len()];
        let value = |digits: &[usize], v: usize| all.binary_search(&v).map_or(0, |i| digits[i]);
        let offset = |digits: &[usize], scope: &[usize]| {
            scope.iter().fold(0, |at, v| at * size(*v) + value(digits, *v))
        };
        for _ in 0..total {
            let mut product = Ratio::one();
            for factor in factors {
                let entry = &factor.table[offset(&digits, &factor.scope)];
                if entry.is_zero() {
                    product = Ratio::zero();
                    break;
                }
                product *= entry;
            }
            if !product.is_zero() {
                table[offset(&digits, &scope)] += product;
            }
            for (digit, v) in digits.iter_mut().zip(&all).rev() {
                *digit += 1;
                if *digit < size(*v) {
                    break;
                }
                *digit = 0;
            }
        }
        Some(Factor { scope, table })
    }

    fn pups(&self, joint: &[(Genotype, Genotype, Ratio)]) -> CaseChances {
        let marker = self.marker;
        let of_parent = |male: bool| -> Vec<Ratio> {
            let chance = |g: &Genotype| {
                let same = joint.iter().filter(|(d, s, _)| if male { s == g } else { d == g });
                same.map(|(.., p)| p).sum()
            };
            marker.genotypes(male).iter().map(chance).collect()
        };
        let of_pups = |male: bool| -> Vec<Ratio> {
            let chance = |g: &Genotype| {
                joint.iter().map(|(d, s, p)| p * transmission(marker, *s, *d, *g, male)).sum()
            };
            marker.genotypes(male).iter().map(chance).collect()
        };
        CaseChances {
            dam: of_parent(false),
            sire: of_parent(true),
            daughters: of_pups(false),
            sons: of_pups(true),
        }
    }
}
