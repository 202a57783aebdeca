//! The weeks of a dam after whelping: what her discharge is like by day, when her womb is whole again, how great the
//! risk of low calcium is and when, and what nursing takes from her weight.

use super::{DamObservation, DamSign};
use crate::day_chances::shift;
use crate::growth::{Weighing, median};
use crate::rules::Rules;
use crate::sayings::signed;
use crate::whelping::DischargeColour;
use catalogue::{Text, figure, said};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// What is usual of a discharge at a time after the last pup.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum LochiaStage {
    /// Green to black, of the placentas, becoming red-brown.
    GreenToBrown,
    /// Red-brown, less from week to week.
    RedBrown,
    /// It ends; a little may still come.
    Ending,
    /// None is usual any more.
    Over,
}

/// How the womb heals.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Involution {
    /// What is usual now.
    pub lochia: LochiaStage,
    /// What that looks like, and from when it is a reason to call.
    #[schema(value_type = String, example = "Red-brown and less from week to week, without smell; it usually ends by 22 March.")]
    pub usual: Text,
    /// Day by which it usually ends.
    pub usually_ends_on: NaiveDate,
    /// Day after which it is not usual by any source.
    pub not_usual_after: NaiveDate,
    /// Day from which the lining of the womb is whole again.
    pub healed_on: NaiveDate,
    /// What was last seen.
    pub last_seen: Option<DischargeColour>,
    /// When.
    pub last_seen_at: Option<DateTime<Utc>>,
    /// Where the days come from.
    pub sources: Vec<String>,
}

/// How great the risk of low calcium (eclampsia, milk fever) is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CalciumRiskLevel {
    /// She does not nurse, or it is too long ago.
    Over,
    /// That of any nursing dam.
    Usual,
    /// One ground for more.
    Raised,
    /// Two or more, or she had it before.
    High,
}

/// The risk of low calcium of a nursing dam, with its grounds.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CalciumRisk {
    /// How great.
    pub level: CalciumRiskLevel,
    /// Why it is more than usual.
    #[schema(value_type = Vec<String>)]
    pub grounds: Vec<Text>,
    /// First day of the weeks in which it mostly comes.
    pub peak_from_on: NaiveDate,
    /// Last day of those.
    pub peak_to_on: NaiveDate,
    /// Day until which it mostly comes.
    pub watched_until: NaiveDate,
    /// What it means for her: what to watch for, and what not to do.
    #[schema(value_type = String)]
    pub advice: Text,
    /// Where that comes from.
    pub source: String,
}

/// What nursing takes from her weight.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DamWeightCourse {
    /// Her usual weight in grams: what is written as her grown weight, else the middle of what she weighed in the year
    /// before this pregnancy.
    #[schema(example = 28000.0)]
    pub usual_g: f64,
    /// Her first weight in the days after whelping, in grams.
    #[schema(example = 29400.0)]
    pub after_birth_g: Option<f64>,
    /// Her last weight in grams.
    #[schema(example = 26600.0)]
    pub last_g: f64,
    /// When that was taken.
    pub last_at: DateTime<Utc>,
    /// How far it is from her usual weight, as a fraction of it.
    #[schema(example = -0.05)]
    pub beside_usual_fraction: f64,
    /// Whether it is so far below that she needs more food, and a vet to look at her.
    pub too_low: bool,
    /// That in words.
    #[schema(value_type = String)]
    pub says: Text,
}

/// The weeks of a dam after whelping.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Puerperium {
    /// Day of the last birth.
    pub whelped_on: NaiveDate,
    /// Her womb.
    pub involution: Involution,
    /// Low calcium.
    pub calcium_risk: CalciumRisk,
    /// Her weight; null where her usual weight or any since the birth is unknown.
    pub weight: Option<DamWeightCourse>,
}

/// What is known of a dam beside what was seen of her.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct DamInMilk<'a> {
    pub whelped_on: NaiveDate,
    pub last_pup_at: DateTime<Utc>,
    /// Pups here that she may nurse; none when they are weaned.
    pub nursing: u32,
    pub first_litter: bool,
    /// Her usual weight in grams.
    pub usual_g: Option<f64>,
    /// Pups of a usual litter of a dam of her size; `None` when that is not known.
    pub usual_pups: Option<f64>,
    pub observations: &'a [DamObservation],
    pub weighings: &'a [Weighing],
    /// Days of birth of earlier litters after which she showed the grave signs of low calcium.
    pub low_calcium_before: Vec<NaiveDate>,
}

/// An earlier litter of a dam, with the signs that were written down after it.
#[derive(Debug, Clone, PartialEq)]
pub struct EarlierSigns {
    /// The litter.
    pub litter_id: Uuid,
    /// Day of its birth.
    pub whelped_on: NaiveDate,
    /// Signs of the dam.
    pub signs: Vec<DamSign>,
}

/// Days of birth of the litters after which grave signs of low calcium were written down.
pub(crate) fn low_calcium_after(earlier: &[EarlierSigns]) -> Vec<NaiveDate> {
    let grave = |it: &&EarlierSigns| it.signs.iter().any(|sign| DamSign::GRAVE.contains(sign));
    earlier.iter().filter(grave).map(|it| it.whelped_on).collect()
}

/// The weeks of a dam after whelping at a time.
///
/// Rules used: `dam_after_birth.lochia_*`, `.healed_days`, `.low_calcium_*`, `.small_dam_g`, `.large_litter_share`,
/// `.nursing_loss`.
pub(crate) fn puerperium(
    dam: &DamInMilk<'_>,
    (now, today): (DateTime<Utc>, NaiveDate),
    rules: &Rules,
) -> Puerperium {
    Puerperium {
        whelped_on: dam.whelped_on,
        involution: involution(dam, now, today, rules),
        calcium_risk: calcium_risk(dam, today, rules),
        weight: weight_course(dam, now, rules),
    }
}

fn days(rules: &Rules, rule: &'static str) -> i64 {
    rules.value(rule) as i64
}

fn involution(
    dam: &DamInMilk<'_>,
    now: DateTime<Utc>,
    today: NaiveDate,
    rules: &Rules,
) -> Involution {
    let (usual, long) = ("dam_after_birth.lochia_days", "dam_after_birth.lochia_long_days");
    let usually_ends_on = shift(dam.whelped_on, days(rules, usual));
    let not_usual_after = shift(dam.whelped_on, days(rules, long));
    let healed_on = shift(dam.whelped_on, days(rules, "dam_after_birth.healed_days"));
    let green = rules.span("dam_after_birth.green_hours");
    let (lochia, said) = if now - dam.last_pup_at <= green {
        let hours = figure(rules.value("dam_after_birth.green_hours"), 0);
        (LochiaStage::GreenToBrown, said!("lochia-green", hours = hours))
    } else if today <= usually_ends_on {
        (LochiaStage::RedBrown, said!("lochia-red-brown", ends_on = usually_ends_on))
    } else if today <= not_usual_after {
        (LochiaStage::Ending, said!("lochia-ending", ends_on = not_usual_after))
    } else {
        (LochiaStage::Over, said!("lochia-over", healed_on = healed_on))
    };
    let seen = dam.observations.iter().filter(|it| it.at <= now && it.at >= dam.last_pup_at);
    let seen = seen.filter_map(|it| Some((it.at, it.discharge?))).max_by_key(|it| it.0);
    Involution {
        lochia,
        usual: said,
        usually_ends_on,
        not_usual_after,
        healed_on,
        last_seen: seen.map(|it| it.1),
        last_seen_at: seen.map(|it| it.0),
        sources: [usual, long, "dam_after_birth.healed_days"]
            .map(|rule| rules.get(rule).source.clone())
            .into(),
    }
}

fn calcium_risk(dam: &DamInMilk<'_>, today: NaiveDate, rules: &Rules) -> CalciumRisk {
    let until = "dam_after_birth.low_calcium_to_day";
    let watched_until = shift(dam.whelped_on, days(rules, until));
    let mut grounds = Vec::new();
    let before = !dam.low_calcium_before.is_empty();
    if let Some(last) = dam.low_calcium_before.iter().max() {
        grounds.push(said!("calcium-risk-before", whelped_on = *last));
    }
    let small = rules.value("dam_after_birth.small_dam_g");
    if let Some(usual_g) = dam.usual_g.filter(|grams| *grams <= small) {
        grounds.push(said!(
            "calcium-risk-small",
            weight_kg = figure(usual_g / 1000.0, 1),
            limit_kg = figure(small / 1000.0, 1)
        ));
    }
    let share = rules.value("dam_after_birth.large_litter_share");
    if let Some(usual) = dam.usual_pups.filter(|it| f64::from(dam.nursing) >= it * share - 1e-9) {
        grounds.push(said!(
            "calcium-risk-large",
            pups = dam.nursing,
            usual_pups = figure(usual, 1)
        ));
    }
    if dam.first_litter {
        grounds.push(said!("calcium-risk-first"));
    }
    let level = match grounds.len() {
        _ if dam.nursing == 0 || today > watched_until => CalciumRiskLevel::Over,
        0 => CalciumRiskLevel::Usual,
        1 if !before => CalciumRiskLevel::Raised,
        _ => CalciumRiskLevel::High,
    };
    CalciumRisk {
        level,
        grounds,
        peak_from_on: shift(
            dam.whelped_on,
            days(rules, "dam_after_birth.low_calcium_peak_from_day"),
        ),
        peak_to_on: shift(dam.whelped_on, days(rules, "dam_after_birth.low_calcium_peak_to_day")),
        watched_until,
        advice: said!("calcium-risk-advice"),
        source: rules.get(until).source.clone(),
    }
}

/// Her usual weight in grams by what she weighed in the year before a day some time before the birth.
pub(crate) fn usual_weight(weighings: &[Weighing], pregnant_from: DateTime<Utc>) -> Option<f64> {
    let year = chrono::Duration::days(365);
    let before = weighings.iter().filter(|it| {
        !it.doubtful && it.measured_at < pregnant_from && pregnant_from - it.measured_at <= year
    });
    median(before.map(|it| it.weight_g).collect())
}

fn weight_course(
    dam: &DamInMilk<'_>,
    now: DateTime<Utc>,
    rules: &Rules,
) -> Option<DamWeightCourse> {
    let usual_g = dam.usual_g.filter(|grams| *grams > 0.0)?;
    let since = dam
        .weighings
        .iter()
        .filter(|it| !it.doubtful && it.measured_at >= dam.last_pup_at && it.measured_at <= now);
    let first = since.clone().min_by_key(|it| it.measured_at)?;
    let last = since.max_by_key(|it| it.measured_at)?;
    let beside = last.weight_g / usual_g - 1.0;
    let limit = rules.value("dam_after_birth.nursing_loss");
    let too_low = -beside >= limit - 1e-9;
    let percent = signed(beside * 100.0, 0);
    let says = if too_low {
        let limit_percent = figure(limit * 100.0, 0);
        said!("dam-weight-too-low", percent = percent, limit_percent = limit_percent)
    } else {
        said!("dam-weight-usual", percent = percent)
    };
    let early = rules.span("dam_after_birth.first_days_hours");
    Some(DamWeightCourse {
        usual_g,
        after_birth_g: Some(first.weight_g)
            .filter(|_| first.measured_at - dam.last_pup_at <= early),
        last_g: last.weight_g,
        last_at: last.measured_at,
        beside_usual_fraction: beside,
        too_low,
        says,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::Duration;

    fn birth() -> DateTime<Utc> {
        "2026-03-01T06:00:00Z".parse().unwrap()
    }

    fn dam() -> DamInMilk<'static> {
        DamInMilk {
            whelped_on: birth().date_naive(),
            last_pup_at: birth(),
            nursing: 6,
            first_litter: false,
            usual_g: Some(28_000.0),
            usual_pups: Some(7.0),
            observations: &[],
            weighings: &[],
            low_calcium_before: Vec::new(),
        }
    }

    fn on(dam: &DamInMilk<'_>, hours: i64) -> Puerperium {
        let now = birth() + Duration::hours(hours);
        puerperium(dam, (now, now.date_naive()), &Rules::standard())
    }

    /// Green for a day; to day 21 by one source; to day 35 by another; the lining whole at 12 weeks.
    #[test]
    fn the_discharge_changes_by_day() {
        use LochiaStage::*;
        let stage = |hours| on(&dam(), hours).involution.lochia;
        assert_eq!([stage(0), stage(24), stage(25)], [GreenToBrown, GreenToBrown, RedBrown]);
        let day = |days: i64| stage(24 * days + 1);
        assert_eq!([day(21), day(22), day(35), day(36)], [RedBrown, Ending, Ending, Over]);
        let healed = on(&dam(), 48).involution.healed_on;
        assert_eq!(healed, "2026-05-24".parse::<NaiveDate>().unwrap());
    }

    #[test]
    fn grounds_raise_the_risk_of_low_calcium() {
        use CalciumRiskLevel::*;
        let level = |dam: &DamInMilk<'_>, days: i64| on(dam, 24 * days).calcium_risk.level;
        assert_eq!(level(&dam(), 14), Usual);
        let small = DamInMilk { usual_g: Some(3_500.0), ..dam() };
        assert_eq!(level(&small, 14), Raised);
        assert_eq!(level(&DamInMilk { first_litter: true, ..small.clone() }, 14), High);
        let again = DamInMilk { low_calcium_before: vec![birth().date_naive()], ..dam() };
        assert_eq!(level(&again, 14), High, "she had it before");
        assert_eq!([level(&again, 40), level(&again, 41)], [High, Over]);
        assert_eq!(level(&DamInMilk { nursing: 0, ..again }, 14), Over);
        let risk = on(&dam(), 48).calcium_risk;
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        assert_eq!((risk.peak_from_on, risk.peak_to_on), (day("2026-03-08"), day("2026-03-29")));
    }

    #[test]
    fn her_weight_is_held_against_her_usual_one() {
        let weighed = |days: i64, weight_g: f64| Weighing {
            id: None,
            measured_at: birth() + Duration::days(days),
            weight_g,
            doubtful: false,
        };
        let all = [weighed(-80, 28_000.0), weighed(1, 29_000.0), weighed(20, 25_300.0)];
        let course = on(&DamInMilk { weighings: &all, ..dam() }, 24 * 21).weight.unwrap();
        assert_eq!((course.after_birth_g, course.last_g), (Some(29_000.0), 25_300.0));
        assert!((course.beside_usual_fraction + 2_700.0 / 28_000.0).abs() < 1e-12);
        assert!(!course.too_low);
        let low = [weighed(20, 25_200.0)];
        assert!(on(&DamInMilk { weighings: &low, ..dam() }, 24 * 21).weight.unwrap().too_low);
        assert_eq!(on(&DamInMilk { usual_g: None, weighings: &low, ..dam() }, 48).weight, None);
        assert_eq!(usual_weight(&all, birth() - Duration::days(63)), Some(28_000.0));
        assert_eq!(usual_weight(&all, birth() + Duration::days(400)), None, "over a year ago");
    }

    #[test]
    fn grave_signs_after_an_earlier_litter_are_remembered() {
        let after = |signs: &[DamSign]| EarlierSigns {
            litter_id: Uuid::from_u128(1),
            whelped_on: birth().date_naive(),
            signs: signs.to_vec(),
        };
        assert_eq!(low_calcium_after(&[after(&[DamSign::Panting])]), []);
        let tremor = after(&[DamSign::Panting, DamSign::Tremor]);
        assert_eq!(low_calcium_after(&[tremor]), [birth().date_naive()]);
    }
}
