//! The codes of faults: a word that stays, so that a front end can say it in its own way.

use crate::record::words::words;

/// The codes, each with what it means, which is published as well.
macro_rules! codes {
    ($(#[doc = $meaning:literal] $code:ident = $word:tt,)+) => {
        words! {
            /// What kind of thing is wrong with a value.
            ///
            /// A code keeps its meaning for good: the words of a detail may change, the code does not.
            FaultCode { $(#[doc = $meaning] $code = $word),+ }
        }

        impl FaultCode {
            /// What it says of a value.
            pub fn meaning(self) -> &'static str {
                match self { $(Self::$code => $meaning.trim_ascii(),)+ }
            }
        }
    };
}

codes! {
    /// A field or value that is needed is not there.
    Missing = "missing",
    /// There is no field or parameter of this name.
    UnknownField = "unknown_field",
    /// It is none of the words that are possible here.
    UnknownValue = "unknown_value",
    /// It is of another type: a text, say, where a number is asked for.
    WrongType = "wrong_type",
    /// It is not written the way such a value is written.
    Malformed = "malformed",
    /// It can be read in two ways.
    Unclear = "unclear",
    /// The body or file cannot be read as what it says it is.
    Unreadable = "unreadable",
    /// It is of a kind that is not taken here.
    Unsupported = "unsupported",
    /// Nothing stands in it.
    Empty = "empty",
    /// It has fewer characters than it must have.
    TooShort = "too_short",
    /// It has more characters or bytes than it may have.
    TooLong = "too_long",
    /// There are fewer of them than there must be.
    TooFew = "too_few",
    /// There are more of them than there may be.
    TooMany = "too_many",
    /// The number lies outside what is possible.
    OutOfRange = "out_of_range",
    /// It stands there twice.
    Twice = "twice",
    /// It lies after now or after today.
    InFuture = "in_future",
    /// It lies before what it must follow.
    TooEarly = "too_early",
    /// It lies after what it must come before.
    TooLate = "too_late",
    /// Its end lies before its beginning.
    Disordered = "disordered",
    /// It lies at the same time as another of its kind.
    Overlaps = "overlaps",
    /// The animal is too young for it.
    TooYoung = "too_young",
    /// The animal is too old for it.
    TooOld = "too_old",
    /// The animal is of the other sex.
    WrongSex = "wrong_sex",
    /// It is of the right sort, but not of the kind that is asked for.
    WrongKind = "wrong_kind",
    /// It names something that is not there.
    NotFound = "not_found",
    /// It belongs to another animal, litter or kennel.
    Elsewhere = "elsewhere",
    /// A dog would be its own ancestor.
    OwnAncestor = "own_ancestor",
    /// It disagrees with what is recorded.
    Differs = "differs",
    /// Another has it already.
    Taken = "taken",
    /// Something else still refers to it.
    InUse = "in_use",
    /// It needs another value beside it.
    OnlyTogether = "only_together",
    /// It excludes another value beside it.
    NotTogether = "not_together",
    /// What it is about is not in the state for it.
    NotNow = "not_now",
    /// It has been done already.
    AlreadyDone = "already_done",
    /// The animal has died or left.
    Gone = "gone",
    /// It cannot be changed.
    Fixed = "fixed",
    /// It is so unlikely that it is asked about: send it again with `confirmed` when it is meant.
    Unlikely = "unlikely",
    /// A law of the kennel's jurisdiction asks for something else.
    ByLaw = "by_law",
    /// A rule of the kennel for letting a pup go is not met.
    NotMet = "not_met",
    /// A limit of the kennel or of the service is reached.
    Limit = "limit",
    /// The person's role does not allow it.
    NotAllowed = "not_allowed",
    /// It is too easy to guess.
    Weak = "weak",
    /// It is not the right code or password.
    WrongSecret = "wrong_secret",
    /// It is past the time until which it was good.
    Expired = "expired",
    /// It was changed since it was read.
    Stale = "stale",
    /// There is no such address.
    NoSuchPath = "no_such_path",
    /// It is no id (UUID).
    NotAnId = "not_an_id",
    /// It cannot be worked out from what is known.
    Unknowable = "unknowable",
    /// A fault of the service.
    Ours = "ours",
}

impl FaultCode {
    /// The code that an entry of the catalogue begins with: `fault-too-long-name` is of `too_long`.
    pub fn of_entry(id: &str) -> Option<Self> {
        let rest = id.strip_prefix("fault-")?;
        let begins = |code: &Self| {
            let word = code.as_str().replace('_', "-");
            rest.strip_prefix(&word).is_some_and(|more| more.is_empty() || more.starts_with('-'))
        };
        Self::ALL.iter().copied().filter(begins).max_by_key(|code| code.as_str().len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_entry_begins_with_its_code() {
        assert_eq!(FaultCode::of_entry("fault-too-long"), Some(FaultCode::TooLong));
        assert_eq!(FaultCode::of_entry("fault-not-now-dog"), Some(FaultCode::NotNow));
        assert_eq!(FaultCode::of_entry("fault-not-nowhere"), None);
        assert_eq!(FaultCode::of_entry("fault-elsewhere"), Some(FaultCode::Elsewhere));
        assert_eq!(FaultCode::of_entry("too-long"), None);
    }

    #[test]
    fn every_fault_of_the_catalogue_has_a_code() {
        let entries = catalogue::source(catalogue::Language::English).lines();
        let ids = entries.filter_map(|line| line.split_once(" =")).map(|(id, _)| id);
        for id in ids.filter(|id| id.starts_with("fault-")) {
            assert!(FaultCode::of_entry(id).is_some(), "{id}");
        }
    }
}
