//! Measures the early warning and the forecasts on invented litters with known fates.
//!
//! `scripts/bench growth [litters]`: a table of sensitivity, false alarms and days of warning against the plain
//! rule "lost weight since yesterday", how well slow declines are told beside two plain rules by generators that
//! are not the model's own, and one of forecasts.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "decline.rs"]
mod decline;
#[path = "../../src/domain/agreement/dice.rs"]
mod dice;
#[path = "fading.rs"]
mod fading;
#[path = "../../src/domain/alarms/healthy_litter.rs"]
mod healthy_litter;
#[path = "litters.rs"]
mod litters;
#[path = "ranking.rs"]
mod ranking;
#[path = "warning_score.rs"]
mod warning_score;

use chrono::Duration;
use decline::{CURVES, ROUNDS};
use dice::Dice;
use domain::growth::{GrowthModel, litter_forecast, litter_growth, series::by_day};
use domain::{advice::Level, alarms::look_at, moment::Moment, rules::Rules};
use fading::{COURSES, DIARIES, compare};
use healthy_litter::{DAYS, HealthyLitter, SCALES, birth, healthy};
use litters::{Habits, born_at, simulate};
use ranking::{FIGURES, rank};
use std::time::Instant;
use warning_score::{Alarm, score};

fn main() {
    // Cargo adds its own argument.
    let count = std::env::args().skip(1).find_map(|n| n.parse().ok()).unwrap_or(400);
    let rules = Rules::standard();
    let started = Instant::now();
    println!(
        "early warning, {count} litters of 4 to 9 pups, 8 % of pups fail and die, days 0 to 21"
    );
    println!();
    println!(
        "| alarm | failing pups | found | days before death (median) | false alarms a pup-week |"
    );
    println!("|---|---|---|---|---|");
    for alarm in [Alarm::LostSinceYesterday, Alarm::LostAfterDayTwo, Alarm::Watch, Alarm::Act] {
        let scored = score(count, 20_260_301, alarm, &rules);
        println!(
            "| {} | {} | {:.1} % | {:.1} | {:.3} |",
            name(alarm),
            scored.failing,
            scored.sensitivity() * 100.0,
            scored.median_warning_days(),
            scored.false_alarms_per_pup_week()
        );
    }
    println!();
    println!("what the limit of the early warning trades");
    println!();
    println!("| probability from | found | days before death (median) | false alarms a pup-week |");
    println!("|---|---|---|---|");
    for limit in [0.1, 0.2, 0.3, 0.5, 0.7, 0.9] {
        let set = rules
            .clone()
            .with_override("growth.warning_act", limit, "trial")
            .expect("a limit within its range");
        let scored = score(count, 20_260_301, Alarm::Act, &set);
        println!(
            "| {limit} | {:.1} % | {:.1} | {:.3} |",
            scored.sensitivity() * 100.0,
            scored.median_warning_days(),
            scored.false_alarms_per_pup_week()
        );
    }
    println!();
    slow_declines(count as u64, &rules);
    fading_pups(count as u64, &rules);
    println!("forecasts of thriving pups, 95 % intervals, against going on at the last day's gain");
    println!();
    println!(
        "| weighed to day | forecast of day | in the interval | median error | the same, plain |"
    );
    println!("|---|---|---|---|---|");
    for (seen, target) in [(3, 7), (3, 14), (7, 14), (7, 28), (14, 28), (21, 56), (35, 56)] {
        let (held, error, plain) = forecast(count, seen, target, &rules);
        println!(
            "| {seen} | {target} | {:.1} % | {:.1} % | {:.1} % |",
            held * 100.0,
            error * 100.0,
            plain * 100.0
        );
    }
    println!();
    quiet_weeks(count, &rules);
    println!("took {:.1} s", started.elapsed().as_secs_f64());
    one_look(&rules);
}

/// How well each figure tells pups in slow decline from the others.
fn slow_declines(count: u64, rules: &Rules) {
    println!("slow declines, {count} litters: area under the curve; found at 5 % false alarms");
    println!();
    println!("| pups grow | weighed | {} |", FIGURES.join(" | "));
    println!("|---|---|---|---|---|");
    for curve in CURVES {
        for round in &ROUNDS {
            let ranked = rank(7_000..7_000 + count, curve, round, rules);
            let told = ranked
                .map(|it| format!("{:.3}; {:.0} %", it.auc, it.found_at_five_percent * 100.0));
            println!("| {curve:?} | {} | {} |", round.name, told.join(" | "));
        }
    }
    println!();
}

/// What temperature, feeding and signs add to the weights.
fn fading_pups(count: u64, rules: &Rules) {
    println!("fading, {count} litters: by the weights alone, and by all that is known of a pup");
    println!();
    println!(
        "| pups grow | ill | weighed | written down | weights: AUC; found at 5 % | score: AUC; found at 5 % | pups that call, weights / score | false calls a pup-week |"
    );
    println!("|---|---|---|---|---|---|---|---|");
    let base =
        Moment { rules: rules.clone(), ..Moment::by_standard_rules(birth(), chrono_tz::UTC) };
    let line = |curve, course, round: &decline::Round, diary: fading::Diary| {
        let told = compare(9_000..9_000 + count, (curve, course), round, diary, &base);
        let figures = |it: &ranking::Ranked| {
            format!("{:.3}; {:.0} %", it.auc, it.found_at_five_percent * 100.0)
        };
        println!(
            "| {curve:?} | {course:?} | {} | {} | {} | {} | {:.0} / {:.0} % | {:.3} / {:.3} |",
            round.name,
            diary.name,
            figures(&told.weights),
            figures(&told.score),
            told.found[0] * 100.0,
            told.found[1] * 100.0,
            told.false_a_week[0],
            told.false_a_week[1],
        );
    };
    for curve in CURVES {
        for course in COURSES {
            for round in &ROUNDS[..2] {
                line(curve, course, round, DIARIES[1]);
            }
        }
    }
    for diary in [DIARIES[0], DIARIES[2]] {
        line(CURVES[1], COURSES[1], &ROUNDS[1], diary);
        line(CURVES[2], COURSES[2], &ROUNDS[1], diary);
    }
    println!();
}

/// How many weeks of healthy litters pass without a call of any alarm, and on how many of their days one
/// rings, by the step of the scale. The litters are those of the domain's own test, of other seeds.
fn quiet_weeks(count: usize, rules: &Rules) {
    println!("healthy litters, looked at twice a day from birth to day {DAYS}: all their alarms");
    println!();
    println!("| scale | weeks | without a call | days | with a call |");
    println!("|---|---|---|---|---|");
    let base =
        Moment { rules: rules.clone(), ..Moment::by_standard_rules(birth(), chrono_tz::UTC) };
    for (step_g, scale) in SCALES {
        let seeds = 100_000..100_000 + count as u64;
        let called: Vec<Vec<bool>> = seeds
            .map(|seed| days_with_a_call(&healthy(&mut Dice::new(seed), step_g), &base))
            .collect();
        let weeks: Vec<bool> = called
            .iter()
            .flat_map(|days| days.chunks(7).map(|week| week.contains(&true)))
            .collect();
        let quiet = weeks.iter().filter(|called| !**called).count();
        let days = called.iter().map(Vec::len).sum::<usize>();
        let loud = called.iter().flatten().filter(|called| **called).count();
        println!(
            "| {scale} | {} | {quiet} ({:.1} %) | {days} | {loud} |",
            weeks.len(),
            100.0 * quiet as f64 / weeks.len() as f64
        );
    }
    println!();
}

/// Whether something called on each day of a litter.
fn days_with_a_call(litter: &HealthyLitter, base: &Moment) -> Vec<bool> {
    let calls = |half: i64| {
        let now = birth() + Duration::hours(12 * half + 1);
        let known = litter.known(now);
        let alarms = look_at(&known.core, &known.parts, &Moment { now, ..base.clone() }).alarms;
        alarms.iter().any(|alarm| alarm.level >= Level::Act)
    };
    (0..DAYS).map(|day| calls(2 * day + 1) || calls(2 * day + 2)).collect()
}

/// How long one look at a grown litter takes: summary with risks and swaps, and forecasts.
fn one_look(rules: &Rules) {
    let habits = Habits { days: 56, failing: 0.0, missed: 0.0, sloppy: 0.01 };
    let made = simulate(&mut Dice::new(3), &habits);
    let now = born_at() + Duration::days(56);
    let started = Instant::now();
    let growth = litter_growth(&made.litter, now, rules);
    let summary = started.elapsed();
    let forecast = litter_forecast(&made.litter, now.date_naive() + Duration::days(28), now, rules);
    println!(
        "one look at {} pups weighed for 56 days: summary {:.2} ms, forecasts of {} days {:.2} ms",
        growth.pups.len(),
        summary.as_secs_f64() * 1e3,
        forecast.pups.iter().map(|pup| pup.days.len()).sum::<usize>(),
        (started.elapsed() - summary).as_secs_f64() * 1e3
    );
}

fn name(alarm: Alarm) -> &'static str {
    match alarm {
        Alarm::LostSinceYesterday => "lost weight since yesterday",
        Alarm::LostAfterDayTwo => "the same, after day 2",
        Alarm::Watch => "early warning: watch",
        Alarm::Act => "early warning: act",
    }
}

/// Share of weighings inside the interval, the median error, and that of the plain way.
fn forecast(count: usize, seen: usize, target: usize, rules: &Rules) -> (f64, f64, f64) {
    let habits = Habits { days: target, failing: 0.0, missed: 0.08, sloppy: 0.01 };
    let mut dice = Dice::new(77);
    let (mut held, mut total) = (0usize, 0usize);
    let (mut errors, mut plains) = (Vec::new(), Vec::new());
    for _ in 0..count {
        let made = simulate(&mut dice, &habits);
        let now = born_at() + Duration::hours(seen as i64 * 24 + 1);
        let model = GrowthModel::fit(&made.litter, now, rules).expect("pups");
        for (pup, truth) in made.litter.pups.iter().zip(&made.true_g) {
            let at = model.at(pup.dog_id, target as f64).expect("within norms");
            let actual = truth[target].ln();
            let weighed = actual + dice.normal(0.0, 0.012);
            let sd = (at.variance + model.weighing_sd().powi(2)).sqrt();
            held += usize::from((weighed - at.mean).abs() <= 1.96 * sd);
            total += 1;
            errors.push((at.mean - actual).exp_m1().abs());
            let points = by_day(&pup.points(chrono_tz::UTC, now));
            if let [.., a, b] = points.as_slice() {
                let gain = (b.weight_g - a.weight_g) / (b.age_days - a.age_days);
                let plain = b.weight_g + gain * (target as f64 - b.age_days);
                plains.push((plain / truth[target] - 1.0).abs());
            }
        }
    }
    (held as f64 / total as f64, middle(&mut errors), middle(&mut plains))
}

fn middle(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}
