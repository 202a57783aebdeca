//! Energy and water of the dam through pregnancy and lactation.

use crate::fault::{Fault, Faults};
use crate::rules::{Rules, Status};
use catalogue::{Text, figure, said};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Where the dam is between mating and weaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "stage", rename_all = "snake_case", deny_unknown_fields)]
pub enum DamStage {
    /// Carrying a litter.
    Pregnant {
        /// Day of pregnancy, the day of mating or ovulation being 0.
        #[schema(example = 40)]
        day: i64,
    },
    /// Nursing a litter.
    Lactating {
        /// Days since whelping.
        #[schema(example = 9)]
        day: i64,
        /// Pups that nurse.
        #[schema(example = 6)]
        pups: u32,
    },
}

impl DamStage {
    /// Whether a dam is at it now: she nurses pups up to `feeding.nursed_days` after whelping, and carries up
    /// to the day of pregnancy `feeding.carried_days`.
    pub(crate) fn is_of_now(self, rules: &Rules) -> bool {
        let up_to =
            |last: &'static str, day: i64| (0.0..=rules.value(last)).contains(&(day as f64));
        match self {
            Self::Lactating { day, pups } => pups > 0 && up_to("feeding.nursed_days", day),
            Self::Pregnant { day } => up_to("feeding.carried_days", day),
        }
    }
}

/// Another published way to the same figure.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct EnergyByOtherRule {
    /// The rule.
    #[schema(value_type = String, example = "4 to 8 times resting energy")]
    pub rule: Text,
    /// Lower end in kcal a day.
    #[schema(example = 2650.0)]
    pub low_kcal: f64,
    /// Upper end in kcal a day.
    #[schema(example = 5300.0)]
    pub high_kcal: f64,
    /// Where it comes from.
    pub source: String,
}

/// The daily need of a dam.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DamEnergy {
    /// What it is for.
    pub stage: DamStage,
    /// Week of that stage, 1 the first.
    #[schema(example = 2)]
    pub week: i64,
    /// Resting energy in kcal a day.
    #[schema(example = 662.0)]
    pub resting_kcal: f64,
    /// Energy in kcal a day.
    #[schema(example = 3651.0)]
    pub energy_kcal: f64,
    /// Water in ml a day; known for lactation only.
    #[schema(example = 3651.0)]
    pub water_ml: Option<f64>,
    /// The equation with its numbers.
    #[schema(value_type = String, example = "145 x 20^0.75 + 20 x (24 x 4 + 12 x 2) x 0.95")]
    pub formula: Text,
    /// Where it comes from.
    pub source: String,
    /// How far to trust it.
    #[serde(rename = "confirmation")]
    pub status: Status,
    /// Other published rules, which differ.
    pub other_rules: Vec<EnergyByOtherRule>,
    /// What to know about the figure.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Text>,
}

/// Resting energy in kcal a day: 70 kg^0.75 (Small Animal Clinical Nutrition, 5th ed.).
pub(crate) fn resting_kcal(weight_kg: f64, rules: &Rules) -> f64 {
    rules.value("feeding.rer_factor") * weight_kg.powf(0.75)
}

/// A rule that counts in multiples of resting energy.
fn times_resting((low, high): (f64, f64), resting: f64, source: &str) -> EnergyByOtherRule {
    EnergyByOtherRule {
        rule: said!("feeding-times-resting", low = low, high = high),
        low_kcal: low * resting,
        high_kcal: high * resting,
        source: source.to_owned(),
    }
}

/// The energy a dam needs a day at a stage.
///
/// `weight_g` is her weight: in pregnancy that of the day, in lactation that after whelping.
/// Pregnancy: about twice resting energy to week 4, then `130 kg^0.75 + 26 kg` (NRC 2006). Lactation: `145
/// kg^0.75 + kg (24 n + 12 m) L` with n pups of the first four, m of the next four, L by week (NRC
/// 2006); pups beyond eight add nothing.
///
/// # Errors
/// Faults of weight, day or number of pups.
pub(crate) fn dam_energy(
    weight_g: f64,
    stage: DamStage,
    rules: &Rules,
) -> Result<DamEnergy, Vec<Fault>> {
    let mut faults = Faults::new();
    faults.unless((500.0..=150_000.0).contains(&weight_g), "/weight_g", || {
        said!("fault-out-of-range-dam-weight-g", least = 500, most = 150_000)
    });
    match stage {
        DamStage::Pregnant { day } => faults.unless((0..=75).contains(&day), "/day", || {
            said!("fault-out-of-range-pregnancy-day", least = 0, most = 75)
        }),
        DamStage::Lactating { day, pups } => {
            faults.unless((0..=70).contains(&day), "/day", || {
                said!("fault-out-of-range-days-since-whelping", least = 0, most = 70)
            });
            faults.unless(pups <= 30, "/pups", || {
                said!("fault-out-of-range-pups-nursing", least = 0, most = 30)
            });
        }
    }
    faults.into_result()?;
    let kg = weight_g / 1000.0;
    Ok(match stage {
        DamStage::Pregnant { day } => pregnant(kg, day, stage, rules),
        DamStage::Lactating { day, pups } => lactating(kg, day, pups, stage, rules),
    })
}

fn pregnant(kg: f64, day: i64, stage: DamStage, rules: &Rules) -> DamEnergy {
    let resting = resting_kcal(kg, rules);
    let times = |low: &'static str, high: &'static str| {
        let (source, low, high) = (&rules.get(low).source, rules.value(low), rules.value(high));
        times_resting((low, high), resting, source)
    };
    let late = day as f64 >= rules.value("feeding.gestation_late_from_day");
    let (base, per_kg) =
        (rules.get("feeding.gestation_base"), rules.value("feeding.gestation_per_kg"));
    let early = times("feeding.gestation_early_low", "feeding.gestation_early_high");
    let (energy, formula, source, status, other) = if late {
        let formula =
            said!("feeding-formula-gestation", base = base.value, kg = kg, per_kg = per_kg);
        let other = times("feeding.gestation_late_low", "feeding.gestation_late_high");
        let energy = base.value * kg.powf(0.75) + per_kg * kg;
        (energy, formula, base.source.clone(), base.status, vec![other])
    } else {
        let rule = rules.get("feeding.gestation_early_low");
        let energy = (early.low_kcal + early.high_kcal) / 2.0;
        let formula = said!(
            "feeding-times-resting-middle",
            low = rule.value,
            high = rules.value("feeding.gestation_early_high")
        );
        (energy, formula, rule.source.clone(), rule.status, vec![early])
    };
    DamEnergy {
        stage,
        week: day / 7 + 1,
        resting_kcal: resting,
        energy_kcal: energy,
        water_ml: None,
        formula,
        source,
        status,
        other_rules: other,
        notes: vec![said!("feeding-by-condition")],
    }
}

fn lactating(kg: f64, day: i64, pups: u32, stage: DamStage, rules: &Rules) -> DamEnergy {
    let resting = resting_kcal(kg, rules);
    let week = day / 7 + 1;
    let factor = rules.value(match week {
        1 => "feeding.lactation_week_1",
        2 => "feeding.lactation_week_2",
        3 => "feeding.lactation_week_3",
        _ => "feeding.lactation_week_4",
    });
    let (first, more) = (f64::from(pups.min(4)), f64::from(pups.saturating_sub(4).min(4)));
    let base = rules.get("feeding.lactation_base");
    let per_first = rules.value("feeding.lactation_first_pups");
    let per_more = rules.value("feeding.lactation_more_pups");
    let energy = base.value * kg.powf(0.75) + kg * (per_first * first + per_more * more) * factor;
    let mut notes = Vec::new();
    if week > 4 {
        notes.push(said!("feeding-equation-ends"));
    }
    if pups > 8 {
        notes.push(said!("feeding-beyond-eight"));
    }
    let low = rules.get("feeding.lactation_quick_low");
    let high = rules.value("feeding.lactation_quick_high");
    let peak = rules.get("feeding.lactation_peak_base");
    let per_pup = rules.value("feeding.lactation_peak_per_pup");
    let at_peak = peak.value * resting * (1.0 + per_pup * f64::from(pups));
    DamEnergy {
        stage,
        week,
        resting_kcal: resting,
        energy_kcal: energy,
        water_ml: Some(energy * rules.value("feeding.water_ml_per_kcal")),
        formula: said!(
            "feeding-formula-lactation",
            base = base.value,
            kg = kg,
            per_first = per_first,
            first = first,
            per_more = per_more,
            more = more,
            factor = factor
        ),
        source: base.source.clone(),
        status: base.status,
        other_rules: vec![
            times_resting((low.value, high), resting, &low.source),
            EnergyByOtherRule {
                rule: said!(
                    "feeding-times-resting-peak",
                    times = peak.value,
                    per_pup_percent = figure(per_pup * 100.0, 0)
                ),
                low_kcal: at_peak,
                high_kcal: at_peak,
                source: peak.source.clone(),
            },
        ],
        notes,
    }
}

/// The need week by week: nine weeks of pregnancy, then four of lactation with `pups`.
///
/// # Errors
/// As [`dam_energy`].
pub(crate) fn dam_energy_weeks(
    weight_g: f64,
    pups: u32,
    rules: &Rules,
) -> Result<Vec<DamEnergy>, Vec<Fault>> {
    let pregnancy = (0..9).map(|week| DamStage::Pregnant { day: week * 7 + 3 });
    let nursing = (0..4).map(|week| DamStage::Lactating { day: week * 7 + 3, pups });
    pregnancy.chain(nursing).map(|stage| dam_energy(weight_g, stage, rules)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kcal(kg: f64, stage: DamStage) -> f64 {
        dam_energy(kg * 1000.0, stage, &Rules::standard()).unwrap().energy_kcal.round()
    }

    /// NRC 2006, worked by hand: 145 kg^0.75 + kg (24 n + 12 m) L.
    #[test]
    fn lactation_follows_the_nrc_equation() {
        let cases = [
            (5.0, 3, [755.0, 827.0, 881.0, 917.0]),
            (10.0, 4, [1535.0, 1727.0, 1871.0, 1967.0]),
            (20.0, 6, [3171.0, 3651.0, 4011.0, 4251.0]),
            (30.0, 8, [5099.0, 5963.0, 6611.0, 7043.0]),
        ];
        for (kg, pups, weeks) in cases {
            for (week, wanted) in (0..).zip(weeks) {
                let stage = DamStage::Lactating { day: week * 7, pups };
                assert_eq!(kcal(kg, stage), wanted, "{kg} kg, {pups} pups, week {}", week + 1);
            }
        }
    }

    #[test]
    fn pups_beyond_eight_add_nothing_and_weeks_beyond_four_say_so() {
        let eight = kcal(30.0, DamStage::Lactating { day: 20, pups: 8 });
        assert_eq!(kcal(30.0, DamStage::Lactating { day: 20, pups: 11 }), eight);
        let late =
            dam_energy(30_000.0, DamStage::Lactating { day: 40, pups: 8 }, &Rules::standard())
                .unwrap();
        assert_eq!(late.energy_kcal.round(), 7043.0);
        assert!(late.notes[0].contains("week 4"));
    }

    /// Worked by hand from 130 kg^0.75 + 26 kg and 70 kg^0.75.
    #[test]
    fn pregnancy_and_rest_follow_the_equations() {
        let rules = Rules::standard();
        for (kg, late, rest) in [
            (5.0, 565.0, 234.0),
            (10.0, 991.0, 394.0),
            (20.0, 1749.0, 662.0),
            (30.0, 2446.0, 897.0),
        ] {
            assert_eq!(kcal(kg, DamStage::Pregnant { day: 50 }), late, "{kg} kg");
            assert_eq!(resting_kcal(kg, &rules).round(), rest, "{kg} kg");
        }
        // 1.9 times 661.995 in weeks 1 to 4.
        assert_eq!(kcal(20.0, DamStage::Pregnant { day: 28 }), 1258.0);
        let status = dam_energy(20_000.0, DamStage::Pregnant { day: 50 }, &rules).unwrap().status;
        assert_eq!(status, Status::FromMemory);
    }

    #[test]
    fn all_faults_come_at_once() {
        let faults =
            dam_energy(10.0, DamStage::Lactating { day: 99, pups: 40 }, &Rules::standard())
                .unwrap_err();
        assert_eq!(faults.len(), 3);
        assert_eq!(dam_energy_weeks(20_000.0, 6, &Rules::standard()).unwrap().len(), 13);
    }
}
