//! The vitality of a newborn by five signs.

use crate::advice::{Caution, CautionCode, Level};
use crate::rules::Rules;
use catalogue::{Text, figure, said};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The cry of a newborn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewbornCry {
    /// None.
    None,
    /// Weak.
    Weak,
    /// Clear.
    Clear,
}

/// What it does when its foot is pinched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewbornReflex {
    /// Nothing.
    Absent,
    /// Makes a face.
    Grimace,
    /// Pulls away with force.
    Vigorous,
}

/// How it moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewbornMotility {
    /// Limp.
    Flaccid,
    /// Bends its limbs a little.
    SomeFlexion,
    /// Active.
    Active,
}

/// Colour of its gums.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum GumColour {
    /// Blue.
    Blue,
    /// Pale.
    Pale,
    /// Pink.
    Pink,
}

/// The five signs; each may be unknown.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct NewbornSigns {
    /// Heart beats a minute.
    #[schema(example = 210, minimum = 0, maximum = 400)]
    pub heart_per_min: Option<u32>,
    /// Breaths a minute.
    #[schema(example = 18, minimum = 0, maximum = 120)]
    pub breath_per_min: Option<u32>,
    /// Its cry, which counts with the breath.
    pub cry: Option<NewbornCry>,
    /// Reflex.
    pub reflex: Option<NewbornReflex>,
    /// Motility.
    pub motility: Option<NewbornMotility>,
    /// Colour of the gums.
    pub gums: Option<GumColour>,
}

/// The class of a score.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum VitalityClass {
    /// 7 to 10 points.
    NoDistress,
    /// 4 to 6 points.
    ModerateDistress,
    /// 0 to 3 points.
    SevereDistress,
}

/// The score of a newborn.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct VitalityScore {
    /// Points of 10; `null` while a sign is missing.
    #[schema(example = 9)]
    pub points: Option<u32>,
    /// The least it can be.
    #[schema(example = 7)]
    pub points_at_least: u32,
    /// The most it can be.
    #[schema(example = 9)]
    pub points_at_most: u32,
    /// The class, when the points known decide it.
    pub class: Option<VitalityClass>,
    /// What to heed.
    pub cautions: Vec<Caution>,
    /// Signs that are missing.
    #[schema(value_type = Vec<String>)]
    pub lacks: Vec<Text>,
    /// The study.
    pub source: String,
}

/// Scores a newborn by five signs of 0, 1 or 2 points (Veronesi et al. 2009), at an age in minutes.
///
/// With breath and cry both known the weaker counts. With signs missing the score is a range, and the
/// class is answered only when every score in it has the same.
pub fn vitality_score(signs: &NewbornSigns, age_minutes: i64, rules: &Rules) -> VitalityScore {
    let parts = [
        (said!("vitality-lacks-heart"), heart(signs, rules)),
        (said!("vitality-lacks-breath"), breath(signs, rules)),
        (said!("vitality-lacks-reflex"), signs.reflex.map(|reflex| reflex as u32)),
        (said!("vitality-lacks-motility"), signs.motility.map(|motility| motility as u32)),
        (said!("vitality-lacks-gums"), signs.gums.map(|gums| gums as u32)),
    ];
    let at_least: u32 = parts.iter().filter_map(|(_, points)| *points).sum();
    let unknown = parts.iter().filter(|(_, points)| points.is_none()).count() as u32;
    let at_most = at_least + 2 * unknown;
    let class = Some(class_of(at_least, rules)).filter(|low| *low == class_of(at_most, rules));
    let cautions = cautions(at_most, class, age_minutes, rules);
    VitalityScore {
        points: (unknown == 0).then_some(at_least),
        points_at_least: at_least,
        points_at_most: at_most,
        class,
        cautions,
        lacks: parts.into_iter().filter(|p| p.1.is_none()).map(|p| p.0).collect(),
        source: rules.get("whelping.vitality_heart_low").source.clone(),
    }
}

fn heart(signs: &NewbornSigns, rules: &Rules) -> Option<u32> {
    let rate = f64::from(signs.heart_per_min?);
    Some(band(rate, "whelping.vitality_heart_low", "whelping.vitality_heart_high", rules))
}

fn breath(signs: &NewbornSigns, rules: &Rules) -> Option<u32> {
    let rate = signs.breath_per_min.map(|rate| {
        let (low, high) = ("whelping.vitality_breath_low", "whelping.vitality_breath_high");
        band(f64::from(rate), low, high, rules)
    });
    let cry = signs.cry.map(|cry| cry as u32);
    [rate, cry].into_iter().flatten().min()
}

/// 0 below the lower limit, 2 above the upper, 1 between and at them.
fn band(rate: f64, low: &'static str, high: &'static str, rules: &Rules) -> u32 {
    if rate < rules.value(low) {
        0
    } else if rate > rules.value(high) {
        2
    } else {
        1
    }
}

fn class_of(points: u32, rules: &Rules) -> VitalityClass {
    if f64::from(points) >= rules.value("whelping.vitality_good") {
        VitalityClass::NoDistress
    } else if f64::from(points) >= rules.value("whelping.vitality_moderate") {
        VitalityClass::ModerateDistress
    } else {
        VitalityClass::SevereDistress
    }
}

fn cautions(
    at_most: u32,
    class: Option<VitalityClass>,
    age_minutes: i64,
    rules: &Rules,
) -> Vec<Caution> {
    let mut cautions = Vec::new();
    let classes = rules.get("whelping.vitality_moderate");
    let why = said!("vitality-why", points = at_most);
    match class {
        Some(VitalityClass::SevereDistress) => cautions.push(Caution::new(
            CautionCode::NewbornWeak,
            Level::Emergency,
            said!("vitality-severe"),
            why.clone(),
            classes.source.clone(),
        )),
        Some(VitalityClass::ModerateDistress) => cautions.push(Caution::new(
            CautionCode::NewbornWeak,
            Level::Act,
            said!("vitality-moderate"),
            why.clone(),
            classes.source.clone(),
        )),
        _ => {}
    }
    let risk = rules.get("whelping.vitality_risk");
    let hours = rules.value("whelping.vitality_risk_hours");
    if f64::from(at_most) <= risk.value && age_minutes as f64 <= hours * 60.0 {
        cautions.push(Caution::new(
            CautionCode::NewbornWeak,
            Level::Act,
            said!("vitality-risk"),
            Text::sentences([
                why,
                said!(
                    "vitality-risk-limit",
                    limit_points = figure(risk.value, 0),
                    hours = figure(hours, 0)
                ),
            ]),
            risk.source.clone(),
        ));
    }
    cautions
}

#[cfg(test)]
mod tests {
    use super::*;

    fn best() -> NewbornSigns {
        NewbornSigns {
            heart_per_min: Some(221),
            breath_per_min: Some(16),
            cry: Some(NewbornCry::Clear),
            reflex: Some(NewbornReflex::Vigorous),
            motility: Some(NewbornMotility::Active),
            gums: Some(GumColour::Pink),
        }
    }

    fn worst() -> NewbornSigns {
        NewbornSigns {
            heart_per_min: Some(179),
            breath_per_min: Some(5),
            cry: Some(NewbornCry::None),
            reflex: Some(NewbornReflex::Absent),
            motility: Some(NewbornMotility::Flaccid),
            gums: Some(GumColour::Blue),
        }
    }

    fn score(signs: &NewbornSigns) -> VitalityScore {
        vitality_score(signs, 5, &Rules::standard())
    }

    #[test]
    fn the_ends_and_the_middle() {
        assert_eq!(score(&best()).points, Some(10));
        assert_eq!(score(&worst()).points, Some(0));
        let middle = NewbornSigns {
            heart_per_min: Some(180),
            breath_per_min: Some(15),
            cry: Some(NewbornCry::Weak),
            reflex: Some(NewbornReflex::Grimace),
            motility: Some(NewbornMotility::SomeFlexion),
            gums: Some(GumColour::Pale),
        };
        assert_eq!(score(&middle).points, Some(5));
    }

    /// Veronesi et al. 2009: 7 to 10 no distress, 4 to 6 moderate, 0 to 3 severe.
    #[test]
    fn classes_change_at_seven_and_four() {
        let rules = Rules::standard();
        use VitalityClass::{ModerateDistress, NoDistress, SevereDistress};
        for (points, class) in [
            (10, NoDistress),
            (7, NoDistress),
            (6, ModerateDistress),
            (4, ModerateDistress),
            (3, SevereDistress),
            (0, SevereDistress),
        ] {
            assert_eq!(class_of(points, &rules), class, "{points}");
        }
        assert_eq!(score(&worst()).cautions[0].level, Level::Emergency);
    }

    /// Mila et al. 2017: 6 or less within 8 hours.
    #[test]
    fn a_low_score_is_a_risk_for_eight_hours() {
        let six = NewbornSigns {
            reflex: Some(NewbornReflex::Absent),
            motility: Some(NewbornMotility::Flaccid),
            ..best()
        };
        let rules = Rules::standard();
        let risk = |minutes| {
            vitality_score(&six, minutes, &rules).cautions.iter().any(|c| c.source.contains("Mila"))
        };
        assert!(risk(480) && !risk(481));
    }

    #[test]
    fn missing_signs_give_a_range() {
        let partial = NewbornSigns { gums: None, ..best() };
        let scored = score(&partial);
        assert_eq!((scored.points, scored.points_at_least, scored.points_at_most), (None, 8, 10));
        assert_eq!(scored.class, Some(VitalityClass::NoDistress), "decided whatever the gums are");
        let little = NewbornSigns { heart_per_min: Some(230), ..NewbornSigns::default() };
        assert_eq!((score(&little).class, score(&little).lacks.len()), (None, 4));
    }
}
