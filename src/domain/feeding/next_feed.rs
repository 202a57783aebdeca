//! When a pup on supplement is fed next, and how much it is offered.

use super::PupRation;
use crate::advice::{Caution, CautionCode, Level};
use crate::rules::Rules;
use catalogue::{figure, said};
use chrono::{DateTime, Duration, Utc};
use serde::Serialize;
use utoipa::ToSchema;

/// One feed that was given.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct FeedTaken {
    /// When.
    pub at: DateTime<Utc>,
    /// What the pup took, in ml.
    pub volume_ml: f64,
}

/// The next feed.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct NextFeed {
    /// When it is due.
    pub due_at: DateTime<Utc>,
    /// Minutes it is late; 0 when it is not.
    #[schema(example = 0)]
    pub late_minutes: i64,
    /// How much to offer, in ml.
    #[schema(example = 5.0)]
    pub offer_ml: f64,
    /// How much at most, by the higher of the published energies and within the stomach, in ml.
    #[schema(example = 9.1)]
    pub offer_at_most_ml: f64,
    /// Taken in the last 24 hours, in ml.
    #[schema(example = 24.5)]
    pub taken_24_h_ml: f64,
    /// Energy of that in kcal.
    #[schema(example = 24.5)]
    pub taken_24_h_kcal: f64,
    /// Planned for 24 hours, in ml.
    #[schema(example = 30.0)]
    pub planned_24_h_ml: f64,
    /// What to heed.
    pub cautions: Vec<Caution>,
}

/// When the next feed is due and how much to offer, from what was taken so far.
///
/// A missed feed is not made up in one: the offer stays that of a feed, within the stomach. Feeds
/// after `now` are left out.
pub(crate) fn next_feed(
    log: &[FeedTaken],
    ration: &PupRation,
    now: DateTime<Utc>,
    rules: &Rules,
) -> NextFeed {
    let past = || log.iter().filter(|feed| feed.at <= now);
    let last = past().map(|feed| feed.at).max();
    let interval = Duration::seconds((ration.interval_hours * 3600.0).round() as i64);
    let due_at = last.map_or(now, |last| last + interval);
    let late_minutes = (now - due_at).num_minutes().max(0);
    let day_ago = now - Duration::hours(24);
    let taken: f64 = past().filter(|feed| feed.at > day_ago).map(|feed| feed.volume_ml).sum();
    let mut cautions: Vec<Caution> =
        ration.cautions.iter().filter(|c| c.level == Level::Emergency).cloned().collect();
    let late = rules.get("feeding.late_feed_minutes");
    if late_minutes as f64 >= late.value {
        cautions.push(Caution::new(
            CautionCode::FeedingLate,
            Level::Act,
            said!("feeding-late"),
            said!("feeding-late-why", late_minutes = late_minutes),
            late.source.clone(),
        ));
    }
    // Only a full day of log tells that it took too little.
    let whole_day = past().any(|feed| feed.at <= day_ago);
    let little = rules.get("feeding.little_taken");
    if whole_day && taken < little.value * ration.volume_ml_per_day {
        cautions.push(Caution::new(
            CautionCode::FeedingLittle,
            Level::Act,
            said!("feeding-little"),
            said!(
                "feeding-little-why",
                taken_ml = figure(taken, 0),
                planned_ml = figure(ration.volume_ml_per_day, 0)
            ),
            little.source.clone(),
        ));
    }
    NextFeed {
        due_at,
        late_minutes,
        offer_ml: if ration.feed_now { ration.volume_ml_per_feed } else { 0.0 },
        offer_at_most_ml: if ration.feed_now { ration.most_ml_per_feed() } else { 0.0 },
        taken_24_h_ml: taken,
        taken_24_h_kcal: taken * ration.replacer_kcal_per_ml,
        planned_24_h_ml: ration.volume_ml_per_day,
        cautions,
    }
}
