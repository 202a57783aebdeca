//! Which dog a row is, and which ones its parents are, where a file names them otherwise than by its own ids.
//!
//! Every dog gets a key that no other has: its id in the file, or else the kennel's own id of the dog that the
//! row is known to be, or else a name of its own. What follows (parents by position, checks, the merge with the
//! kennel) goes by keys alone.

use super::{ImportedDog, PedigreeFile, Words};
use crate::{
    fault::quoted,
    import::{
        LineFault, LineFaultKind as Kind, LineFaults,
        fold::folded,
        known_dogs::{KnownDog, Mark, Marks, several_in_words},
    },
    partial_date::PartialDate,
    record::Sex,
};
use catalogue::{Text, said};
use std::collections::{HashMap, HashSet};

/// What a file names and its own ids do not tell.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Unresolved {
    /// Names, registrations or chips of parents, and of rows without an id.
    pub texts: Vec<String>,
}

impl PedigreeFile {
    /// What must be looked up among the kennel's dogs beside the ids of the rows: names and numbers. `known`
    /// are the dogs that were found by ids.
    pub fn unresolved(&self, known: &[KnownDog]) -> Unresolved {
        let ids: HashSet<&str> = self.dogs.iter().map(|dog| &*dog.imported_id).collect();
        let known = Marks::of(known);
        let mut texts: HashSet<&str> = HashSet::new();
        for dog in &self.dogs {
            for parent in [&dog.sire, &dog.dam].into_iter().flatten() {
                if !ids.contains(&**parent) && known.with(Mark::Id, parent).is_empty() {
                    texts.insert(parent);
                }
            }
            if !self.has_ids {
                let names = [dog.name.as_deref(), dog.call_name.as_deref()];
                texts.extend(names.into_iter().flatten().chain(dog.chip_number.as_deref()));
                texts.extend(dog.registrations.iter().map(|entry| &*entry.number));
            }
        }
        Unresolved { texts: texts.into_iter().map(str::to_owned).collect() }
    }
}

/// Gives every row its key and every parent the key of the dog that it means. A parent that nobody knows keeps
/// its text, or in a file without ids becomes one known by that name.
pub(super) fn resolve(file: &mut PedigreeFile, known: &[KnownDog], faults: &mut LineFaults) {
    if !file.has_ids {
        key_rows(&mut file.dogs, known, faults);
    }
    let keys: HashSet<&str> = file.dogs.iter().map(|dog| &*dog.imported_id).collect();
    let by_id = Marks::of(known);
    let is_settled = |text: &str| {
        file.has_ids && (keys.contains(text) || !by_id.with(Mark::Id, text).is_empty())
    };
    let is_open = |text: &Option<Words>| text.as_deref().is_some_and(|text| !is_settled(text));
    if !file.dogs.iter().any(|dog| is_open(&dog.sire) || is_open(&dog.dam)) {
        return;
    }
    let candidates = candidates(&file.dogs, known, &keys);
    let mut marks = Marks::new();
    for (at, candidate) in candidates.iter().enumerate() {
        candidate.mark(&mut marks, at);
    }
    let mut meant: Vec<(usize, usize, Words)> = Vec::new();
    // As the first line spells the name of somebody unknown, so do all.
    let mut spelled: HashMap<String, Words> = HashMap::new();
    for (number, dog) in file.dogs.iter().enumerate() {
        let sides = [(&dog.sire, Sex::Male, "sire"), (&dog.dam, Sex::Female, "dam")];
        for (side, (text, sex, role)) in sides.into_iter().enumerate() {
            let Some(text) = text.as_deref().filter(|text| !is_settled(text)) else { continue };
            match parent(text, sex, dog, &marks, &candidates) {
                Parent::Unknown if file.has_ids => {}
                Parent::Unknown => {
                    let key = spelled.entry(folded(text)).or_insert_with(|| text.into());
                    meant.push((number, side, key.clone()));
                }
                Parent::One(key) => meant.push((number, side, key.into())),
                Parent::Several(detail) => {
                    let id = &[&*dog.imported_id];
                    let line = dog.line.unwrap_or(1);
                    let subject = match sex {
                        Sex::Male => said!("import-sire", name = quoted(text)),
                        Sex::Female => said!("import-dam", name = quoted(text)),
                    };
                    let mut fault = LineFault::at_value(line, role, id, detail).about(subject);
                    fault.kind = Kind::Ambiguous;
                    faults.push(fault);
                }
            }
        }
    }
    drop((marks, candidates, keys));
    for (number, side, key) in meant {
        let dog = &mut file.dogs[number];
        let parent = if side == 0 { &mut dog.sire } else { &mut dog.dam };
        *parent = Some(key);
    }
}

/// Gives rows without ids their keys.
fn key_rows(dogs: &mut [ImportedDog], known: &[KnownDog], faults: &mut LineFaults) {
    let marks = Marks::of(known);
    let mut taken: HashMap<String, u64> = HashMap::new();
    let mut names: HashMap<String, Vec<usize>> = HashMap::new();
    for at in 0..dogs.len() {
        let line = dogs[at].line.unwrap_or(1);
        let key = match known_row(&dogs[at], &marks) {
            Ok(Some(dog)) => dog.id.to_string(),
            Ok(None) => {
                let label = dogs[at].label().to_owned();
                let same = names.entry(label.clone()).or_default();
                // Of the same name, but told apart by birth or chip: two dogs.
                let first = same.iter().find(|other| !contradict(&dogs[at], &dogs[**other]));
                let key = match first {
                    Some(first) => dogs[*first].imported_id.to_string(),
                    None if same.is_empty() && !taken.contains_key(&label) => label,
                    None => format!("{label} (line {line})"),
                };
                same.push(at);
                key
            }
            Err(detail) => {
                let label = quoted(dogs[at].label());
                let fault = LineFault::at_line(Kind::Ambiguous, line, &[], detail);
                faults.push(fault.about(label.as_str()));
                format!("{label} (line {line})")
            }
        };
        taken.entry(key.clone()).or_insert(line);
        dogs[at].imported_id = key.into();
        dogs[at].without_id = true;
    }
}

/// Whether two descriptions cannot be of one dog.
fn contradict(one: &ImportedDog, other: &ImportedDog) -> bool {
    let births = one.born_on.zip(other.born_on).is_some_and(|(a, b)| !overlap(a, b));
    births
        || one.chip_number.is_some()
            && other.chip_number.is_some()
            && one.chip_number != other.chip_number
}

fn overlap(one: PartialDate, other: PartialDate) -> bool {
    one.earliest() <= other.latest() && other.earliest() <= one.latest()
}

/// The dog of the kennel that a row without an id is: by its chip, else an entry in a register, else its name
/// where birth and chip do not contradict.
fn known_row<'a>(
    row: &ImportedDog,
    marks: &Marks<&'a KnownDog>,
) -> Result<Option<&'a KnownDog>, Text> {
    let one = |found: Vec<&'a KnownDog>| match found.as_slice() {
        [] => Ok(None),
        [one] => Ok(Some(*one)),
        several => Err(several_in_words(several.iter().map(|dog| dog.in_words()))),
    };
    if let Some(chip) = row.chip_number.as_deref()
        && let Some(dog) = one(marks.with(Mark::Chip, chip).to_vec())?
    {
        return Ok(Some(dog));
    }
    for entry in &row.registrations {
        if let Some(dog) = one(marks.with(Mark::Number, &entry.number).to_vec())? {
            return Ok(Some(dog));
        }
    }
    let fits = |dog: &&KnownDog| {
        let births = row.born_on.zip(dog.born_on).is_none_or(|(a, b)| overlap(a, b));
        let chips = row.chip_number.is_none() || dog.chip_number.is_none();
        births && chips
    };
    let (mark, name) = match (row.name.as_deref(), row.call_name.as_deref()) {
        (Some(name), _) => (Mark::Name, name),
        (None, Some(name)) => (Mark::CallName, name),
        (None, None) => return Ok(None),
    };
    let named = marks.with(mark, name).iter().copied().filter(fits).collect();
    one(named)
}

/// Someone who may be a parent.
struct Candidate<'a> {
    key: String,
    sex: Option<Sex>,
    born_on: Option<PartialDate>,
    row: Option<&'a ImportedDog>,
    known: Option<&'a KnownDog>,
}

impl Candidate<'_> {
    fn mark(&self, marks: &mut Marks<usize>, at: usize) {
        if let Some(known) = self.known {
            known.mark(marks, at);
        }
        let Some(row) = self.row else { return };
        let texts = [
            (Mark::Chip, row.chip_number.as_deref()),
            (Mark::Name, row.name.as_deref()),
            (Mark::CallName, row.call_name.as_deref()),
        ];
        for (mark, text) in texts {
            text.into_iter().for_each(|text| marks.add(mark, text, at));
        }
        row.registrations.iter().for_each(|entry| marks.add(Mark::Number, &entry.number, at));
    }

    fn in_words(&self) -> Text {
        match (self.row, self.known) {
            (Some(row), _) => {
                let (name, line) = (quoted(row.label()), row.line.unwrap_or(1));
                match row.born_on {
                    Some(born) => {
                        said!("dog-on-line-born", name = name, line = line, born = born)
                    }
                    None => said!("dog-on-line", name = name, line = line),
                }
            }
            (None, Some(known)) => known.in_words(),
            (None, None) => quoted(&self.key).into(),
        }
    }
}

/// The rows of the file and the kennel's dogs, each dog once.
fn candidates<'a>(
    dogs: &'a [ImportedDog],
    known: &'a [KnownDog],
    keys: &HashSet<&str>,
) -> Vec<Candidate<'a>> {
    let key_of = |dog: &KnownDog| {
        let own = dog.id.to_string();
        let imported = dog.imported_id.as_deref().filter(|id| keys.contains(id));
        imported.map_or(own, str::to_owned)
    };
    let mut by_key: HashMap<String, &KnownDog> =
        known.iter().map(|dog| (key_of(dog), dog)).collect();
    let mut seen = HashSet::new();
    let mut all: Vec<Candidate<'a>> = Vec::with_capacity(dogs.len() + known.len());
    for row in dogs.iter().filter(|row| seen.insert(&*row.imported_id)) {
        let known = by_key.remove(&*row.imported_id);
        all.push(Candidate {
            key: row.imported_id.to_string(),
            sex: row.sex.or(known.and_then(|dog| dog.sex)),
            born_on: row.born_on.or(known.and_then(|dog| dog.born_on)),
            row: Some(row),
            known,
        });
    }
    let mut rest: Vec<(String, &KnownDog)> = by_key.into_iter().collect();
    rest.sort_by_key(|(_, dog)| dog.id);
    all.extend(rest.into_iter().map(|(key, dog)| Candidate {
        key,
        sex: dog.sex,
        born_on: dog.born_on,
        row: None,
        known: Some(dog),
    }));
    all
}

enum Parent<'a> {
    Unknown,
    One(&'a str),
    Several(Text),
}

/// The parent that a text means: of several of that name the one that can be, by sex and age.
fn parent<'a>(
    text: &str,
    sex: Sex,
    child: &ImportedDog,
    marks: &Marks<usize>,
    candidates: &'a [Candidate<'_>],
) -> Parent<'a> {
    let named: Vec<&Candidate<'_>> = marks.meant(text).iter().map(|at| &candidates[*at]).collect();
    let can_be = |candidate: &&&Candidate<'_>| {
        let older =
            candidate.born_on.zip(child.born_on).is_none_or(|(p, c)| p.earliest() < c.latest());
        let itself = candidate.key == *child.imported_id;
        candidate.sex.is_none_or(|own| own == sex) && older && !itself
    };
    let fitting: Vec<&&Candidate<'_>> = named.iter().filter(can_be).collect();
    match (fitting.as_slice(), named.as_slice()) {
        (_, []) => Parent::Unknown,
        ([one], _) => Parent::One(&one.key),
        // Its sex or age speaks against it, which the checks tell.
        ([], [one]) => Parent::One(&one.key),
        ([], several) => {
            Parent::Several(several_in_words(several.iter().map(|one| one.in_words())))
        }
        (several, _) => Parent::Several(several_in_words(several.iter().map(|one| one.in_words()))),
    }
}
