//! What goes with a pup to its new home: everything recorded of it, and what is not.

mod album;

pub use album::{Album, AlbumPicture, album};

use super::{
    advice::standing_line,
    family_tree::{FamilyTree, PedigreeDog, family_tree},
    markers::{GenotypeResult, MarkerCatalogue},
    partial_date::PartialDate,
    pedigree::{Pedigree, PedigreeRow, completeness::depths_among},
    record::{Attachment, AttachmentKind, FileType, Kept, Registration, Sex},
    schedule::{DueState, DueStep, HealthKind},
    units::WeightUnit,
};
use crate::inbreeding::{Studbook, lower_bound::LowerBound};
use catalogue::{Text, said};
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
    /// In what it reads weights.
    pub weight_unit: WeightUnit,
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
    #[serde(rename = "weighed_on")]
    pub on: NaiveDate,
    /// Grams.
    #[schema(example = 5400)]
    pub weight_g: i32,
}

/// Something given or found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BookletEvent {
    /// The day.
    #[serde(rename = "done_on")]
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
    #[schema(value_type = String, example = "Progressive retinal atrophy, prcd form")]
    pub name: Text,
    /// The alleles found.
    #[schema(example = "N/prcd")]
    pub genotype: String,
    /// What the genotype shows, and what one copy does where one copy harms; null when an allele is
    /// not known.
    #[schema(value_type = Option<String>, example = "carrier")]
    pub meaning: Option<Text>,
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
        let name = named.unwrap_or_else(|| marker.into());
        Self { name, genotype, meaning, laboratory, tested_on }
    }
}

/// What is due next.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BookletDue {
    /// What.
    #[schema(value_type = String, example = "Core vaccination, series")]
    pub name: Text,
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

/// A picture or paper that the kennel shows to the new owner.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BookletPicture {
    /// Its file is read below the booklet's link, at `attachments/{attachment_id}/file`.
    pub attachment_id: Uuid,
    /// What it is.
    pub kind: AttachmentKind,
    /// What its file is.
    pub media_type: FileType,
    /// The day it shows or was made on.
    pub taken_on: Option<NaiveDate>,
    /// How old the dog was then, in days.
    pub age_days: Option<i64>,
    /// What it shows.
    pub caption: Option<String>,
}

impl BookletPicture {
    /// One that is kept, of a dog born on this day.
    pub fn of(kept: Kept<Attachment>, born_on: Option<PartialDate>) -> Self {
        let Attachment { kind, media_type, taken_on, caption, .. } = kept.record;
        let born_on = born_on.and_then(PartialDate::day);
        let age = born_on.zip(taken_on).map(|(born, taken)| taken - born);
        let age_days = age.map(|age| age.num_days()).filter(|days| *days >= 0);
        Self { attachment_id: kept.id, kind, media_type, taken_on, age_days, caption }
    }
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
    /// Pictures and papers that the kennel shows, by age.
    pub pictures: Vec<BookletPicture>,
    /// What is not recorded.
    #[schema(value_type = Vec<String>, example = json!(["the chip number"]))]
    pub not_recorded: Vec<Text>,
    /// What stands beside every piece of advice.
    #[schema(value_type = String)]
    pub advice: Text,
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
    /// What the kennel shows of it.
    pub pictures: Vec<BookletPicture>,
}

/// Puts the booklet together, as of `today`.
pub fn booklet(facts: BookletFacts, today: NaiveDate) -> Booklet {
    let not_recorded = not_recorded(&facts);
    let BookletFacts { kennel, dog, birth, pedigree, weights, given, tests, schedule, pictures } =
        facts;
    let (mut weights, mut given) = (weights, given);
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
        pictures,
        not_recorded,
        advice: standing_line(),
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

fn studbook(pedigree: &BTreeMap<Uuid, AncestorFact>) -> Option<Studbook<Uuid>> {
    let row = |(id, fact): (&Uuid, &AncestorFact)| PedigreeRow {
        id: *id,
        sire: fact.sire,
        dam: fact.dam,
    };
    Pedigree::build(pedigree.iter().map(row)).ok().map(|pedigree| Studbook::compute(pedigree, 1))
}

/// The ancestors that the booklet names, on their places.
pub fn booklet_tree(facts: &BookletFacts) -> Option<FamilyTree> {
    let who = |(id, fact): (&Uuid, &AncestorFact)| PedigreeDog {
        dog_id: *id,
        name: fact.name.clone(),
        call_name: None,
        sex: None,
        breed: fact.breed.clone(),
        colour: None,
        born_on: fact.born_on,
        registrations: Vec::new(),
    };
    let BookletDog { dog_id, sex, ref call_name, ref colour, .. } = facts.dog;
    let own = |dog: PedigreeDog| match dog.dog_id == dog_id {
        true => PedigreeDog { sex, call_name: call_name.clone(), colour: colour.clone(), ..dog },
        false => dog,
    };
    let dogs = facts.pedigree.iter().map(who).map(own).collect();
    let book = studbook(&facts.pedigree)?;
    family_tree(&book, dog_id, NAMED_GENERATIONS as u32, dogs).ok()
}

/// The coefficient, and what is not known behind it.
fn inbreeding(dog_id: Uuid, pedigree: &BTreeMap<Uuid, AncestorFact>) -> (f64, LowerBound) {
    let own = pedigree.get(&dog_id);
    let has = |parent: fn(&AncestorFact) -> Option<Uuid>| own.and_then(parent).is_some();
    let (sire, dam) = (has(|fact| fact.sire), has(|fact| fact.dam));
    let book = studbook(pedigree);
    let depth = book.as_ref().and_then(|book| {
        let dog = book.pedigree().find(&dog_id)?;
        depths_among(book.pedigree().parents(), &[dog]).first().copied()
    });
    let figure = book.as_ref().and_then(|book| book.inbreeding(&dog_id)).unwrap_or(0.0);
    (figure, LowerBound::of(sire, dam, depth.unwrap_or_default()))
}

fn not_recorded(facts: &BookletFacts) -> Vec<Text> {
    let own = facts.pedigree.get(&facts.dog.dog_id);
    let lacking = [
        (facts.dog.name.is_none(), said!("booklet-lacks-name")),
        (facts.dog.sex.is_none(), said!("booklet-lacks-sex")),
        (facts.dog.colour.is_none(), said!("booklet-lacks-colour")),
        (facts.dog.born_on.is_none(), said!("booklet-lacks-birth")),
        (facts.dog.chip_number.is_none(), said!("booklet-lacks-chip")),
        (facts.dog.registrations.is_empty(), said!("booklet-lacks-register")),
        (own.is_none_or(|own| own.sire.is_none()), said!("booklet-lacks-sire")),
        (own.is_none_or(|own| own.dam.is_none()), said!("booklet-lacks-dam")),
        (
            facts.birth.as_ref().is_none_or(|birth| birth.weight_g.is_none()),
            said!("booklet-lacks-birth-weight"),
        ),
        (facts.weights.is_empty(), said!("booklet-lacks-weight")),
        (!given(facts, HealthKind::Worming), said!("booklet-lacks-worming")),
        (!given(facts, HealthKind::Vaccination), said!("booklet-lacks-vaccination")),
        (!given(facts, HealthKind::Examination), said!("booklet-lacks-examination")),
        (facts.kennel.contact.is_none(), said!("booklet-lacks-contact")),
    ];
    let lacking = lacking.into_iter().filter(|(lacks, _)| *lacks).map(|(_, what)| what);
    let unbatched = facts.given.iter().filter(|event| event.batch.is_none());
    lacking.chain(unbatched.filter_map(batch_of)).collect()
}

/// The batch of what was given; `None` of what has none.
fn batch_of(event: &BookletEvent) -> Option<Text> {
    match event.kind {
        HealthKind::Worming => Some(said!("booklet-lacks-worming-batch", on = event.on)),
        HealthKind::Vaccination => Some(said!("booklet-lacks-vaccination-batch", on = event.on)),
        _ => None,
    }
}

fn given(facts: &BookletFacts, kind: HealthKind) -> bool {
    facts.given.iter().any(|event| event.kind == kind)
}

#[cfg(test)]
mod tests;
