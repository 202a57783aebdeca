//! Which column of a file holds which field of a dog.

use super::{LineFaults, PedigreeFault, PedigreeFaultKind as Kind};
use crate::fault::quoted;

macro_rules! columns {
    ($($variant:ident = $name:literal $doc:literal,)*) => {
        /// A field of a dog that a file can hold.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum PedigreeColumn {
            $(#[doc = $doc] $variant,)*
        }

        impl PedigreeColumn {
            /// All of them, in the order in which they are written.
            pub const ALL: &[Self] = &[$(Self::$variant,)*];

            /// Its name in the first line of a file.
            pub fn name(self) -> &'static str {
                match self { $(Self::$variant => $name,)* }
            }
        }
    };
}

columns! {
    Id = "id" "The dog's id in the file.",
    Name = "name" "Registered name.",
    CallName = "call_name" "The name it is called by.",
    Sex = "sex" "`F`, `M`, `female` or `male`.",
    Breed = "breed" "Breed, or the cross.",
    Colour = "colour" "Coat colour.",
    Markings = "markings" "Marks to tell it by.",
    BornOn = "born_on" "Birth: a day, month or year.",
    DiedOn = "died_on" "Day of death.",
    Sire = "sire" "The sire's id in the file.",
    Dam = "dam" "The dam's id in the file.",
    ChipNumber = "chip_number" "Microchip.",
    Registrations = "registrations" "Entries in registers: `registry: number; registry: number`.",
    AdultWeight = "adult_weight_g" "Weight grown up, in grams.",
    Residence = "residence" "`here` or `elsewhere`.",
    ForBreeding = "for_breeding" "`true` or `false`.",
    Note = "note" "Anything else.",
}

/// The mapping word for columns of the file that are to be left out.
const IGNORE: &str = "ignore";

/// Says which column of the file holds a field, where the names differ.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ColumnMap(Vec<(String, String)>);

impl ColumnMap {
    /// A mapping of our field's name to the file's column (`("born_on", "birth")`); the field
    /// `ignore` names columns, separated by commas, that are left out.
    pub fn new(pairs: impl IntoIterator<Item = (String, String)>) -> Self {
        Self(pairs.into_iter().collect())
    }

    /// The field of each column of the file, `None` where it is left out.
    pub(super) fn resolve(
        &self,
        header: &[String],
        line: u64,
        faults: &mut LineFaults,
    ) -> Vec<Option<PedigreeColumn>> {
        let names: Vec<String> = header.iter().map(|name| plain(name)).collect();
        let mut fields: Vec<Option<PedigreeColumn>> =
            names.iter().map(|name| known(name)).collect();
        let mut settled = vec![false; names.len()];
        for (field, column) in &self.0 {
            let ignored = plain(field) == IGNORE;
            let target = known(&plain(field));
            if target.is_none() && !ignored {
                faults.push(map_fault(field, format!("is not a field; {}", fields_known())));
                continue;
            }
            let columns: Vec<&str> =
                if ignored { column.split(',').collect() } else { vec![column.as_str()] };
            for column in columns {
                let Some(at) = names.iter().position(|name| *name == plain(column)) else {
                    let detail = format!("the file has no column {}", quoted(column));
                    faults.push(map_fault(field, detail));
                    continue;
                };
                // A column of the field's own name gives way to the one that is mapped to it.
                for (other, place) in fields.iter_mut().enumerate() {
                    if target.is_some() && *place == target && !settled[other] {
                        *place = None;
                        settled[other] = true;
                    }
                }
                fields[at] = target;
                settled[at] = true;
            }
        }
        for (at, name) in header.iter().enumerate().filter(|(at, _)| fields[*at].is_none()) {
            if !settled[at] {
                let detail = format!(
                    "unknown column {}; {}; map one of them to it in the query (born_on=NAME) or \
                     leave the column out (ignore=NAME)",
                    quoted(name),
                    fields_known()
                );
                faults.push(PedigreeFault::at_line(Kind::Column, line, &[], detail));
            }
        }
        report_repeats(&fields, line, faults);
        fields
    }
}

fn report_repeats(fields: &[Option<PedigreeColumn>], line: u64, faults: &mut LineFaults) {
    for field in PedigreeColumn::ALL {
        let times = fields.iter().filter(|f| **f == Some(*field)).count();
        if times > 1 {
            let detail = format!("{} is in {times} columns; keep one", field.name());
            faults.push(PedigreeFault::at_line(Kind::Column, line, &[], detail));
        }
    }
    if !fields.contains(&Some(PedigreeColumn::Id)) {
        let detail = "there is no column id; the first line must name the columns, separated by \
                      commas, and one must be id or mapped to it (id=NUMBER)";
        faults.push(PedigreeFault::at_line(Kind::MissingColumn, line, &[], detail));
    }
}

fn map_fault(field: &str, detail: String) -> PedigreeFault {
    let kind = Kind::Column;
    PedigreeFault { kind, pointer: format!("#query/{field}"), detail, ids: Vec::new() }
}

fn fields_known() -> String {
    let names: Vec<&str> = PedigreeColumn::ALL.iter().map(|field| field.name()).collect();
    format!("known are {}", names.join(", "))
}

/// Without case, outer blanks, and the difference of blank, hyphen and underscore.
fn plain(name: &str) -> String {
    name.trim().to_lowercase().replace([' ', '-'], "_")
}

fn known(name: &str) -> Option<PedigreeColumn> {
    PedigreeColumn::ALL.iter().copied().find(|field| field.name() == name)
}
