//! A file beside the dogs that a kennel has already: who is added, who is changed, what conflicts.

use super::{ImportedDog, ParsedPedigree};
use crate::{
    fault::{MOST_TOLD, cut, quoted},
    import::{
        LineFault, LineFaultKind as Kind, LineFaults, MadeUpParent, fold::folded,
        known_dogs::KnownDog,
    },
    partial_date::PartialDate,
    pedigree::{Pedigree, PedigreeError, PedigreeRow, UNKNOWN},
    record::Sex,
};
use catalogue::{Value, said};
use std::collections::{HashMap, HashSet, hash_map::Entry};
use uuid::Uuid;

/// The sex of a sire and of a dam.
const SEXES: [Sex; 2] = [Sex::Male, Sex::Female];

/// A dog of a file with its place in the kennel. What the file leaves open stays as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlacedDog<'a> {
    /// The dog's id in the kennel.
    pub id: Uuid,
    /// Sire, if the file states one.
    pub sire_id: Option<Uuid>,
    /// Dam, if the file states one.
    pub dam_id: Option<Uuid>,
    /// What the file says of it.
    pub stated: &'a ImportedDog,
}

/// What an import would do. Its dogs stand there once, whatever becomes of them.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct MergePlan {
    dogs: Vec<ImportedDog>,
    ids: Vec<Uuid>,
    parents: Vec<[u32; 2]>,
    /// Dogs to add, parents first, by their places.
    pub new: Vec<u32>,
    /// Dogs that the kennel has, with what the file says of them now, by their places.
    pub known: Vec<u32>,
    /// Known dogs whose sex was not known until the file gave them a role.
    pub sexed: Vec<(Uuid, Sex)>,
    /// Known dogs that would get another sire or dam.
    pub new_parents: Vec<Uuid>,
}

impl MergePlan {
    /// The dogs at these places.
    pub fn at(&self, places: &[u32]) -> impl ExactSizeIterator<Item = PlacedDog<'_>> {
        places.iter().map(|place| {
            let place = *place as usize;
            let parent = |side: usize| self.ids.get(self.parents[place][side] as usize).copied();
            PlacedDog {
                id: self.ids[place],
                sire_id: parent(0),
                dam_id: parent(1),
                stated: &self.dogs[place],
            }
        })
    }

    /// The dogs whose births the file alone does not settle: those that the kennel has, and new ones with such a parent.
    pub fn beside_known(&self) -> Vec<Uuid> {
        let mut is_new = vec![false; self.dogs.len()];
        self.new.iter().for_each(|place| is_new[*place as usize] = true);
        let has_known_parent = |place: &&u32| {
            let mut parents = self.parents[**place as usize].iter();
            parents.any(|parent| is_new.get(*parent as usize).is_some_and(|is_new| !is_new))
        };
        let new = self.new.iter().filter(has_known_parent);
        self.known.iter().chain(new).map(|place| self.ids[*place as usize]).collect()
    }

    /// All dogs that are known or new.
    fn all(&self) -> impl Iterator<Item = PlacedDog<'_>> {
        self.at(&self.known).chain(self.at(&self.new))
    }
}

/// What an import would do, and what speaks against it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Merged {
    /// What it would do.
    pub plan: MergePlan,
    /// Every conflict, by line.
    pub faults: Vec<LineFault>,
    /// Parents that are made up.
    pub made_up: Vec<MadeUpParent>,
}

/// Places the dogs of a file among those of the kennel. `known` holds every dog of the kennel
/// that the file names (by imported id or by the kennel's own id) or whose chip it states, and
/// the parents and offspring of these. `new_id` makes ids for new dogs.
///
/// Conflicts are two rows for one dog, a chip that another dog has, a sire or dam of the other sex, another sex
/// for a dog that has offspring, a parent not older than its offspring.
pub fn merge(file: ParsedPedigree, known: &[KnownDog], mut new_id: impl FnMut() -> Uuid) -> Merged {
    let ParsedPedigree { dogs, parents, .. } = file;
    let ids = KnownIds::of(known);
    let at: Vec<Option<&KnownDog>> = dogs.iter().map(|dog| ids.find(&dog.imported_id)).collect();
    drop(ids);
    let id: Vec<Uuid> = at.iter().map(|dog| dog.map_or_else(&mut new_id, |dog| dog.id)).collect();
    let family = Family { dogs: &dogs, at: &at, id: &id, parents: &parents, known };
    let mut faults = LineFaults::default();
    family.check_identity(&mut faults);
    family.check_sexes(&mut faults);
    family.check_ages(&mut faults);
    let made_up = family.made_up();
    let mut plan = MergePlan { dogs, ids: id, parents, ..MergePlan::default() };
    for (place, known) in (0..).zip(&at) {
        let Some(known) = known else {
            plan.new.push(place);
            continue;
        };
        let stated = &mut plan.dogs[place as usize];
        let [sire, dam] = plan.parents[place as usize];
        let differs = |place: u32, old: Option<Uuid>| {
            plan.ids.get(place as usize).is_some_and(|new| Some(*new) != old)
        };
        if differs(sire, known.sire_id) || differs(dam, known.dam_id) {
            plan.new_parents.push(known.id);
        }
        plan.sexed.extend(stated.sex.filter(|_| known.sex.is_none()).map(|sex| (known.id, sex)));
        if stated.line.is_some() {
            leave_known_names(stated, known);
            plan.known.push(place);
        }
    }
    Merged { plan, faults: faults.in_order(), made_up }
}

/// A dog that was known by its name keeps the spelling that the kennel has.
fn leave_known_names(stated: &mut ImportedDog, known: &KnownDog) {
    let same = |one: Option<&str>, other: &Option<Box<str>>| {
        one.zip(other.as_deref()).is_some_and(|(one, other)| folded(one) == folded(other))
    };
    if stated.without_id && same(stated.name.as_deref(), &known.name) {
        stated.name = None;
    }
    if stated.without_id && same(stated.call_name.as_deref(), &known.call_name) {
        stated.call_name = None;
    }
}

/// Finds the dog that an id in a file means.
struct KnownIds<'a> {
    known: &'a [KnownDog],
    by_imported: HashMap<&'a str, usize>,
    by_id: HashMap<Uuid, usize>,
}

impl<'a> KnownIds<'a> {
    fn of(known: &'a [KnownDog]) -> Self {
        let imported = |(at, dog): (usize, &'a KnownDog)| Some((dog.imported_id.as_deref()?, at));
        Self {
            known,
            by_imported: known.iter().enumerate().filter_map(imported).collect(),
            by_id: known.iter().enumerate().map(|(at, dog)| (dog.id, at)).collect(),
        }
    }

    /// By its id in an earlier file, or else by the id that an export wrote for want of one.
    fn find(&self, id: &str) -> Option<&'a KnownDog> {
        let own = || id.parse::<Uuid>().ok().and_then(|id| self.by_id.get(&id));
        let at = self.by_imported.get(id).or_else(own)?;
        self.known.get(*at)
    }
}

/// The dogs of a file, each beside the kennel's own entry of it.
struct Family<'a> {
    dogs: &'a [ImportedDog],
    at: &'a [Option<&'a KnownDog>],
    id: &'a [Uuid],
    parents: &'a [[u32; 2]],
    known: &'a [KnownDog],
}

/// A dog of the file, by its place, or one that the kennel alone tells of.
#[derive(Clone, Copy)]
enum Someone<'a> {
    Row(usize),
    Kept(&'a KnownDog),
}

/// The place of a parent, if there is one.
fn place(parent: u32) -> Option<usize> {
    (parent != UNKNOWN).then_some(parent as usize)
}

impl Family<'_> {
    /// Parents without a row that the kennel does not have, with the first line that names each.
    fn made_up(&self) -> Vec<MadeUpParent> {
        let mut first: HashMap<usize, (u64, &'static str)> = HashMap::new();
        for (child, pair) in self.parents.iter().enumerate() {
            let Some(line) = self.dogs[child].line else { continue };
            for (role, parent) in ["sire", "dam"].into_iter().zip(pair) {
                let Some(parent) = place(*parent) else { continue };
                if self.dogs[parent].line.is_none() && self.at[parent].is_none() {
                    let held = first.entry(parent).or_insert((line, role));
                    *held = (*held).min((line, role));
                }
            }
        }
        let name = |at: usize| cut(self.dogs[at].label());
        first
            .into_iter()
            .map(|(at, (line, role))| MadeUpParent { line, role, name: name(at) })
            .collect()
    }

    fn check_identity(&self, faults: &mut LineFaults) {
        let mut rows: HashMap<Uuid, usize> = HashMap::new();
        let chips: HashMap<&str, &KnownDog> =
            self.known.iter().filter_map(|dog| Some((dog.chip_number.as_deref()?, dog))).collect();
        for (number, dog) in self.dogs.iter().enumerate() {
            if faults.is_full() {
                return;
            }
            let id = &*dog.imported_id;
            // Who is new has an id that no other dog has.
            match self.at[number].map(|known| rows.entry(known.id)) {
                None => {}
                Some(Entry::Vacant(free)) => drop(free.insert(number)),
                Some(Entry::Occupied(first)) => {
                    let first = self.line(*first.get());
                    let detail =
                        said!("fault-twice-dog-of-line", dog = quoted(dog.label()), line = first);
                    let line = self.line(number);
                    faults.push(LineFault::at_line(Kind::DuplicateId, line, &[id], detail));
                }
            }
            let chip = dog.chip_number.as_deref();
            let holder = chip.and_then(|chip| chips.get(chip));
            if let Some(holder) = holder.filter(|holder| holder.id != self.id[number]) {
                let chip = quoted(chip.unwrap_or_default());
                let holder = name_of(holder);
                let detail = said!("fault-taken-chip", chip_number = chip, holder = holder);
                let line = self.line(number);
                faults.push(LineFault::at_line(Kind::Value, line, &[id], detail));
            }
        }
    }

    fn check_sexes(&self, faults: &mut LineFaults) {
        let mut reported = HashSet::new();
        for (child, pair) in self.parents.iter().enumerate() {
            if faults.is_full() {
                return;
            }
            for (sex, parent) in SEXES.into_iter().zip(pair) {
                let Some(parent) = place(*parent) else { continue };
                let other = self.at[parent].and_then(|dog| dog.sex).filter(|known| *known != sex);
                if other.is_some() {
                    reported.insert(parent);
                    let id = &*self.dogs[parent].imported_id;
                    let name = quoted(self.dogs[parent].label());
                    let detail = match sex {
                        Sex::Male => said!("fault-wrong-sex-sire-in-kennel", dog = name),
                        Sex::Female => said!("fault-wrong-sex-dam-in-kennel", dog = name),
                    };
                    let line = self.line(child);
                    faults.push(LineFault::at_line(Kind::Sex, line, &[id], detail));
                }
            }
        }
        let breeding: HashSet<Uuid> =
            self.known.iter().flat_map(|dog| [dog.sire_id, dog.dam_id]).flatten().collect();
        for (number, dog) in self.dogs.iter().enumerate().filter(|(n, _)| !reported.contains(n)) {
            let Some(known) = self.at[number].filter(|known| breeding.contains(&known.id)) else {
                continue;
            };
            if let (Some(stated), Some(sex)) = (dog.sex, known.sex)
                && stated != sex
            {
                let id = &*dog.imported_id;
                let detail = match sex {
                    Sex::Male => said!("fault-wrong-sex-sire-in-file"),
                    Sex::Female => said!("fault-wrong-sex-dam-in-file"),
                };
                faults.push(LineFault::at_line(Kind::Sex, self.line(number), &[id], detail));
            }
        }
    }

    /// Births against those of parents, as far as not the file alone states both.
    fn check_ages(&self, faults: &mut LineFaults) {
        let known: HashMap<Uuid, &KnownDog> = self.known.iter().map(|dog| (dog.id, dog)).collect();
        let rows = self.at.iter().enumerate();
        let stated: HashMap<Uuid, usize> =
            rows.filter_map(|(number, dog)| Some((dog.as_ref()?.id, number))).collect();
        let someone = |id: &Uuid| {
            let row = stated.get(id).map(|number| Someone::Row(*number));
            row.or_else(|| known.get(id).map(|dog| Someone::Kept(dog)))
        };
        for (number, pair) in self.parents.iter().enumerate() {
            let before = self.at[number].map_or([None, None], |dog| [dog.sire_id, dog.dam_id]);
            for ((sex, parent), before) in SEXES.into_iter().zip(pair).zip(before) {
                let parent = place(*parent).map(Someone::Row);
                if let Some(parent) = parent.or_else(|| someone(&before?)) {
                    self.check_age(Someone::Row(number), parent, sex, faults);
                }
            }
        }
        for dog in self.known.iter().filter(|dog| !stated.contains_key(&dog.id)) {
            for (sex, parent) in SEXES.into_iter().zip([dog.sire_id, dog.dam_id]) {
                if let Some(number) = parent.and_then(|parent| stated.get(&parent)) {
                    self.check_age(Someone::Kept(dog), Someone::Row(*number), sex, faults);
                }
            }
        }
    }

    /// A birth, and whether the file states it.
    fn born(&self, someone: Someone<'_>) -> Option<(PartialDate, bool)> {
        match someone {
            Someone::Kept(dog) => Some((dog.born_on?, false)),
            Someone::Row(number) => match self.dogs[number].born_on {
                Some(born) => Some((born, true)),
                None => Some((self.at[number]?.born_on?, false)),
            },
        }
    }

    fn check_age(
        &self,
        child: Someone<'_>,
        parent: Someone<'_>,
        sex: Sex,
        faults: &mut LineFaults,
    ) {
        let (Some((younger, a)), Some((older, b))) = (self.born(child), self.born(parent)) else {
            return;
        };
        if faults.is_full() || a && b || is_before(older, younger) {
            return;
        }
        let ((Someone::Row(number), _) | (_, Someone::Row(number))) = (child, parent) else {
            return;
        };
        let (dog, offspring) = (self.name(parent), self.name(child));
        let detail = match sex {
            Sex::Male => said!(
                "fault-too-young-sire",
                dog = dog,
                born = older,
                offspring = offspring,
                offspring_born = younger
            ),
            Sex::Female => said!(
                "fault-too-young-dam",
                dog = dog,
                born = older,
                offspring = offspring,
                offspring_born = younger
            ),
        };
        let id = &*self.dogs[number].imported_id;
        let line = self.line(number);
        faults.push(LineFault::at_line(Kind::ParentNotOlder, line, &[id], detail));
    }

    fn name(&self, someone: Someone<'_>) -> String {
        match someone {
            Someone::Row(number) => quoted(self.dogs[number].label()),
            Someone::Kept(dog) => name_of(dog),
        }
    }

    /// The line a dog stands on, or its first offspring's where it has none of its own.
    fn line(&self, number: usize) -> u64 {
        let own = self.dogs[number].line;
        own.unwrap_or_else(|| {
            let offspring = self.parents.iter().position(|pair| pair.contains(&(number as u32)));
            offspring.and_then(|child| self.dogs[child].line).unwrap_or(1)
        })
    }
}

fn name_of(dog: &KnownDog) -> String {
    let names = [&dog.imported_id, &dog.name, &dog.call_name];
    names.into_iter().find_map(Option::as_deref).map_or_else(|| dog.id.to_string(), quoted)
}

/// Whether one birth is before another, by the part that both state.
fn is_before(older: PartialDate, younger: PartialDate) -> bool {
    let (older, younger) = (older.to_string(), younger.to_string());
    let common = older.len().min(younger.len());
    older.get(..common) < younger.get(..common)
}

/// Loops that new parents of known dogs would close. `kennel` holds every dog of the kennel with
/// the parents it has now.
///
/// # Errors
/// Each loop, by the first line among its members.
pub fn check_new_parents(
    plan: &MergePlan,
    mut kennel: Vec<PedigreeRow<Uuid>>,
) -> Result<(), Vec<LineFault>> {
    let changed: HashMap<Uuid, PlacedDog<'_>> =
        plan.at(&plan.known).map(|dog| (dog.id, dog)).collect();
    for row in &mut kennel {
        if let Some(dog) = changed.get(&row.id) {
            row.sire = dog.sire_id.or(row.sire);
            row.dam = dog.dam_id.or(row.dam);
        }
    }
    kennel.extend(plan.at(&plan.new).map(|dog| PedigreeRow {
        id: dog.id,
        sire: dog.sire_id,
        dam: dog.dam_id,
    }));
    let Err(PedigreeError::Loop(loops)) = Pedigree::build(kennel) else { return Ok(()) };
    let stated: HashMap<Uuid, &ImportedDog> = plan.all().map(|dog| (dog.id, dog.stated)).collect();
    let fault = |members: Vec<Uuid>| {
        let of_file = |id: &Uuid| stated.get(id).and_then(|dog| dog.line);
        let line = members.iter().filter_map(of_file).min().unwrap_or(1);
        let name = |id: &Uuid| match stated.get(id) {
            Some(dog) => quoted(dog.label()).into(),
            None => said!("dog-of-kennel", id = id.to_string()),
        };
        let dogs = Value::all(members.iter().take(MOST_TOLD).map(name));
        let detail = said!("fault-own-ancestor-with-kennel", dogs = dogs);
        LineFault::at_line(Kind::Cycle, line, &[], detail)
    };
    let mut faults = LineFaults::default();
    faults.extend(loops.into_iter().map(fault));
    Err(faults.in_order())
}
