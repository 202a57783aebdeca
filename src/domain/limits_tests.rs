//! Every limit of the rule tables, looked at on it, one before and one after.
//!
//! Each file of limits holds a table: the rule, the words by which its own text says which side belongs
//! to the limit, and a record at a value. The answer is asked for at the standard value and at one that
//! a kennel has set, so that a limit which another rule, or a number in the code, decides is told. A rule
//! without a line in any table must be named in [`NO_LIMIT`] with the reason why it is none.

use crate::rules::Rules;
use std::collections::{BTreeMap, BTreeSet};

/// Which side of a limit belongs to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    /// It holds on the limit and above.
    AtLeast,
    /// It holds above the limit alone.
    MoreThan,
    /// It holds on the limit and below.
    AtMost,
    /// It holds below the limit alone.
    LessThan,
}

/// One limit and the answer at a value.
pub(crate) struct Limit {
    /// Key of the rule.
    pub rule: &'static str,
    /// Which side belongs to it.
    pub side: Side,
    /// The words of the rule's meaning or source that say so.
    pub words: &'static str,
    /// The resolution of the value, in the rule's unit.
    pub step: f64,
    /// How it is asked.
    pub ask: Ask,
}

/// How a limit is looked at.
pub(crate) enum Ask {
    /// The value of a record is moved over the limit: whether what the rule is about holds of it.
    Value(fn(f64, &Rules) -> bool),
    /// The limit is moved over the figure of one record, where that is computed: the figure by the
    /// standard rules, and whether what the rule is about holds of it.
    Rule(fn(&Rules) -> f64, fn(&Rules) -> bool),
}

macro_rules! sides {
    ($($name:ident = $side:ident),*) => {$(
        /// A line of a table whose record is moved.
        pub(crate) const fn $name(
            rule: &'static str,
            words: &'static str,
            step: f64,
            holds: fn(f64, &Rules) -> bool,
        ) -> Limit {
            Limit { rule, side: Side::$side, words, step, ask: Ask::Value(holds) }
        }
    )*};
}

sides!(at_least = AtLeast, more_than = MoreThan, at_most = AtMost, less_than = LessThan);

/// A minute, in hours.
pub(crate) const MINUTE: f64 = 1.0 / 60.0;

/// Hours as whole minutes.
pub(crate) fn minutes(hours: f64) -> i64 {
    (hours * 60.0).round() as i64
}

impl Limit {
    /// One before the value, on it and one after. Tenths that have been added stay what a person would
    /// write down.
    fn around(&self, value: f64) -> [f64; 3] {
        [-1.0, 0.0, 1.0].map(|steps| {
            let sum = value + steps * self.step;
            if steps == 0.0 || self.step == MINUTE { sum } else { (sum * 1e9).round() / 1e9 }
        })
    }

    /// What is wrong with the answers one before, on and one after a limit.
    fn wrong(&self, found: [bool; 3], limit: f64) -> Option<String> {
        let expected = match self.side {
            Side::AtLeast => [false, true, true],
            Side::MoreThan => [false, false, true],
            Side::AtMost => [true, true, false],
            Side::LessThan => [true, false, false],
        };
        (found != expected).then(|| {
            format!("{} ({:?}, {:?}): {found:?} at {limit}", self.rule, self.side, self.words)
        })
    }

    fn faults(&self) -> Vec<String> {
        let rules = Rules::standard();
        let rule = rules.get(self.rule).clone();
        let text = format!("{} {}", rule.meaning, rule.source).to_lowercase();
        assert!(
            text.contains(&self.words.to_lowercase()),
            "{} does not say {:?}: {text}",
            self.rule,
            self.words
        );
        let holds = match self.ask {
            Ask::Value(holds) => holds,
            Ask::Rule(figure, holds) => {
                let figure = figure(&rules);
                let by = |limit| rules.clone().with_override(self.rule, limit, "the kennel");
                // The record lies one before a limit that is one higher.
                let limits = self.around(figure).map(|limit| by(limit).unwrap());
                let [low, on, high] = limits.map(|rules| holds(&rules));
                return self.wrong([high, on, low], figure).into_iter().collect();
            }
        };
        let by = |limit: f64, rules: &Rules| {
            self.wrong(self.around(limit).map(|value| holds(value, rules)), limit)
        };
        let standard = by(rule.value, &rules);
        // What a kennel may set: half an hour, a day or one of whatever it counts in away.
        let away = match rule.unit.as_str() {
            "hours" => 0.5,
            "days" | "weeks" => 1.0,
            _ => self.step,
        };
        let own = [rule.value - away, rule.value + away].map(|own| (own * 1e9).round() / 1e9);
        let own = own.into_iter().find(|own| (rule.min..=rule.max).contains(own));
        let set = own.and_then(|own| {
            by(own, &rules.clone().with_override(self.rule, own, "the kennel").unwrap())
        });
        standard.into_iter().chain(set).collect()
    }
}

/// Checks every line of a table, and says all that is wrong.
pub(crate) fn check(table: &[Limit]) {
    let wrong: Vec<String> = table.iter().flat_map(Limit::faults).collect();
    assert!(wrong.is_empty(), "one before, on and one after: {wrong:#?}");
}

/// The tables of all files.
fn tables() -> Vec<&'static [Limit]> {
    vec![
        crate::admission::limits_tests::LIMITS,
        crate::alarms::limits_tests::LIMITS,
        crate::alarms::night_limits_tests::LIMITS,
        crate::alarms::span_limits_tests::LIMITS,
        crate::breeding_values::tests::LIMITS,
        crate::breeding_again::tests::LIMITS,
        crate::cycle::limits_tests::LIMITS,
        crate::dam_after_birth::limits_tests::LIMITS,
        crate::dating::limits_tests::LIMITS,
        crate::expected_pups::limits_tests::LIMITS,
        crate::feeding::early_limits_tests::LIMITS,
        crate::feeding::limits_tests::LIMITS,
        crate::growth::hours_limits_tests::LIMITS,
        crate::growth::limits_tests::LIMITS,
        crate::growth::scale_jump_tests::LIMITS,
        crate::litter::feeding_limits_tests::LIMITS,
        crate::litter::limits_tests::LIMITS,
        crate::mating_plan::limits_tests::LIMITS,
        crate::newborn::limits_tests::LIMITS,
        crate::planner::kept_limits_tests::LIMITS,
        crate::planner::limits_tests::LIMITS,
        crate::pregnancy::sign_limits_tests::LIMITS,
        crate::pregnancy::tests::LIMITS,
        crate::preparation::tests::LIMITS,
        crate::readiness::limits_tests::LIMITS,
        crate::birth_risks::limits_tests::LIMITS,
        crate::mating_tests::limits_tests::LIMITS,
        crate::report_tasks::tests::LIMITS,
        crate::schedule::limits_tests::LIMITS,
        crate::slips::limits_tests::LIMITS,
        crate::temperature::limits_tests::LIMITS,
        crate::whelping::limits_tests::LIMITS,
    ]
}

/// Rules that are no limits, by the reason why.
const NO_LIMIT: &[(&str, &[&str])] = &[
    (
        "a count of days from one event to another: it places a day and compares nothing",
        &[
            "cycle.cervix_closes_from_lh_days",
            "cycle.cervix_closes_to_lh_days",
            "cycle.dioestrus_after_ovulation_days",
            "cycle.fertile_from_lh_days",
            "cycle.fertile_to_lh_days",
            "cycle.first_test_day",
            "cycle.frozen_days",
            "cycle.insemination_first_days",
            "cycle.insemination_once_days",
            "cycle.insemination_second_days",
            "cycle.lh_to_ovulation_days",
            "cycle.natural_from_days",
            "cycle.natural_to_days",
            "cycle.pregnancy_interval_days",
            "cycle.test_interval_rising_days",
            "cycle.test_interval_surge_days",
            "dam_after_birth.healed_days",
            "dam_after_birth.low_calcium_peak_from_day",
            "dam_after_birth.low_calcium_peak_to_day",
            "dating.dioestrus_days",
            "dating.lh_days",
            "dating.ovulation_by_progesterone_days",
            "dating.ovulation_days",
            "dating.progesterone_rise_days",
            "dating.scan_day_reliable",
            "dating.small_litter_longer_days",
            "feeding.weaned_by_day",
            "feeding.weaned_from_day",
            "growth.early_growth_day",
            "growth.yesterday_hours",
            "placement.reservation_days",
            "planner.birth_nights",
            "planner.critical_after_days",
            "planner.go_home_days",
            "planner.go_home_span_days",
            "planner.heat_to_whelping_days",
            "planner.place_after_days",
            "planner.place_before_days",
            "planner.timed_mating_days",
            "preparation.nursing_weeks",
            "preparation.supplies_before_days",
            "birth_risks.talk_over_days",
            "birth_risks.weighed_before_mating_days",
            "schedule.assumed_weaning_age",
            "tasks.examination_of_use",
            "tasks.follow_up_of_use",
            "tasks.mating_of_use",
            "tasks.microchip_of_use",
            "tasks.own_of_use",
            "tasks.preparation_of_use",
            "tasks.test_of_use",
            "tasks.vaccination_of_use",
            "tasks.worming_of_use",
            "temperature.readings_per_day",
        ],
    ),
    (
        "a mean, a spread, a share or a chance of a law of probability: no answer turns on it",
        &[
            "cycle.coverage",
            "cycle.dioestrus_sd_days",
            "cycle.extrapolation_share",
            "cycle.first_heat_earliest_days",
            "cycle.first_heat_latest_days",
            "cycle.interval_log_sd",
            "cycle.interval_median_days",
            "cycle.interval_prior_df",
            "cycle.interval_repeatability",
            "cycle.least_sd_days",
            "cycle.lh_log_sd",
            "cycle.lh_test_sd_days",
            "cycle.lh_to_ovulation_sd_days",
            "cycle.ovulation_log_sd",
            "dating.chilled_semen_life_days",
            "dating.coverage",
            "dating.dioestrus_within_1",
            "dating.dioestrus_within_2",
            "dating.falling_progesterone_hours",
            "dating.falling_progesterone_share",
            "dating.frozen_semen_life_days",
            "dating.gestation_sd_days",
            "dating.high_progesterone_hours",
            "dating.high_progesterone_share",
            "dating.last_mating_earliest_days",
            "dating.lh_within_1",
            "dating.low_progesterone_hours",
            "dating.low_progesterone_share",
            "dating.mating_earliest_days",
            "dating.mating_edge_sd_days",
            "dating.mating_latest_days",
            "dating.oocyte_maturation_days",
            "dating.ovulation_by_progesterone_sd_days",
            "dating.ovulation_sd_days",
            "dating.progesterone_rise_within_1",
            "dating.progesterone_rise_within_2",
            "dating.radiograph_within_1",
            "dating.radiograph_within_2",
            "dating.recording_error",
            "dating.repeat_weight",
            "dating.small_litter_share",
            "dating.temperature_fall_mean_hours",
            "dating.temperature_fall_sd_hours",
            "dating.temperature_fall_seen_share",
            "dating.temperature_fall_true_share",
            "dating.ultrasound_bp_week5_within_1",
            "dating.ultrasound_bp_week5_within_2",
            "dating.ultrasound_bp_week6_within_1",
            "dating.ultrasound_bp_week6_within_2",
            "dating.ultrasound_bp_week9_within_1",
            "dating.ultrasound_bp_week9_within_2",
            "dating.ultrasound_gsd_bp_within_1",
            "dating.ultrasound_gsd_bp_within_2",
            "dating.ultrasound_gsd_icc_within_1",
            "dating.ultrasound_gsd_icc_within_2",
            "dating.ultrasound_icc_week4_within_1",
            "dating.ultrasound_icc_week4_within_2",
            "dating.ultrasound_icc_week5_within_1",
            "dating.ultrasound_icc_week5_within_2",
            "dating.ultrasound_mixed_within_1",
            "dating.ultrasound_mixed_within_2",
            "dating.wide_sd_days",
            "expected_pups.count_error",
            "expected_pups.coverage",
            "expected_pups.dam_inbreeding_slope",
            "expected_pups.fresh_fewer",
            "expected_pups.frozen_fewer",
            "expected_pups.litter_inbreeding_slope",
            "expected_pups.mean",
            "expected_pups.mean_10_to_25_kg",
            "expected_pups.mean_25_to_45_kg",
            "expected_pups.mean_5_to_10_kg",
            "expected_pups.mean_over_45_kg",
            "expected_pups.mean_under_5_kg",
            "expected_pups.miss_ratio",
            "expected_pups.relative_sd",
            "expected_pups.repeatability",
            "expected_pups.ultrasound_exact",
            "expected_pups.count_missed",
            "expected_pups.ultrasound_within_1",
            "growth.daily_spread",
            "growth.early_death_base",
            "growth.failing_at_birth",
            "growth.failing_rate",
            "growth.failing_rate_sd",
            "growth.faltering_onset",
            "growth.faltering_rate_sd",
            "growth.faltering_share",
            "growth.faltering_worse",
            "growth.onset_later",
            "growth.outlier",
            "growth.recovery",
            "growth.weighing_error",
            "planner.coverage",
            "planner.female_share",
            "planner.heat_to_whelping_sd_days",
            "planner.pregnant_whelped_share",
            "planner.timed_mating_sd_days",
            "planner.whelped_share",
            "temperature.least_deviation_c",
            "temperature.mean_hours",
            "temperature.sd_hours",
            "temperature.seen_share",
            "temperature.true_share",
        ],
    ),
    (
        "so many standard deviations of a model: it is met on the limit by rounding alone",
        &[
            "breeding_values.told_apart_errors",
            "growth.beyond_noise",
            "growth.implausible_sd",
            "growth.likely_sd",
            "growth.swap_log_odds",
            "temperature.fall_deviations",
        ],
    ),
    (
        "a figure of a sum: a factor, a weight of a score or an amount",
        &[
            "breeding.dam_best_age_from_years",
            "breeding.dam_best_age_to_years",
            "breeding.dam_decline_years",
            "breeding.double_merle_deaf_both_ears",
            "breeding.double_merle_deaf_one_ear",
            "breeding.kinship_full_scale",
            "breeding.pups_per_litter",
            "breeding.share_range_z",
            "breeding.sire_best_age_to_years",
            "breeding.sire_decline_years",
            "breeding.unknown_part",
            "breeding.weight_age",
            "breeding.weight_health",
            "breeding.weight_inbreeding",
            "breeding.weight_kinship",
            "breeding_values.heritability_elbows",
            "breeding_values.heritability_heart",
            "breeding_values.heritability_hip_laxity",
            "breeding_values.heritability_hips",
            "breeding_values.heritability_patella",
            "cycle.nmol_per_ng",
            "feeding.feeds_most",
            "feeding.feeds_week_1",
            "feeding.feeds_week_2",
            "feeding.feeds_week_3",
            "feeding.feeds_week_4",
            "feeding.gestation_base",
            "feeding.gestation_early_high",
            "feeding.gestation_early_low",
            "feeding.gestation_late_high",
            "feeding.gestation_late_low",
            "feeding.gestation_per_kg",
            "feeding.growing_fediaf_to_four_fifths",
            "feeding.growing_fediaf_to_grown",
            "feeding.growing_fediaf_to_half",
            "feeding.growing_to_four_fifths",
            "feeding.growing_to_grown",
            "feeding.growing_to_half",
            "feeding.interval_most_hours",
            "feeding.interval_small_hours",
            "feeding.lactation_base",
            "feeding.lactation_first_pups",
            "feeding.lactation_more_pups",
            "feeding.lactation_peak_base",
            "feeding.lactation_peak_per_pup",
            "feeding.lactation_quick_high",
            "feeding.lactation_quick_low",
            "feeding.lactation_week_1",
            "feeding.lactation_week_2",
            "feeding.lactation_week_3",
            "feeding.lactation_week_4",
            "feeding.mer_factor",
            "feeding.pup_energy_nrc",
            "feeding.pup_week_1",
            "feeding.pup_week_2",
            "feeding.pup_week_3",
            "feeding.pup_week_4",
            "feeding.replacer_kcal_per_ml",
            "feeding.rer_factor",
            "feeding.stomach_ml_per_100_g",
            "feeding.water_ml_per_kcal",
            "newborn.fading_little_taken",
            "newborn.fading_next_sign",
            "newborn.fading_no_signs",
            "newborn.fading_not_nursing",
            "newborn.fading_nursing",
            "newborn.fading_per_degree",
            "newborn.fading_temperature_most",
            "newborn.fading_warm",
            "newborn.fading_weak_at_birth",
            "planner.birth_hands",
            "planner.critical_hands",
            "planner.weight_away",
            "planner.weight_hands_day",
            "planner.weight_place_day",
            "planner.weight_same_nights",
            "expected_pups.ultrasound_margin",
            "whelping.sheet_rows",
            "whelping.sheet_spare_rows",
        ],
    ),
    (
        "how far an answer looks, or how much work one question may cost: a bound of no advice",
        &[
            "breeding.breed_ancestors_limit",
            "breeding.colour_cases_limit",
            "breeding.peeling_states_limit",
            "breeding.peeling_table_limit",
            "breeding.proposal_nodes_limit",
            "tasks.horizon",
        ],
    ),
    (
        "said in a sentence and compared with nothing",
        &["growth.doubled_by_day", "growth.weigh_again_hours", "whelping.alarm_minutes"],
    ),
    (
        "none at standard: looked at with a kennel's own value in alarms::night_limits_tests",
        &["whelping.still_expected_margin"],
    ),
    ("on it, the day before and after in alarms::go_home", &["go_home.noted_days"]),
];

#[test]
fn each_rule_has_a_limits_test_or_is_none_on_purpose() {
    let rules = Rules::standard();
    let all: BTreeSet<&str> = rules.iter().map(|(key, _)| key).collect();
    let tested: BTreeSet<&str> = tables().into_iter().flatten().map(|limit| limit.rule).collect();
    let mut named: BTreeMap<&str, &str> = BTreeMap::new();
    for (why, keys) in NO_LIMIT {
        for key in *keys {
            assert!(named.insert(key, why).is_none(), "{key} is named twice");
            assert!(all.contains(key), "there is no rule {key}");
            assert!(!tested.contains(key), "{key} is tested, and named as none: {why}");
        }
    }
    let left: Vec<&&str> =
        all.iter().filter(|key| !tested.contains(*key) && !named.contains_key(*key)).collect();
    assert!(left.is_empty(), "neither tested on their limit nor named as none: {left:#?}");
}
