use super::{
    family::{self, founder_chance, transmission},
    peeling::{PeelingLimits, peel},
    *,
};
use crate::{advice::Level, breeding_limits::BreedingSex, rules::Rules};
use ::catalogue::{Language, speaking};
use num_traits::{One, Zero};
use proptest::prelude::*;
use uuid::Uuid;

fn id(n: u128) -> Uuid {
    Uuid::from_u128(n)
}

fn result(marker: &str, alleles: &str) -> GenotypeResult {
    GenotypeResult {
        marker: marker.into(),
        alleles: alleles.split('/').map(Into::into).collect(),
        laboratory: None,
        tested_on: None,
        omia: None,
    }
}

/// A dog by number: even females, odd males; parents 0 are unknown.
fn dog(n: u128, sire: u128, dam: u128, results: &[(&str, &str)]) -> FamilyMember {
    let parent = |p| (p > 0).then(|| id(p));
    FamilyMember {
        id: id(n),
        sex: if n.is_multiple_of(2) { BreedingSex::Female } else { BreedingSex::Male },
        sire: parent(sire),
        dam: parent(dam),
        results: results.iter().map(|(m, a)| result(m, a)).collect(),
    }
}

/// Mating of dam 2 and sire 1 in a family.
fn report(members: Vec<FamilyMember>, frequencies: &[AlleleFrequencies]) -> MarkerMatingReport {
    solve(members, frequencies, &[], |m| m.report(&Rules::standard())).unwrap()
}

fn solve<T>(
    members: Vec<FamilyMember>,
    frequencies: &[AlleleFrequencies],
    markers: &[String],
    read: impl Fn(&MatingGenotypes<'_>) -> T,
) -> Result<T, Vec<crate::fault::Fault>> {
    let family = MarkerFamily::new(members)?;
    let trial = TrialMatingGenetics {
        family: &family,
        dam_id: id(2),
        sire_id: id(1),
        catalogue: MarkerCatalogue::standard(),
        markers,
        frequencies,
    };
    trial.solve(&Rules::standard()).map(|mating| read(&mating))
}

fn pair(marker: &str, dam: &str, sire: &str) -> MarkerMatingReport {
    report(vec![dog(2, 0, 0, &[(marker, dam)]), dog(1, 0, 0, &[(marker, sire)])], &[])
}

fn exact(rows: &[GenotypeChance]) -> Vec<(&str, &str)> {
    rows.iter().map(|r| (r.genotype.as_str(), r.chance.exact.as_deref().unwrap_or("?"))).collect()
}

fn prcd(q: f64) -> AlleleFrequencies {
    AlleleFrequencies {
        marker: "prcd_pra".into(),
        frequencies: [("N".into(), 1.0 - q), ("prcd".into(), q)].into(),
        source: "invented".into(),
    }
}

#[test]
fn the_catalogue_is_sound() {
    let catalogue = MarkerCatalogue::standard();
    assert!(catalogue.iter().count() >= 24);
    for marker in catalogue.iter() {
        assert!(!marker.source.is_empty() && marker.alleles.len() >= 2, "{}", marker.key);
        let series = marker.inheritance == Inheritance::MultiAlleleSeries;
        assert!(series || marker.normal.as_ref().is_some_and(|n| marker.alleles.contains(n)));
        assert_eq!(catalogue.iter().filter(|m| m.key == marker.key).count(), 1);
    }
}

/// Mendel's tables for one recessive: clear × carrier 1:1, carrier × carrier 1:2:1,
/// carrier × affected 1:1, affected × clear all carriers (Griffiths AJF et al., An Introduction to
/// Genetic Analysis, chapter on single-gene inheritance).
#[test]
fn crosses_of_one_recessive() {
    let cases = [
        ("N/N", "N/prcd", vec![("N/N", "1/2"), ("N/prcd", "1/2")]),
        ("N/prcd", "N/prcd", vec![("N/N", "1/4"), ("N/prcd", "1/2"), ("prcd/prcd", "1/4")]),
        ("N/prcd", "prcd/prcd", vec![("N/prcd", "1/2"), ("prcd/prcd", "1/2")]),
        ("prcd/prcd", "N/N", vec![("N/prcd", "1")]),
    ];
    for (dam, sire, wanted) in cases {
        let report = pair("prcd_pra", dam, sire);
        assert_eq!(exact(&report.markers[0].daughters), wanted);
        assert_eq!(exact(&report.markers[0].sons), wanted);
    }
}

/// Carrier dam × normal sire: half the sons affected, half the daughters carriers.
#[test]
fn crosses_on_the_x() {
    let report = pair("haemophilia_a", "N/HA", "N");
    let marker = &report.markers[0];
    assert_eq!(exact(&marker.daughters), [("N/N", "1/2"), ("N/HA", "1/2")]);
    assert_eq!(exact(&marker.sons), [("N/Y", "1/2"), ("HA/Y", "1/2")]);
    assert_eq!(marker.sons_show[1].class, "affected (hemizygous: a male has one X)");
    assert!(report.cautions.iter().any(|c| c.what.contains("on the X")));
    let affected_sire = pair("haemophilia_a", "N/N", "HA");
    assert_eq!(exact(&affected_sire.markers[0].daughters), [("N/HA", "1")]);
    assert_eq!(exact(&affected_sire.markers[0].sons), [("N/Y", "1")]);
}

/// Double merle 25 % (1:2:1); harlequin × harlequin loses a quarter, 2:1 among those born
/// (Clark LA et al. 2011, Genomics 98:354-360).
#[test]
fn merle_and_harlequin_homozygotes() {
    let merle = pair("coat_m", "M/m", "M/m");
    assert_eq!(exact(&merle.markers[0].sons), [("M/M", "1/4"), ("M/m", "1/2"), ("m/m", "1/4")]);
    assert!(merle.cautions[0].what.contains("do not make this mating"));
    speaking(Language::German, || {
        assert_eq!(merle.markers[0].name, "M-Lokus (Merle)");
        assert!(
            merle.cautions[0].why.contains("Doppelmerle-Welpen: 25 %."),
            "{:?}",
            merle.cautions
        );
    });
    let harlequin = pair("coat_h", "H/h", "H/h");
    let rows = &harlequin.markers[0].daughters;
    assert_eq!(exact(rows), [("H/H", "1/4"), ("H/h", "1/2"), ("h/h", "1/4")]);
    let born = |at: usize| rows[at].among_born.as_ref().and_then(|c| c.exact.clone());
    assert_eq!((born(0), born(1), born(2)), (None, Some("2/3".into()), Some("1/3".into())));
    assert!(harlequin.cautions.iter().any(|c| c.what.contains("before birth")));
}

#[test]
fn warns_of_merle_hidden_by_recessive_red_or_untested() {
    let merle = ("coat_m", "M/m");
    let red = report(vec![dog(2, 0, 0, &[merle]), dog(1, 0, 0, &[("coat_e", "e/e")])], &[]);
    assert!(red.cautions.iter().any(|c| c.what.contains("hides merle")));
    let untested = report(vec![dog(2, 0, 0, &[merle]), dog(1, 0, 0, &[])], &[]);
    assert!(untested.cautions.iter().any(|c| c.what.contains("unseen")));
    assert!(pair("coat_m", "M/m", "m/m").cautions.is_empty());
}

/// Labogen, M locus: a cryptic merle (Mc) has no influence on the colour; M/Mc dogs are merle.
#[test]
fn a_cryptic_merle_counts_as_no_copy() {
    let marker = MarkerCatalogue::standard().get("coat_m").unwrap();
    let class = |a: &str, b: &str| {
        marker.class(Genotype::pair(marker.allele(a).unwrap(), marker.allele(b).unwrap()))
    };
    let classes = [class("Mc", "Mc"), class("Mc", "m"), class("M", "Mc"), class("M", "M")];
    assert_eq!(classes, ["clear", "clear", "one copy", "two copies"]);
    for (dam, sire) in [("Mc/Mc", "Mc/Mc"), ("Mc/m", "Mc/m"), ("Mc/Mc", "m/m")] {
        assert!(pair("coat_m", dam, sire).cautions.is_empty(), "{dam} x {sire}");
    }
    for (dam, sire) in [("M/m", "Mc/m"), ("Mc/Mc", "M/m")] {
        let cautions = pair("coat_m", dam, sire).cautions;
        assert_eq!(cautions.len(), 1, "{dam} x {sire}");
        assert!(cautions[0].level == Level::Note && cautions[0].what.contains("cryptic"));
    }
    let both = pair("coat_m", "M/Mc", "M/m").cautions;
    assert!(both.iter().any(|c| c.level == Level::Act && c.what.contains("do not make")));
}

/// One copy is enough: CDDY and von Willebrand disease are dominant (UC Davis VGL, OMIA), one
/// copy of MDR1 is a risk (OFA). No marker of such inheritance may say that no pup can be affected.
#[test]
fn one_copy_that_harms_is_said() {
    let catalogue = MarkerCatalogue::standard();
    let mut seen = Vec::new();
    for marker in catalogue.iter().filter(|m| m.kind == MarkerKind::Disease) {
        if marker.carried_unseen() || marker.inheritance == Inheritance::MultiAlleleSeries {
            continue;
        }
        seen.push(marker.key.as_str());
        assert!(marker.one_copy.is_some(), "{}", marker.key);
        let normal = marker.normal.clone().unwrap();
        let variant = marker.alleles.iter().find(|a| **a != normal).unwrap();
        let one = format!("{normal}/{variant}");
        let clear = format!("{normal}/{normal}");
        let cautions = pair(&marker.key, &one, &clear).cautions;
        let words = marker.one_copy.as_ref().unwrap().to_string();
        assert!(
            cautions.iter().any(|c| c.level == Level::Act && c.what.contains(&words)),
            "{}: {cautions:?}",
            marker.key
        );
        assert!(cautions.iter().all(|c| !c.what.contains("No pup can be affected")));
        assert!(pair(&marker.key, &clear, &clear).cautions.is_empty(), "{}", marker.key);
    }
    assert_eq!(seen, ["mdr1", "vwd1", "cddy"]);
    let untested = report(vec![dog(2, 0, 0, &[("mdr1", "N/N")]), dog(1, 0, 0, &[])], &[]);
    assert!(untested.cautions.iter().any(|c| c.what.contains("not ruled out")));
    let carrier = pair("prcd_pra", "N/prcd", "N/N").cautions;
    assert!(carrier[0].what.contains("No pup can be affected"));
}

/// A dominant variant that raises a risk makes dogs at risk, not affected; a male's one X has nothing beside it; a
/// trait is shown. The risk stands beside it as a range: 5.5 to 15.1 times for CDDY (Batcher 2019), 2 to 20 % of the
/// carriers of lens luxation, and no figure where none was found.
#[test]
fn one_copy_is_told_by_what_it_does() {
    let meaning = |marker: &str, alleles: &[&str]| {
        let alleles: Vec<String> = alleles.iter().map(|a| (*a).to_owned()).collect();
        MarkerCatalogue::standard().get(marker).unwrap().meaning(&alleles).unwrap().to_string()
    };
    let one = meaning("cddy", &["N", "CDDY"]);
    assert!(one.starts_with("at risk, one copy") && one.contains("5.5 to 15.1 times"), "{one}");
    let two = meaning("cddy", &["CDDY", "CDDY"]);
    assert!(two.starts_with("at risk, two copies") && two.contains("5.5 to 15.1 times"), "{two}");
    assert_eq!(meaning("cddy", &["N", "N"]), "clear");
    let carrier = meaning("pll", &["N", "PLL"]);
    assert!(carrier.starts_with("carrier") && carrier.contains("2 to 20 %"), "{carrier}");
    assert_eq!(meaning("pll", &["PLL", "PLL"]), "affected");
    let dm = meaning("dm_sod1", &["DM", "DM"]);
    assert!(dm.starts_with("at risk, two copies") && dm.contains("no figure was found"), "{dm}");
    assert_eq!(meaning("dm_sod1", &["N", "DM"]), "carrier");
    assert!(meaning("mdr1", &["N", "mdr1"]).contains("tell the vet"));
    assert!(meaning("haemophilia_a", &["HA"]).contains("hemizygous"));
    assert_eq!(meaning("haemophilia_a", &["N", "HA"]), "carrier");
    assert_eq!(meaning("natural_bobtail", &["BT", "N"]), "shows it");
}

/// Every published range stands in order, is a fraction or a multiple, and has its source.
#[test]
fn published_risks_are_ranges_with_sources() {
    let mut seen = 0;
    for risk in MarkerCatalogue::standard().iter().flat_map(|marker| &marker.risks) {
        seen += 1;
        assert_eq!(risk.low.is_some(), risk.high.is_some());
        assert!(
            risk.source.contains("2026") || risk.source.contains("not looked for"),
            "{}",
            risk.source
        );
        if let (Some(low), Some(high)) = (risk.low, risk.high) {
            assert!(low < high);
            assert!(risk.measure == RiskMeasure::RelativeRisk || high <= 1.0);
        }
    }
    assert_eq!(seen, 5);
}

/// A breed in which every dog has two copies: all pups have some whoever the mate is, so nobody is told to choose
/// another one, and no plan leaves such pairs out.
#[test]
fn what_no_choice_changes_is_a_note() {
    let fixed = pair("cddy", "CDDY/CDDY", "CDDY/CDDY").cautions;
    assert!(fixed.iter().all(|c| c.level == Level::Note), "{fixed:?}");
    assert!(fixed.iter().any(|c| c.what.contains("whoever the other parent is")));
    assert!(fixed.iter().any(|c| c.what.contains("The dam has two copies")));
    let mixed = pair("cddy", "N/CDDY", "N/CDDY").cautions;
    let act: Vec<_> = mixed.iter().filter(|c| c.level == Level::Act).collect();
    assert!(act.len() == 1 && act[0].why.contains("5.5 to 15.1 times"), "{mixed:?}");
    let members = vec![dog(2, 0, 0, &[("cddy", "CDDY/CDDY")]), dog(1, 0, 0, &[("cddy", "N/CDDY")])];
    let family = MarkerFamily::new(members).unwrap();
    let dogs = [id(1), id(2)];
    let book =
        GenotypeBook::new(&family, MarkerCatalogue::standard(), &[], &dogs, &Rules::standard())
            .unwrap();
    let risks = book.risks(id(2), id(1));
    assert!(risks.iter().all(|risk| risk.risk == GeneticRiskKind::OneCopyHarms), "{risks:?}");
    assert_eq!((risks[0].lowest, risks[0].highest), (1.0, 1.0));
}

/// Two copies die before birth: a quarter of the pups (UC Davis VGL, Natural Bobtail).
#[test]
fn bobtails_and_hairless_dogs_lose_a_quarter() {
    for (marker, one) in [("natural_bobtail", "BT/N"), ("hairless_foxi3", "Hr/hr")] {
        let report = pair(marker, one, one);
        assert_eq!(report.markers[0].sons[0].chance.exact.as_deref(), Some("1/4"));
        assert!(report.cautions.iter().any(|c| c.what.contains("die before birth")), "{marker}");
    }
}

/// Of the clear-looking pups of two carriers two thirds carry (Griffiths et al., as above).
#[test]
fn conditions_on_a_partial_result() {
    let members = vec![
        dog(3, 0, 0, &[("prcd_pra", "N/prcd")]),
        dog(4, 0, 0, &[("prcd_pra", "N/prcd")]),
        dog(2, 3, 4, &[("prcd_pra", "N/?")]),
        dog(1, 0, 0, &[("prcd_pra", "N/prcd")]),
    ];
    let marker = &report(members, &[]).markers[0];
    assert_eq!(exact(&marker.dam.chances), [("N/N", "1/3"), ("N/prcd", "2/3")]);
    assert_eq!(marker.dam.basis, GenotypeBasis::Estimated);
    assert_eq!(exact(&marker.sons)[2], ("prcd/prcd", "1/6"));
}

#[test]
fn untested_parents_are_deduced_estimated_or_unknown() {
    let sire = dog(1, 0, 0, &[("prcd_pra", "N/prcd")]);
    let clear = vec![
        dog(3, 0, 0, &[("prcd_pra", "N/N")]),
        dog(4, 0, 0, &[("prcd_pra", "N/N")]),
        dog(2, 3, 4, &[]),
        sire.clone(),
    ];
    let marker = &report(clear, &[]).markers[0];
    assert_eq!(marker.dam.basis, GenotypeBasis::Deduced);
    assert_eq!(marker.dam.genotype.as_deref(), Some("N/N"));
    // An untested dam of unknown descent: an affected chance of 0 to a half.
    let unknown = &report(vec![dog(2, 0, 0, &[]), sire.clone()], &[]).markers[0];
    assert_eq!(unknown.dam.basis, GenotypeBasis::Unknown);
    let affected = &unknown.sons_show[2].chance;
    assert_eq!((affected.lowest, affected.highest, &affected.exact), (0.0, 0.5, &None));
    // One clear parent: at most a carrier, so at most a quarter.
    let half = vec![dog(3, 0, 0, &[("prcd_pra", "N/N")]), dog(2, 3, 0, &[]), sire.clone()];
    let affected = report(half, &[]).markers[0].sons_show[2].chance.clone();
    assert_eq!((affected.lowest, affected.highest), (0.0, 0.25));
    // At allele frequency q the pups of a carrier are affected with chance q/2 (Hardy-Weinberg).
    let some = report(vec![dog(2, 0, 0, &[]), sire], &[prcd(0.1)]).markers[0].clone();
    assert!((some.sons_show[2].chance.lowest - 0.05).abs() < 1e-15);
    assert_eq!(some.sons_show[2].chance.exact, None);
    assert!(some.assumptions[0].contains("invented"));
}

#[test]
fn an_earlier_pup_betrays_its_parent() {
    let members = vec![
        dog(2, 0, 0, &[]),
        dog(1, 0, 0, &[("prcd_pra", "N/prcd")]),
        dog(5, 1, 2, &[("prcd_pra", "prcd/prcd")]),
        dog(7, 1, 2, &[("prcd_pra", "N/N")]),
    ];
    let marker = &report(members, &[]).markers[0];
    assert_eq!(marker.dam.genotype.as_deref(), Some("N/prcd"));
    assert_eq!(exact(&marker.daughters)[2], ("prcd/prcd", "1/4"));
}

#[test]
fn refuses_what_cannot_be() {
    let today = "2026-03-01".parse().unwrap();
    let catalogue = MarkerCatalogue::standard();
    let fault = |r: GenotypeResult, sex| r.check(catalogue, sex, today).unwrap_err();
    let unknown = fault(result("nonsense", "N/N"), BreedingSex::Male);
    assert!(unknown[0].detail.contains("prcd_pra"));
    let alleles = fault(result("coat_b", "B/q"), BreedingSex::Male);
    assert_eq!(alleles[0].pointer, "/alleles/1");
    assert!(alleles[0].detail.contains("B, b"));
    assert!(
        fault(result("haemophilia_a", "N/N"), BreedingSex::Male)[0].detail.contains("one allele")
    );
    assert!(result("haemophilia_a", "N").check(catalogue, BreedingSex::Male, today).is_ok());
    let other = GenotypeResult { omia: Some("OMIA 000001-9615".into()), ..result("eic", "N/N") };
    assert_eq!(fault(other, BreedingSex::Female)[0].pointer, "/omia");
    let same = GenotypeResult { omia: Some("OMIA:001466".into()), ..result("eic", "N/N") };
    assert!(same.check(catalogue, BreedingSex::Female, today).is_ok());
    let late = GenotypeResult { tested_on: "2026-03-02".parse().ok(), ..result("eic", "N/N") };
    assert_eq!(fault(late, BreedingSex::Female)[0].pointer, "/tested_on");
    // A clear dog cannot have an affected parent.
    let family = vec![
        dog(3, 0, 0, &[("prcd_pra", "prcd/prcd")]),
        dog(2, 3, 0, &[("prcd_pra", "N/N")]),
        dog(1, 0, 0, &[]),
    ];
    assert!(solve(family, &[], &[], |_| ()).unwrap_err()[0].detail.contains("parents' results"));
    // No dam among the dogs, and a marker that is not known.
    let swapped = vec![dog(1, 0, 0, &[]), dog(3, 0, 0, &[])];
    let faults = solve(swapped, &[], &["nonsense".into()], |_| ()).unwrap_err();
    assert_eq!(faults.len(), 2);
    let cycle = vec![dog(2, 1, 0, &[]), dog(1, 0, 2, &[])];
    assert!(MarkerFamily::new(cycle).is_err());
    let few = AlleleFrequencies { frequencies: [("N".into(), 0.5)].into(), ..prcd(0.1) };
    assert!(few.check(catalogue.get("prcd_pra").unwrap()).is_err());
}

/// A carrier whose untested dam can only be clear: refused, though no trio by itself is wrong.
#[test]
fn refuses_a_contradiction_across_generations() {
    let members = vec![
        dog(6, 0, 0, &[("haemophilia_a", "N/N")]),
        dog(5, 0, 6, &[("haemophilia_a", "N")]),
        dog(4, 5, 6, &[]),
        dog(2, 5, 4, &[("haemophilia_a", "N/HA")]),
        dog(1, 0, 0, &[("haemophilia_a", "N")]),
    ];
    let faults = solve(members, &[], &[], |_| ()).unwrap_err();
    assert!(faults[0].detail.contains("contradict each other in this family"));
}

/// Sums over every assignment of genotypes: the slow, obvious computation.
fn brute_force(
    network: &family::Network,
    marker: &Marker,
    prior: impl Fn(usize, Genotype) -> Ratio,
) -> Option<Vec<Ratio>> {
    let states: Vec<Vec<Genotype>> = network.male.iter().map(|m| marker.genotypes(*m)).collect();
    let count: usize = states.iter().map(Vec::len).product();
    let wanted = marker.genotypes(true);
    let mut sons = vec![Ratio::zero(); wanted.len()];
    let mut total = Ratio::zero();
    for case in 0..count {
        let mut rest = case;
        let mut chosen = Vec::new();
        let mut chance = Ratio::one();
        for (dog, genotypes) in states.iter().enumerate() {
            let at = rest % genotypes.len();
            rest /= genotypes.len();
            if !network.evidence[dog].0[at] {
                chance = Ratio::zero();
            }
            chosen.push(genotypes[at]);
        }
        for (dog, genotype) in chosen.iter().enumerate() {
            if chance.is_zero() {
                break;
            }
            chance *= match network.parents[dog] {
                Some((s, d)) => {
                    transmission(marker, chosen[s], chosen[d], *genotype, network.male[dog])
                }
                None => prior(dog, *genotype),
            };
        }
        for (at, genotype) in wanted.iter().enumerate() {
            if !chance.is_zero() {
                sons[at] += &chance * transmission(marker, chosen[1], chosen[0], *genotype, true);
            }
        }
        total += chance;
    }
    (!total.is_zero()).then(|| sons.into_iter().map(|s| s / &total).collect())
}

/// A random family of dam 2, sire 1 and four more, parents older than children, with loops.
fn families(marker: &'static str) -> impl Strategy<Value = Vec<FamilyMember>> {
    let one = (any::<prop::sample::Index>(), any::<prop::sample::Index>(), 0..4_u8, 0..6_u8);
    prop::collection::vec(one, 6).prop_map(move |draws| {
        // Oldest first: 6, 5, 4, 3, then the pair.
        let order = [6_u128, 5, 4, 3, 2, 1];
        let mut members: Vec<FamilyMember> = Vec::new();
        for (n, (sire, dam, kin, test)) in order.into_iter().zip(draws) {
            let pick = |index: prop::sample::Index, odd: bool| {
                let of_sex: Vec<u128> = members
                    .iter()
                    .map(|m| m.id.as_u128())
                    .filter(|x| (x % 2 == 1) == odd && *x != 1 && *x != 2)
                    .collect();
                if of_sex.is_empty() { 0 } else { of_sex[index.index(of_sex.len())] }
            };
            let (sire, dam) = match kin {
                0 => (0, 0),
                1 => (pick(sire, true), 0),
                _ => (pick(sire, true), pick(dam, false)),
            };
            let male = n % 2 == 1;
            let hemizygous = male && marker == "haemophilia_a";
            let (a, b) = if marker == "haemophilia_a" { ("N", "HA") } else { ("N", "prcd") };
            let text = match (test, hemizygous) {
                (0, false) => format!("{a}/{b}"),
                (1, false) => format!("{a}/?"),
                (0 | 1, true) => a.to_owned(),
                (2, false) => format!("{a}/{a}"),
                _ => String::new(),
            };
            let results: Vec<(&str, &str)> =
                if text.is_empty() { vec![] } else { vec![(marker, text.as_str())] };
            members.push(dog(n, sire, dam, &results));
        }
        members.reverse();
        // The dam first, the sire second: the brute force expects them there.
        members.swap(0, 1);
        members
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..Default::default() })]

    /// Peeling equals the sum over all assignments, whatever loops the family has; and with
    /// unknown founders the figure for any prior lies within the range, and that within the coarse one.
    #[test]
    fn peeling_equals_full_enumeration(
        members in prop_oneof![families("prcd_pra"), families("haemophilia_a")],
        q in 1..20_i64,
    ) {
        let catalogue = MarkerCatalogue::standard();
        let family = MarkerFamily::new(members).unwrap();
        let Some(marker) = family.tested_markers(catalogue).first().copied() else { return Ok(()) };
        let frequencies = vec![ratio(20 - q, 20), ratio(q, 20)];
        let Ok(network) = family.network(marker, Some(frequencies.clone())) else { return Ok(()) };
        if network.male.len() > 9 {
            return Ok(());
        }
        let limits = PeelingLimits { cases: 10_000, table: 100_000 };
        let truth = brute_force(&network, marker, |_, g| founder_chance(g, &frequencies));
        let exact = peel(&network, marker, 0, 1, limits).ok();
        prop_assert_eq!(exact.as_ref().map(|c| &c.cases[0].sons), truth.as_ref());
        let open = family::Network { frequencies: None, ..network };
        let Ok(ranged) = peel(&open, marker, 0, 1, limits) else {
            prop_assert!(truth.is_none(), "only results that cannot be are refused");
            return Ok(());
        };
        let coarse = peel(&open, marker, 0, 1, PeelingLimits { cases: 0, ..limits }).unwrap();
        if let Some(truth) = truth {
            for (at, value) in truth.into_iter().enumerate() {
                let bounds = Bounds::of(ranged.cases.iter().map(|c| c.sons[at].clone()));
                prop_assert!(bounds.low <= value && value <= bounds.high);
                let wider = Bounds::of(coarse.cases.iter().map(|c| c.sons[at].clone()));
                prop_assert!(wider.low <= bounds.low && bounds.high <= wider.high);
            }
        }
    }
}

#[test]
fn the_book_agrees_with_single_matings() {
    let members = vec![
        dog(2, 3, 4, &[("haemophilia_a", "N/HA")]),
        dog(1, 0, 0, &[]),
        dog(3, 0, 0, &[("prcd_pra", "N/prcd")]),
        dog(4, 0, 0, &[("prcd_pra", "N/N"), ("coat_m", "M/m")]),
        dog(5, 0, 0, &[("prcd_pra", "N/prcd"), ("coat_m", "m/m")]),
    ];
    let rules = Rules::standard();
    let family = MarkerFamily::new(members).unwrap();
    let catalogue = MarkerCatalogue::standard();
    let dogs: Vec<Uuid> = family.members().iter().map(|m| m.id).collect();
    let book = GenotypeBook::new(&family, catalogue, &[], &dogs, &rules).unwrap();
    for sire in [1, 5] {
        let trial = TrialMatingGenetics {
            family: &family,
            dam_id: id(2),
            sire_id: id(sire),
            catalogue,
            markers: &[],
            frequencies: &[],
        };
        let single = trial.solve(&rules).unwrap().report(&rules);
        let risks = book.risks(id(2), id(sire));
        for risk in risks.iter().filter(|r| r.risk == GeneticRiskKind::Affected) {
            let marker = single.markers.iter().find(|m| m.marker == risk.marker).unwrap();
            let affected = |c: &&MarkerClassChance| c.class.to_string().starts_with("affected");
            let affected = marker.sons_show.iter().find(affected).unwrap();
            assert_eq!(
                (risk.lowest, risk.highest),
                (affected.chance.lowest, affected.chance.highest)
            );
        }
        let affected: Vec<&str> = risks
            .iter()
            .filter(|r| r.risk == GeneticRiskKind::Affected)
            .map(|r| r.marker.as_str())
            .collect();
        assert_eq!(affected, ["prcd_pra", "haemophilia_a"]);
        let merle = risks.iter().any(|r| r.risk == GeneticRiskKind::DoubleMerle);
        assert_eq!(merle, sire == 1, "an untested sire may carry merle, a clear one not");
    }
}
