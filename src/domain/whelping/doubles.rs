//! Was one pup written down twice, by two people in the same room?

use crate::domain::advice::{Caution, Level};
use crate::domain::rules::Rules;
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

/// The birth already written down that a new one may be; see [`possible_doubles`].
pub fn double_of<'a>(
    births: &'a [BirthMarks],
    new: &BirthMarks,
    rules: &Rules,
) -> Option<&'a BirthMarks> {
    let within = within(rules);
    births.iter().filter(|known| new.may_be(known, within)).max_by_key(|known| known.ordinal)
}

fn within(rules: &Rules) -> Duration {
    Duration::seconds((rules.value("whelping.double_minutes") * 60.0) as i64)
}

/// Pairs of births that may be one pup: a few minutes apart at most, and nothing known tells them apart.
///
/// The minutes are the rule `whelping.double_minutes`.
pub fn possible_doubles(births: &[BirthMarks], rules: &Rules) -> Vec<Caution> {
    let rule = rules.get("whelping.double_minutes");
    let within = within(rules);
    let mut found = Vec::new();
    for (index, one) in births.iter().enumerate() {
        for other in births.iter().skip(index + 1).filter(|other| one.may_be(other, within)) {
            found.push(Caution::new(
                Level::Note,
                format!(
                    "Pups {} and {} may be one pup written down twice: look, and delete one or say what tells them apart.",
                    one.ordinal, other.ordinal
                ),
                format!(
                    "Born {} s apart; sex, collar, colour and weight do not differ.",
                    (one.born_at - other.born_at).num_seconds().abs()
                ),
                rule.source.clone(),
            ));
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
