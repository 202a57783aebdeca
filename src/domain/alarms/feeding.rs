//! A pup that is fed by hand: a feed that is late, too little in a day.

use super::{Finding, record::NewbornFacts};
use crate::feeding::{HandFedPup, next_feed, pup_ration};
use crate::growth::Weighing;
use crate::rules::Rules;
use catalogue::said;
use chrono::{DateTime, Duration, Utc};

/// What is found of a pup's feeds at `now`.
///
/// Only of a pup that lives by hand, with `feeding.by_hand_feeds` feeds or more in the day before its last
/// one, and until `feeding.by_hand_until_hours` after it: of a supplement now and then nobody knows how much
/// was meant.
pub(crate) fn findings(
    pup: &NewbornFacts,
    weighings: &[Weighing],
    now: DateTime<Utc>,
    rules: &Rules,
) -> Vec<Finding> {
    let past = || pup.feeds.iter().filter(|feed| feed.at <= now);
    let Some(last) = past().map(|feed| feed.at).max() else { return Vec::new() };
    let day = Duration::hours(24);
    let of_day = past().filter(|feed| last - feed.at < day).count();
    let by_hand = of_day as f64 >= rules.value("feeding.by_hand_feeds");
    // Later it is weaned from the hand, or its weights tell.
    let over = now - last > rules.span("feeding.by_hand_until_hours");
    if !pup.present || !by_hand || over {
        return Vec::new();
    }
    let weighed = weighings.iter().filter(|w| w.measured_at <= now && !w.doubtful);
    let Some(weight) = weighed.max_by_key(|w| w.measured_at) else { return Vec::new() };
    let fed = HandFedPup {
        weight_g: weight.weight_g,
        born_at: pup.born_at,
        started_at: past().map(|feed| feed.at).min(),
        replacer_kcal_per_ml: None,
        share: 1.0,
        temperature_c: None,
        adult_weight_g: None,
        weak: false,
    };
    let Ok(ration) = pup_ration(&fed, now, rules) else { return Vec::new() };
    let next = next_feed(&pup.feeds, &ration, now, rules);
    let late = Duration::minutes(rules.value("feeding.late_feed_minutes") as i64);
    next.cautions
        .into_iter()
        .map(|mut caution| {
            caution.what = said!("about", label = &pup.label, what = caution.what);
            Finding::new("feeding", next.due_at + late, caution).began(last)
        })
        .collect()
}
