//! How many pups to expect, as one chance a number.
//!
//! Before any count: the mean of the breed or size, drawn towards the dam's own earlier litters by
//! their repeatability (normal–normal shrinkage), spread by a gamma law. Ultrasound and radiograph
//! counts multiply in with their published errors; a radiograph taken early, or a partial count, is
//! a lower limit.

use crate::domain::{
    distribution::ln_gamma,
    fault::{Fault, Faults},
    record::MatingMethod,
    rules::{Rules, Status},
};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;

/// How pups were counted before birth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PupCountMethod {
    /// Ultrasound.
    Ultrasound,
    /// Radiograph.
    Xray,
    /// Felt through the belly.
    Palpation,
}

/// A count of pups before birth; either limit may be unknown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct PupCount {
    /// How.
    pub method: PupCountMethod,
    /// At least so many.
    #[schema(example = 5)]
    pub count_at_least: Option<u32>,
    /// At most so many; `None` for a lower limit.
    #[schema(example = 5)]
    pub count_at_most: Option<u32>,
    /// Day of pregnancy, if known: an early radiograph is a lower limit only.
    #[schema(example = 57)]
    pub day_of_pregnancy: Option<i64>,
}

/// What is known of the litter.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ExpectedPupsInput {
    /// Breed of the dam.
    pub breed: Option<String>,
    /// Her adult weight, g; used when the breed has no published mean.
    pub adult_weight_g: Option<f64>,
    /// Pups born, alive or not, in each of her earlier litters.
    pub earlier_litters: Vec<u32>,
    /// How she was mated; insemination lowers the number.
    pub method: Option<MatingMethod>,
    /// Inbreeding of the litter, 0–1.
    pub litter_inbreeding: Option<f64>,
    /// Inbreeding of the dam, 0–1.
    pub dam_inbreeding: Option<f64>,
    /// Counts, in any order.
    pub counts: Vec<PupCount>,
    /// Pups born already in this litter, if whelping has begun.
    pub born_so_far: u32,
}

/// The chance of one number of pups.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PupChance {
    /// Number of pups born.
    #[schema(example = 6)]
    pub pups: u32,
    /// Its chance, 0–1.
    #[schema(example = 0.21)]
    pub chance: f64,
}

/// How many pups to expect.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PupForecast {
    /// The likeliest number.
    #[schema(example = 6)]
    pub likely: u32,
    /// Mean of all numbers.
    #[schema(example = 5.8)]
    pub mean: f64,
    /// Lower end of the range.
    #[schema(example = 4)]
    pub at_least: u32,
    /// Upper end of the range.
    #[schema(example = 8)]
    pub at_most: u32,
    /// Chance that the litter lies in the range, 0–1.
    #[schema(example = 0.92)]
    pub coverage: f64,
    /// Every number from 1 and its chance, summing to 1.
    pub chance_by_count: Vec<PupChance>,
    /// What it rests on, each with its source.
    pub basis: Vec<String>,
}

impl PupForecast {
    /// Chance of at most `pups`.
    pub fn chance_at_most(&self, pups: u32) -> f64 {
        self.chance_by_count.iter().filter(|c| c.pups <= pups).map(|c| c.chance).sum()
    }

    /// Chance that the litter is small enough to be carried longer (Eilts et al. 2005).
    pub fn chance_small_litter(&self, rules: &Rules) -> f64 {
        let small = rules.value("dating.small_litter_pups");
        self.chance_by_count.iter().filter(|c| f64::from(c.pups) <= small).map(|c| c.chance).sum()
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Breed {
    names: Vec<String>,
    mean: f64,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    breed: Vec<Breed>,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static TABLE: LazyLock<Table> =
    LazyLock::new(|| toml::from_str(include_str!("litter_size.toml")).expect("litter size table"));

/// Expected pups from all that is known.
///
/// # Errors
/// Faults of the input (`/counts/0/count_at_most` …): limits in the wrong order or out of range, an
/// inbreeding outside 0–1, an earlier litter out of range, counts that nothing agrees with.
pub fn expected_pups(input: &ExpectedPupsInput, rules: &Rules) -> Result<PupForecast, Vec<Fault>> {
    check(input, rules)?;
    let mut basis = Vec::new();
    let (mean, sd) = prior(input, rules, &mut basis);
    // A gamma law of this mean and deviation, taken at whole numbers from one on.
    let (shape, scale) = ((mean / sd).powi(2), sd * sd / mean);
    let counts = 1..=most(rules);
    let logs: Vec<(u32, f64)> = counts
        .map(|n| {
            let x = f64::from(n);
            let prior = (shape - 1.0) * x.ln() - x / scale - ln_gamma(shape);
            let seen: f64 = input.counts.iter().map(|c| likelihood(c, n, rules).ln()).sum();
            let born = if n < input.born_so_far { f64::NEG_INFINITY } else { 0.0 };
            (n, prior + seen + born)
        })
        .collect();
    for count in &input.counts {
        basis.push(describe(count, rules));
    }
    if input.born_so_far > 0 {
        basis.push(format!("{} born already", input.born_so_far));
    }
    let top = logs.iter().map(|(_, l)| *l).fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = logs.iter().map(|(_, l)| (l - top).exp()).sum();
    let chances: Vec<PupChance> = logs
        .into_iter()
        .map(|(pups, log)| PupChance { pups, chance: (log - top).exp() / total })
        .collect();
    Ok(summarise(chances, basis, rules.value("expected_pups.coverage")))
}

fn summarise(chances: Vec<PupChance>, basis: Vec<String>, coverage: f64) -> PupForecast {
    let likely = chances.iter().max_by(|a, b| a.chance.total_cmp(&b.chance)).map_or(1, |c| c.pups);
    // The range grows from the likeliest number towards the likelier neighbour.
    let chance = |n: u32| chances.iter().find(|c| c.pups == n).map_or(0.0, |c| c.chance);
    let (mut low, mut high, mut sum) = (likely, likely, chance(likely));
    while sum < coverage - 1e-9 {
        let (below, above) = (if low > 1 { chance(low - 1) } else { 0.0 }, chance(high + 1));
        if below <= 0.0 && above <= 0.0 {
            break;
        }
        if above >= below {
            high += 1;
            sum += above;
        } else {
            low -= 1;
            sum += below;
        }
    }
    PupForecast {
        likely,
        mean: chances.iter().map(|c| f64::from(c.pups) * c.chance).sum(),
        at_least: low,
        at_most: high,
        coverage: sum.min(1.0),
        chance_by_count: chances,
        basis,
    }
}

fn most(rules: &Rules) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rule of pups")]
    let most = rules.value("expected_pups.most") as u32;
    most
}

/// Mean and deviation before any count.
fn prior(input: &ExpectedPupsInput, rules: &Rules, basis: &mut Vec<String>) -> (f64, f64) {
    let (group_mean, name, source) = group_mean(input, rules);
    basis.push(format!("{name}: mean {group_mean:.1} ({source})"));
    let variance = (group_mean * rules.value("expected_pups.relative_sd")).powi(2);
    let share = rules.value("expected_pups.repeatability");
    let (between, within) = (share * variance, (1.0 - share) * variance);
    let litters: f64 = input.earlier_litters.iter().map(|_| 1.0).sum();
    let pups: f64 = input.earlier_litters.iter().map(|n| f64::from(*n)).sum();
    let precision = 1.0 / between + litters / within;
    let mut mean = (group_mean / between + pups / within) / precision;
    if litters > 0.0 {
        basis.push(format!(
            "her {litters} earlier litters, mean {:.1}, count {:.0} % ({})",
            pups / litters,
            100.0 * litters / within / precision,
            rules.get("expected_pups.repeatability").source
        ));
    }
    for (effect, what, key) in effects(input, rules) {
        mean += effect;
        let rule = rules.get(key);
        let doubt = if rule.status == Status::FromMemory { "; not confirmed" } else { "" };
        basis.push(format!("{what}: {effect:+.1} ({}{doubt})", rule.source));
    }
    (mean.max(1.0), (within + 1.0 / precision).sqrt())
}

fn group_mean(input: &ExpectedPupsInput, rules: &Rules) -> (f64, String, String) {
    let wanted = input.breed.as_deref().map(|b| b.trim().to_lowercase());
    let found =
        TABLE.breed.iter().find(|b| b.names.iter().any(|n| Some(n.to_lowercase()) == wanted));
    if let Some(breed) = found {
        return (breed.mean, breed.names.join(" / "), breed.source.clone());
    }
    let (key, name) = match input.adult_weight_g {
        None => ("expected_pups.mean", "all breeds"),
        Some(g) if g < 5_000.0 => ("expected_pups.mean_under_5_kg", "dams under 5 kg"),
        Some(g) if g < 10_000.0 => ("expected_pups.mean_5_to_10_kg", "dams of 5–10 kg"),
        Some(g) if g < 25_000.0 => ("expected_pups.mean_10_to_25_kg", "dams of 10–25 kg"),
        Some(g) if g <= 45_000.0 => ("expected_pups.mean_25_to_45_kg", "dams of 25–45 kg"),
        Some(_) => ("expected_pups.mean_over_45_kg", "dams over 45 kg"),
    };
    (rules.value(key), name.to_owned(), rules.get(key).source.clone())
}

/// Effects of the mating and of inbreeding on the mean: pups, reason, rule.
fn effects(input: &ExpectedPupsInput, rules: &Rules) -> Vec<(f64, String, &'static str)> {
    let mut effects = Vec::new();
    match input.method {
        Some(MatingMethod::Fresh | MatingMethod::Chilled) => effects.push((
            -rules.value("expected_pups.fresh_fewer"),
            "insemination".to_owned(),
            "expected_pups.fresh_fewer",
        )),
        Some(MatingMethod::Frozen) => effects.push((
            -rules.value("expected_pups.frozen_fewer"),
            "insemination with frozen semen".to_owned(),
            "expected_pups.frozen_fewer",
        )),
        Some(MatingMethod::Natural) | None => {}
    }
    let slopes = [
        (input.litter_inbreeding, "litter's inbreeding", "expected_pups.litter_inbreeding_slope"),
        (input.dam_inbreeding, "dam's inbreeding", "expected_pups.dam_inbreeding_slope"),
    ];
    for (inbreeding, whose, key) in slopes {
        if let Some(f) = inbreeding.filter(|f| *f > 0.0) {
            effects.push((rules.value(key) * f, format!("{whose} {f:.3}"), key));
        }
    }
    effects
}

/// The limits that a count gives, an early radiograph and palpation only the lower one.
fn limits(count: &PupCount, rules: &Rules) -> (Option<u32>, Option<u32>) {
    let day = count.day_of_pregnancy.and_then(|d| i32::try_from(d).ok()).map(f64::from);
    let early = day.is_some_and(|d| d < rules.value("expected_pups.xray_count_day"));
    let lower_only = match count.method {
        PupCountMethod::Xray => early,
        PupCountMethod::Palpation => true,
        PupCountMethod::Ultrasound => false,
    };
    (count.count_at_least, count.count_at_most.filter(|_| !lower_only))
}

/// Chance of the count when `n` pups are there, up to a factor.
fn likelihood(count: &PupCount, n: u32, rules: &Rules) -> f64 {
    let ratio = rules.value("expected_pups.miss_ratio");
    let (low, high) = limits(count, rules);
    let off = low.map_or(0, |l| l.saturating_sub(n)).max(high.map_or(0, |h| n.saturating_sub(h)));
    let far = |from: u32| ratio.powi(i32::try_from(off.saturating_sub(from)).unwrap_or(i32::MAX));
    if count.method == PupCountMethod::Ultrasound && low.is_some() && low == high {
        let exact = rules.value("expected_pups.ultrasound_exact");
        let within = rules.value("expected_pups.ultrasound_within_1");
        return match off {
            0 => exact,
            1 => 0.5 * (within - exact),
            _ => 0.5 * (1.0 - within) * (1.0 - ratio) * far(2),
        };
    }
    let error = rules.value("expected_pups.count_error");
    if off == 0 { 1.0 - error } else { error * (1.0 - ratio) * far(1) }
}

fn describe(count: &PupCount, rules: &Rules) -> String {
    let method = match count.method {
        PupCountMethod::Ultrasound => "ultrasound",
        PupCountMethod::Xray => "radiograph",
        PupCountMethod::Palpation => "palpation",
    };
    let source = match count.method {
        PupCountMethod::Ultrasound => &rules.get("expected_pups.ultrasound_exact").source,
        _ => &rules.get("expected_pups.count_error").source,
    };
    match limits(count, rules) {
        (Some(low), Some(high)) if low == high => format!("{method} counts {low} ({source})"),
        (Some(low), Some(high)) => format!("{method} counts {low} to {high} ({source})"),
        (Some(low), None) => format!("{method} counts at least {low} ({source})"),
        (None, Some(high)) => format!("{method} counts at most {high} ({source})"),
        (None, None) => format!("{method} without a usable count"),
    }
}

fn check(input: &ExpectedPupsInput, rules: &Rules) -> Result<(), Vec<Fault>> {
    let (mut faults, most) = (Faults::new(), most(rules));
    for (i, count) in input.counts.iter().enumerate() {
        for (name, limit) in
            [("count_at_least", count.count_at_least), ("count_at_most", count.count_at_most)]
        {
            if limit.is_some_and(|n| n > most) {
                faults.add(format!("/counts/{i}/{name}"), format!("must be at most {most}"));
            }
        }
        if let (Some(low), Some(high)) = (count.count_at_least, count.count_at_most)
            && low > high
        {
            let place = format!("/counts/{i}/count_at_most");
            faults.add(place, format!("must be at least count_at_least ({low})"));
        }
        if count.count_at_most == Some(0) {
            faults
                .add(format!("/counts/{i}/count_at_most"), "no pups means that there is no litter");
        }
    }
    for (i, pups) in input.earlier_litters.iter().enumerate() {
        faults.unless((1..=most).contains(pups), &format!("/earlier_litters/{i}"), || {
            format!("must be from 1 to {most}")
        });
    }
    faults.unless(input.born_so_far <= most, "/born_so_far", || format!("must be at most {most}"));
    for (name, value) in
        [("litter_inbreeding", input.litter_inbreeding), ("dam_inbreeding", input.dam_inbreeding)]
    {
        let fits = value.is_none_or(|f| (0.0..=1.0).contains(&f));
        faults.unless(fits, &format!("/{name}"), || "must be from 0 to 1".to_owned());
    }
    faults.unless(input.adult_weight_g.is_none_or(|g| g > 0.0), "/adult_weight_g", || {
        "must be above 0 g".to_owned()
    });
    faults.into_result()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn expect(input: ExpectedPupsInput) -> PupForecast {
        expected_pups(&input, &Rules::standard()).unwrap()
    }

    fn count(method: PupCountMethod, low: u32, high: Option<u32>) -> PupCount {
        PupCount { method, count_at_least: Some(low), count_at_most: high, day_of_pregnancy: None }
    }

    /// Chastant-Maillard 2017: 5.4 ± 2.8 (1–24); Borge: miniature 3.5, giant 7.1.
    #[test]
    fn starts_from_the_published_means() {
        let all = expect(ExpectedPupsInput::default());
        assert!((all.mean - 5.4).abs() < 0.15, "{}", all.mean);
        let variance: f64 = all
            .chance_by_count
            .iter()
            .map(|c| c.chance * (f64::from(c.pups) - all.mean).powi(2))
            .sum();
        assert!((variance.sqrt() - 2.8).abs() < 0.2, "{}", variance.sqrt());
        let of = |grams| {
            expect(ExpectedPupsInput { adult_weight_g: Some(grams), ..Default::default() }).mean
        };
        assert!((of(4_000.0) - 3.5).abs() < 0.2 && (of(60_000.0) - 7.1).abs() < 0.2);
        let ridgeback = Some("rhodesian ridgeback".to_owned());
        let found = expect(ExpectedPupsInput { breed: ridgeback, ..Default::default() });
        assert!((found.mean - 8.9).abs() < 0.2);
        let frozen = Some(MatingMethod::Frozen);
        let fewer = expect(ExpectedPupsInput { method: frozen, ..Default::default() });
        assert!((all.mean - fewer.mean - 1.3).abs() < 0.25);
    }

    #[test]
    fn draws_towards_her_own_litters() {
        let with = |litters: Vec<u32>| {
            expect(ExpectedPupsInput { earlier_litters: litters, ..Default::default() })
        };
        let (none, one, many) = (with(vec![]), with(vec![9]), with(vec![9; 6]));
        assert!(none.mean < one.mean && one.mean < many.mean && many.mean < 9.0);
        // By hand: repeatability 1/4, one litter weighs 1/4 of the way from 5.4 to 9.
        assert!((one.mean - (5.4 + 0.25 * 3.6)).abs() < 0.2, "{}", one.mean);
        assert!(many.at_most - many.at_least <= none.at_most - none.at_least);
    }

    #[test]
    fn counts_narrow_and_a_lower_limit_cuts_below() {
        let with = |counts| expect(ExpectedPupsInput { counts, ..Default::default() });
        let scan = with(vec![count(PupCountMethod::Ultrasound, 6, Some(6))]);
        assert_eq!(scan.likely, 6);
        let near: f64 = scan.chance_at_most(7) - scan.chance_at_most(4);
        assert!((0.85..0.97).contains(&near), "{near}"); // published: within one pup in 89.5 %
        let limit = with(vec![count(PupCountMethod::Xray, 5, None)]);
        assert!(limit.chance_at_most(4) < 0.06 && limit.chance_at_most(8) < 0.95);
        let small = limit.chance_small_litter(&Rules::standard());
        assert!((small - limit.chance_at_most(4)).abs() < 1e-12);
        let film = with(vec![count(PupCountMethod::Xray, 6, Some(6))]);
        assert_eq!((film.at_least, film.likely, film.at_most), (6, 6, 6));
        let early =
            PupCount { day_of_pregnancy: Some(46), ..count(PupCountMethod::Xray, 6, Some(6)) };
        assert!(with(vec![early]).at_most > 8);
        let total: f64 = film.chance_by_count.iter().map(|c| c.chance).sum();
        assert!((total - 1.0).abs() < 1e-9);
        let born = expect(ExpectedPupsInput { born_so_far: 7, ..Default::default() });
        assert!(born.at_least == 7 && born.chance_at_most(6) == 0.0);
    }

    #[test]
    fn inbreeding_lowers_the_number_and_bad_counts_are_named() {
        let f = |f| expect(ExpectedPupsInput { litter_inbreeding: Some(f), ..Default::default() });
        assert!((f(0.0).mean - f(0.25).mean - 0.65).abs() < 0.1);
        assert!(f(0.25).basis.iter().any(|b| b.contains("not confirmed")));
        let bad = ExpectedPupsInput {
            counts: vec![count(PupCountMethod::Xray, 7, Some(5))],
            earlier_litters: vec![0],
            dam_inbreeding: Some(1.5),
            ..Default::default()
        };
        let faults = expected_pups(&bad, &Rules::standard()).unwrap_err();
        let places: Vec<&str> = faults.iter().map(|f| f.pointer.as_str()).collect();
        assert_eq!(places, ["/counts/0/count_at_most", "/earlier_litters/0", "/dam_inbreeding"]);
    }
}
