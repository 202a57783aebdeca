//! LH surge and ovulation out of the readings of a heat.

use super::{CycleMoment, CycleReading, CytologyStage, HeatSign, HeatTiming, MatingDays, NextTest};
use crate::{
    advice::{Caution, CautionCode, Level},
    day_chances::shift,
    record::MatingMethod,
    rules::Rules,
};
use catalogue::{Text, figure, said};
use chrono::{Duration, NaiveDate, NaiveDateTime, NaiveTime};

/// A time in days after noon of the heat's first day, with its standard deviation.
#[derive(Debug, Clone)]
struct Estimate {
    day: f64,
    sd: f64,
    basis: Vec<Text>,
}

/// A progesterone sample: day as in [`Estimate`], natural logarithm of ng/mL.
#[derive(Debug, Clone, Copy)]
struct Sample {
    day: f64,
    /// As it was written down: a logarithm and back is not the same number.
    ng_per_ml: f64,
    log: f64,
}

/// Results under this are below what assays tell apart from zero; the logarithm needs a floor.
const FLOOR_NG_PER_ML: f64 = 0.05;

fn noon(on: NaiveDate) -> NaiveDateTime {
    on.and_time(NaiveTime::MIN) + Duration::hours(12)
}

#[expect(clippy::cast_precision_loss, reason = "seconds within a heat")]
fn days_after(from: NaiveDateTime, at: NaiveDateTime) -> f64 {
    (at - from).num_seconds() as f64 / 86_400.0
}

#[expect(clippy::cast_possible_truncation, reason = "minutes within a heat")]
fn time_at(from: NaiveDateTime, days: f64) -> NaiveDateTime {
    from + Duration::minutes((days * 1440.0).round() as i64)
}

pub(super) fn read(
    began_on: NaiveDate,
    readings: &[CycleReading],
    today: NaiveDate,
    rules: &Rules,
) -> HeatTiming {
    let origin = noon(began_on);
    let samples = samples(origin, readings, rules);
    let dioestrus_on = first_dioestrus(readings);
    let (surge, ovulation) = estimates(origin, &samples, readings, dioestrus_on, rules);
    let moment = |e: &Estimate| {
        let at = time_at(origin, e.day);
        CycleMoment { at, on: at.date(), sd_days: e.sd, basis: e.basis.clone() }
    };
    let fertile = |key| surge.as_ref().map(|s| time_at(origin, s.day + rules.value(key)).date());
    HeatTiming {
        day_of_heat: (today - began_on).num_days() + 1,
        fertile_from: fertile("cycle.fertile_from_lh_days"),
        fertile_to: fertile("cycle.fertile_to_lh_days"),
        mating_days: ovulation
            .as_ref()
            .map(|o| mating_days(time_at(origin, o.day), rules))
            .unwrap_or_default(),
        next_test: next_test(began_on, &samples, dioestrus_on, today, rules),
        progesterone_rise_on: rise(&samples, rules).map(|s| time_at(origin, s.day).date()),
        cautions: cautions(&samples, readings, ovulation.as_ref(), rules),
        lh_surge: surge.as_ref().map(moment),
        ovulation: ovulation.as_ref().map(moment),
        dioestrus_on,
    }
}

/// Progesterone samples by time; several of one time are averaged.
fn samples(origin: NaiveDateTime, readings: &[CycleReading], rules: &Rules) -> Vec<Sample> {
    let mut samples: Vec<Sample> = readings
        .iter()
        .filter_map(|r| match r {
            CycleReading::Progesterone { taken_at, value, unit } => {
                let ng_per_ml = unit.to_ng_per_ml(*value, rules).max(FLOOR_NG_PER_ML);
                let day = days_after(origin, *taken_at);
                Some(Sample { day, ng_per_ml, log: ng_per_ml.ln() })
            }
            _ => None,
        })
        .collect();
    samples.sort_by(|a, b| a.day.total_cmp(&b.day).then(a.log.total_cmp(&b.log)));
    samples.dedup_by(|later, kept| {
        let same = (later.day - kept.day).abs() < 1e-9;
        if same {
            kept.log = 0.5 * (kept.log + later.log);
            kept.ng_per_ml = kept.log.exp();
        }
        same
    });
    samples
}

/// The day named as the first of dioestrus, else the first smear of dioestrus after one of heat.
fn first_dioestrus(readings: &[CycleReading]) -> Option<NaiveDate> {
    let smear = |wanted: CytologyStage| {
        readings.iter().filter_map(move |r| match r {
            CycleReading::Cytology { taken_at, stage } if *stage == wanted => Some(*taken_at),
            _ => None,
        })
    };
    if let Some(named) = smear(CytologyStage::FirstDioestrus).min() {
        return Some(named.date());
    }
    let oestrus = smear(CytologyStage::Oestrus).max()?;
    smear(CytologyStage::Dioestrus).filter(|at| *at > oestrus).min().map(|at| at.date())
}

/// First sample of the first sharp rise (Kutzler et al. 2003): a least level and twice the baseline.
fn rise(samples: &[Sample], rules: &Rules) -> Option<Sample> {
    let mut baseline = f64::INFINITY;
    for sample in samples {
        let value = sample.ng_per_ml;
        if baseline.is_finite()
            && value >= rules.value("cycle.rise_ng_per_ml")
            && value >= rules.value("cycle.rise_ratio") * baseline
        {
            return Some(*sample);
        }
        baseline = baseline.min(value);
    }
    None
}

/// The day of the first sharp rise, if the samples around it are close and it is still early.
pub(super) fn dated_rise(
    began_on: NaiveDate,
    readings: &[CycleReading],
    rules: &Rules,
) -> Option<NaiveDate> {
    let samples = samples(noon(began_on), readings, rules);
    let first = rise(&samples, rules)?;
    let before = samples.iter().rfind(|s| s.day < first.day)?;
    let close = first.day - before.day <= rules.value("cycle.test_interval_low_days");
    let early = first.ng_per_ml < rules.value("cycle.ovulation_ng_per_ml");
    (close && early).then(|| time_at(noon(began_on), first.day).date())
}

/// When progesterone reached `level` for good, from the samples on both sides of it.
fn crossing(samples: &[Sample], level: f64, log_sd: f64, rules: &Rules) -> Option<Estimate> {
    let target = level.ln();
    let below = samples.iter().rposition(|s| s.log < target)?;
    let (a, b) = (samples[below], *samples.get(below + 1)?);
    let (gap, slope) = (b.day - a.day, (b.log - a.log) / (b.day - a.day));
    let share = (target - a.log) / (b.log - a.log);
    // Between samples the curve may bend: nothing is known in the middle of a gap but that the
    // level is passed in it (uniform, variance gap²/12), and nothing is in doubt at its ends.
    let bend = gap * (share * (1.0 - share) / 3.0).sqrt();
    let sd = (log_sd / slope).hypot(bend).max(rules.value("cycle.least_sd_days"));
    Some(Estimate {
        day: a.day + share * gap,
        sd: sd.min(gap.max(1.0)),
        basis: vec![said!("cycle-basis-crossing", level_ng_per_ml = level)],
    })
}

/// When `level` was or will be reached, from a sample between the levels of surge and ovulation and
/// the usual rise between them.
fn extrapolated(samples: &[Sample], level: f64, log_sd: f64, rules: &Rules) -> Option<Estimate> {
    let lh = rules.value("cycle.lh_ng_per_ml").ln();
    let ovulation = rules.value("cycle.ovulation_ng_per_ml").ln();
    let slope = (ovulation - lh) / rules.value("cycle.lh_to_ovulation_days");
    let sample = samples.iter().find(|s| (lh..ovulation).contains(&s.log))?;
    let away = (level.ln() - sample.log) / slope;
    let guess = rules.value("cycle.extrapolation_share") * away;
    let sd = (log_sd / slope).hypot(guess).max(rules.value("cycle.least_sd_days"));
    let basis = said!("cycle-basis-extrapolated", ng_per_ml = figure(sample.ng_per_ml, 1));
    Some(Estimate { day: sample.day + away, sd, basis: vec![basis] })
}

/// LH surge and ovulation, every source combined by its precision.
fn estimates(
    origin: NaiveDateTime,
    samples: &[Sample],
    readings: &[CycleReading],
    dioestrus_on: Option<NaiveDate>,
    rules: &Rules,
) -> (Option<Estimate>, Option<Estimate>) {
    let at = |level, spread| {
        let (level, sd) = (rules.value(level), rules.value(spread));
        crossing(samples, level, sd, rules).or_else(|| extrapolated(samples, level, sd, rules))
    };
    let mut surges: Vec<Estimate> =
        at("cycle.lh_ng_per_ml", "cycle.lh_log_sd").into_iter().collect();
    let positive = readings.iter().filter_map(|r| match r {
        CycleReading::Lh { taken_at, positive: true } => Some(days_after(origin, *taken_at)),
        _ => None,
    });
    if let Some(day) = positive.reduce(f64::min) {
        let sd = rules.value("cycle.lh_test_sd_days");
        surges.push(Estimate { day, sd, basis: vec![said!("cycle-basis-lh-test")] });
    }
    let surge = combine(surges, rules);
    let mut ovulations: Vec<Estimate> =
        at("cycle.ovulation_ng_per_ml", "cycle.ovulation_log_sd").into_iter().collect();
    if let Some(surge) = &surge {
        ovulations.push(Estimate {
            day: surge.day + rules.value("cycle.lh_to_ovulation_days"),
            sd: surge.sd.hypot(rules.value("cycle.lh_to_ovulation_sd_days")),
            basis: vec![said!("cycle-basis-surge")],
        });
    }
    if let Some(first) = dioestrus_on {
        ovulations.push(Estimate {
            day: days_after(origin, noon(first))
                - rules.value("cycle.dioestrus_after_ovulation_days"),
            sd: rules.value("cycle.dioestrus_sd_days"),
            basis: vec![said!("cycle-basis-dioestrus")],
        });
    }
    let ovulation = combine(ovulations, rules);
    let back = ovulation.as_ref().map(|o| Estimate {
        day: o.day - rules.value("cycle.lh_to_ovulation_days"),
        sd: o.sd.hypot(rules.value("cycle.lh_to_ovulation_sd_days")),
        basis: vec![said!("cycle-basis-back")],
    });
    (surge.or(back), ovulation)
}

fn combine(estimates: Vec<Estimate>, rules: &Rules) -> Option<Estimate> {
    let total: f64 = estimates.iter().map(|e| e.sd.powi(-2)).sum();
    if estimates.is_empty() {
        return None;
    }
    let day = estimates.iter().map(|e| e.day * e.sd.powi(-2)).sum::<f64>() / total;
    // Estimates that disagree by more than they should are less sure than they claim.
    let chi: f64 = estimates.iter().map(|e| ((e.day - day) / e.sd).powi(2)).sum();
    let freedom = f64::from(u32::try_from(estimates.len()).unwrap_or(1).max(2) - 1);
    let sd = (1.0 / total).sqrt() * (chi / freedom).max(1.0).sqrt();
    let basis = estimates.into_iter().flat_map(|e| e.basis).collect();
    Some(Estimate { day, sd: sd.max(rules.value("cycle.least_sd_days")), basis })
}

fn mating_days(ovulation: NaiveDateTime, rules: &Rules) -> Vec<MatingDays> {
    #[expect(clippy::cast_possible_truncation, reason = "a few days")]
    let after = |key| ovulation + Duration::hours((24.0 * rules.value(key)).round() as i64);
    let (from, to) =
        (after("cycle.natural_from_days").date(), after("cycle.natural_to_days").date());
    let natural = (0..=(to - from).num_days()).map(|d| shift(from, d)).collect();
    #[expect(clippy::cast_possible_truncation, reason = "a few days")]
    let after_lh = |key| {
        let days = rules.value(key) - rules.value("cycle.lh_to_ovulation_days");
        (ovulation + Duration::hours((24.0 * days).round() as i64)).date()
    };
    let closes = said!(
        "cycle-cervix-closes",
        from = after_lh("cycle.cervix_closes_from_lh_days"),
        to = after_lh("cycle.cervix_closes_to_lh_days")
    );
    let line = |method, inseminations, keys: &[&'static str]| MatingDays {
        method,
        inseminations: Some(inseminations),
        days: keys.iter().map(|key| after(key).date()).collect(),
        note: None,
        source: keys.first().map(|key| rules.get(key).source.clone()).unwrap_or_default(),
    };
    let once = ["cycle.insemination_once_days"];
    let twice = ["cycle.insemination_first_days", "cycle.insemination_second_days"];
    vec![
        MatingDays {
            method: MatingMethod::Natural,
            inseminations: None,
            days: natural,
            note: Some(closes),
            source: rules.get("cycle.natural_from_days").source.clone(),
        },
        line(MatingMethod::Fresh, 1, &once),
        line(MatingMethod::Fresh, 2, &twice),
        line(MatingMethod::Chilled, 1, &once),
        line(MatingMethod::Chilled, 2, &twice),
        line(MatingMethod::Frozen, 1, &["cycle.frozen_days"]),
    ]
}

fn next_test(
    began_on: NaiveDate,
    samples: &[Sample],
    dioestrus_on: Option<NaiveDate>,
    today: NaiveDate,
    rules: &Rules,
) -> Option<NextTest> {
    #[expect(clippy::cast_possible_truncation, reason = "a few days")]
    let whole = |key| rules.value(key).round() as i64;
    if dioestrus_on.is_some() {
        return None;
    }
    let Some(last) = samples.last() else {
        let on = shift(began_on, whole("cycle.first_test_day") - 1);
        return Some(NextTest {
            on: on.max(today),
            why: said!("cycle-test-first"),
            source: rules.get("cycle.first_test_day").source.clone(),
        });
    };
    let value = last.ng_per_ml;
    let ng_per_ml = figure(value, 1);
    let (key, why) = if value < rules.value("cycle.before_surge_ng_per_ml") {
        ("cycle.test_interval_low_days", said!("cycle-test-before-surge", ng_per_ml = ng_per_ml))
    } else if value < rules.value("cycle.lh_ng_per_ml") {
        ("cycle.test_interval_rising_days", said!("cycle-test-near-surge", ng_per_ml = ng_per_ml))
    } else if value < rules.value("cycle.ovulation_ng_per_ml") {
        (
            "cycle.test_interval_surge_days",
            said!("cycle-test-before-ovulation", ng_per_ml = ng_per_ml),
        )
    } else if value <= rules.value("cycle.after_ovulation_ng_per_ml") && samples.len() < 2 {
        ("cycle.test_interval_surge_days", said!("cycle-test-one-sample", ng_per_ml = ng_per_ml))
    } else {
        return None;
    };
    let on = shift(time_at(noon(began_on), last.day).date(), whole(key)).max(today);
    Some(NextTest { on, why, source: rules.get(key).source.clone() })
}

fn cautions(
    samples: &[Sample],
    readings: &[CycleReading],
    ovulation: Option<&Estimate>,
    rules: &Rules,
) -> Vec<Caution> {
    let mut cautions = Vec::new();
    let lh = rules.value("cycle.lh_ng_per_ml");
    let falls = samples.windows(2).any(|w| w[0].ng_per_ml >= lh && w[1].ng_per_ml < lh);
    if falls {
        cautions.push(Caution::new(
            CautionCode::CycleSplitHeat,
            Level::Act,
            said!("cycle-split-heat"),
            said!("cycle-split-heat-why"),
            rules.get("cycle.lh_ng_per_ml").source.clone(),
        ));
    }
    let ovulated =
        samples.first().filter(|s| s.ng_per_ml >= rules.value("cycle.ovulation_ng_per_ml"));
    if let (Some(sample), None) = (ovulated, ovulation) {
        cautions.push(Caution::new(
            CautionCode::CycleOvulatedBefore,
            Level::Note,
            said!("cycle-ovulated-before"),
            said!("cycle-ovulated-before-why", ng_per_ml = figure(sample.ng_per_ml, 1)),
            rules.get("cycle.ovulation_ng_per_ml").source.clone(),
        ));
    }
    let stands =
        readings.iter().any(|r| matches!(r, CycleReading::Sign { sign: HeatSign::Standing, .. }));
    let low = rules.value("cycle.before_surge_ng_per_ml");
    if stands && samples.last().is_some_and(|s| s.ng_per_ml < low) {
        cautions.push(Caution::new(
            CautionCode::CycleStandsLow,
            Level::Note,
            said!("cycle-stands-low"),
            said!("cycle-stands-low-why"),
            rules.get("cycle.before_surge_ng_per_ml").source.clone(),
        ));
    }
    cautions
}
