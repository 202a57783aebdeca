//! The dam's temperature before whelping: her baseline, the fall, and what it means.

use crate::{
    advice::{Caution, CautionCode, Level},
    dating::DatingEvidence,
    distribution::normal_cdf,
    fault::{Fault, Faults},
    rules::Rules,
    units::celsius_from_fahrenheit,
};
use catalogue::{Text, figure, said};
use chrono::{DateTime, Duration, NaiveDateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// One reading of the dam's temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct TemperatureReading {
    /// When it was taken.
    #[schema(example = "2026-03-01T19:00:00Z")]
    pub taken_at: DateTime<Utc>,
    /// Rectal temperature, °C.
    #[schema(example = 37.9)]
    pub temperature_c: f64,
}

/// What the readings show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum TemperatureState {
    /// Too few readings for a baseline.
    TooFew,
    /// As usual for her.
    Steady,
    /// One low reading: take it again.
    PossibleFall,
    /// The fall before labour.
    Fall,
    /// It fell and has come back.
    Recovered,
}

/// The dam's temperature assessed.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct TemperatureAssessment {
    /// What the readings show.
    #[serde(rename = "status")]
    pub state: TemperatureState,
    /// Her usual temperature (median of the days before), °C.
    #[schema(example = 38.1)]
    pub baseline_c: Option<f64>,
    /// How much her readings vary (robust deviation), °C.
    #[schema(example = 0.15)]
    pub deviation_c: Option<f64>,
    /// At or under this a reading counts as low for her, °C.
    #[schema(example = 37.5)]
    pub low_at_c: f64,
    /// Latest reading.
    #[serde(rename = "last_reading")]
    pub latest: Option<TemperatureReading>,
    /// First low reading of the fall.
    #[schema(example = "2026-03-01T19:00:00Z")]
    pub fell_at: Option<DateTime<Utc>>,
    /// Last reading before it that was not low: the fall began after this.
    #[schema(example = "2026-03-01T07:00:00Z")]
    #[serde(rename = "last_normal_at")]
    pub fell_after: Option<DateTime<Utc>>,
    /// Chance of whelping within 24 hours from now by the fall alone, 0–1; `None` without a fall.
    #[schema(example = 0.79)]
    pub chance_within_24_hours: Option<f64>,
    /// When to take it next.
    #[schema(example = "2026-03-01T20:00:00Z")]
    #[serde(rename = "next_reading_at")]
    pub next_reading_by: DateTime<Utc>,
    /// What it means, in a sentence.
    #[schema(value_type = String)]
    pub meaning: Text,
    /// What to mind.
    pub cautions: Vec<Caution>,
}

impl TemperatureAssessment {
    /// The fall as evidence for dating the litter, on the kennel's clock; `None` until it is confirmed.
    pub(crate) fn dating_evidence(
        &self,
        local: impl FnOnce(DateTime<Utc>) -> NaiveDateTime,
    ) -> Option<DatingEvidence> {
        let confirmed = matches!(self.state, TemperatureState::Fall | TemperatureState::Recovered);
        self.fell_at
            .filter(|_| confirmed)
            .map(|at| DatingEvidence::TemperatureFall { at: local(at) })
    }
}

fn hours(count: f64) -> Duration {
    #[expect(clippy::cast_possible_truncation, reason = "minutes of a few days")]
    Duration::minutes((count * 60.0).round() as i64)
}

fn between(from: DateTime<Utc>, to: DateTime<Utc>) -> f64 {
    f64::from(i32::try_from((to - from).num_minutes()).unwrap_or(i32::MAX)) / 60.0
}

fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    let upper = *values.get(half)?;
    Some(if values.len() % 2 == 1 { upper } else { 0.5 * (upper + values[half - 1]) })
}

/// Median and robust deviation (1.4826 times the median absolute deviation) of the readings.
fn baseline(readings: &[TemperatureReading], rules: &Rules) -> Option<(f64, f64)> {
    let mut values: Vec<f64> = readings.iter().map(|r| r.temperature_c).collect();
    let enough = rules.value("temperature.least_readings");
    if f64::from(u32::try_from(values.len()).unwrap_or(u32::MAX)) < enough {
        return None;
    }
    let middle = median(&mut values)?;
    let mut away: Vec<f64> = values.iter().map(|v| (v - middle).abs()).collect();
    let deviation = 1.4826 * median(&mut away)?;
    Some((middle, deviation.max(rules.value("temperature.least_deviation_c"))))
}

/// Assesses the readings before whelping as of `now`.
///
/// A reading is low at 37.5 °C or less when that is well under her own baseline, or at 37.2 °C or
/// less whatever the baseline. One low reading is a possible fall, a second one (or one further
/// below) within hours confirms it, and a single slip of the thermometer between usual readings
/// is passed over. Missed readings widen only the time of the fall, not its detection.
///
/// # Errors
/// Faults of the readings (`/readings/3/temperature_c` …): impossible values (with a hint when °F
/// was meant) and times after `now`.
pub(crate) fn assess_temperature(
    readings: &[TemperatureReading],
    now: DateTime<Utc>,
    rules: &Rules,
) -> Result<TemperatureAssessment, Vec<Fault>> {
    check(readings, now, rules)?;
    let mut sorted = readings.to_vec();
    sorted.sort_by(|a, b| {
        a.taken_at.cmp(&b.taken_at).then(a.temperature_c.total_cmp(&b.temperature_c))
    });
    let fall = find_fall(&sorted, rules);
    let before = fall.first_low.unwrap_or(sorted.len());
    let until = match (fall.first_low, sorted.last()) {
        (None, Some(last)) => last.taken_at - hours(rules.value("temperature.baseline_skip_hours")),
        _ => DateTime::<Utc>::MAX_UTC,
    };
    let quiet: Vec<_> = sorted[..before].iter().copied().filter(|r| r.taken_at <= until).collect();
    let usual = baseline(&quiet, rules).or_else(|| baseline(&sorted[..before], rules));
    let state = match fall.state {
        TemperatureState::Steady if usual.is_none() => TemperatureState::TooFew,
        state => state,
    };
    let fell_at = fall.first_low.map(|i| sorted[i].taken_at);
    let chance = fell_at
        .filter(|_| state == TemperatureState::Fall)
        .map(|at| chance_within(between(at, now), rules));
    let latest = sorted.last().copied();
    let mut found = TemperatureAssessment {
        state,
        baseline_c: usual.map(|u| u.0),
        deviation_c: usual.map(|u| u.1),
        low_at_c: low_at(usual, rules),
        latest,
        fell_at,
        fell_after: fall
            .first_low
            .and_then(|i| i.checked_sub(1))
            .map(|before| sorted[before].taken_at),
        chance_within_24_hours: chance,
        next_reading_by: next_reading(state, latest, now, rules),
        meaning: meaning(state, chance, rules),
        cautions: Vec::new(),
    };
    found.cautions = cautions(&sorted, now, rules);
    Ok(found)
}

/// At or under what a reading is low for a dam with this baseline.
fn low_at(usual: Option<(f64, f64)>, rules: &Rules) -> f64 {
    let alert = rules.value("temperature.alert_c");
    let Some((middle, deviation)) = usual else { return alert };
    let fall = (rules.value("temperature.fall_deviations") * deviation)
        .max(rules.value("temperature.least_fall_c"));
    (middle - fall).min(rules.value("temperature.fall_c")).max(alert)
}

struct Fall {
    state: TemperatureState,
    first_low: Option<usize>,
}

/// Walks the readings in order: each is judged by the baseline of those before it.
fn find_fall(readings: &[TemperatureReading], rules: &Rules) -> Fall {
    let window = hours(24.0 * rules.value("temperature.baseline_days"));
    let confirm = rules.value("temperature.confirm_within_hours");
    let (mut first_low, mut confirmed) = (None, false);
    let mut recovered = false;
    for (i, reading) in readings.iter().enumerate() {
        let end = first_low.unwrap_or(i);
        let from = readings[..end].partition_point(|r| r.taken_at < reading.taken_at - window);
        let low = reading.temperature_c <= low_at(baseline(&readings[from..end], rules), rules);
        match (first_low, low) {
            (None, true) => (first_low, recovered) = (Some(i), false),
            (Some(_), true) => {
                let gap = between(readings[i - 1].taken_at, reading.taken_at);
                confirmed = confirmed || gap <= confirm;
                recovered = false;
            }
            // A low reading that another soon after does not bear out was a slip; else it has come back.
            (Some(start), false) => {
                let quick = between(readings[start].taken_at, reading.taken_at)
                    <= rules.value("temperature.repeat_after_hours") + 2.0;
                // Only a reading soon after tells a slip: the fall lasts hours, and may be read once.
                if !confirmed && quick {
                    first_low = None;
                } else {
                    recovered = true;
                }
            }
            (None, false) => {}
        }
    }
    let state = match (first_low, confirmed, recovered) {
        (None, ..) => TemperatureState::Steady,
        (Some(_), _, true) => TemperatureState::Recovered,
        (Some(_), true, false) => TemperatureState::Fall,
        (Some(_), false, false) => TemperatureState::PossibleFall,
    };
    Fall { state, first_low }
}

/// Chance of whelping within 24 hours, `passed` hours after the fall and not whelped yet.
fn chance_within(passed: f64, rules: &Rules) -> f64 {
    let (mean, sd) = (rules.value("temperature.mean_hours"), rules.value("temperature.sd_hours"));
    let share = rules.value("temperature.true_share");
    let by = |h: f64| normal_cdf((h - mean) / sd);
    let (past, soon) = (by(passed), by(passed + 24.0));
    share * (soon - past) / (1.0 - share * past)
}

fn next_reading(
    state: TemperatureState,
    latest: Option<TemperatureReading>,
    now: DateTime<Utc>,
    rules: &Rules,
) -> DateTime<Utc> {
    let wait = match state {
        TemperatureState::PossibleFall => rules.value("temperature.repeat_after_hours"),
        _ => 24.0 / rules.value("temperature.readings_per_day"),
    };
    latest.map_or(now, |r| (r.taken_at + hours(wait)).max(now))
}

fn meaning(state: TemperatureState, chance: Option<f64>, rules: &Rules) -> Text {
    match state {
        TemperatureState::TooFew => said!("temperature-too-few"),
        TemperatureState::Steady => {
            let unseen = 100.0 * (1.0 - rules.value("temperature.seen_share"));
            said!("temperature-steady", percent = figure(unseen, 0))
        }
        TemperatureState::PossibleFall => said!("temperature-possible-fall"),
        TemperatureState::Fall => {
            said!("temperature-fall", percent = figure(100.0 * chance.unwrap_or(0.0), 0))
        }
        TemperatureState::Recovered => said!("temperature-recovered"),
    }
}

/// A fever of the last day, which a lower reading after it does not undo, and readings that are missed.
fn cautions(readings: &[TemperatureReading], now: DateTime<Utc>, rules: &Rules) -> Vec<Caution> {
    let mut cautions = Vec::new();
    let Some(latest) = readings.last() else { return cautions };
    let fever = rules.get("temperature.fever_c");
    let of_day = readings
        .iter()
        .filter(|r| between(r.taken_at, now) <= rules.value("dam_after_birth.sign_hours"));
    let highest = of_day.max_by(|a, b| a.temperature_c.total_cmp(&b.temperature_c));
    if let Some(hot) = highest.filter(|r| r.temperature_c >= fever.value) {
        let caution = Caution::new(
            CautionCode::FeverBeforeBirth,
            Level::Emergency,
            said!("alarm-temperature-fever"),
            said!(
                "alarm-temperature-fever-why",
                temperature_c = figure(hot.temperature_c, 1),
                limit_c = fever.value
            ),
            fever.source.clone(),
        );
        cautions
            .push(caution.with("temperature_c", hot.temperature_c).with("limit_c", fever.value));
    }
    let missed = rules.get("temperature.missed_after_hours");
    let gap = between(latest.taken_at, now);
    if gap > missed.value {
        cautions.push(
            Caution::new(
                CautionCode::TemperatureUntaken,
                Level::Note,
                said!("alarm-temperature-untaken"),
                said!("alarm-temperature-untaken-why", hours = figure(gap, 0)),
                missed.source.clone(),
            )
            .with("hours", gap.round()),
        );
    }
    cautions
}

fn check(
    readings: &[TemperatureReading],
    now: DateTime<Utc>,
    rules: &Rules,
) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    let (lowest, highest) =
        (rules.value("temperature.lowest_c"), rules.value("temperature.highest_c"));
    for (i, reading) in readings.iter().enumerate() {
        let value = reading.temperature_c;
        if !(lowest..=highest).contains(&value) {
            let meant = celsius_from_fahrenheit(value);
            let detail = if (lowest..=highest).contains(&meant) {
                said!(
                    "fault-out-of-range-reading-fahrenheit",
                    from = lowest,
                    to = highest,
                    fahrenheit = value,
                    celsius = figure(meant, 1)
                )
            } else {
                said!("fault-out-of-range-reading-celsius", from = lowest, to = highest)
            };
            faults.add(format!("/readings/{i}/temperature_c"), detail);
        }
        faults.unless(reading.taken_at <= now, &format!("/readings/{i}/taken_at"), || {
            said!("fault-in-future-reading", now = now.to_string())
        });
    }
    faults.into_result()
}

#[cfg(test)]
pub(crate) mod limits_tests;

#[cfg(test)]
mod tests {
    use super::*;

    fn at(hour: i64) -> DateTime<Utc> {
        "2024-03-01T08:00:00Z".parse::<DateTime<Utc>>().unwrap() + Duration::hours(hour)
    }

    fn series(values: &[(i64, f64)]) -> Vec<TemperatureReading> {
        values
            .iter()
            .map(|(h, temperature_c)| TemperatureReading {
                taken_at: at(*h),
                temperature_c: *temperature_c,
            })
            .collect()
    }

    fn assess(values: &[(i64, f64)], now: i64) -> TemperatureAssessment {
        assess_temperature(&series(values), at(now), &Rules::standard()).unwrap()
    }

    const USUAL: [(i64, f64); 7] =
        [(0, 38.2), (12, 38.0), (24, 38.1), (36, 37.9), (48, 38.2), (60, 38.0), (72, 38.1)];

    fn with(more: &[(i64, f64)]) -> Vec<(i64, f64)> {
        USUAL.iter().chain(more).copied().collect()
    }

    /// The course published for 45 bitches: 38.0 °C at 2–3 days, 37.4 at 20 h, 37.0 at 10 h.
    #[test]
    fn finds_the_published_fall() {
        let first = assess(&with(&[(84, 37.4)]), 84);
        assert_eq!(first.state, TemperatureState::PossibleFall);
        assert_eq!(first.dating_evidence(|at| at.naive_utc()), None);
        assert_eq!(first.next_reading_by, at(85));
        let fall = assess(&with(&[(84, 37.4), (94, 37.0)]), 94);
        assert_eq!(fall.state, TemperatureState::Fall);
        let evidence = DatingEvidence::TemperatureFall { at: at(84).naive_utc() };
        assert_eq!(fall.dating_evidence(|at| at.naive_utc()), Some(evidence));
        assert_eq!((fall.fell_at, fall.fell_after), (Some(at(84)), Some(at(72))));
        assert!((fall.baseline_c.unwrap() - 38.1).abs() < 0.06);
        // 13–33 hours after the fall: 10 hours on, nearly all that fell whelp within 24 hours.
        let chance = fall.chance_within_24_hours.unwrap();
        assert!((0.8..0.86).contains(&chance), "{chance}");
    }

    #[test]
    fn is_not_misled_by_noise_or_missed_readings() {
        let slip = assess(&with(&[(84, 36.8), (85, 38.0), (96, 38.1)]), 96);
        assert_eq!(slip.state, TemperatureState::Steady);
        assert_eq!(assess(&with(&[(84, 37.7), (96, 37.8)]), 96).state, TemperatureState::Steady);
        let sparse = [(0, 38.2), (30, 38.0), (60, 38.1), (100, 38.0), (130, 37.1), (140, 37.0)];
        let found = assess(&sparse, 140);
        assert_eq!(found.state, TemperatureState::Fall);
        assert_eq!(found.fell_after, Some(at(100)));
        let late = assess(&USUAL, 100);
        assert!(late.cautions.iter().any(|c| c.what.contains("Take her temperature now")));
        let bare = assess(&[(0, 38.0)], 1);
        assert_eq!((bare.state, bare.baseline_c), (TemperatureState::TooFew, None));
        assert_eq!(assess(&[(0, 37.1), (2, 37.0)], 2).state, TemperatureState::Fall);
    }

    #[test]
    fn a_fall_that_was_read_once_has_come_back_and_a_fever_stays_a_day() {
        let readings = with(&[(84, 37.2), (94, 37.0), (104, 38.1), (110, 38.2)]);
        assert_eq!(assess(&readings, 110).state, TemperatureState::Recovered);
        let once = with(&[(84, 37.0), (96, 38.0), (108, 38.1)]);
        let found = assess(&once, 108);
        assert_eq!((found.state, found.fell_at), (TemperatureState::Recovered, Some(at(84))));
        for (now, calls) in [(84, true), (96, true), (108, true), (109, false)] {
            let hot = assess(&with(&[(84, 39.6), (84, 38.4)]), now);
            let fever = hot.cautions.iter().any(|c| c.level == Level::Emergency);
            assert_eq!(fever, calls, "{now}");
        }
        assert!(assess(&with(&[(84, 39.4)]), 84).cautions.is_empty());
    }

    #[test]
    fn names_impossible_readings() {
        let readings = series(&[(0, 100.4), (5, 38.0), (2, 20.0)]);
        let faults = assess_temperature(&readings, at(3), &Rules::standard()).unwrap_err();
        let places: Vec<&str> = faults.iter().map(|f| f.pointer.as_str()).collect();
        assert_eq!(
            places,
            ["/readings/0/temperature_c", "/readings/1/taken_at", "/readings/2/temperature_c"]
        );
        assert!(faults[0].detail.contains("38.0 °C")); // 100.4 °F = 38.0 °C
        assert!((celsius_from_fahrenheit(99.0) - 37.22).abs() < 0.01);
    }

    proptest::proptest! {
        #[test]
        fn degrees_come_back_from_fahrenheit(celsius in 25.0f64..45.0) {
            let back = celsius_from_fahrenheit(celsius * 1.8 + 32.0);
            proptest::prop_assert!((back - celsius).abs() < 1e-9);
        }
    }
}
