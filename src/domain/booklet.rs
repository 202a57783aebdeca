//! What goes with a pup to its new home: everything recorded of it, and what is not.

use super::{
    advice::STANDING_LINE,
    markers::{GenotypeResult, MarkerCatalogue},
    partial_date::PartialDate,
    pedigree::{Pedigree, PedigreeRow, completeness::depths_among},
    record::{Registration, Sex},
    schedule::{DueState, DueStep, HealthKind},
};
use crate::inbreeding::{Studbook, lower_bound::LowerBound};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// Generations of ancestors that the booklet names.
const NAMED_GENERATIONS: usize = 3;

/// The kennel and its own words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BookletKennel {
    /// Name of the kennel.
    #[schema(example = "Larkfell Kennel")]
    pub name: String,
    /// A word of welcome.
    pub welcome: Option<String>,
    /// How the kennel feeds.
    pub feeding: Option<String>,
    /// How the kennel cares.
    pub care: Option<String>,
    /// How to reach the kennel.
    pub contact: Option<String>,
}

/// Who the dog is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BookletDog {
    /// The dog.
    pub dog_id: Uuid,
    /// Registered name.
    #[schema(example = "Fern of Larkfell")]
    pub name: Option<String>,
    /// The name it is called by.
    pub call_name: Option<String>,
    /// Its sex.
    pub sex: Option<Sex>,
    /// Its breed.
    pub breed: Option<String>,
    /// Its colour.
    pub colour: Option<String>,
    /// Signs to tell it by.
    pub markings: Option<String>,
    /// Birth, as precisely as it is known.
    pub born_on: Option<PartialDate>,
    /// Chip number.
    #[schema(example = "276098100123456")]
    pub chip_number: Option<String>,
    /// Entries in registers.
    pub registrations: Vec<Registration>,
}

/// How it was born.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BookletBirth {
    /// When.
    pub born_at: DateTime<Utc>,
    /// Which of the litter.
    #[schema(example = 3)]
    pub ordinal: i32,
    /// Pups born in the litter.
    #[schema(example = 7)]
    pub litter_size: usize,
    /// Name of the litter.
    pub litter_name: Option<String>,
    /// Weight at birth in grams.
    #[schema(example = 412)]
    pub weight_g: Option<i32>,
    /// Collar it wore.
    pub collar: Option<String>,
}

/// An ancestor, by its line from the dog.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BookletAncestor {
    /// The line: `sire`, `dam`, `sire.dam` for the sire's dam.
    #[schema(example = "sire.dam")]
    pub line: String,
    /// Its name; null when it is unknown.
    #[schema(example = "Juno of Larkfell")]
    pub name: Option<String>,
    /// Its birth.
    pub born_on: Option<PartialDate>,
    /// Its breed.
    pub breed: Option<String>,
}

/// A weight on a day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BookletWeight {
    /// The day.
    pub on: NaiveDate,
    /// Grams.
    #[schema(example = 5400)]
    pub weight_g: i32,
}

/// Something given or found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BookletEvent {
    /// The day.
    pub on: NaiveDate,
    /// What kind.
    pub kind: HealthKind,
    /// The product, or what was found.
    pub product: Option<String>,
    /// Its batch.
    #[schema(example = "B2291")]
    pub batch: Option<String>,
    /// Its expiry.
    pub expires_on: Option<NaiveDate>,
    /// Who gave it.
    pub given_by: Option<String>,
    /// Where on the body.
    pub site: Option<String>,
    /// What was seen afterwards.
    pub reaction: Option<String>,
}

/// A genotype that a laboratory found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BookletTest {
    /// What was tested: the condition or the locus.
    #[schema(example = "Progressive retinal atrophy, prcd form")]
    pub name: String,
    /// The alleles found.
    #[schema(example = "N/prcd")]
    pub genotype: String,
    /// What the genotype shows, and what one copy does where one copy harms; null when an allele is
    /// not known.
    #[schema(example = "carrier")]
    pub meaning: Option<String>,
    /// Who tested.
    pub laboratory: Option<String>,
    /// Day of the result.
    pub tested_on: Option<NaiveDate>,
}

impl BookletTest {
    /// A result by the names of the catalogue.
    pub fn of(result: GenotypeResult) -> Self {
        let GenotypeResult { marker, alleles, laboratory, tested_on, .. } = result;
        let known = MarkerCatalogue::standard().get(&marker);
        let meaning = known.and_then(|known| known.meaning(&alleles));
        let named = known.map(|known| known.name.clone());
        let genotype = alleles.join("/");
        Self { name: named.unwrap_or(marker), genotype, meaning, laboratory, tested_on }
    }
}

/// What is due next.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BookletDue {
    /// What.
    #[schema(example = "Core vaccination, series")]
    pub name: String,
    /// What kind.
    pub kind: HealthKind,
    /// First day on which it counts.
    pub earliest_on: Option<NaiveDate>,
    /// Best day.
    pub ideal_on: Option<NaiveDate>,
    /// Last day in time.
    pub latest_on: Option<NaiveDate>,
    /// Whether it is needed only where a veterinarian or the law asks for it.
    pub optional: bool,
    /// Where the days come from.
    pub source: String,
}

/// The pup's record, as its new owner gets it.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Booklet {
    /// The day on which it was made.
    pub made_on: NaiveDate,
    /// The kennel.
    pub kennel: BookletKennel,
    /// The dog.
    pub dog: BookletDog,
    /// Its birth, when it was born here.
    pub birth: Option<BookletBirth>,
    /// Three generations of ancestors, also the unknown ones.
    pub ancestors: Vec<BookletAncestor>,
    /// Inbreeding over all known ancestors, 0–1; 0 by convention when a parent is unknown.
    #[schema(example = 0.0625)]
    pub inbreeding: f64,
    /// Why that is a lower bound, and how much of the pedigree is behind it.
    pub lower_bound: LowerBound,
    /// Known ancestors, over all generations.
    #[schema(example = 62)]
    pub known_ancestors: usize,
    /// Weights, by day.
    pub weights: Vec<BookletWeight>,
    /// Everything given and found, by day.
    pub given: Vec<BookletEvent>,
    /// Its own results of genetic tests.
    pub tests: Vec<BookletTest>,
    /// What is due next, by the kennel's health plans.
    pub due_next: Vec<BookletDue>,
    /// What is not recorded.
    #[schema(example = json!(["the chip number"]))]
    pub not_recorded: Vec<String>,
    /// What stands beside every piece of advice.
    pub advice: &'static str,
}

/// An ancestor as the pedigree holds it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AncestorFact {
    /// Its sire.
    pub sire: Option<Uuid>,
    /// Its dam.
    pub dam: Option<Uuid>,
    /// Its name.
    pub name: Option<String>,
    /// Its birth.
    pub born_on: Option<PartialDate>,
    /// Its breed.
    pub breed: Option<String>,
}

/// What the booklet is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct BookletFacts {
    /// The kennel.
    pub kennel: BookletKennel,
    /// The dog.
    pub dog: BookletDog,
    /// Its birth.
    pub birth: Option<BookletBirth>,
    /// The dog itself and all its known ancestors.
    pub pedigree: BTreeMap<Uuid, AncestorFact>,
    /// Its weights.
    pub weights: Vec<BookletWeight>,
    /// What was given.
    pub given: Vec<BookletEvent>,
    /// Results of its genetic tests.
    pub tests: Vec<BookletTest>,
    /// Its schedule as of today.
    pub schedule: Vec<DueStep>,
}

/// Puts the booklet together, as of `today`.
pub fn booklet(facts: BookletFacts, today: NaiveDate) -> Booklet {
    let not_recorded = not_recorded(&facts);
    let BookletFacts { kennel, dog, birth, pedigree, mut weights, mut given, tests, schedule } =
        facts;
    weights.sort_by_key(|weight| weight.on);
    given.sort_by_key(|event| event.on);
    let (inbreeding, lower_bound) = inbreeding(dog.dog_id, &pedigree);
    Booklet {
        made_on: today,
        ancestors: ancestors(dog.dog_id, &pedigree),
        inbreeding,
        lower_bound,
        known_ancestors: pedigree.len().saturating_sub(1),
        due_next: due_next(&schedule),
        kennel,
        dog,
        birth,
        weights,
        given,
        tests,
        not_recorded,
        advice: STANDING_LINE,
    }
}

/// Each open step once, at its next dose.
fn due_next(schedule: &[DueStep]) -> Vec<BookletDue> {
    let mut seen = Vec::new();
    // What the new owner cannot do any more, but only tell, is no next step.
    let ahead = |step: &&DueStep| !(step.is_asked() && step.ideal_on.is_some());
    let open = schedule.iter().filter(|step| step.state != DueState::Done).filter(ahead);
    let open = open.filter(|step| {
        let first = !seen.contains(&step.step.as_str());
        seen.push(step.step.as_str());
        first
    });
    let mut next: Vec<BookletDue> = open
        .map(|step| BookletDue {
            name: step.name.clone(),
            kind: step.kind,
            earliest_on: step.earliest_on,
            ideal_on: step.ideal_on,
            latest_on: step.latest_on,
            optional: step.optional,
            source: step.source.clone(),
        })
        .collect();
    next.sort_by_key(|due| (due.ideal_on.is_none(), due.ideal_on));
    next
}

/// Sire and dam, their parents and those of these, in the order of a printed pedigree.
fn ancestors(dog_id: Uuid, pedigree: &BTreeMap<Uuid, AncestorFact>) -> Vec<BookletAncestor> {
    let mut named = Vec::new();
    add_parents(Some(dog_id), "", 1, pedigree, &mut named);
    named.sort_by_key(|ancestor: &BookletAncestor| ancestor.line.matches('.').count());
    named
}

fn add_parents(
    of: Option<Uuid>,
    line: &str,
    generation: usize,
    pedigree: &BTreeMap<Uuid, AncestorFact>,
    named: &mut Vec<BookletAncestor>,
) {
    let fact = of.and_then(|id| pedigree.get(&id));
    for (word, parent) in [("sire", fact.and_then(|f| f.sire)), ("dam", fact.and_then(|f| f.dam))] {
        let line = if line.is_empty() { word.to_owned() } else { format!("{line}.{word}") };
        let known = parent.and_then(|id| pedigree.get(&id));
        named.push(BookletAncestor {
            line: line.clone(),
            name: known.and_then(|fact| fact.name.clone()),
            born_on: known.and_then(|fact| fact.born_on),
            breed: known.and_then(|fact| fact.breed.clone()),
        });
        if generation < NAMED_GENERATIONS {
            add_parents(parent, &line, generation + 1, pedigree, named);
        }
    }
}

/// The coefficient, and what is not known behind it.
fn inbreeding(dog_id: Uuid, pedigree: &BTreeMap<Uuid, AncestorFact>) -> (f64, LowerBound) {
    let row = |(id, fact): (&Uuid, &AncestorFact)| PedigreeRow {
        id: *id,
        sire: fact.sire,
        dam: fact.dam,
    };
    let own = pedigree.get(&dog_id);
    let has = |parent: fn(&AncestorFact) -> Option<Uuid>| own.and_then(parent).is_some();
    let (sire, dam) = (has(|fact| fact.sire), has(|fact| fact.dam));
    let book = Pedigree::build(pedigree.iter().map(row)).ok().map(|p| Studbook::compute(p, 1));
    let depth = book.as_ref().and_then(|book| {
        let dog = book.pedigree().find(&dog_id)?;
        depths_among(book.pedigree().parents(), &[dog]).first().copied()
    });
    let figure = book.as_ref().and_then(|book| book.inbreeding(&dog_id)).unwrap_or(0.0);
    (figure, LowerBound::of(sire, dam, depth.unwrap_or_default()))
}

fn not_recorded(facts: &BookletFacts) -> Vec<String> {
    let own = facts.pedigree.get(&facts.dog.dog_id);
    let lacking = [
        ("the registered name", facts.dog.name.is_none()),
        ("the sex", facts.dog.sex.is_none()),
        ("the colour", facts.dog.colour.is_none()),
        ("the day of birth", facts.dog.born_on.is_none()),
        ("the chip number", facts.dog.chip_number.is_none()),
        ("an entry in a register", facts.dog.registrations.is_empty()),
        ("the sire", own.is_none_or(|own| own.sire.is_none())),
        ("the dam", own.is_none_or(|own| own.dam.is_none())),
        ("the weight at birth", facts.birth.as_ref().is_none_or(|birth| birth.weight_g.is_none())),
        ("any weight", facts.weights.is_empty()),
        ("any worming", !given(facts, HealthKind::Worming)),
        ("any vaccination", !given(facts, HealthKind::Vaccination)),
        ("a veterinary examination", !given(facts, HealthKind::Examination)),
        ("how to reach the kennel", facts.kennel.contact.is_none()),
    ];
    let lacking = lacking.into_iter().filter(|(_, lacks)| *lacks);
    let batches = facts.given.iter().filter(|event| {
        event.batch.is_none() && matches!(event.kind, HealthKind::Worming | HealthKind::Vaccination)
    });
    let without_batch = batches
        .map(|event| format!("the batch of the {} of {}", event.kind, event.on))
        .collect::<Vec<_>>();
    lacking.map(|(what, _)| what.to_owned()).chain(without_batch).collect()
}

fn given(facts: &BookletFacts, kind: HealthKind) -> bool {
    facts.given.iter().any(|event| event.kind == kind)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fact(sire: u128, dam: u128) -> AncestorFact {
        let known = |n: u128| (n > 0).then(|| Uuid::from_u128(n));
        AncestorFact {
            sire: known(sire),
            dam: known(dam),
            name: Some("named".into()),
            born_on: None,
            breed: None,
        }
    }

    fn facts(pedigree: &[(u128, u128, u128)]) -> BookletFacts {
        BookletFacts {
            kennel: BookletKennel {
                name: "Larkfell".into(),
                welcome: None,
                feeding: None,
                care: None,
                contact: None,
            },
            dog: BookletDog {
                dog_id: Uuid::from_u128(1),
                name: None,
                call_name: None,
                sex: None,
                breed: None,
                colour: None,
                markings: None,
                born_on: None,
                chip_number: None,
                registrations: Vec::new(),
            },
            birth: None,
            pedigree: pedigree
                .iter()
                .map(|(id, sire, dam)| (Uuid::from_u128(*id), fact(*sire, *dam)))
                .collect(),
            weights: Vec::new(),
            given: Vec::new(),
            tests: Vec::new(),
            schedule: Vec::new(),
        }
    }

    fn today() -> NaiveDate {
        "2026-03-01".parse().unwrap()
    }

    /// A new owner reads of one copy that it harms, not only its letters.
    #[test]
    fn a_genetic_test_says_what_it_means() {
        let meaning = |marker: &str, alleles: &[&str]| {
            let result = GenotypeResult {
                marker: marker.into(),
                alleles: alleles.iter().map(|a| (*a).to_owned()).collect(),
                laboratory: None,
                tested_on: None,
                omia: None,
            };
            BookletTest::of(result).meaning
        };
        assert_eq!(meaning("prcd_pra", &["N", "prcd"]).as_deref(), Some("carrier"));
        assert_eq!(meaning("mdr1", &["N", "N"]).as_deref(), Some("clear"));
        let one = meaning("mdr1", &["mdr1", "N"]).unwrap();
        assert!(one.contains("one copy") && one.contains("tell the vet"), "{one}");
        assert!(meaning("cddy", &["N", "CDDY"]).unwrap().contains("one copy raises the risk"));
        assert_eq!(meaning("haemophilia_a", &["N"]).as_deref(), Some("clear"));
        assert_eq!(meaning("mdr1", &["N", "?"]), None);
        assert_eq!(meaning("own", &["x", "y"]), None);
    }

    /// Offspring of full siblings: 0.25 (Wright S, Coefficients of inbreeding and relationship,
    /// American Naturalist 56, 1922).
    #[test]
    fn full_siblings_give_a_quarter_and_all_lines_are_named() {
        let made =
            booklet(facts(&[(1, 2, 3), (2, 4, 5), (3, 4, 5), (4, 0, 0), (5, 0, 0)]), today());
        assert_eq!((made.inbreeding, made.lower_bound.unknown_from_generation), (0.25, 3));
        assert_eq!(made.known_ancestors, 4);
        let lines: Vec<&str> = made.ancestors.iter().map(|a| a.line.as_str()).collect();
        assert_eq!(lines[..6], ["sire", "dam", "sire.sire", "sire.dam", "dam.sire", "dam.dam"]);
        assert_eq!(lines.len(), 14);
        assert!(made.ancestors[6..].iter().all(|ancestor| ancestor.name.is_none()));
    }

    #[test]
    fn what_is_unknown_says_so() {
        let made = booklet(facts(&[(1, 2, 0), (2, 0, 0)]), today());
        assert_eq!(made.inbreeding, 0.0, "the convention's figure");
        assert!(made.lower_bound.why.contains("dam is not known"), "{:?}", made.lower_bound);
        for what in ["the dam", "the chip number", "any vaccination", "how to reach the kennel"] {
            assert!(made.not_recorded.iter().any(|lacks| lacks == what), "{what}");
        }
        assert!(!made.not_recorded.iter().any(|lacks| lacks == "the sire"));
    }
}
