//! A bell that rings for nothing is switched off: healthy litters are quiet, and one that fails is heard.

use super::{
    dice::Dice,
    healthy_litter::{HealthyLitter, SCALES, birth, healthy, shown},
    look_at,
};
use crate::{advice::Level, litter::Weights, moment::Moment};
use chrono::{DateTime, Duration, Utc};
use rayon::iter::{IntoParallelIterator as _, ParallelIterator as _};
use std::collections::BTreeMap;
use uuid::Uuid;

fn moment(now: DateTime<Utc>) -> Moment {
    Moment::by_standard_rules(now, chrono_tz::UTC)
}

/// What rang in each of the first three weeks, looked at twice a day while weighed twice, then once.
fn calls(litter: &HealthyLitter, base: &Moment) -> Vec<Vec<String>> {
    let mut weeks = vec![Vec::new(); 3];
    for half in 1..42_i64 {
        if half > 20 && half % 2 == 1 {
            continue;
        }
        let now = birth() + Duration::hours(12 * half + 1);
        let known = litter.known(now);
        let alarms = look_at(&known.core, &known.parts, &Moment { now, ..base.clone() }).alarms;
        let loud = alarms.iter().filter(|alarm| alarm.level >= Level::Act);
        let said = loud.map(|alarm| format!("{} {} {}", alarm.code, alarm.what, alarm.why));
        weeks[((half - 1) / 14) as usize].extend(said);
    }
    weeks
}

/// Makes one pup fail from an age in days on: it loses so much of its weight a day, in log.
fn fails(litter: &mut HealthyLitter, (from_day, rate): (i64, f64), step_g: f64) -> Uuid {
    let (dog_id, from) = (litter.core.pups[1].dog_id, birth() + Duration::days(from_day));
    let mut own = litter.parts.0.weighings.of(dog_id).to_vec();
    let best_g = own.iter().rfind(|w| w.measured_at < from).unwrap().weight_g;
    for weighing in own.iter_mut().filter(|w| w.measured_at >= from) {
        let days = (weighing.measured_at - from).num_minutes() as f64 / 1440.0;
        weighing.weight_g = shown(best_g * (rate * days).exp(), step_g);
    }
    let weighings = litter.core.pups.iter().map(|pup| {
        let kept = litter.parts.0.weighings.of(pup.dog_id).to_vec();
        (pup.dog_id, if pup.dog_id == dog_id { own.clone() } else { kept })
    });
    litter.parts.0 = Weights { weighings: weighings.collect::<BTreeMap<_, _>>().into() };
    dog_id
}

/// At least 98 of 100 weeks of healthy litters are without a call, by each scale, coarse ones among them.
#[test]
fn healthy_litters_have_quiet_weeks() {
    let base = moment(birth());
    for (step_g, name) in SCALES {
        let litters: Vec<Vec<Vec<String>>> = (0..LITTERS)
            .into_par_iter()
            .map(|seed| calls(&healthy(&mut Dice::new(seed + 1), step_g), &base))
            .collect();
        let weeks: Vec<&Vec<String>> = litters.iter().flatten().collect();
        let quiet = weeks.iter().filter(|week| week.is_empty()).count();
        println!("{name}: {quiet} of {} weeks of healthy litters without a call", weeks.len());
        let heard: Vec<&String> = weeks.iter().flat_map(|week| week.iter()).collect();
        assert!(quiet * 100 >= weeks.len() * 98, "{name}: {quiet} of {}: {heard:#?}", weeks.len());
    }
}

/// Litters of each kind of scale: the bench takes more.
const LITTERS: u64 = 30;

/// And a pup that fails is heard on each scale, within two days, once.
#[test]
fn a_failing_pup_is_heard_on_every_scale() {
    for (step_g, name) in SCALES {
        for seed in 1..=12 {
            let mut litter = healthy(&mut Dice::new(seed), step_g);
            let dog_id = fails(&mut litter, (4, -0.045), step_g);
            let now = birth() + Duration::hours(6 * 24 + 2);
            let known = litter.known(now);
            let alarms = look_at(&known.core, &known.parts, &moment(now)).alarms;
            let own: Vec<_> = alarms.iter().filter(|a| a.about.dog_id == Some(dog_id)).collect();
            assert_eq!(own.len(), 1, "{name}, seed {seed}: one cause is one alarm: {own:?}");
            assert!(own[0].level >= Level::Act, "{name}, seed {seed}: {own:?}");
        }
    }
}
