//! Cycles are checked against worked series and by simulated dams.

use super::coming_heats::{HeatHistory, forecast_heats, heat_chances};
use super::*;
use crate::distribution::{normal_quantile, student_t_cdf};

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn at(text: &str) -> NaiveDateTime {
    text.parse().unwrap()
}

fn progesterone(taken_at: &str, value: f64) -> CycleReading {
    CycleReading::Progesterone { taken_at: at(taken_at), value, unit: ProgesteroneUnit::NgPerMl }
}

/// Worked by hand: from 1.2 to 2.4 ng/mL in 2 days, 2 is reached after 2 · ln(2/1.2)/ln 2 = 1.474
/// days (12 January 21:22); from 2.4 to 7.2 in 2 days, 5 after 2 · ln(5/2.4)/ln 3 = 1.336 days.
#[test]
fn interpolates_a_worked_progesterone_series() {
    let readings = [
        progesterone("2024-01-07T10:00:00", 0.6),
        progesterone("2024-01-11T10:00:00", 1.2),
        progesterone("2024-01-13T10:00:00", 2.4),
        progesterone("2024-01-15T10:00:00", 7.2),
    ];
    let rules = Rules::standard();
    let found = read_heat(day("2024-01-02"), &readings, day("2024-01-15"), &rules).unwrap();
    let surge = found.lh_surge.unwrap();
    assert_eq!(surge.on, day("2024-01-12"));
    assert!((surge.at - at("2024-01-12T21:22:00")).num_minutes().abs() <= 2, "{}", surge.at);
    let ovulation = found.ovulation.unwrap();
    assert_eq!(ovulation.on, day("2024-01-14"));
    assert!((0.25..1.0).contains(&ovulation.sd_days), "{}", ovulation.sd_days);
    assert_eq!(found.progesterone_rise_on, Some(day("2024-01-13")));
    assert_eq!(found.day_of_heat, 14);
    assert!(found.next_test.is_none());
    let frozen = found.mating_days.iter().find(|m| m.method == MatingMethod::Frozen).unwrap();
    assert_eq!(frozen.days, [day("2024-01-17")]);
    let natural = &found.mating_days[0];
    // Concannon: best from ovulation (LH surge + 2) to LH surge + 6, when the cervix begins to close.
    assert_eq!(natural.days.first(), Some(&day("2024-01-14")));
    assert_eq!(natural.days.last(), Some(&day("2024-01-18")));
    assert_eq!(natural.days.len(), 5);
    let closes = natural.note.as_ref().unwrap();
    assert!(closes.contains("2024-01-18") && closes.contains("2024-01-21"), "{closes}");
    // The same in nmol/L (1 ng/mL = 3.18 nmol/L, from the molar mass 314.46).
    let metric = readings.map(|r| match r {
        CycleReading::Progesterone { taken_at, value, .. } => CycleReading::Progesterone {
            taken_at,
            value: 3.18 * value,
            unit: ProgesteroneUnit::NmolPerL,
        },
        other => other,
    });
    let same = read_heat(day("2024-01-02"), &metric, day("2024-01-15"), &rules).unwrap();
    assert!((same.ovulation.unwrap().at - ovulation.at).num_minutes().abs() <= 1);
}

#[test]
fn gives_each_source_once_as_evidence_for_dating() {
    let readings = [
        progesterone("2024-01-11T10:00:00", 0.9),
        progesterone("2024-01-13T10:00:00", 2.4),
        progesterone("2024-01-15T10:00:00", 7.2),
        CycleReading::Lh { taken_at: at("2024-01-12T10:00:00"), positive: true },
        CycleReading::Lh { taken_at: at("2024-01-13T10:00:00"), positive: false },
    ];
    let rules = Rules::standard();
    let evidence =
        dating_evidence(day("2024-01-02"), &readings, day("2024-01-20"), &rules).unwrap();
    assert_eq!(
        evidence,
        [
            DatingEvidence::LhSurge { on: day("2024-01-12") },
            DatingEvidence::ProgesteroneRise { on: day("2024-01-13") },
            DatingEvidence::Ovulation {
                on: day("2024-01-14"),
                basis: OvulationBasis::Progesterone,
                sd_days: None,
            },
        ]
    );
    // Samples six days apart cannot tell the day of the rise.
    let sparse = [readings[0], progesterone("2024-01-17T10:00:00", 4.5)];
    let found = dating_evidence(day("2024-01-02"), &sparse, day("2024-01-20"), &rules).unwrap();
    assert!(found.iter().all(|e| !matches!(e, DatingEvidence::ProgesteroneRise { .. })));
}

#[test]
fn wider_gaps_are_less_sure_and_more_sources_surer() {
    let rules = Rules::standard();
    let sd = |readings: &[CycleReading]| {
        let found = read_heat(day("2024-01-02"), readings, day("2024-01-25"), &rules).unwrap();
        found.ovulation.unwrap().sd_days
    };
    let dense =
        [progesterone("2024-01-13T10:00:00", 3.5), progesterone("2024-01-14T10:00:00", 6.0)];
    let wide =
        [progesterone("2024-01-09T10:00:00", 1.0), progesterone("2024-01-16T10:00:00", 12.0)];
    assert!(sd(&dense) < sd(&wide));
    let mut more = wide.to_vec();
    more.push(CycleReading::Lh { taken_at: at("2024-01-11T10:00:00"), positive: true });
    more.push(CycleReading::Cytology {
        taken_at: at("2024-01-18T10:00:00"),
        stage: CytologyStage::Oestrus,
    });
    more.push(CycleReading::Cytology {
        taken_at: at("2024-01-19T10:00:00"),
        stage: CytologyStage::Dioestrus,
    });
    assert!(sd(&more) < sd(&wide));
    let found = read_heat(day("2024-01-02"), &more, day("2024-01-25"), &rules).unwrap();
    assert_eq!(found.dioestrus_on, Some(day("2024-01-19")));
    assert_eq!(found.ovulation.unwrap().on, day("2024-01-13")); // dioestrus 6 days after ovulation
}

/// Clinic advice: start on day 5–7 and test every 2–3 days.
#[test]
fn tells_when_to_test_next() {
    let rules = Rules::standard();
    let next = |readings: &[CycleReading]| {
        read_heat(day("2024-01-02"), readings, day("2024-01-06"), &rules).unwrap().next_test
    };
    assert_eq!(next(&[]).unwrap().on, day("2024-01-06"));
    let after = |value| next(&[progesterone("2024-01-06T09:00:00", value)]).map(|t| t.on);
    assert_eq!(after(0.5), Some(day("2024-01-09")));
    assert_eq!(after(1.4), Some(day("2024-01-08")));
    assert_eq!(after(3.0), Some(day("2024-01-07")));
    assert_eq!(after(15.0), None);
}

#[test]
fn names_impossible_readings() {
    let readings = [
        progesterone("2024-01-01T09:00:00", 1.0),
        progesterone("2024-01-09T09:00:00", 300.0),
        progesterone("2024-05-09T09:00:00", 1.0),
    ];
    let faults =
        read_heat(day("2024-01-02"), &readings, day("2024-02-25"), &Rules::standard()).unwrap_err();
    let places: Vec<&str> = faults.iter().map(|f| f.pointer.as_str()).collect();
    assert_eq!(places, ["/readings/0/taken_at", "/readings/1/value", "/readings/2/taken_at"]);
    let falling =
        [progesterone("2024-01-09T09:00:00", 3.0), progesterone("2024-01-11T09:00:00", 1.0)];
    let found =
        read_heat(day("2024-01-02"), &falling, day("2024-01-12"), &Rules::standard()).unwrap();
    assert!(found.cautions.iter().any(|c| c.what.contains("split heat")));
}

fn history(heats: &[&str]) -> HeatHistory {
    HeatHistory {
        heats: heats.iter().map(|h| day(h)).collect(),
        pregnant_since: false,
        born_on: None,
    }
}

/// Davidson: 4–13 months, mean 7, for a dam of whom nothing is known; then her own intervals weigh.
#[test]
fn draws_a_dams_own_intervals_towards_all_dams() {
    let rules = Rules::standard();
    let today = day("2024-01-15");
    let unknown = forecast_heats(&history(&["2024-01-01"]), 1, today, &rules).unwrap();
    let months = |d: NaiveDate| (d - day("2024-01-01")).num_days() as f64 / 30.44;
    // The shortest span lies lower than the middle 95 % of a skewed law.
    assert!((3.0..4.5).contains(&months(unknown.heats[0].earliest)), "{unknown:?}");
    assert!((6.8..7.6).contains(&months(unknown.heats[0].likely)));
    assert!((11.5..14.5).contains(&months(unknown.heats[0].latest)), "{unknown:?}");
    assert_eq!(unknown.own_weight, 0.0);
    let regular = history(&["2022-06-12", "2022-12-08", "2023-06-06", "2023-12-03"]); // 179–180 days
    let known = forecast_heats(&regular, 2, today, &rules).unwrap();
    assert_eq!(known.own_intervals_days, [179, 180, 180]);
    let interval = known.interval_days.unwrap();
    assert!(interval > 180.0 && interval < 195.0, "{interval}");
    let span =
        |f: &coming_heats::HeatForecast| (f.heats[0].latest - f.heats[0].earliest).num_days();
    assert!(span(&known) < span(&unknown));
    assert!(known.heats[1].likely > known.heats[0].latest);
    let missed = history(&["2021-06-12", "2022-12-08", "2023-06-06"]);
    let found = forecast_heats(&missed, 1, today, &rules).unwrap();
    assert_eq!(found.own_intervals_days, [180]);
    assert_eq!(found.notes.len(), 1);
}

#[test]
fn a_late_heat_is_not_forecast_into_the_past() {
    let rules = Rules::standard();
    let today = day("2024-12-20");
    let chances = heat_chances(&history(&["2024-01-01"]), 3, today, &rules);
    assert_eq!(chances.len(), 3);
    assert_eq!(chances[0].by(day("2024-12-19")), 0.0);
    assert!((chances[0].iter().map(|(_, c)| c).sum::<f64>() - 1.0).abs() < 1e-9);
    let young =
        HeatHistory { heats: vec![], pregnant_since: false, born_on: Some(day("2024-06-01")) };
    let first = forecast_heats(&young, 1, today, &rules).unwrap();
    assert!(first.heats[0].latest < day("2025-12-31"));
    assert!(first.heats[0].earliest >= today);
    assert!(forecast_heats(&history(&["2025-01-01"]), 1, today, &rules).is_err());
}

/// Simulated heats: progesterone rises from about 2 ng/mL at the surge to 4–8 ng/mL at ovulation two
/// days later (the published ranges) and is sampled every 1–3 days; ovulation lies within two
/// deviations of its estimate in at least 95 % or so.
#[test]
fn ovulation_lies_within_its_stated_uncertainty() {
    let rules = Rules::standard();
    let mut state = 5u64;
    let mut uniform = move || {
        state = state * 48_271 % 2_147_483_647;
        state as f64 / 2_147_483_647.0
    };
    let origin = at("2024-01-02T12:00:00");
    let (mut covered, mut sharp, runs) = (0.0, 0.0, 500);
    for run in 0..runs {
        let surge = 8.0 + 3.0 * uniform();
        let level = |base: f64, sd: f64, u: f64| base * (sd * normal_quantile(u)).exp();
        let at_surge = level(2.0, 0.095, uniform());
        let at_ovulation = level(5.0, 0.177, uniform());
        let slope = (at_ovulation / at_surge).ln() / 2.0;
        let mut readings = Vec::new();
        let mut time = 4.0 + uniform();
        while time < 16.0 {
            // Before the surge the rise is slow: ten-fold slower than after it.
            let rise = if time < surge { 0.1 } else { 1.0 } * slope * (time - surge);
            let minutes = chrono::Duration::minutes((time * 1440.0) as i64);
            readings.push(CycleReading::Progesterone {
                taken_at: origin + minutes,
                value: (at_surge * rise.exp()).min(40.0),
                unit: ProgesteroneUnit::NgPerMl,
            });
            time += f64::from(1 + run % 3);
        }
        let found = read_heat(day("2024-01-02"), &readings, day("2024-01-30"), &rules).unwrap();
        let ovulation = found.ovulation.unwrap();
        let estimate = (ovulation.at - origin).num_minutes() as f64 / 1440.0;
        covered += f64::from(u8::from((estimate - surge - 2.0).abs() <= 2.0 * ovulation.sd_days));
        sharp += ovulation.sd_days;
    }
    let (covered, sharp) = (covered / f64::from(runs), sharp / f64::from(runs));
    assert!(covered >= 0.93, "{covered}");
    assert!(sharp < 0.8, "{sharp}");
}

/// Simulated dams: mean and spread of each drawn from the population, then 0–6 intervals and the
/// next one; the 95 % span holds about 95 % of the next.
#[test]
fn spans_cover_what_they_state() {
    let rules = Rules::standard();
    let mut state = 11u64;
    // Multiplicative congruential generator (Park & Miller 1988): the same dams on every run.
    let mut uniform = move || {
        state = state * 48_271 % 2_147_483_647;
        state as f64 / 2_147_483_647.0
    };
    let total = rules.value("cycle.interval_log_sd");
    let share = rules.value("cycle.interval_repeatability");
    let df = rules.value("cycle.interval_prior_df");
    let median = rules.value("cycle.interval_median_days").ln();
    let (mut covered, runs) = (0.0, 400);
    for run in 0..runs {
        let chi: f64 = (0..df as usize).map(|_| normal_quantile(uniform()).powi(2)).sum();
        let within = total * (1.0 - share).sqrt() * (df / chi).sqrt();
        let own = median + within * (share / (1.0 - share)).sqrt() * normal_quantile(uniform());
        let mut draw = || (own + within * normal_quantile(uniform())).exp().round().max(1.0) as i64;
        let mut heats = vec![day("2014-01-01")];
        for _ in 0..run % 7 {
            heats.push(*heats.last().unwrap() + chrono::Duration::days(draw()));
        }
        let last = *heats.last().unwrap();
        let next = last + chrono::Duration::days(draw());
        let wide = rules
            .clone()
            .with_override("cycle.interval_shortest_days", 60.0, "test")
            .and_then(|r| r.with_override("cycle.interval_longest_days", 550.0, "test"))
            .unwrap();
        let history = HeatHistory { heats, pregnant_since: false, born_on: None };
        let found = forecast_heats(&history, 1, last, &wide).unwrap();
        let heat = &found.heats[0];
        covered += f64::from(u8::from((heat.earliest..=heat.latest).contains(&next)));
    }
    let covered = covered / f64::from(runs);
    assert!((covered - 0.95).abs() < 0.03, "{covered}");
    assert!(student_t_cdf(1.96, df) < 0.975); // few data: wider than the normal law
}

proptest::proptest! {
    /// 1 ng/mL is 3.18 nmol/L (molar mass 314.46 g/mol): there and back is the same.
    #[test]
    fn progesterone_comes_back_from_the_other_unit(ng_per_ml in 0.0f64..100.0) {
        let rules = Rules::standard();
        let back = ProgesteroneUnit::NmolPerL.to_ng_per_ml(3.18 * ng_per_ml, &rules);
        proptest::prop_assert!((back - ng_per_ml).abs() < 0.005 * ng_per_ml + 1e-9);
        proptest::prop_assert_eq!(ProgesteroneUnit::NgPerMl.to_ng_per_ml(ng_per_ml, &rules), ng_per_ml);
    }
}
