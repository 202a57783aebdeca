//! An infected womb, weeks after a heat.

use super::Finding;
use crate::{
    cycle::womb_watch::{WombSignSeen, womb_caution, womb_watch},
    litter::HeatSign,
    moment::Moment,
    pregnancy::womb_sign_of,
};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// What the signs of a dog say that were seen lately: of each heat one finding, which every further sign makes new.
pub(crate) fn findings(signs: &[HeatSign], moment: &Moment) -> Vec<Finding> {
    let mut of_heat: BTreeMap<NaiveDate, Vec<&HeatSign>> = BTreeMap::new();
    for sign in signs.iter().filter(|sign| sign.seen_at <= moment.now) {
        of_heat.entry(sign.heat_began_on).or_default().push(sign);
    }
    of_heat.into_iter().filter_map(|(began_on, signs)| finding(began_on, &signs, moment)).collect()
}

fn finding(began_on: NaiveDate, signs: &[&HeatSign], moment: &Moment) -> Option<Finding> {
    let (today, rules) = (moment.today(), &moment.rules);
    let seen = signs.iter().filter_map(|sign| {
        let seen_on = moment.day_of(sign.seen_at);
        Some((sign.seen_at, WombSignSeen { seen_on, sign: womb_sign_of(&sign.finding)? }))
    });
    let seen: Vec<_> = seen.collect();
    let watch = womb_watch(began_on, seen.iter().map(|(_, sign)| *sign).collect(), today, rules);
    let caution = womb_caution(&watch, began_on, today, rules)?;
    let counts = |sign: &WombSignSeen| watch.seen.contains(sign);
    let last = seen.iter().filter(|(_, sign)| counts(sign)).map(|(at, _)| *at).max()?;
    Some(Finding::new("womb", last, caution).began(moment.midnight(began_on)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advice::Level;
    use chrono::{DateTime, Duration, Utc};
    use uuid::Uuid;

    const NOW: &str = "2026-03-01T10:00:00Z";

    fn sign(heat_days_ago: i64, hours_ago: i64, finding: &str) -> HeatSign {
        let now: DateTime<Utc> = NOW.parse().unwrap();
        HeatSign {
            dog_id: Uuid::from_u128(1),
            heat_began_on: (now - Duration::days(heat_days_ago)).date_naive(),
            seen_at: now - Duration::hours(hours_ago),
            finding: finding.to_owned(),
        }
    }

    fn found(signs: &[HeatSign]) -> Vec<(Level, DateTime<Utc>)> {
        let moment = Moment::by_standard_rules(NOW.parse().unwrap(), chrono_tz::Tz::UTC);
        findings(signs, &moment).iter().map(|it| (it.caution.level, it.since)).collect()
    }

    #[test]
    fn a_sign_calls_and_each_further_one_anew() {
        let thirst = sign(60, 30, "Drinks more");
        assert_eq!(found(std::slice::from_ref(&thirst)), [(Level::Act, thirst.seen_at)]);
        let dull = sign(60, 3, "dull");
        assert_eq!(found(&[thirst.clone(), dull.clone()]), [(Level::Emergency, dull.seen_at)]);
        // What is to come, what is no such sign, and what was seen in the heat itself call for nothing.
        assert_eq!(found(&[sign(60, -1, "dull")]), []);
        assert_eq!(found(&[sign(60, 3, "stands")]), []);
        assert_eq!(found(&[sign(10, 3, "dull")]), []);
        // Another heat is another cause.
        let before = sign(100, 3, "pus");
        assert_eq!(found(&[before, thirst]).len(), 2);
    }
}
