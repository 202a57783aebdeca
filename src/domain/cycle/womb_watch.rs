//! After a heat: when an infected womb (pyometra) is to be looked for, and the signs of one.
//!
//! It comes weeks after a heat, in the phase of progesterone, whether she was mated or not; closed, it shows no
//! discharge. So it is the small signs that count, and a veterinarian who looks inside.

use crate::{
    advice::{Caution, CautionCode, Level},
    rules::Rules,
    schedule::{plus, rule_days},
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A sign of an infected womb.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum WombSign {
    /// Pus, or a foul or creamy discharge.
    Pus,
    /// She drinks and passes more than before.
    DrinksMore,
    /// She eats less.
    EatsLess,
    /// Dull.
    Dull,
    /// Fever.
    Fever,
    /// Vomits.
    Vomits,
    /// Her belly is swollen or sore.
    SwollenBelly,
}

impl WombSign {
    /// The sign that a finding of a heat names, in any of its usual words.
    pub(crate) fn of(finding: &str) -> Option<Self> {
        Some(match finding {
            "pus" | "purulent_discharge" | "foul_discharge" | "creamy_discharge" => Self::Pus,
            "drinks_more" | "thirst" | "drinks_a_lot" => Self::DrinksMore,
            "eats_less" | "no_appetite" | "refuses_food" => Self::EatsLess,
            "dull" | "lethargy" | "lethargic" => Self::Dull,
            "fever" => Self::Fever,
            "vomits" | "vomiting" => Self::Vomits,
            "swollen_belly" | "sore_belly" => Self::SwollenBelly,
            _ => return None,
        })
    }

    /// Whether it says that she is ill, and not her womb alone.
    fn is_grave(self) -> bool {
        matches!(self, Self::Dull | Self::Fever | Self::Vomits | Self::SwollenBelly)
    }
}

/// A sign that was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct WombSignSeen {
    /// The day.
    pub seen_on: NaiveDate,
    /// What.
    pub sign: WombSign,
}

/// When a dam is to be watched after a heat, and what was seen.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct WombWatch {
    /// First day.
    pub first_on: NaiveDate,
    /// Last day.
    pub last_on: NaiveDate,
    /// Whether today is one of them.
    pub is_open: bool,
    /// What to look for.
    #[schema(value_type = String)]
    pub look_for: Text,
    /// Signs that were seen in those days, the first first: readings of the heat of kind `sign`, with the findings
    /// `pus`, `drinks_more`, `eats_less`, `dull`, `fever`, `vomits` or `swollen_belly`.
    /// What they ask for is an alarm of the dog.
    pub seen: Vec<WombSignSeen>,
    /// Where the days come from.
    pub source: String,
}

/// The watch after a heat that began on a day.
///
/// Its days are `cycle.womb_watch_from_days` to `cycle.womb_watch_to_days` after the first of the heat. Signs on other
/// days are not of this.
pub fn womb_watch(
    began_on: NaiveDate,
    mut seen: Vec<WombSignSeen>,
    today: NaiveDate,
    rules: &Rules,
) -> WombWatch {
    let first_on = plus(began_on, rule_days(rules, "cycle.womb_watch_from_days"));
    let last_on = plus(began_on, rule_days(rules, "cycle.womb_watch_to_days"));
    let days = first_on..=last_on;
    seen.retain(|sign| days.contains(&sign.seen_on) && sign.seen_on <= today);
    seen.sort_by_key(|sign| (sign.seen_on, sign.sign));
    WombWatch {
        first_on,
        last_on,
        is_open: days.contains(&today),
        look_for: said!("womb-look-for"),
        seen,
        source: rules.get("cycle.womb_watch_to_days").source.clone(),
    }
}

/// What the signs of a watch ask for, of a heat that began on a day: a sign calls for the veterinarian the same day, one
/// that says that she is ill at once, up to `cycle.womb_sign_days` after it was seen.
pub(crate) fn womb_caution(
    watch: &WombWatch,
    began_on: NaiveDate,
    today: NaiveDate,
    rules: &Rules,
) -> Option<Caution> {
    let for_days = rule_days(rules, "cycle.womb_sign_days");
    let recent: Vec<&WombSignSeen> =
        watch.seen.iter().filter(|sign| (today - sign.seen_on).num_days() <= for_days).collect();
    let since = recent.iter().map(|sign| sign.seen_on).min()?;
    let (level, what) = match recent.iter().any(|sign| sign.sign.is_grave()) {
        true => (Level::Emergency, said!("womb-infected-now")),
        false => (Level::Act, said!("womb-infected-today")),
    };
    let weeks = (today - began_on).num_days() / 7;
    let why = said!("womb-infected-why", since = since, weeks = weeks);
    let code = CautionCode::HeatWombInfection;
    let caution = Caution::new(code, level, what, why, watch.source.clone());
    Some(caution.with("since", since.to_string()).with("weeks_after_heat", weeks))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn watch(signs: &[(i64, WombSign)], today: i64) -> WombWatch {
        let began = day("2026-01-01");
        let seen = |(after, sign): &(i64, WombSign)| WombSignSeen {
            seen_on: plus(began, *after),
            sign: *sign,
        };
        let seen = signs.iter().map(seen).collect();
        womb_watch(began, seen, plus(began, today), &Rules::standard())
    }

    fn called(signs: &[(i64, WombSign)], today: i64) -> Option<Caution> {
        let began = day("2026-01-01");
        womb_caution(&watch(signs, today), began, plus(began, today), &Rules::standard())
    }

    #[test]
    fn the_watch_opens_three_weeks_after_a_heat_began_and_closes_after_sixteen() {
        let open = [20, 21, 112, 113].map(|today| watch(&[], today).is_open);
        assert_eq!(open, [false, true, true, false]);
        let quiet = watch(&[], 60);
        assert!(called(&[], 60).is_none() && quiet.seen.is_empty());
    }

    #[test]
    fn a_sign_calls_the_same_day_and_an_ill_dam_at_once() {
        let level = |signs: &[(i64, WombSign)], today| called(signs, today).map(|it| it.level);
        assert_eq!(level(&[(40, WombSign::DrinksMore)], 40), Some(Level::Act));
        assert_eq!(level(&[(40, WombSign::Pus)], 40), Some(Level::Act));
        assert_eq!(level(&[(40, WombSign::Pus), (41, WombSign::Dull)], 41), Some(Level::Emergency));
        // It is told for a week, and what was seen in the heat itself, or is still to come, is not of this.
        assert_eq!(level(&[(40, WombSign::Pus)], 47), Some(Level::Act));
        assert_eq!(level(&[(40, WombSign::Pus)], 48), None);
        assert_eq!(level(&[(20, WombSign::Pus)], 21), None);
        assert_eq!(level(&[(21, WombSign::Pus)], 21), Some(Level::Act));
        assert_eq!(level(&[(50, WombSign::Pus)], 45), None);
    }

    #[test]
    fn findings_are_known_in_their_usual_words() {
        assert_eq!(WombSign::of("purulent_discharge"), Some(WombSign::Pus));
        assert_eq!(WombSign::of("standing"), None);
    }
}
