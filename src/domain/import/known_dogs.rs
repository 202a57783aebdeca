//! Which dog a cell means: by an id, a chip, an entry in a register or a name.

use super::fold::folded;
use crate::{fault::quoted, partial_date::PartialDate, record::Sex};
use catalogue::{Text, Value, said};
use std::collections::HashMap;
use uuid::Uuid;

/// Candidates that a fault lists.
const MOST_CANDIDATES: usize = 5;

/// A dog that the kennel has already.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct KnownDog {
    /// The dog.
    pub id: Uuid,
    /// Its id in a file it came from.
    pub imported_id: Option<Box<str>>,
    /// Sex; `None` while unknown.
    pub sex: Option<Sex>,
    /// Birth.
    pub born_on: Option<PartialDate>,
    /// Sire.
    pub sire_id: Option<Uuid>,
    /// Dam.
    pub dam_id: Option<Uuid>,
    /// Microchip.
    pub chip_number: Option<Box<str>>,
    /// Registered name.
    pub name: Option<Box<str>>,
    /// The name it is called by.
    pub call_name: Option<Box<str>>,
    /// Its numbers in registers.
    pub numbers: Vec<Box<str>>,
}

impl KnownDog {
    /// The dog as a fault lists it.
    pub fn in_words(&self) -> Text {
        let name = self.name.as_deref().or(self.call_name.as_deref());
        let name = name.or(self.imported_id.as_deref()).map_or_else(String::new, quoted);
        let id = self.id.to_string();
        match self.born_on {
            Some(born) => said!("dog-born-with-id", name = name, born = born, id = id),
            None => said!("dog-with-id", name = name, id = id),
        }
    }
}

/// A chip number, or an entry in a register, as it is compared.
pub(super) fn number(text: &str) -> String {
    folded(text).replace([' ', '-', '.'], "")
}

/// By what a dog may be meant, the surest first.
#[derive(Debug, Clone, Copy)]
pub(super) enum Mark {
    Id,
    Chip,
    Number,
    Name,
    CallName,
}

/// Finds what a text means, by the surest mark that fits anything.
#[derive(Debug)]
pub(super) struct Marks<T>([HashMap<String, Vec<T>>; 5]);

impl<T: Copy + PartialEq> Marks<T> {
    pub(super) fn new() -> Self {
        Self(std::array::from_fn(|_| HashMap::new()))
    }

    pub(super) fn add(&mut self, mark: Mark, text: &str, of: T) {
        let text = Self::plain(mark, text);
        let held = self.0[mark as usize].entry(text).or_default();
        if !held.contains(&of) {
            held.push(of);
        }
    }

    fn plain(mark: Mark, text: &str) -> String {
        match mark {
            Mark::Id => text.trim().to_owned(),
            Mark::Chip | Mark::Number => number(text),
            Mark::Name | Mark::CallName => folded(text),
        }
    }

    /// What has this mark.
    pub(super) fn with(&self, mark: Mark, text: &str) -> &[T] {
        self.0[mark as usize].get(&Self::plain(mark, text)).map_or(&[], Vec::as_slice)
    }

    /// What a text means: by its id, or else its chip, its number, its name, what it is called.
    pub(super) fn meant(&self, text: &str) -> &[T] {
        let marks = [Mark::Id, Mark::Chip, Mark::Number, Mark::Name, Mark::CallName];
        marks.into_iter().map(|mark| self.with(mark, text)).find(|of| !of.is_empty()).unwrap_or(&[])
    }
}

impl<'a> Marks<&'a KnownDog> {
    /// The marks of a kennel's dogs.
    pub(super) fn of(dogs: &'a [KnownDog]) -> Self {
        let mut marks = Self::new();
        for dog in dogs {
            dog.mark(&mut marks, dog);
        }
        marks
    }
}

impl KnownDog {
    /// Enters by what this dog is known.
    pub(super) fn mark<T: Copy + PartialEq>(&self, marks: &mut Marks<T>, of: T) {
        marks.add(Mark::Id, &self.id.to_string(), of);
        let texts = [
            (Mark::Id, &self.imported_id),
            (Mark::Chip, &self.chip_number),
            (Mark::Name, &self.name),
            (Mark::CallName, &self.call_name),
        ];
        for (mark, text) in texts {
            text.as_deref().into_iter().for_each(|text| marks.add(mark, text, of));
        }
        self.numbers.iter().for_each(|text| marks.add(Mark::Number, text, of));
    }
}

/// Finds the dogs that cells name.
#[derive(Debug)]
pub struct DogFinder<'a>(Marks<&'a KnownDog>);

impl<'a> DogFinder<'a> {
    /// Among these dogs of the kennel.
    pub fn among(dogs: &'a [KnownDog]) -> Self {
        Self(Marks::of(dogs))
    }

    /// The one dog that a text means.
    ///
    /// # Errors
    /// That it means none, or which ones it may mean.
    pub fn one(&self, text: &str) -> Result<&'a KnownDog, Text> {
        match self.0.meant(text) {
            [one] => Ok(one),
            [] => Err(said!("fault-not-found-dog-named")),
            several => Err(several_in_words(several.iter().map(|dog| dog.in_words()))),
        }
    }
}

/// Which ones a text may mean, a few of them.
pub(super) fn several_in_words(dogs: impl ExactSizeIterator<Item = Text>) -> Text {
    let more = dogs.len().saturating_sub(MOST_CANDIDATES);
    let listed = Value::any(dogs.take(MOST_CANDIDATES));
    match more {
        0 => said!("fault-unclear-dog", dogs = listed),
        more => said!("fault-unclear-dog-and-more", dogs = listed, more = more),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dog(n: u128, name: &str, chip: Option<&str>) -> KnownDog {
        let name = Some(name.into());
        KnownDog {
            id: Uuid::from_u128(n),
            name,
            chip_number: chip.map(Into::into),
            ..KnownDog::default()
        }
    }

    #[test]
    fn the_surest_mark_finds_a_dog() {
        let numbered = KnownDog {
            numbers: vec!["SB 10/2231".into()],
            call_name: Some("Bée".into()),
            ..dog(3, "Juno", None)
        };
        let dogs =
            [dog(1, "Rex", Some("276098100123456")), dog(2, "276098100123456", None), numbered];
        let finder = DogFinder::among(&dogs);
        for (text, found) in [
            ("276 098 100 123 456", 1),
            ("rex", 1),
            ("sb 10/2231", 3),
            ("SB10/2231", 3),
            ("BEE", 3),
            (&Uuid::from_u128(2).to_string(), 2),
        ] {
            assert_eq!(finder.one(text).map(|dog| dog.id), Ok(Uuid::from_u128(found)), "{text}");
        }
        assert!(finder.one("Castor").unwrap_err().contains("names no dog"));
    }

    #[test]
    fn several_are_listed_and_no_more_than_a_few() {
        let dogs: Vec<KnownDog> = (1..=7).map(|n| dog(n, "Rex", None)).collect();
        for (count, listed, more) in [(2, 2, false), (5, 5, false), (6, 5, true), (7, 5, true)] {
            let detail = DogFinder::among(&dogs[..count]).one("Rex").unwrap_err();
            assert_eq!(detail.to_string().matches("\"Rex\"").count(), listed, "{detail}");
            assert_eq!(detail.contains(" more;"), more, "{detail}");
        }
    }
}
