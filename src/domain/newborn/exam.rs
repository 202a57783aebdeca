//! The look over a newborn from head to tail, before its first feed: what to look at, and what a finding means.
//!
//! Of 803 newborns 6.7 % had a malformation, cleft palates first (2.8 %), and three fifths of those that died of
//! one died within two days (Nobre Pacifico Pereira KH et al. 2019, Theriogenology 140:52-57, DOI
//! 10.1016/j.theriogenology.2019.07.027).

use crate::advice::Level;
use crate::rules::Status;
use catalogue::{Text, said};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;

/// What is looked at on a newborn.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum ExamItem {
    /// The roof of the mouth, with lips and nostrils.
    Palate,
    /// Whether it sucks a clean finger.
    SuckReflex,
    /// Whether the anus is open.
    Anus,
    /// The navel: bleeding, swelling, a hernia.
    Umbilicus,
    /// The belly wall: whether it is closed.
    BellyWall,
    /// Limbs, joints and toes.
    Limbs,
    /// The back and the tail.
    SpineAndTail,
    /// The skull, with its soft spot.
    Skull,
    /// Eyes, with closed lids, and ears.
    Eyes,
    /// The genitals.
    Genitals,
    /// Skin and coat: wounds, swelling, bare feet.
    Skin,
}

impl ExamItem {
    /// All of them, in the order from head to tail in which one looks.
    pub const ALL: [Self; 11] = [
        Self::Palate,
        Self::SuckReflex,
        Self::Skull,
        Self::Eyes,
        Self::Skin,
        Self::Limbs,
        Self::BellyWall,
        Self::Umbilicus,
        Self::SpineAndTail,
        Self::Anus,
        Self::Genitals,
    ];

    /// What it is called, as one of several.
    pub fn word(self) -> Text {
        match self {
            Self::Palate => said!("word-exam-palate"),
            Self::SuckReflex => said!("word-exam-suck-reflex"),
            Self::Anus => said!("word-exam-anus"),
            Self::Umbilicus => said!("word-exam-umbilicus"),
            Self::BellyWall => said!("word-exam-belly-wall"),
            Self::Limbs => said!("word-exam-limbs"),
            Self::SpineAndTail => said!("word-exam-spine-and-tail"),
            Self::Skull => said!("word-exam-skull"),
            Self::Eyes => said!("word-exam-eyes"),
            Self::Genitals => said!("word-exam-genitals"),
            Self::Skin => said!("word-exam-skin"),
        }
    }

    /// The word by which tables and records name it.
    fn key(self) -> &'static str {
        match self {
            Self::Palate => "palate",
            Self::SuckReflex => "suck_reflex",
            Self::Anus => "anus",
            Self::Umbilicus => "umbilicus",
            Self::BellyWall => "belly_wall",
            Self::Limbs => "limbs",
            Self::SpineAndTail => "spine_and_tail",
            Self::Skull => "skull",
            Self::Eyes => "eyes",
            Self::Genitals => "genitals",
            Self::Skin => "skin",
        }
    }
}

/// What was found where one looked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ExamFinding {
    /// As it should be.
    Normal,
    /// Not as it should be, or one is not sure.
    Abnormal,
    /// Not as it should be, and a vet has seen it.
    SeenByVet,
}

/// A look over a newborn; what was not looked at is null.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct NewbornExam {
    /// The roof of the mouth, with lips and nostrils.
    #[schema(example = "normal")]
    pub palate: Option<ExamFinding>,
    /// Whether it sucks a clean finger.
    pub suck_reflex: Option<ExamFinding>,
    /// The skull, with its soft spot.
    pub skull: Option<ExamFinding>,
    /// Eyes, with closed lids, and ears.
    pub eyes: Option<ExamFinding>,
    /// Skin and coat: wounds, swelling, bare feet.
    pub skin: Option<ExamFinding>,
    /// Limbs, joints and toes.
    pub limbs: Option<ExamFinding>,
    /// The belly wall: whether it is closed.
    pub belly_wall: Option<ExamFinding>,
    /// The navel: bleeding, swelling, a hernia.
    pub umbilicus: Option<ExamFinding>,
    /// The back and the tail.
    pub spine_and_tail: Option<ExamFinding>,
    /// Whether the anus is open.
    pub anus: Option<ExamFinding>,
    /// The genitals.
    pub genitals: Option<ExamFinding>,
}

impl NewbornExam {
    /// What was found at one place; `None` where nobody looked.
    pub fn of(&self, item: ExamItem) -> Option<ExamFinding> {
        match item {
            ExamItem::Palate => self.palate,
            ExamItem::SuckReflex => self.suck_reflex,
            ExamItem::Anus => self.anus,
            ExamItem::Umbilicus => self.umbilicus,
            ExamItem::BellyWall => self.belly_wall,
            ExamItem::Limbs => self.limbs,
            ExamItem::SpineAndTail => self.spine_and_tail,
            ExamItem::Skull => self.skull,
            ExamItem::Eyes => self.eyes,
            ExamItem::Genitals => self.genitals,
            ExamItem::Skin => self.skin,
        }
    }
}

/// One line of the look over a newborn: what to look at, how, and what a finding asks for.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ExamQuestion {
    /// What is looked at.
    pub item: ExamItem,
    /// Whether it belongs to the look before the first feed.
    #[schema(example = true)]
    pub before_first_feed: bool,
    /// How one looks.
    #[schema(value_type = String, example = "Open the mouth in good light and look at the whole roof, lips and nostrils.")]
    pub how: Text,
    /// How soon to act when it is not as it should be.
    pub level: Level,
    /// Where that comes from.
    pub source: String,
    /// How it was confirmed.
    pub confirmation: Status,
}

/// A row of the table `newborn_exam` of the rules.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ExamRow {
    item: ExamItem,
    before_first_feed: bool,
    how: String,
    pub(crate) level: Level,
    /// What to do, as the rest of a sentence about the pup.
    what: String,
    pub(crate) source: String,
    confirmation: Status,
}

impl ExamRow {
    /// What to do about the pup of this name.
    pub(crate) fn said_of(&self, pup: &Text) -> Text {
        let sign = Text::keyed("newborn-exam", self.item.key(), &*self.what);
        said!("alarm-newborn-sign", pup = pup, sign = sign)
    }

    fn how(&self) -> Text {
        Text::keyed("newborn-exam-how", self.item.key(), &*self.how)
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ExamTable {
    item: Vec<ExamRow>,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static TABLE: LazyLock<ExamTable> = LazyLock::new(|| {
    toml::from_str(include_str!("../rules/newborn_exam.toml")).expect("newborn_exam.toml")
});

/// The row of an item; a test holds that each has one.
pub(crate) fn exam_row(item: ExamItem) -> Option<&'static ExamRow> {
    TABLE.item.iter().find(|row| row.item == item)
}

/// Whether a look at this belongs before the first feed.
pub(crate) fn is_before_first_feed(item: ExamItem) -> bool {
    exam_row(item).is_some_and(|row| row.before_first_feed)
}

/// What to look at on a newborn, from head to tail, with how one looks.
///
/// # Examples
/// ```
/// use domain::newborn::{ExamItem, exam_questions};
///
/// let first = &exam_questions()[0];
/// assert_eq!((first.item, first.before_first_feed), (ExamItem::Palate, true));
/// ```
pub fn exam_questions() -> Vec<ExamQuestion> {
    let question = |row: &ExamRow| ExamQuestion {
        item: row.item,
        before_first_feed: row.before_first_feed,
        how: row.how(),
        level: row.level,
        source: row.source.clone(),
        confirmation: row.confirmation,
    };
    ExamItem::ALL.iter().filter_map(|item| exam_row(*item).map(question)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::{Language, speaking};

    #[test]
    fn every_item_has_its_row_and_its_place_in_the_record() {
        let all: serde_json::Map<String, serde_json::Value> =
            ExamItem::ALL.iter().map(|item| (item.key().to_owned(), "abnormal".into())).collect();
        let exam: NewbornExam = serde_json::from_value(all.into()).unwrap();
        for item in ExamItem::ALL {
            assert!(exam_row(item).is_some(), "{item:?}");
            assert_eq!(exam.of(item), Some(ExamFinding::Abnormal), "{item:?}");
            assert_eq!(serde_json::to_value(item).unwrap(), item.key());
        }
        assert_eq!(exam_questions().len(), ExamItem::ALL.len());
    }

    /// What hinders the first feed, or lets organs out, is looked at before it.
    #[test]
    fn what_belongs_before_the_first_feed() {
        let first: Vec<ExamItem> =
            ExamItem::ALL.into_iter().filter(|item| is_before_first_feed(*item)).collect();
        use ExamItem::*;
        assert_eq!(first, [Palate, SuckReflex, Limbs, BellyWall, Umbilicus, Anus]);
    }

    #[test]
    fn every_item_is_said_in_german() {
        speaking(Language::German, || {
            for item in ExamItem::ALL {
                let row = exam_row(item).unwrap();
                assert_ne!(row.how(), row.how.as_str(), "{item:?}");
                let said = row.said_of(&Text::verbatim("Moss"));
                assert!(said.contains("Moss ") && !said.contains(&row.what), "{said}");
            }
        });
        let palate = exam_row(ExamItem::Palate).unwrap().said_of(&Text::verbatim("Moss"));
        assert!(palate.contains("Moss may have a cleft"), "{palate}");
    }
}
