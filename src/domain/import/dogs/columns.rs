//! The fields of a dog that a file can hold.

use crate::import::columns::fields;

fields! {
    /// A field of a dog that a file can hold.
    PedigreeColumn of "dogs" {
        Id = "id" "The dog's id in the file.",
        Name = "name" "Registered name.",
        CallName = "call_name" "The name it is called by.",
        Sex = "sex" "`F`, `M`, `female`, `male`, or a word of several languages.",
        Breed = "breed" "Breed, or the cross.",
        Colour = "colour" "Coat colour.",
        Markings = "markings" "Marks to tell it by.",
        BornOn = "born_on" "Birth: a day, month or year.",
        DiedOn = "died_on" "Day of death.",
        Sire = "sire" "The sire: its id in the file, its registration or its name.",
        Dam = "dam" "The dam, in the same way.",
        ChipNumber = "chip_number" "Microchip.",
        Registrations = "registrations" "Entries in registers: `registry: number; registry: number`.",
        AdultWeight = "adult_weight_g" "Weight grown up, in grams.",
        Residence = "residence" "`here` or `elsewhere`.",
        ForBreeding = "for_breeding" "`true` or `false`.",
        Note = "note" "Anything else.",
        AdultWeightKg = "adult_weight_kg" "Weight grown up, in kilograms.",
        AdultWeightLb = "adult_weight_lb" "Weight grown up, in pounds.",
    }
}

impl PedigreeColumn {
    /// Those that an export writes, in its order.
    pub(crate) const WRITTEN: &[Self] = &[
        Self::Id,
        Self::Name,
        Self::CallName,
        Self::Sex,
        Self::Breed,
        Self::Colour,
        Self::Markings,
        Self::BornOn,
        Self::DiedOn,
        Self::Sire,
        Self::Dam,
        Self::ChipNumber,
        Self::Registrations,
        Self::AdultWeight,
        Self::Residence,
        Self::ForBreeding,
        Self::Note,
    ];
}
