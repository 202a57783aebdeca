//! Who is there. Nobody else decides it.

use super::{Core, Pup};
use crate::{
    law::Country,
    moment::Moment,
    record::{BirthOutcome, Dog, PlacementKind, PlacementStage, Residence},
};
use chrono::{Duration, NaiveDate};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// Whether a dog is in the kennel, and if not, why.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "state", rename_all = "snake_case")]
pub enum Presence {
    /// It lives in the kennel.
    Here,
    /// It lives in the kennel again, after it had gone to a new home.
    Returned,
    /// It was born dead.
    Stillborn,
    /// It died.
    Died {
        /// On this day.
        on: NaiveDate,
    },
    /// It lives elsewhere.
    Left {
        /// Since the hand-over on this day; null when none is recorded.
        on: Option<NaiveDate>,
    },
    /// The asker may not see the dog, so nothing is said of it.
    Unseen,
}

/// A placement, as far as it says where a pup is or is promised to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Placed {
    /// The placement.
    pub placement_id: Uuid,
    /// The pup.
    pub dog_id: Uuid,
    /// On what terms.
    pub kind: PlacementKind,
    /// How far it has come.
    pub stage: PlacementStage,
    /// For whom.
    pub buyer_id: Option<Uuid>,
    /// Day of the hand-over.
    pub handed_over_on: Option<NaiveDate>,
    /// Where it will live.
    pub country: Option<Country>,
}

impl Placed {
    /// Whether it keeps the pup from all others: reserved, confirmed or handed over, and no return.
    pub(crate) fn promises(&self) -> bool {
        self.stage.holds_pup() && self.kind != PlacementKind::Return
    }

    /// Whether the pup went to a new home by it, and has not come back.
    fn is_departure(&self) -> bool {
        self.stage == PlacementStage::HandedOver && self.kind.leaves_kennel()
    }
}

impl Presence {
    /// Where a dog is at `moment`; `placements` are its own, oldest first.
    ///
    /// Death outweighs all. Where it lives is what its record says: a hand-over moves it out, a return
    /// moves it in again, and a person may correct either. The placements tell since when.
    pub fn of(
        dog: &Dog,
        outcome: Option<BirthOutcome>,
        placements: &[Placed],
        moment: &Moment,
    ) -> Self {
        if outcome == Some(BirthOutcome::Stillborn) {
            return Self::Stillborn;
        }
        match Self::by_record(dog.died_on, dog.residence, moment.today()) {
            Self::Left { .. } => {
                let gone = placements.iter().filter(|placed| placed.is_departure());
                return Self::Left { on: gone.filter_map(|placed| placed.handed_over_on).max() };
            }
            Self::Here => {}
            elsewhere => return elsewhere,
        }
        let came_back = |placed: &Placed| {
            placed.stage == PlacementStage::Returned
                || (placed.kind == PlacementKind::Return
                    && placed.stage == PlacementStage::HandedOver)
        };
        if placements.iter().any(came_back) { Self::Returned } else { Self::Here }
    }

    /// Where a dog that was born alive is on a day, by what its row says; its placements would only tell
    /// since when.
    pub fn by_record(died_on: Option<NaiveDate>, residence: Residence, today: NaiveDate) -> Self {
        match died_on.filter(|on| *on <= today) {
            Some(on) => Self::Died { on },
            None if residence == Residence::Elsewhere => Self::Left { on: None },
            None => Self::Here,
        }
    }

    /// Whether it is in the kennel, to be fed, weighed, dosed and counted.
    pub fn is_here(self) -> bool {
        matches!(self, Self::Here | Self::Returned)
    }

    /// Whether it lives, here or elsewhere.
    pub fn is_alive(self) -> bool {
        matches!(self, Self::Here | Self::Returned | Self::Left { .. })
    }
}

impl Pup {
    /// The day on which it went to the home where it is; null when no such hand-over stands.
    pub(crate) fn departed_on(&self) -> Option<NaiveDate> {
        let gone = self.placements.iter().filter(|placed| placed.is_departure());
        gone.filter_map(|placed| placed.handed_over_on).max()
    }
}

impl Core {
    /// Where a pup of this litter is.
    pub fn presence(&self, dog_id: Uuid, moment: &Moment) -> Presence {
        let pup = self.pups.iter().find(|pup| pup.dog_id == dog_id);
        pup.map_or(Presence::Unseen, |pup| pup.presence(moment))
    }
}

/// Collars on the pups that are in the kennel and young enough to wear one
/// (`whelping.collars_until_days`).
pub fn collars_worn<'c>(litters: impl Iterator<Item = &'c Core>, moment: &Moment) -> Vec<String> {
    let days = moment.rules.value("whelping.collars_until_days") as i64;
    let since = moment.now - Duration::days(days);
    let worn = |pup: &Pup| {
        let birth = &pup.birth.as_ref()?.record;
        birth.collar.clone().filter(|_| birth.born_at >= since)
    };
    litters.flat_map(|core| core.here(moment).filter_map(worn).collect::<Vec<_>>()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono_tz::Tz;
    use serde_json::{Value, json};

    fn moment() -> Moment {
        Moment::by_standard_rules("2026-06-10T10:00:00Z".parse().unwrap(), Tz::Europe__Berlin)
    }

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn dog(fields: Value) -> Dog {
        serde_json::from_value(fields).unwrap()
    }

    fn placed(kind: PlacementKind, stage: PlacementStage, on: Option<&str>) -> Placed {
        Placed {
            placement_id: Uuid::from_u128(1),
            dog_id: Uuid::from_u128(2),
            kind,
            stage,
            buyer_id: None,
            handed_over_on: on.map(day),
            country: None,
        }
    }

    #[test]
    fn death_outweighs_all_and_begins_on_its_day() {
        use PlacementKind::Sale;
        use PlacementStage::HandedOver;
        let left = [placed(Sale, HandedOver, Some("2026-06-01"))];
        for (died_on, residence, expected) in [
            ("2026-06-09", "here", Presence::Died { on: day("2026-06-09") }),
            ("2026-06-10", "here", Presence::Died { on: day("2026-06-10") }),
            ("2026-06-11", "here", Presence::Here),
            ("2026-06-10", "elsewhere", Presence::Died { on: day("2026-06-10") }),
            ("2026-06-11", "elsewhere", Presence::Left { on: Some(day("2026-06-01")) }),
        ] {
            let placements = if residence == "here" { [].as_slice() } else { &left };
            let dog = dog(json!({ "residence": residence, "died_on": died_on }));
            assert_eq!(Presence::of(&dog, None, placements, &moment()), expected, "{died_on}");
        }
        let stillborn = dog(json!({}));
        let outcome = Some(BirthOutcome::Stillborn);
        assert_eq!(Presence::of(&stillborn, outcome, &[], &moment()), Presence::Stillborn);
        assert!(!Presence::Stillborn.is_here() && !Presence::Stillborn.is_alive());
    }

    #[test]
    fn a_row_by_itself_says_who_is_here_and_who_lives() {
        use Residence::{Elsewhere, Here};
        let of = |died_on: Option<&str>, residence| {
            let found = Presence::by_record(died_on.map(day), residence, day("2026-06-10"));
            (found.is_here(), found.is_alive())
        };
        assert_eq!([of(None, Here), of(None, Elsewhere)], [(true, true), (false, true)]);
        for residence in [Here, Elsewhere] {
            assert_eq!(of(Some("2026-06-10"), residence), (false, false));
        }
        assert_eq!(of(Some("2026-06-11"), Here), (true, true), "not yet");
    }

    #[test]
    fn a_pup_leaves_by_a_hand_over_and_returns_by_a_return() {
        use PlacementKind::{Kept, Return, Sale};
        use PlacementStage::{HandedOver, Offered, Reserved, Returned, Withdrawn};
        let gone = dog(json!({ "residence": "elsewhere" }));
        let here = dog(json!({ "residence": "here" }));
        let of = |dog: &Dog, placements: &[Placed]| Presence::of(dog, None, placements, &moment());
        assert_eq!(of(&gone, &[]), Presence::Left { on: None });
        let sold = placed(Sale, HandedOver, Some("2026-06-01"));
        assert_eq!(of(&gone, &[sold]), Presence::Left { on: Some(day("2026-06-01")) });
        let back = placed(Sale, Returned, Some("2026-06-01"));
        assert_eq!(of(&here, &[back]), Presence::Returned);
        assert!(Presence::Returned.is_here());
        // A second home after the first.
        let again = placed(Sale, HandedOver, Some("2026-06-08"));
        assert_eq!(of(&gone, &[back, again]), Presence::Left { on: Some(day("2026-06-08")) });
        assert_eq!(of(&here, &[placed(Return, HandedOver, None)]), Presence::Returned);
        for nothing_yet in [
            placed(Sale, Reserved, None),
            placed(Sale, Withdrawn, None),
            placed(Return, Offered, None),
            placed(Kept, HandedOver, Some("2026-06-01")),
        ] {
            assert_eq!(of(&here, &[nothing_yet]), Presence::Here, "{nothing_yet:?}");
        }
        assert!(sold.promises() && !back.promises());
        assert!(!placed(Return, HandedOver, None).promises(), "a return promises nothing");
    }
}
