//! Was one pup written down twice, by two people in the same room?

use super::log::PupOut;
use crate::advice::{Caution, CautionCode, Level};
use crate::rules::Rules;
use catalogue::said;
use chrono::{DateTime, Duration, Utc};

/// A birth by what tells it from others; what was not written down is unknown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BirthMarks {
    /// Its number.
    pub ordinal: i32,
    /// When.
    pub born_at: DateTime<Utc>,
    /// Sex.
    pub female: Option<bool>,
    /// Collar.
    pub collar: Option<String>,
    /// Colour.
    pub colour: Option<String>,
    /// Weight in grams.
    pub weight_g: Option<i32>,
}

impl BirthMarks {
    fn may_be(&self, other: &Self, within: Duration) -> bool {
        fn differs<T: PartialEq>(a: &Option<T>, b: &Option<T>) -> bool {
            a.is_some() && b.is_some() && a != b
        }
        (self.born_at - other.born_at).abs() <= within
            && !differs(&self.female, &other.female)
            && !differs(&self.collar, &other.collar)
            && !differs(&self.colour, &other.colour)
            && !differs(&self.weight_g, &other.weight_g)
    }
}

/// The birth already written down that a new one is by its marks: minutes apart, and with the same collar,
/// or of the same sex and weight. Whoever wrote it down is asked, also when it was the same person.
pub(crate) fn same_pup<'a>(
    births: &'a [BirthMarks],
    new: &BirthMarks,
    rules: &Rules,
) -> Option<&'a BirthMarks> {
    fn same<T: PartialEq>(a: &Option<T>, b: &Option<T>) -> bool {
        a.is_some() && a == b
    }
    let within = within(rules);
    births.iter().filter(|known| (known.born_at - new.born_at).abs() <= within).find(|known| {
        same(&known.collar, &new.collar)
            || same(&known.female, &new.female) && same(&known.weight_g, &new.weight_g)
    })
}

/// The birth already written down that a new one may be; see [`possible_doubles`].
pub(crate) fn double_of<'a>(
    births: &'a [BirthMarks],
    new: &BirthMarks,
    rules: &Rules,
) -> Option<&'a BirthMarks> {
    let within = within(rules);
    births.iter().filter(|known| new.may_be(known, within)).max_by_key(|known| known.ordinal)
}

/// Of births in order of time, those that are surely pups of their own: of two that may be one pup
/// written down twice, the first.
pub(crate) fn first_of_doubles<'a>(births: Vec<&'a PupOut>, rules: &Rules) -> Vec<&'a PupOut> {
    let within = within(rules);
    let mut sure: Vec<&PupOut> = Vec::with_capacity(births.len());
    for birth in births {
        let double = birth.marks.as_ref().is_some_and(|marks| {
            let earlier = sure.iter().rev().filter_map(|known| known.marks.as_ref());
            earlier.into_iter().any(|known| marks.may_be(known, within))
        });
        if !double {
            sure.push(birth);
        }
    }
    sure
}

fn within(rules: &Rules) -> Duration {
    rules.span("whelping.double_minutes")
}

/// Pairs of births that may be one pup: a few minutes apart at most, and nothing known tells them apart.
///
/// The minutes are the rule `whelping.double_minutes`.
pub(crate) fn possible_doubles(births: &[BirthMarks], rules: &Rules) -> Vec<Caution> {
    let rule = rules.get("whelping.double_minutes");
    let within = within(rules);
    let mut found = Vec::new();
    for (index, one) in births.iter().enumerate() {
        for other in births.iter().skip(index + 1).filter(|other| one.may_be(other, within)) {
            found.push(
                Caution::new(
                    CautionCode::PossibleDouble,
                    Level::Note,
                    said!("alarm-night-double", one = one.ordinal, other = other.ordinal),
                    said!(
                        "alarm-night-double-why",
                        seconds = (one.born_at - other.born_at).num_seconds().abs()
                    ),
                    rule.source.clone(),
                )
                .with("one", one.ordinal)
                .with("other", other.ordinal),
            );
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn birth(ordinal: i32, minute: i64) -> BirthMarks {
        let night: DateTime<Utc> = "2026-05-15T03:00:00Z".parse().unwrap();
        BirthMarks {
            ordinal,
            born_at: night + Duration::minutes(minute),
            female: None,
            collar: None,
            colour: None,
            weight_g: None,
        }
    }

    #[test]
    fn the_same_marks_within_minutes_are_the_same_pup() {
        let rules = Rules::standard();
        // The rule's own minutes: on the limit, one second beyond.
        let minutes = rules.value("whelping.double_minutes") as i64;
        let marked = |minute, collar: Option<&str>, female, weight_g| BirthMarks {
            collar: collar.map(str::to_owned),
            female,
            weight_g,
            ..birth(1, minute)
        };
        let known = [marked(0, Some("red"), Some(true), Some(402))];
        let same = |new: &BirthMarks| same_pup(&known, new, &rules).is_some();
        assert!(same(&marked(1, Some("red"), None, None)), "the collar alone");
        assert!(same(&marked(1, None, Some(true), Some(402))), "sex and weight");
        assert!(same(&marked(1, Some("blue"), Some(true), Some(402))), "another collar read");
        assert!(!same(&marked(1, None, Some(true), None)), "sex alone is no mark");
        assert!(!same(&marked(1, None, Some(false), Some(402))));
        assert!(!same(&marked(1, None, Some(true), Some(403))));
        assert!(!same(&birth(2, 1)), "nothing known is the other question's");
        assert!(same(&marked(minutes, Some("red"), None, None)));
        let mut late = marked(minutes, Some("red"), None, None);
        late.born_at += Duration::seconds(1);
        assert!(!same(&late));
    }

    #[test]
    fn only_what_nothing_tells_apart_within_minutes() {
        let rules = Rules::standard();
        let found = |births: &[BirthMarks]| possible_doubles(births, &rules).len();
        assert_eq!(found(&[birth(1, 0), birth(2, 2)]), 1);
        assert_eq!(found(&[birth(1, 0), birth(2, 20)]), 0);
        let red = BirthMarks { collar: Some("red".to_owned()), ..birth(1, 0) };
        let blue = BirthMarks { collar: Some("blue".to_owned()), ..birth(2, 1) };
        assert_eq!(found(&[red.clone(), blue]), 0);
        let known = [birth(1, 0), red];
        assert_eq!(double_of(&known, &birth(3, 1), &rules).map(|known| known.ordinal), Some(1));
        assert_eq!(double_of(&known, &birth(3, 5), &rules), None);
        let [_, red] = known;
        assert_eq!(found(&[red, birth(2, 1)]), 1, "a mark missing on one does not tell apart");
    }
}
