//! What a pup's temperature calls for, by its age.

use crate::advice::{CautionCode, Level};
use crate::fault::{Fault, Faults};
use crate::rules::Rules;
use catalogue::{Text, figure, said};

/// What a pup's temperature is by its age, where it is out of the usual.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum WarmthState {
    /// So cold that it is in danger.
    Chilled,
    /// Too cool to be fed.
    TooCool,
    /// A little cool.
    LittleCool,
    /// So hot that it is in danger.
    DangerouslyHot,
    /// A fever.
    Fever,
    /// A little warm, of a pup that keeps its own warmth.
    LittleWarm,
    /// Too warm, of a pup that takes its warmth from the nest.
    TooWarm,
}

impl WarmthState {
    /// What is the case with the pup of this name, and what to do.
    pub(crate) fn said_of(self, pup: &Text) -> Text {
        match self {
            Self::Chilled => said!("warmth-chilled", pup = pup),
            Self::TooCool => said!("warmth-too-cool", pup = pup),
            Self::LittleCool => said!("warmth-little-cool", pup = pup),
            Self::DangerouslyHot => said!("warmth-dangerously-hot", pup = pup),
            Self::Fever => said!("warmth-fever", pup = pup),
            Self::LittleWarm => said!("warmth-little-warm", pup = pup),
            Self::TooWarm => said!("warmth-too-warm", pup = pup),
        }
    }
}

/// What a pup's temperature calls for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Warmth {
    /// Cold or hot.
    pub code: CautionCode,
    /// How soon to act.
    pub level: Level,
    /// What it is.
    pub state: WarmthState,
    /// The figures.
    pub why: Text,
    /// The limit it is beyond, in degrees Celsius.
    pub limit_c: f64,
    /// Where that comes from.
    pub source: String,
}

/// Judges a pup's body temperature in degrees Celsius at an age in days.
///
/// The limits are the table `newborn` of the rules.
///
/// # Errors
/// A temperature outside 20 to 45 degrees, which is not Celsius or not a pup's.
pub(crate) fn pup_temperature(
    temperature_c: f64,
    age_days: i64,
    rules: &Rules,
) -> Result<Option<Warmth>, Vec<Fault>> {
    let mut faults = Faults::new();
    faults.unless((20.0..=45.0).contains(&temperature_c), "/temperature_c", || {
        let celsius = (temperature_c - 32.0) / 1.8;
        if (20.0..=45.0).contains(&celsius) {
            said!(
                "fault-out-of-range-pup-fahrenheit",
                fahrenheit = temperature_c,
                celsius = figure(celsius, 1)
            )
        } else {
            said!("fault-out-of-range-pup-celsius", from = 20, to = 45)
        }
    });
    faults.into_result()?;
    let t = temperature_c;
    let beyond = cold(t, age_days, rules).or_else(|| hot(t, age_days, rules));
    Ok(beyond.map(|(code, level, state, rule)| {
        let rule = rules.get(rule);
        Warmth {
            code,
            level,
            state,
            why: said!(
                "warmth-why",
                temperature_c = figure(t, 1),
                age_days = age_days,
                limit_c = figure(rule.value, 1)
            ),
            limit_c: rule.value,
            source: rule.source.clone(),
        }
    }))
}

type Beyond = (CautionCode, Level, WarmthState, &'static str);

fn cold(t: f64, age_days: i64, rules: &Rules) -> Option<Beyond> {
    let act = match age_days {
        ..1 => "newborn.cold_day_1_c",
        1..7 => "newborn.cold_week_1_c",
        7..14 => "newborn.cold_week_2_c",
        14..28 => "newborn.cold_week_3_c",
        _ => "newborn.cold_later_c",
    };
    let cool = if age_days < 7 { "newborn.cool_c" } else { "newborn.cool_week_2_c" };
    let code = CautionCode::NewbornCold;
    let emergency = "newborn.cold_emergency_c";
    if age_days < 28 && t < rules.value(emergency) {
        return Some((code, Level::Emergency, WarmthState::Chilled, emergency));
    }
    if t < rules.value(act) {
        return Some((code, Level::Act, WarmthState::TooCool, act));
    }
    (age_days < 14 && t < rules.value(cool)).then_some((
        code,
        Level::Note,
        WarmthState::LittleCool,
        cool,
    ))
}

/// From which temperature in degrees Celsius a pup of an age in days is as warm as is usual: what is below it is
/// pointed out.
pub(crate) fn usual_from_c(age_days: i64, rules: &Rules) -> f64 {
    rules.value(match age_days {
        ..7 => "newborn.cool_c",
        7..14 => "newborn.cool_week_2_c",
        14..28 => "newborn.cold_week_3_c",
        _ => "newborn.cold_later_c",
    })
}

fn hot(t: f64, age_days: i64, rules: &Rules) -> Option<Beyond> {
    let code = CautionCode::NewbornHot;
    let (emergency, fever) = ("newborn.hot_emergency_c", "newborn.fever_c");
    if t >= rules.value(emergency) {
        return Some((code, Level::Emergency, WarmthState::DangerouslyHot, emergency));
    }
    if t >= rules.value(fever) {
        return Some((code, Level::Act, WarmthState::Fever, fever));
    }
    let later = "newborn.warm_later_c";
    if age_days >= 28 && t > rules.value(later) {
        return Some((code, Level::Note, WarmthState::LittleWarm, later));
    }
    let young = "newborn.hot_young_c";
    (age_days < 14 && t >= rules.value(young)).then_some((
        code,
        Level::Act,
        WarmthState::TooWarm,
        young,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each limit on it, one before and one after. The normal of table 16-1 is silent at every age.
    #[test]
    fn cold_and_heat_are_graded_by_age() {
        let rules = Rules::standard();
        let level = |t, age| pup_temperature(t, age, &rules).unwrap().map(|c| c.level);
        use Level::{Act, Emergency, Note};
        for (t, age, expected) in [
            (34.3, 0, Some(Emergency)),
            (34.4, 0, Some(Act)),
            (34.7, 0, Some(Note)),
            (35.5, 0, None),
            (34.3, 3, Some(Emergency)),
            (34.9, 3, Some(Act)),
            (35.0, 3, Some(Note)),
            (35.5, 3, None),
            (34.6, 10, Some(Act)),
            (35.4, 10, Some(Act)),
            (35.5, 10, Some(Note)),
            (36.0, 10, None),
            (35.9, 14, Some(Act)),
            (36.0, 14, None),
            (34.3, 27, Some(Emergency)),
            (36.6, 28, Some(Act)),
            (36.7, 28, None),
            (37.2, 3, None),
            (38.2, 3, None),
            (38.3, 13, Some(Act)),
            (38.3, 14, None),
            (38.5, 50, None),
            (39.2, 50, None),
            (39.4, 50, Some(Note)),
            (39.5, 50, Some(Act)),
            (39.9, 50, Some(Act)),
            (40.0, 50, Some(Emergency)),
        ] {
            assert_eq!(level(t, age), expected, "{t} at {age} days");
        }
        let fault = pup_temperature(96.8, 3, &rules).unwrap_err();
        assert!(fault[0].detail.contains("36.0"), "{}", fault[0].detail);
    }
}
