//! A test of a marker beside the dog that was tested.

use super::{Admission, Refusal};
use crate::{
    breeding_limits::BreedingSex,
    markers::{Inheritance, MarkerCatalogue},
    record::{FreeTest, GenotypeTest, Sex},
};
use catalogue::said;
use chrono::NaiveDate;

#[cfg(test)]
mod tests;

impl GenotypeTest {
    /// Refuses what no dog of this sex can have. One allele of an X-linked marker says of a dog of unknown
    /// sex that it is a male.
    ///
    /// # Errors
    /// Every fault of the marker and its alleles.
    pub fn admit(&self, sex: Option<Sex>) -> Admission {
        let sex = match sex {
            Some(Sex::Male) => BreedingSex::Male,
            None if self.alleles.len() == 1 => BreedingSex::Male,
            _ => BreedingSex::Female,
        };
        let day = self.tested_on.unwrap_or(NaiveDate::MAX);
        self.result().check(MarkerCatalogue::standard(), sex, day)?;
        Ok(())
    }
}

impl FreeTest {
    /// Refuses two copies of what a male has one X for.
    ///
    /// # Errors
    /// A fault of the copies.
    pub fn admit(&self, sex: Option<Sex>) -> Admission {
        let on_the_x = self.inheritance == Some(Inheritance::XLinkedRecessive);
        if on_the_x && sex == Some(Sex::Male) && self.copies == Some(2) {
            return Err(Refusal::at("/copies", said!("fault-out-of-range-copies-on-x")));
        }
        Ok(())
    }
}
