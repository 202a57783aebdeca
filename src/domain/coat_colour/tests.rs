use super::*;
use crate::{
    breeding_limits::BreedingSex,
    markers::{FamilyMember, GenotypeResult, MarkerCatalogue, MarkerFamily, TrialMatingGenetics},
    rules::Rules,
};
use uuid::Uuid;

fn dog(n: u128, sex: BreedingSex, loci: &str) -> FamilyMember {
    let result = |text: &str| {
        let (locus, alleles) = text.split_once(':').unwrap();
        GenotypeResult {
            marker: format!("coat_{}", locus.to_lowercase()),
            alleles: alleles.split('/').map(Into::into).collect(),
            laboratory: None,
            tested_on: None,
            omia: None,
        }
    };
    FamilyMember {
        id: Uuid::from_u128(n),
        sex,
        sire: None,
        dam: None,
        results: loci.split_whitespace().map(result).collect(),
    }
}

/// Colours of the pups of two dogs, loci as `A:at/at K:KB/ky`.
fn report(dam: &str, sire: &str) -> PupColourReport {
    let family =
        MarkerFamily::new(vec![dog(1, BreedingSex::Female, dam), dog(2, BreedingSex::Male, sire)])
            .unwrap();
    let trial = TrialMatingGenetics {
        family: &family,
        dam_id: Uuid::from_u128(1),
        sire_id: Uuid::from_u128(2),
        catalogue: MarkerCatalogue::standard(),
        markers: &[],
        frequencies: &[],
    };
    let rules = Rules::standard();
    pup_colours(&trial.solve(&rules).unwrap(), &rules).unwrap()
}

fn colours(dam: &str, sire: &str) -> Vec<(String, String)> {
    let rows = report(dam, sire).colours.into_iter();
    rows.map(|c| (c.name.to_string(), c.chance.exact.unwrap_or_default())).collect()
}

fn is(rows: &[(String, String)], wanted: &[(&str, &str)]) {
    let rows: Vec<(&str, &str)> = rows.iter().map(|(n, c)| (n.as_str(), c.as_str())).collect();
    assert_eq!(rows, wanted);
}

const BASE: &str = "A:at/at B:B/B D:D/D";

/// The epistasis table of Kerns et al. 2007 (Genetics 176:1679-1689).
#[test]
fn follows_the_published_epistasis() {
    let pure = |loci: &str| colours(loci, loci);
    is(&pure(&format!("{BASE} K:KB/KB E:E/E")), &[("black", "1")]);
    for k in ["KB/KB", "kbr/kbr", "ky/ky"] {
        for a in ["Ay/Ay", "at/at", "a/a"] {
            let loci = format!("A:{a} B:B/B D:D/D K:{k} E:e/e");
            is(&pure(&loci), &[("yellow to red, black nose", "1")]);
        }
    }
    is(&pure(&format!("{BASE} K:ky/ky E:E/E")), &[("black and tan", "1")]);
    is(&pure(&format!("{BASE} K:kbr/kbr E:E/E")), &[("black with brindle points", "1")]);
    is(&pure("A:Ay/Ay B:B/B D:D/D K:kbr/kbr E:E/E"), &[("black brindle", "1")]);
    is(&pure("A:a/a B:B/B D:D/D K:ky/ky E:E/E"), &[("black", "1")]);
}

/// Labrador colours, B/b E/e × B/b E/e: 9 black, 4 yellow (3 with a black nose), 3 brown; and the
/// crosses of black, brown and golden dogs tabled in genetics courses (Little CC 1957, The
/// Inheritance of Coat Color in Dogs; exercise "Dihybrid cross involving dog coat color",
/// writersden.blog, matings A to H).
#[test]
fn gives_the_labrador_ratios() {
    let lab = |b: &str, e: &str| format!("A:Ay/Ay K:KB/KB D:D/D B:{b} E:{e}");
    let sums = |dam: String, sire: String| {
        let mut sums = [ratio(0, 1), ratio(0, 1), ratio(0, 1)];
        for (name, chance) in colours(&dam, &sire) {
            let chance: Ratio = chance.parse().unwrap();
            let at = if name.starts_with("yellow") { 2 } else { usize::from(name == "brown") };
            sums[at] += chance;
        }
        sums
    };
    let eighths = |black, brown, yellow| [ratio(black, 16), ratio(brown, 16), ratio(yellow, 16)];
    let crosses = [
        (("B/B", "E/E"), ("b/b", "E/E"), eighths(16, 0, 0)),
        (("B/b", "E/E"), ("b/b", "E/E"), eighths(8, 8, 0)),
        (("B/B", "E/e"), ("b/b", "E/e"), eighths(12, 0, 4)),
        (("B/B", "E/E"), ("b/b", "e/e"), eighths(16, 0, 0)),
        (("B/b", "E/e"), ("B/b", "e/e"), eighths(6, 2, 8)),
        (("B/b", "E/e"), ("b/b", "e/e"), eighths(4, 4, 8)),
        (("b/b", "E/e"), ("b/b", "E/e"), eighths(0, 12, 4)),
        (("B/b", "E/e"), ("B/b", "E/e"), eighths(9, 3, 4)),
    ];
    for (dam, sire, wanted) in crosses {
        assert_eq!(sums(lab(dam.0, dam.1), lab(sire.0, sire.1)), wanted, "{dam:?} {sire:?}");
    }
    let double = lab("B/b", "E/e");
    is(
        &colours(&double, &double),
        &[
            ("black", "9/16"),
            ("yellow to red, black nose", "3/16"),
            ("brown", "3/16"),
            ("yellow to red, brown nose", "1/16"),
        ],
    );
}

/// Brown and dilute together: 9 black, 3 brown, 3 blue, 1 lilac.
#[test]
fn combines_brown_and_dilution() {
    let loci = "A:a/a K:ky/ky E:E/E B:B/b D:D/d";
    is(
        &colours(loci, loci),
        &[("black", "9/16"), ("brown", "3/16"), ("blue", "3/16"), ("lilac", "1/16")],
    );
}

/// KB/ky at/at × ky/ky Ay/at: half black; the rest sable and black and tan alike.
#[test]
fn dominant_black_hides_agouti() {
    let dam = "A:at/at K:KB/ky E:E/E B:B/B D:D/D";
    let sire = "A:Ay/at K:ky/ky E:E/E B:B/B D:D/D";
    is(
        &colours(dam, sire),
        &[("black", "1/2"), ("fawn or sable (black pigment)", "1/4"), ("black and tan", "1/4")],
    );
    let masked = "A:Ay/Ay K:ky/ky E:Em/E B:B/B D:D/D";
    let pups = colours(masked, masked);
    assert_eq!(pups[0], ("fawn or sable (black pigment), dark mask".into(), "3/4".into()));
}

#[test]
fn merle_harlequin_and_white() {
    let base = "A:a/a K:KB/KB E:E/E B:B/B D:D/D";
    let merle = format!("{base} M:M/m");
    is(
        &colours(&merle, &merle),
        &[("black, merle", "1/2"), ("black", "1/4"), ("black, double merle", "1/4")],
    );
    // Harlequin × black: merle 1/2, of these harlequin 1/2 (Clark LA et al. 2011, Genomics 98).
    let harlequin = format!("{base} M:M/m H:H/h");
    let black = format!("{base} M:m/m H:h/h");
    is(
        &colours(&harlequin, &black),
        &[("black", "1/2"), ("black, merle", "1/4"), ("black, harlequin", "1/4")],
    );
    let piebald = format!("{base} S:S/sp");
    is(
        &colours(&piebald, &piebald),
        &[("black, perhaps small white marks", "1/2"), ("black", "1/4"), ("black, piebald", "1/4")],
    );
    let red = "A:a/a K:KB/KB E:e/e B:B/B D:D/D M:M/m";
    is(&colours(red, red), &[("yellow to red, black nose", "1")]);
}

/// What is hidden need not be known; what is open is a range, not a guess.
#[test]
fn partly_known_parents_give_ranges() {
    let black = "K:KB/KB E:E/E B:B/B D:D/D";
    is(&colours(black, "K:ky/ky E:E/E B:B/B D:D/D"), &[("black", "1")]);
    let open = report("A:at/at K:ky/ky E:E/E B:B/b D:D/D", "A:at/at K:ky/ky E:E/E D:D/D");
    let by_name = |name: &str| {
        let colour = open.colours.iter().find(|c| c.name == name).unwrap();
        (colour.chance.lowest, colour.chance.highest)
    };
    assert_eq!(by_name("black and tan"), (0.5, 1.0));
    assert_eq!(by_name("brown and tan"), (0.0, 0.5));
    assert_eq!(open.loci[1].sire, Some(GenotypeBasis::Unknown));
    assert_eq!(open.untested_loci, ["coat_h", "coat_m", "coat_s"]);
    let little = report("K:KB/ky", "K:?/?");
    assert!(little.colours.iter().all(|c| c.chance.lowest <= c.chance.highest));
    assert!(little.colours.len() > 10 && little.assumptions.len() > 2);
}

/// Chances of all colours sum to 1 when every allele is known.
#[test]
fn chances_sum_to_one() {
    let dam = "A:Ay/at B:B/b D:D/d E:Em/e K:kbr/ky M:M/m S:S/sp H:H/h";
    let sire = "A:aw/a B:B/b D:D/d E:E/e K:KB/kbr M:m/m S:si/sw H:H/h";
    let sum: Ratio = colours(dam, sire).iter().map(|(_, c)| c.parse::<Ratio>().unwrap()).sum();
    assert_eq!(sum, ratio(1, 1));
}
