//! Is what was written down what was meant? Likely slips are asked about before they count.
//!
//! Weights have a model of their own (see [`crate::growth::plausibility`]); here is what else a tired
//! hand gets wrong. Each function answers with faults at the place of the slip; a person who means it
//! sends it again with `"confirmed": true`, and it is kept as it is.

mod asked;

use crate::{
    fault::{Fault, Faults},
    record::{Feed, HealthEvent, HeatReading, ReadingKind, ReadingUnit},
    rules::Rules,
};
use catalogue::{figure, said};
use chrono::{DateTime, NaiveDate, Utc};
use uuid::Uuid;

/// Asks about a feed that is more than the stomach of a pup of this weight holds.
///
/// Weight in grams, age in days. The limit is `feeding.stomach_ml_per_100_g`, held up to
/// `slips.feed_until_days` of age; nothing is asked when the weight is not known.
pub fn feed(
    feed: &Feed,
    weight_g: Option<f64>,
    age_days: Option<i64>,
    rules: &Rules,
) -> Vec<Fault> {
    let mut faults = Faults::new();
    let young = age_days.is_some_and(|days| days as f64 <= rules.value("slips.feed_until_days"));
    if let Some(weight_g) = weight_g.filter(|_| young) {
        let holds = rules.value("feeding.stomach_ml_per_100_g") * weight_g / 100.0;
        if feed.volume_ml > holds * rules.value("slips.feed_share_of_stomach") {
            faults.add(
                "/volume_ml",
                said!(
                    "fault-unlikely-feed",
                    volume_ml = feed.volume_ml,
                    weight_g = figure(weight_g, 0),
                    holds_ml = figure(holds, 1)
                ),
            );
        }
    }
    faults.into_vec()
}

/// A progesterone value in ng/mL; `None` for another reading, or one without a value.
fn progesterone_ng_per_ml(reading: &HeatReading, rules: &Rules) -> Option<f64> {
    let value = reading.value.filter(|_| reading.kind == ReadingKind::Progesterone)?;
    match reading.unit? {
        ReadingUnit::NgPerMl => Some(value),
        ReadingUnit::NmolPerL => Some(value / rules.value("cycle.nmol_per_ng")),
        ReadingUnit::CornifiedFraction => None,
    }
}

/// Asks about a progesterone value that no dam has, or that falls while it should rise or stand.
///
/// `others` are the other readings of the heat, which began on `began_on`. In the last days before
/// whelping the level does fall, so after `slips.progesterone_stands_days` a fall is not asked about.
pub fn reading(
    reading: &HeatReading,
    taken_on: NaiveDate,
    began_on: NaiveDate,
    others: &[HeatReading],
    rules: &Rules,
) -> Vec<Fault> {
    let mut faults = Faults::new();
    let Some(level) = progesterone_ng_per_ml(reading, rules) else { return Vec::new() };
    let most = rules.value("slips.progesterone_most_ng_per_ml");
    if level > most {
        let in_nmol = level / rules.value("cycle.nmol_per_ng");
        let (ng_per_ml, most_ng_per_ml) = (figure(level, 1), figure(most, 0));
        let detail = match reading.unit {
            Some(ReadingUnit::NgPerMl) if in_nmol <= most => said!(
                "fault-unlikely-progesterone-nmol",
                ng_per_ml = ng_per_ml,
                most_ng_per_ml = most_ng_per_ml
            ),
            _ => said!(
                "fault-unlikely-progesterone",
                ng_per_ml = ng_per_ml,
                most_ng_per_ml = most_ng_per_ml
            ),
        };
        faults.add("/value", detail);
        return faults.into_vec();
    }
    let day = (taken_on - began_on).num_days() as f64;
    if day > rules.value("slips.progesterone_stands_days") {
        return Vec::new();
    }
    let within = rules.value("slips.progesterone_fall_within_days") * 24.0;
    let before = others
        .iter()
        .filter(|other| other.taken_at < reading.taken_at)
        .filter(|other| (reading.taken_at - other.taken_at).num_minutes() as f64 / 60.0 <= within)
        .filter_map(|other| Some((other.taken_at, progesterone_ng_per_ml(other, rules)?)))
        .max_by_key(|(at, _)| *at);
    let risen = rules.value("cycle.lh_ng_per_ml");
    if let Some((at, earlier)) = before.filter(|(_, earlier)| *earlier >= risen)
        && level < earlier * rules.value("slips.progesterone_fall_share")
    {
        faults.add(
            "/value",
            said!(
                "fault-unlikely-progesterone-fall",
                ng_per_ml = figure(level, 1),
                before_ng_per_ml = figure(earlier, 1),
                before_on = at.date_naive()
            ),
        );
    }
    faults.into_vec()
}

/// Asks about a heat that begins days after another one of the same dam.
///
/// `others` are the first days of her other heats; the limit is `slips.heat_least_days`.
pub fn heat(began_on: NaiveDate, others: &[NaiveDate], rules: &Rules) -> Vec<Fault> {
    let least = rules.value("slips.heat_least_days");
    let mut faults = Faults::new();
    let near = others.iter().copied().min_by_key(|other| (began_on - *other).num_days().abs());
    if let Some(near) = near.filter(|near| ((began_on - *near).num_days().abs() as f64) < least) {
        faults.add(
            "/began_on",
            said!("fault-unlikely-heat", days = (began_on - near).num_days().abs(), near_on = near),
        );
    }
    faults.into_vec()
}

/// Asks about a day of whelping that is not the day of the first birth written down.
pub fn whelped_on(whelped_on: NaiveDate, first_birth_on: Option<NaiveDate>) -> Vec<Fault> {
    let mut faults = Faults::new();
    if let Some(first) = first_birth_on.filter(|first| *first != whelped_on) {
        faults.add("/whelped_on", said!("fault-unlikely-whelped-on", first_birth_on = first));
    }
    faults.into_vec()
}

/// Asks about a birth days away from the litter's whelping (`slips.birth_days_apart`).
pub(crate) fn birth_day(
    born_on: NaiveDate,
    whelped_on: Option<NaiveDate>,
    rules: &Rules,
) -> Vec<Fault> {
    let most = rules.value("slips.birth_days_apart");
    let mut faults = Faults::new();
    let far = |day: &NaiveDate| ((born_on - *day).num_days().abs() as f64) > most;
    if let Some(whelped_on) = whelped_on.filter(far) {
        faults.add(
            "/born_at",
            said!(
                "fault-unlikely-birth-day",
                days = (born_on - whelped_on).num_days().abs(),
                whelped_on = whelped_on
            ),
        );
    }
    faults.into_vec()
}

/// Asks about a product that was past its expiry on the day it was given.
///
/// Confirmed, it is kept and cautioned, and the step it was meant for does not count as done.
pub fn expiry(event: &HealthEvent, given_on: NaiveDate) -> Vec<Fault> {
    let mut faults = Faults::new();
    if let Some(expires_on) = event.expires_on.filter(|on| *on < given_on) {
        faults.add(
            "/expires_on",
            said!("fault-unlikely-expired", given_on = given_on, expires_on = expires_on),
        );
    }
    faults.into_vec()
}

/// Asks about a paper that no readiness rule of the kennel asks for; where none asks for any, any is good.
pub fn paper(name: &str, known: &[&str]) -> Vec<Fault> {
    let mut faults = Faults::new();
    if !known.is_empty() && !known.contains(&name) {
        let known = known.join(", ");
        faults.add("/paper", said!("fault-unlikely-paper", known = known));
    }
    faults.into_vec()
}

/// Names that stand twice in a list, each a fault at its second place.
///
/// There is nothing to confirm: one entry is enough.
pub fn named_twice(pointer: &str, ids: &[Uuid]) -> Vec<Fault> {
    let mut faults = Faults::new();
    let mut first_at = std::collections::HashMap::new();
    for (index, id) in ids.iter().enumerate() {
        if let Some(first) = first_at.get(id) {
            faults.add(
                format!("{pointer}/{index}"),
                said!("fault-twice-named", place = format!("{pointer}/{first}")),
            );
        } else {
            first_at.insert(*id, index);
        }
    }
    faults.into_vec()
}

/// Times of one list that are equal: one act written down twice.
pub(crate) fn same_moment_twice(pointer: &str, field: &str, times: &[DateTime<Utc>]) -> Vec<Fault> {
    let mut faults = Faults::new();
    for (index, time) in times.iter().enumerate() {
        if times[..index].contains(time) {
            faults.add(format!("{pointer}/{index}/{field}"), said!("fault-twice-time"));
        }
    }
    faults.into_vec()
}

#[cfg(test)]
pub(crate) mod limits_tests;

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn fed(volume_ml: f64) -> Feed {
        Feed {
            dog_id: Uuid::nil(),
            fed_at: "2026-05-16T08:00:00Z".parse().unwrap(),
            volume_ml,
            food: None,
            note: None,
            confirmed: false,
        }
    }

    #[test]
    fn a_feed_is_held_against_the_stomach() {
        let rules = Rules::standard();
        // 4 ml per 100 g: a pup of 250 g holds 10 ml.
        let asked = |ml, grams, age| feed(&fed(ml), grams, age, &rules).len();
        assert_eq!(asked(10.0, Some(250.0), Some(3)), 0);
        assert_eq!(asked(10.1, Some(250.0), Some(3)), 1);
        assert_eq!(asked(9.9, Some(250.0), Some(3)), 0);
        assert_eq!(asked(100.0, None, Some(3)), 0, "nothing to hold it against");
        assert_eq!(asked(100.0, Some(250.0), Some(35)), 1);
        assert_eq!(asked(100.0, Some(250.0), Some(36)), 0, "it eats from a bowl by then");
        assert_eq!(asked(100.0, Some(250.0), None), 0);
    }

    fn progesterone(at: &str, value: f64, unit: ReadingUnit) -> HeatReading {
        HeatReading {
            heat_id: Uuid::nil(),
            kind: ReadingKind::Progesterone,
            taken_at: at.parse().unwrap(),
            value: Some(value),
            unit: Some(unit),
            finding: None,
            note: None,
            confirmed: false,
        }
    }

    fn asked(new: &HeatReading, others: &[HeatReading]) -> Vec<Fault> {
        reading(new, new.taken_at.date_naive(), day("2026-03-01"), others, &Rules::standard())
    }

    #[test]
    fn progesterone_that_no_dam_has() {
        let level = |value, unit| asked(&progesterone("2026-03-12T09:00:00Z", value, unit), &[]);
        assert!(level(90.0, ReadingUnit::NgPerMl).is_empty());
        let high = level(90.1, ReadingUnit::NgPerMl);
        assert!(high[0].detail.contains("nmol_per_l"), "{high:?}");
        assert!(level(89.9, ReadingUnit::NgPerMl).is_empty());
        // 286 nmol/L are 89.9 ng/mL, 287 are 90.3 (3.18 nmol/L per ng/mL).
        assert!(level(286.0, ReadingUnit::NmolPerL).is_empty());
        assert_eq!(level(287.0, ReadingUnit::NmolPerL).len(), 1);
    }

    #[test]
    fn progesterone_that_falls_while_it_should_rise() {
        let ng = |at, value| progesterone(at, value, ReadingUnit::NgPerMl);
        let risen = [ng("2026-03-10T09:00:00Z", 6.0)];
        assert_eq!(asked(&ng("2026-03-12T09:00:00Z", 3.0), &risen), []);
        assert_eq!(asked(&ng("2026-03-12T09:00:00Z", 2.9), &risen).len(), 1);
        assert_eq!(asked(&ng("2026-03-12T09:00:00Z", 12.0), &risen), []);
        // Ten days on the earlier reading still counts, an hour later it does not.
        assert_eq!(asked(&ng("2026-03-20T09:00:00Z", 1.0), &risen).len(), 1);
        assert_eq!(asked(&ng("2026-03-20T10:00:00Z", 1.0), &risen), []);
        // Below the level of the surge there is no rise to fall from.
        let low = [ng("2026-03-10T09:00:00Z", 1.9)];
        assert_eq!(asked(&ng("2026-03-12T09:00:00Z", 0.5), &low), []);
        let surge = [ng("2026-03-10T09:00:00Z", 2.0)];
        assert_eq!(asked(&ng("2026-03-12T09:00:00Z", 0.5), &surge).len(), 1);
        // Entered late, a reading is held against the one before it in time, not against later ones.
        assert_eq!(asked(&ng("2026-03-08T09:00:00Z", 1.0), &risen), []);
        // Day 50 of the heat is 20 April; whelping comes near after it.
        let late = [ng("2026-04-15T09:00:00Z", 20.0)];
        assert_eq!(asked(&ng("2026-04-20T09:00:00Z", 5.0), &late).len(), 1);
        assert_eq!(asked(&ng("2026-04-21T09:00:00Z", 5.0), &late), []);
    }

    #[test]
    fn heats_lie_months_apart() {
        let rules = Rules::standard();
        let others = [day("2026-01-01"), day("2025-06-01")];
        assert_eq!(heat(day("2026-03-31"), &others, &rules).len(), 1, "89 days");
        assert!(heat(day("2026-04-01"), &others, &rules).is_empty(), "90 days");
        assert!(heat(day("2026-04-02"), &others, &rules).is_empty(), "91 days");
        assert_eq!(heat(day("2025-12-01"), &others, &rules).len(), 1, "before a later one");
        assert!(heat(day("2026-03-31"), &[], &rules).is_empty());
    }

    #[test]
    fn whelping_and_births_agree() {
        let rules = Rules::standard();
        assert!(whelped_on(day("2026-05-15"), Some(day("2026-05-15"))).is_empty());
        assert!(whelped_on(day("2026-05-15"), None).is_empty());
        assert_eq!(whelped_on(day("2026-05-14"), Some(day("2026-05-15"))).len(), 1);
        assert_eq!(whelped_on(day("2026-05-16"), Some(day("2026-05-15"))).len(), 1);
        let born = |on| birth_day(day(on), Some(day("2026-05-15")), &rules).len();
        assert_eq!((born("2026-05-17"), born("2026-05-18")), (0, 1));
        assert_eq!((born("2026-05-13"), born("2026-05-12")), (0, 1));
        assert!(birth_day(day("2026-05-15"), None, &rules).is_empty());
    }

    #[test]
    fn papers_and_lists() {
        assert!(paper("sale_contract", &["sale_contract", "chip_form"]).is_empty());
        let unknown = paper("sales_contract", &["sale_contract", "chip_form"]);
        assert!(unknown[0].detail.contains("sale_contract, chip_form"), "{unknown:?}");
        assert!(paper("anything", &[]).is_empty());
        let (one, two) = (Uuid::from_u128(1), Uuid::from_u128(2));
        assert!(named_twice("/dams", &[one, two]).is_empty());
        let twice = named_twice("/dams", &[one, two, one]);
        assert_eq!(twice[0].pointer, "/dams/2");
        let at: DateTime<Utc> = "2026-05-16T08:00:00Z".parse().unwrap();
        let later: DateTime<Utc> = "2026-05-16T08:00:01Z".parse().unwrap();
        assert!(same_moment_twice("/ties", "happened_at", &[at, later]).is_empty());
        assert_eq!(
            same_moment_twice("/ties", "happened_at", &[at, later, at])[0].pointer,
            "/ties/2/happened_at"
        );
    }

    #[test]
    fn a_product_is_good_on_its_last_day() {
        let event = |expires_on: Option<&str>| HealthEvent {
            dog_id: Uuid::nil(),
            kind: crate::record::HealthKind::Vaccination,
            given_at: "2026-05-16T08:00:00Z".parse().unwrap(),
            series: None,
            step: None,
            also_series: Vec::new(),
            result: None,
            protective: None,
            product: None,
            batch: None,
            expires_on: expires_on.map(day),
            given_by: None,
            site: None,
            reaction: None,
            buyer_id: None,
            note: None,
            confirmed: false,
        };
        let asked = |expires_on| expiry(&event(expires_on), day("2026-05-16")).len();
        assert_eq!(asked(Some("2026-05-15")), 1);
        assert_eq!(asked(Some("2026-05-16")), 0);
        assert_eq!(asked(Some("2026-05-17")), 0);
        assert_eq!(asked(None), 0);
    }
}
