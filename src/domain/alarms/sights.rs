//! Who has seen which alarm: marked where alarms are made, so that no answer shows one without it.

use super::{Alarm, AlarmSeen};
use crate::advice::Level;
use std::collections::BTreeMap;
use uuid::Uuid;

/// That an alarm was seen, and how grave it was then.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sight {
    /// The level that was seen.
    pub level: Level,
    /// Who, when and with which note.
    pub seen: AlarmSeen,
}

/// The last sight of each alarm of a litter and its dogs.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Sights(BTreeMap<Uuid, Sight>);

impl Sights {
    /// Sights by the alarm's id; of several of one alarm the last counts.
    pub fn new(sights: impl IntoIterator<Item = (Uuid, Sight)>) -> Self {
        let mut last: BTreeMap<Uuid, Sight> = BTreeMap::new();
        for (alarm_id, sight) in sights {
            let newer = last.get(&alarm_id).is_none_or(|known| known.seen.at <= sight.seen.at);
            if newer {
                last.insert(alarm_id, sight);
            }
        }
        Self(last)
    }

    /// Marks the alarms that were seen, unless they have become graver since.
    pub fn mark(&self, alarms: &mut [Alarm]) {
        for alarm in alarms {
            if let Some(Sight { level, seen }) = self.0.get(&alarm.id) {
                alarm.mark_seen(*level, seen.clone());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        advice::{Caution, CautionCode},
        alarms::{AlarmAbout, Finding, gather},
    };
    use chrono::{DateTime, Duration, Utc};

    fn at(hour: i64) -> DateTime<Utc> {
        "2026-04-02T00:00:00Z".parse::<DateTime<Utc>>().unwrap() + Duration::hours(hour)
    }

    fn alarms(level: Level, since: i64) -> Vec<Alarm> {
        let about =
            AlarmAbout { litter_id: None, dog_id: Some(Uuid::from_u128(4)), label: "".into() };
        let caution = Caution::new(CautionCode::GrowthLosing, level, "what", "why", "source");
        gather(&about, vec![Finding::new("pup", at(since), caution).began(at(0))])
    }

    fn sight(level: Level, hour: i64) -> Sight {
        let seen = AlarmSeen { at: at(hour), person_id: None, name: None, note: None };
        Sight { level, seen }
    }

    /// The caution that another answer shows carries the mark; a graver turn takes it away from both.
    #[test]
    fn the_last_sight_stands_on_alarm_and_caution_until_it_turns_graver() {
        let mut seen = alarms(Level::Act, 1);
        let id = seen[0].id;
        let sights = Sights::new([(id, sight(Level::Act, 3)), (id, sight(Level::Act, 2))]);
        sights.mark(&mut seen);
        let shown = seen[0].caution().alarm.unwrap();
        assert_eq!((shown.id, shown.seen.as_ref().map(|seen| seen.at)), (id, Some(at(3))));
        assert_eq!(seen[0].seen, shown.seen);
        for mut graver in [alarms(Level::Emergency, 1), alarms(Level::Act, 4)] {
            assert_eq!(graver[0].id, id);
            sights.mark(&mut graver);
            assert_eq!(
                (graver[0].seen.as_ref(), graver[0].caution().alarm.unwrap().seen),
                (None, None)
            );
        }
    }
}
