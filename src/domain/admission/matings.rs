//! A mating beside its heat; a pregnancy check beside its mating and its dam.

use super::{Admission, Refusal, without};
use crate::{
    dating::ultrasound,
    day_chances::shift,
    fault::Faults,
    record::{Mating, PregnancyCheck},
    rules::Rules,
};
use catalogue::{figure, said};
use chrono::{DateTime, NaiveDate, Utc};

#[cfg(test)]
mod tests;

/// What a mating is held against.
#[derive(Debug, Clone, Copy)]
pub struct MatingFacts<'a> {
    /// The day on which its heat began.
    pub heat_began_on: NaiveDate,
    /// The days of its ties on the kennel's calendar, in the order of the ties.
    pub tied_on: &'a [NaiveDate],
    /// The rules in force.
    pub rules: &'a Rules,
}

impl Mating {
    /// The first tie.
    pub fn first_tie_at(&self) -> Option<DateTime<Utc>> {
        self.ties.iter().map(|tie| tie.at).min()
    }

    /// Refuses ties, and a day planned, before the heat, and ties more than
    /// `dating.mating_after_heat_days` after its first day.
    ///
    /// # Errors
    /// Every fault, at `/ties/N/happened_at` and `/planned_on`.
    pub fn admit(&self, facts: &MatingFacts<'_>) -> Admission {
        let began_on = facts.heat_began_on;
        let most_days = facts.rules.value("dating.mating_after_heat_days");
        #[expect(clippy::cast_possible_truncation, reason = "a rule of days")]
        let last = shift(began_on, most_days.round() as i64);
        let mut faults = Faults::new();
        for (index, day) in facts.tied_on.iter().enumerate() {
            let pointer = format!("/ties/{index}/happened_at");
            faults.unless(*day >= began_on, &pointer, || {
                said!("fault-too-early-before-heat", began_on = began_on)
            });
            faults.unless(*day <= last, &pointer, || {
                said!("fault-too-late-after-heat", most_days = most_days, began_on = began_on)
            });
        }
        if let Some(planned_on) = self.planned_on {
            faults.unless(planned_on >= began_on, "/planned_on", || {
                said!("fault-too-early-before-heat", began_on = began_on)
            });
        }
        without(faults.into_vec())
    }
}

/// What a pregnancy check is held against.
#[derive(Debug, Clone, Copy, Default)]
pub struct CheckFacts<'a> {
    /// The first tie of the mating.
    pub first_tie_at: Option<DateTime<Utc>>,
    /// The breed of the dam.
    pub dam_breed: Option<&'a str>,
    /// What the dam weighs when grown, in grams.
    pub dam_weight_g: Option<i32>,
}

impl PregnancyCheck {
    /// Refuses a measure that is larger than a pup at whelping by the formula for such a dam (see
    /// [`ultrasound::formula`]), and a check before the first tie.
    ///
    /// # Errors
    /// Every measure at fault at `/measures/N/value_mm`; where there is none, a fault at `/checked_at`.
    pub fn admit(&self, facts: &CheckFacts<'_>) -> Admission {
        let group = ultrasound::group_of(facts.dam_breed, facts.dam_weight_g.map(f64::from));
        let mut faults = Faults::new();
        for (index, measure) in self.measures.iter().enumerate() {
            let most = ultrasound::formula(group, measure.kind).intercept_mm;
            faults.unless(measure.value_mm <= most, &format!("/measures/{index}/value_mm"), || {
                said!("fault-out-of-range-measure", most_mm = figure(most, 1))
            });
        }
        without(faults.into_vec())?;
        match facts.first_tie_at {
            Some(first) if self.checked_at < first => Err(Refusal::at(
                "/checked_at",
                said!("fault-too-early-before-tie", tied_at = first.format("%FT%TZ").to_string()),
            )),
            _ => Ok(()),
        }
    }
}
