//! The ancestors of a dog by their places in its family tree, as a pedigree shows them.

use super::{
    inbreeding::{Studbook, lower_bound::LowerBound},
    partial_date::PartialDate,
    pedigree::{
        Animal, PedigreeError,
        completeness::{Completeness, completeness, depths_among},
    },
    record::{Registration, Sex},
};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, HashMap};
use utoipa::ToSchema;
use uuid::Uuid;

/// What a pedigree shows of a dog.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PedigreeDog {
    /// The dog.
    pub dog_id: Uuid,
    /// Registered name.
    #[schema(example = "Juno of Larkfell")]
    pub name: Option<String>,
    /// The name it is called by.
    #[schema(example = "Juno")]
    pub call_name: Option<String>,
    /// Sex.
    pub sex: Option<Sex>,
    /// Breed, or the cross.
    #[schema(example = "Labrador Retriever")]
    pub breed: Option<String>,
    /// Coat colour.
    #[schema(example = "black")]
    pub colour: Option<String>,
    /// Birth.
    pub born_on: Option<PartialDate>,
    /// Entries in registers.
    pub registrations: Vec<Registration>,
}

/// A known ancestor on one place of the family tree.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AncestorPlace {
    /// 1 for the parents, 2 for the grandparents.
    #[schema(example = 2)]
    pub generation: u32,
    /// Place in its generation from the sire's side on, from 0: the parents of place n stand on
    /// 2n (sire) and 2n + 1 (dam) of the next generation.
    #[schema(example = 1)]
    pub position: u32,
    /// The way up from the dog, `S` for a sire and `D` for a dam: `SD` is the sire's dam.
    #[schema(example = "SD")]
    pub line: String,
    /// Inbreeding coefficient over its whole pedigree (0-1).
    #[schema(example = 0.0313)]
    pub inbreeding: f64,
    /// Complete generation equivalents behind that figure, which is a lower bound.
    #[schema(example = 4.2)]
    pub complete_generation_equivalents: f64,
    /// Number of the repeated ancestor that this is, as in `repeated`; null when it stands once.
    #[schema(example = 1)]
    pub repeated: Option<u32>,
    /// Who it is.
    pub dog: PedigreeDog,
}

/// An ancestor that stands on several places.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RepeatedAncestor {
    /// Its number, by which places refer to it; from 1, nearest first.
    #[schema(example = 1)]
    pub number: u32,
    /// The ancestor.
    pub dog_id: Uuid,
    /// The places, by the way up.
    #[schema(example = json!(["SS", "DDS"]))]
    pub lines: Vec<String>,
}

/// A dog with its ancestors over some generations.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FamilyTree {
    /// The dog.
    pub dog: PedigreeDog,
    /// Its inbreeding coefficient over the whole pedigree (0-1), not over these generations alone.
    #[schema(example = 0.0654)]
    pub inbreeding: f64,
    /// Why it is a lower bound, and how much of the pedigree is behind it.
    pub lower_bound: LowerBound,
    /// Generations shown.
    #[schema(example = 4)]
    pub generations: u32,
    /// Known ancestors, generation by generation, from the sire's side on.
    pub ancestors: Vec<AncestorPlace>,
    /// Ancestors that stand on several of these places.
    pub repeated: Vec<RepeatedAncestor>,
    /// How complete the pedigree is.
    pub known_ancestors: Completeness,
}

/// Most generations of a family tree: 2046 places.
pub const MOST_GENERATIONS: u32 = 10;

/// A place and who stands there.
#[derive(Debug, Clone, Copy)]
struct Ancestor {
    generation: u32,
    position: u32,
    animal: Animal,
}

impl Ancestor {
    fn line(self) -> String {
        let side = |bit: u32| if self.position >> bit & 1 == 0 { 'S' } else { 'D' };
        (0..self.generation).rev().map(side).collect()
    }
}

/// The family tree of a dog over 1 to [`MOST_GENERATIONS`] generations. `particulars` tells who
/// the dogs are that [`tree_dogs`] lists; of one that it leaves out only the id is shown.
///
/// # Errors
/// The dog is not in the pedigree.
pub fn family_tree(
    book: &Studbook<Uuid>,
    dog_id: Uuid,
    generations: u32,
    particulars: Vec<PedigreeDog>,
) -> Result<FamilyTree, PedigreeError<Uuid>> {
    let generations = generations.clamp(1, MOST_GENERATIONS);
    let dog = book.pedigree().find(&dog_id).ok_or(PedigreeError::NotThere(dog_id))?;
    let known: HashMap<Uuid, PedigreeDog> =
        particulars.into_iter().map(|dog| (dog.dog_id, dog)).collect();
    let who = |animal: Animal| {
        let dog_id = *book.pedigree().id(animal);
        known.get(&dog_id).cloned().unwrap_or_else(|| PedigreeDog {
            dog_id,
            name: None,
            call_name: None,
            sex: None,
            breed: None,
            colour: None,
            born_on: None,
            registrations: Vec::new(),
        })
    };
    let inbreeding = |animal: Animal| book.coefficients()[animal as usize];
    let places = places(book, dog, generations);
    let (repeated, numbers) = repeated(book, &places);
    let parents = book.pedigree().parents();
    let mut animals: Vec<Animal> = places.iter().map(|place| place.animal).collect();
    animals.push(dog);
    let depths = depths_among(parents, &animals);
    let own = depths.last().copied().unwrap_or_default();
    let ancestors = places.iter().zip(&depths).map(|(place, depth)| AncestorPlace {
        generation: place.generation,
        position: place.position,
        line: place.line(),
        inbreeding: inbreeding(place.animal),
        complete_generation_equivalents: depth.equivalents,
        repeated: numbers.get(&place.animal).copied(),
        dog: who(place.animal),
    });
    Ok(FamilyTree {
        dog: who(dog),
        inbreeding: inbreeding(dog),
        lower_bound: LowerBound::of(parents.sire(dog).is_some(), parents.dam(dog).is_some(), own),
        generations,
        ancestors: ancestors.collect(),
        repeated,
        known_ancestors: completeness(parents, dog, generations),
    })
}

/// The dog and its ancestors over some generations, each once.
///
/// # Errors
/// The dog is not in the pedigree.
pub fn tree_dogs(
    book: &Studbook<Uuid>,
    dog_id: Uuid,
    generations: u32,
) -> Result<Vec<Uuid>, PedigreeError<Uuid>> {
    let dog = book.pedigree().find(&dog_id).ok_or(PedigreeError::NotThere(dog_id))?;
    let places = places(book, dog, generations.clamp(1, MOST_GENERATIONS));
    let mut animals: Vec<Animal> = places.iter().map(|place| place.animal).collect();
    animals.push(dog);
    animals.sort_unstable();
    animals.dedup();
    Ok(animals.into_iter().map(|animal| *book.pedigree().id(animal)).collect())
}

fn places(book: &Studbook<Uuid>, dog: Animal, generations: u32) -> Vec<Ancestor> {
    let parents = book.pedigree().parents();
    let mut found: Vec<Ancestor> = Vec::new();
    let mut last = vec![Ancestor { generation: 0, position: 0, animal: dog }];
    for generation in 1..=generations {
        let mut next = Vec::new();
        for child in last {
            for (side, parent) in (0..).zip([parents.sire(child.animal), parents.dam(child.animal)])
            {
                let position = 2 * child.position + side;
                next.extend(parent.map(|animal| Ancestor { generation, position, animal }));
            }
        }
        found.extend(&next);
        last = next;
    }
    found
}

fn repeated(
    book: &Studbook<Uuid>,
    places: &[Ancestor],
) -> (Vec<RepeatedAncestor>, BTreeMap<Animal, u32>) {
    let mut lines: BTreeMap<Animal, Vec<String>> = BTreeMap::new();
    for place in places {
        lines.entry(place.animal).or_default().push(place.line());
    }
    let mut repeated = Vec::new();
    let mut numbers = BTreeMap::new();
    for place in places {
        if let Some(lines) = lines.remove(&place.animal).filter(|lines| lines.len() > 1) {
            let number = repeated.len() as u32 + 1;
            numbers.insert(place.animal, number);
            let dog_id = *book.pedigree().id(place.animal);
            repeated.push(RepeatedAncestor { number, dog_id, lines });
        }
    }
    (repeated, numbers)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pedigree::{Pedigree, PedigreeRow};

    fn id(n: u128) -> Uuid {
        Uuid::from_u128(n)
    }

    /// 3 and 4 are full sibs by 1 and 2; 5 is their pup.
    fn book() -> Studbook<Uuid> {
        let rows = [(3, 1, 2), (4, 1, 2), (5, 3, 4)];
        let row = |(n, s, d)| PedigreeRow { id: id(n), sire: Some(id(s)), dam: Some(id(d)) };
        Studbook::compute(Pedigree::build(rows.map(row)).unwrap(), 1)
    }

    #[test]
    fn places_every_ancestor_and_numbers_the_repeated() {
        let tree = family_tree(&book(), id(5), 3, Vec::new()).unwrap();
        let lines: Vec<_> =
            tree.ancestors.iter().map(|a| (&*a.line, a.position, a.dog.dog_id)).collect();
        let wanted = [
            ("S", 0, id(3)),
            ("D", 1, id(4)),
            ("SS", 0, id(1)),
            ("SD", 1, id(2)),
            ("DS", 2, id(1)),
            ("DD", 3, id(2)),
        ];
        assert_eq!(lines, wanted);
        assert_eq!(tree.inbreeding, 0.25);
        assert_eq!(tree.lower_bound.unknown_from_generation, 3);
        assert_eq!(tree.lower_bound.complete_generation_equivalents, 2.0);
        assert_eq!(tree.ancestors[0].complete_generation_equivalents, 1.0);
        let repeated: Vec<_> =
            tree.repeated.iter().map(|r| (r.number, r.dog_id, r.lines.join(" "))).collect();
        assert_eq!(repeated, [(1, id(1), "SS DS".to_owned()), (2, id(2), "SD DD".to_owned())]);
        assert_eq!(tree.ancestors[4].repeated, Some(1));
        assert_eq!(tree.ancestors[0].repeated, None);
        assert_eq!(tree_dogs(&book(), id(5), 3).unwrap().len(), 5);
    }

    #[test]
    fn leaves_unknown_places_out() {
        let tree = family_tree(&book(), id(3), 2, Vec::new()).unwrap();
        assert_eq!(tree.ancestors.len(), 2);
        assert_eq!(tree.known_ancestors.generations[1].known, 0);
        assert_eq!(family_tree(&book(), id(9), 2, Vec::new()), Err(PedigreeError::NotThere(id(9))));
    }
}
