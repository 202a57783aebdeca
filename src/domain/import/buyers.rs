//! People who wait for a pup.

use super::{
    ImportHow, LineFault, StatedRow,
    columns::fields,
    records::{self, Holds, RecordFile},
};
use chrono_tz::Tz;

fields! {
    /// A column of a file of buyers.
    BuyerColumn of "buyers" {
        Name = "name" "Full name.",
        Email = "email" "Address of mail.",
        Phone = "phone" "Telephone.",
        Address = "address" "Where they live.",
        Household = "household" "Who lives there.",
        Screening = "screening" "What came of the talks.",
        JoinedOn = "joined_on" "Day they joined the waiting list: its order.",
        WaitingOrder = "waiting_order" "Before those who only wait by their day.",
        ConsentedOn = "consented_on" "Day on which they agreed that their data are stored.",
        WishedSex = "wished_sex" "The sex they wish for.",
        WishedColour = "wished_colour" "The colour.",
        WishedPurpose = "wished_purpose" "What the dog is for.",
        WishedFrom = "wished_from" "First day on which it may come.",
        WishedUntil = "wished_until" "Last day on which it may come.",
        Note = "note" "Anything else.",
    }
}

impl RecordFile for BuyerColumn {
    const NEEDED: &'static [&'static [Self]] = &[&[Self::Name], &[Self::JoinedOn]];

    fn holds(self) -> Holds {
        match self {
            Self::Address | Self::Household | Self::Screening | Self::Note => Holds::Lines,
            Self::JoinedOn | Self::ConsentedOn | Self::WishedFrom | Self::WishedUntil => Holds::Day,
            Self::WaitingOrder => Holds::Whole,
            Self::WishedSex => Holds::Sex,
            Self::Name | Self::Email | Self::Phone | Self::WishedColour | Self::WishedPurpose => {
                Holds::Text
            }
        }
    }

    fn field(self) -> &'static str {
        use super::columns::Field as _;
        match self {
            Self::WishedSex => "wishes/sex",
            Self::WishedColour => "wishes/colour",
            Self::WishedPurpose => "wishes/purpose",
            Self::WishedFrom => "wishes/from_on",
            Self::WishedUntil => "wishes/until_on",
            other => other.name(),
        }
    }
}

/// Reads a file of buyers.
///
/// # Errors
/// Every fault of the file, by line and column.
pub fn read(bytes: &[u8], how: &ImportHow, zone: Tz) -> Result<Vec<StatedRow>, Vec<LineFault>> {
    records::read::<BuyerColumn>(bytes, how, zone)
}
