//! Pictures and papers of dogs, litters and placements.

use super::{Record, check_past_day, words::words};
use crate::fault::Faults;
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

words! {
    /// What an attachment is.
    AttachmentKind {
        /// A photograph.
        Photo = "photo",
        /// A contract, which hangs on a placement.
        Contract = "contract",
        /// The result of a test.
        TestResult = "test_result",
        /// A registration or pedigree certificate.
        Registration = "registration",
        /// Another paper.
        Other = "other",
    }
}

words! {
    /// What a file is that is kept.
    FileType {
        /// A photograph; what came as WebP without transparency is one as well.
        Jpeg = "image/jpeg",
        /// A drawing, or a picture with transparency.
        Png = "image/png",
        /// A paper.
        Pdf = "application/pdf",
    }
}

impl FileType {
    /// Whether it is a picture.
    pub fn is_picture(self) -> bool {
        self != Self::Pdf
    }

    /// How names of such files end.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Jpeg => "jpg",
            Self::Png => "png",
            Self::Pdf => "pdf",
        }
    }
}

/// What is known of a file that is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileFacts {
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
    /// What it is.
    pub media_type: FileType,
    /// Its bytes.
    pub size_bytes: i64,
    /// Width of a picture in pixels, upright.
    pub width_px: Option<i32>,
    /// Height of a picture in pixels, upright.
    pub height_px: Option<i32>,
    /// The day on which the camera says that it was taken.
    pub taken_on: Option<NaiveDate>,
}

/// A picture or a paper, of a dog, a litter or a placement.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Attachment {
    /// The upload that brought its file; it stays.
    pub upload_id: Uuid,
    /// The dog; of these three, one is given.
    #[serde(default)]
    pub dog_id: Option<Uuid>,
    /// The litter.
    #[serde(default)]
    pub litter_id: Option<Uuid>,
    /// The placement.
    #[serde(default)]
    pub placement_id: Option<Uuid>,
    /// What it is.
    pub kind: AttachmentKind,
    /// The day it shows or was made on; left out, that of the camera.
    #[serde(default)]
    pub taken_on: Option<NaiveDate>,
    /// What it shows.
    #[serde(default)]
    #[schema(example = "Her first steps", min_length = 1, max_length = 500)]
    pub caption: Option<String>,
    /// Whether the new owner sees it in the booklet.
    #[serde(default)]
    pub shown_to_buyer: bool,
    /// SHA-256 of the file.
    #[serde(default)]
    #[schema(read_only)]
    pub sha256: String,
    /// What the file is.
    #[serde(default = "jpeg")]
    #[schema(read_only)]
    pub media_type: FileType,
    /// Bytes of the file.
    #[serde(default)]
    #[schema(read_only)]
    pub size_bytes: i64,
    /// Width in pixels; null for a paper.
    #[serde(default)]
    #[schema(read_only)]
    pub width_px: Option<i32>,
    /// Height in pixels.
    #[serde(default)]
    #[schema(read_only)]
    pub height_px: Option<i32>,
}

/// Until the file is looked at.
fn jpeg() -> FileType {
    FileType::Jpeg
}

impl Attachment {
    /// The same with what is known of its file.
    #[must_use]
    pub fn of_file(self, file: &FileFacts) -> Self {
        Self {
            sha256: file.sha256.clone(),
            media_type: file.media_type,
            size_bytes: file.size_bytes,
            width_px: file.width_px,
            height_px: file.height_px,
            taken_on: self.taken_on.or(file.taken_on),
            ..self
        }
    }

    /// What is known of its file.
    pub fn file(&self) -> FileFacts {
        FileFacts {
            sha256: self.sha256.clone(),
            media_type: self.media_type,
            size_bytes: self.size_bytes,
            width_px: self.width_px,
            height_px: self.height_px,
            taken_on: None,
        }
    }
}

impl Record for Attachment {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        let hung_on = [self.dog_id, self.litter_id, self.placement_id];
        faults.unless(hung_on.iter().flatten().count() == 1, "/dog_id", || {
            said!("fault-only-together-attachment-row")
        });
        let is_contract = self.kind == AttachmentKind::Contract;
        faults.unless(!is_contract || self.placement_id.is_some(), "/placement_id", || {
            said!("fault-missing-contract-placement")
        });
        faults.unless(!(self.shown_to_buyer && is_contract), "/shown_to_buyer", || {
            said!("fault-not-together-contract-shown")
        });
        if let Some(day) = self.taken_on {
            check_past_day(day, now, "/taken_on", faults);
        }
    }
}

/// Which attachments to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct AttachmentFilter {
    /// Only of this dog.
    pub dog_id: Option<Uuid>,
    /// Only of this litter.
    pub litter_id: Option<Uuid>,
    /// Only of this placement.
    pub placement_id: Option<Uuid>,
    /// Only of this kind.
    pub kind: Option<AttachmentKind>,
    /// Only taken on this day or later.
    pub since: Option<NaiveDate>,
    /// Only taken before this day.
    pub until: Option<NaiveDate>,
}
