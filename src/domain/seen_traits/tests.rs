use super::*;
use crate::markers::MarkerCatalogue;
use proptest::prelude::*;

fn coat(colour: &str) -> CoatOnRecord {
    CoatOnRecord { colour: (!colour.is_empty()).then(|| colour.to_owned()), ..Default::default() }
}

fn seen(colour: &str) -> Vec<&'static str> {
    TraitSigns::of(&coat(colour)).seen()
}

fn tested(colour: &str, marker: &str, alleles: &str) -> CoatOnRecord {
    let result = GenotypeResult {
        marker: marker.into(),
        alleles: alleles.split('/').map(Into::into).collect(),
        laboratory: None,
        tested_on: None,
        omia: None,
    };
    CoatOnRecord { tests: vec![result], ..coat(colour) }
}

fn cautions(dam: &CoatOnRecord, sire: &CoatOnRecord) -> Vec<(String, Level)> {
    let found = pair_cautions(&TraitSigns::of(dam), &TraitSigns::of(sire), &Rules::standard());
    found.into_iter().map(|one| (one.trait_key, one.caution.level)).collect()
}

#[test]
fn the_table_names_markers_of_the_catalogue_and_its_sources() {
    for one in &TABLE.traits {
        let marker = MarkerCatalogue::standard().get(&one.marker).expect(&one.marker);
        assert!(marker.allele(&one.allele).is_some(), "{}", one.key);
        assert!(!one.source.is_empty() && !one.words.is_empty(), "{}", one.key);
        let lower = |words: &[String]| words.iter().all(|w| *w == w.to_lowercase());
        assert!(lower(&one.words) && lower(&one.not_with), "{}", one.key);
    }
}

#[test]
fn merle_is_read_in_english_and_german() {
    for colour in [
        "merle",
        "Blue Merle",
        "blue-merle",
        "BLUEMERLE",
        "red merle with copper",
        "Rotmerle",
        "sable merle & white",
        "merlefarben",
        "Blue Merle, weiße Abzeichen",
        "tri (blue merle)",
        "dapple",
        "silver dapple",
        "double dapple",
        "Tigerteckel",
        "Grautiger",
        "Schwarztiger",
        "Weißtiger",
        "braun getigert",
        "black/tan dappled",
        "blue leopard",
        "harlequin",
        "Harlekin",
        "cryptic merle",
        "phantom merle",
        "merle bleu",
        "grau marmoriert",
        "merled",
    ] {
        assert!(seen(colour).contains(&"merle"), "{colour}");
    }
    assert_eq!(seen("black harlequin"), ["merle", "harlequin"]);
}

#[test]
fn other_words_and_denials_are_not_merle() {
    for colour in [
        "black",
        "",
        "Merlebach black",
        "Kümmerle",
        "merlot",
        "Merlin grey",
        "emerle",
        "tiger brindle",
        "gestromt, getigert gestromt",
        "brindle (tiger striped)",
        "no merle",
        "non-merle",
        "black, not a blue merle",
        "kein Merle",
        "ohne Merle",
        "schwarz, nicht merle",
        "merle: no",
        "merle free",
        "Merle negativ",
        "merlefrei",
    ] {
        assert!(!seen(colour).contains(&"merle"), "{colour}");
    }
    assert!(seen("blue merle, no white").contains(&"merle"), "only its own clause denies");
}

#[test]
fn bobtails_and_hairless_dogs_are_read_and_docked_tails_are_not() {
    for text in [
        "bobtail",
        "natural bobtail",
        "NBT",
        "bob-tail",
        "Stummelrute",
        "angeborene Kurzrute",
        "stummelrutig",
    ] {
        assert_eq!(seen(text), ["natural_bobtail"], "{text}");
    }
    for text in ["docked bobtail", "kupierte Stummelrute", "no bobtail", "bobtailing"] {
        assert!(seen(text).is_empty(), "{text}");
    }
    for text in ["hairless", "true hairless, slate", "haarlos", "Nackthund", "haarloser"] {
        assert_eq!(seen(text), ["hairless"], "{text}");
    }
    for text in [
        "hairless patch on the left elbow",
        "haarlose Stelle",
        "nicht haarlos",
        "small hairless scar",
    ] {
        assert!(seen(text).is_empty(), "{text}");
    }
    let markings = CoatOnRecord { markings: Some("bobtail".into()), ..coat("red tri") };
    assert_eq!(TraitSigns::of(&markings).seen(), ["natural_bobtail"], "markings count as well");
}

#[test]
fn two_that_are_seen_are_cautioned_without_any_test() {
    let act = |key: &str| (key.to_owned(), Level::Act);
    let note = |key: &str| (key.to_owned(), Level::Note);
    assert_eq!(cautions(&coat("blue merle"), &coat("Rotmerle")), [act("merle")]);
    assert_eq!(cautions(&coat("dapple"), &coat("harlequin")), [act("merle")]);
    assert_eq!(cautions(&coat("harlequin"), &coat("Harlekin")), [act("merle"), note("harlequin")]);
    assert_eq!(cautions(&coat("red, bobtail"), &coat("black NBT")), [note("natural_bobtail")]);
    assert_eq!(cautions(&coat("hairless"), &coat("haarlos")), [note("hairless")]);
    for other in ["black tri", "black and tan", "liver"] {
        assert!(cautions(&coat("blue merle"), &coat(other)).is_empty(), "{other}");
        assert!(cautions(&coat(other), &coat("bobtail")).is_empty(), "{other}");
    }
    assert!(cautions(&coat("red"), &coat("")).is_empty());
}

#[test]
fn a_coat_that_can_hide_merle_asks_for_a_test() {
    let note = [("merle".to_owned(), Level::Note)];
    for other in ["red", "cream", "rot-weiß", "sable", "gelb", "", "zobelfarben"] {
        assert_eq!(cautions(&coat("blue merle"), &coat(other)), note, "{other}");
        assert_eq!(cautions(&coat(other), &coat("blue merle")), note, "{other}");
    }
}

#[test]
fn a_test_goes_before_what_is_seen() {
    let merle = |alleles| tested("", "coat_m", alleles);
    assert_eq!(cautions(&merle("M/m"), &coat("merle")), [("merle".to_owned(), Level::Act)]);
    assert!(cautions(&merle("M/m"), &merle("M/m")).is_empty(), "their genotypes speak");
    assert!(cautions(&merle("m/m"), &coat("blue merle")).is_empty());
    assert!(cautions(&merle("Mc/m"), &coat("blue merle")).is_empty(), "a cryptic merle is none");
    let open = tested("black", "coat_m", "m/?");
    assert!(cautions(&open, &coat("blue merle")).is_empty());
    let odd = tested("blue merle", "coat_m", "m/m");
    assert_eq!(cautions(&odd, &coat("merle")), [("merle".to_owned(), Level::Note)]);
}

#[test]
fn words_say_what_is_known_and_no_more() {
    let found = pair_cautions(
        &TraitSigns::of(&coat("blue merle")),
        &TraitSigns::of(&tested("", "coat_m", "M/m")),
        &Rules::standard(),
    );
    let Caution { what, why, source, .. } = &found[0].caution;
    assert!(what.contains("seem to be merle") && what.contains("Do not mate merle with merle"));
    assert!(why.contains("\"blue merle\", not tested") && why.contains("tested M/m"), "{why}");
    assert!(source.contains("Strain"));
}

#[test]
fn a_grid_names_each_pair_once() {
    let id = Uuid::from_u128;
    let dog = |n, colour| (id(n), TraitSigns::of(&coat(colour)));
    let dams = [dog(2, "blue merle"), dog(4, "black")];
    let sires = [dog(1, "merle"), dog(3, "red"), dog(5, "merle"), dog(7, "black")];
    let found = grid_cautions(&dams, &sires, &Rules::standard());
    let rows: Vec<_> =
        found.iter().map(|row| (row.dam_id, row.sire_ids.clone(), row.caution.level)).collect();
    assert_eq!(rows.len(), 2);
    assert!(rows.contains(&(id(2), vec![id(1), id(5)], Level::Act)));
    assert!(rows.contains(&(id(2), vec![id(3)], Level::Note)));
}

proptest! {
    /// Letters around "merle" make another word, unless they are a known beginning or ending.
    #[test]
    fn letters_around_a_word_make_another(before in "[a-z]{0,6}", after in "[a-z]{0,6}") {
        let word = format!("{before}merle{after}");
        let known = |list: &[String], part: &str| part.is_empty() || list.iter().any(|w| w == part);
        let expected = known(&TABLE.joined_before, &before) && known(&TABLE.joined_after, &after);
        prop_assume!(!word.contains("tiger") && word.matches("merle").count() == 1);
        prop_assert_eq!(seen(&word).contains(&"merle"), expected, "{}", word);
    }
}
