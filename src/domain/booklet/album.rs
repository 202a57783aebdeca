//! Which of the pictures that a kennel shows are printed: one on the cover, and a row by age.

use crate::{
    partial_date::PartialDate,
    record::{Attachment, AttachmentKind, Kept},
};
use uuid::Uuid;

/// Most pictures of the row: two lines of four.
const MOST_IN_ROW: usize = 8;

/// A picture to print.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AlbumPicture {
    /// The picture.
    pub attachment_id: Uuid,
    /// SHA-256 of its file.
    pub sha256: String,
    /// How old the dog was, in days.
    pub age_days: Option<i64>,
    /// What it shows.
    pub caption: Option<String>,
}

/// The pictures of a printed booklet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Album {
    /// On the cover: the newest of the dog itself, else of its litter.
    pub portrait: Option<AlbumPicture>,
    /// How it grew, by age: the first, the last and, of more than fit, some between them, evenly. Empty where
    /// there would be one alone.
    pub row: Vec<AlbumPicture>,
}

/// The album of a dog born on this day, of what the kennel shows.
pub fn album(shown: &[Kept<Attachment>], born_on: Option<PartialDate>) -> Album {
    let born_on = born_on.and_then(PartialDate::day);
    let picture = |kept: &Kept<Attachment>| {
        let Attachment { sha256, taken_on, caption, .. } = &kept.record;
        let age = born_on.zip(*taken_on).map(|(born, taken)| (taken - born).num_days());
        AlbumPicture {
            attachment_id: kept.id,
            sha256: sha256.clone(),
            age_days: age.filter(|days| *days >= 0),
            caption: caption.clone(),
        }
    };
    let is_photo = |kept: &&Kept<Attachment>| {
        kept.record.kind == AttachmentKind::Photo && kept.record.media_type.is_picture()
    };
    let photos: Vec<(bool, AlbumPicture)> = shown
        .iter()
        .filter(is_photo)
        .map(|kept| (kept.record.dog_id.is_some(), picture(kept)))
        .collect();
    let portrait = photos.iter().max_by_key(|(own, picture)| (*own, picture.age_days));
    let mut by_age: Vec<AlbumPicture> = photos
        .iter()
        .map(|(_, picture)| picture.clone())
        .filter(|picture| picture.age_days.is_some())
        .collect();
    by_age.sort_by_key(|picture| (picture.age_days, picture.attachment_id));
    Album { portrait: portrait.map(|(_, picture)| picture.clone()), row: spread(by_age) }
}

/// At most so many as the row holds, the first and the last among them.
fn spread(pictures: Vec<AlbumPicture>) -> Vec<AlbumPicture> {
    let count = pictures.len();
    match count {
        0 | 1 => Vec::new(),
        ..=MOST_IN_ROW => pictures,
        _ => {
            let places = (0..MOST_IN_ROW).map(|place| place * (count - 1) / (MOST_IN_ROW - 1));
            places.filter_map(|place| pictures.get(place).cloned()).collect()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{DateTime, Duration, NaiveDate};
    use serde_json::json;

    fn born() -> NaiveDate {
        "2026-03-01".parse().unwrap()
    }

    fn shown(
        number: u128,
        of: &str,
        age_days: Option<i64>,
        fields: serde_json::Value,
    ) -> Kept<Attachment> {
        let taken_on = age_days.map(|days| born() + Duration::days(days));
        let mut body = json!({
            "upload_id": Uuid::from_u128(number), of: Uuid::from_u128(7), "kind": "photo",
            "taken_on": taken_on, "shown_to_buyer": true, "sha256": number.to_string(),
        });
        body.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
        Kept {
            id: Uuid::from_u128(number),
            version: 1,
            created_at: DateTime::UNIX_EPOCH,
            updated_at: DateTime::UNIX_EPOCH,
            record: serde_json::from_value(body).unwrap(),
        }
    }

    fn numbers(pictures: &[AlbumPicture]) -> Vec<u128> {
        pictures.iter().map(|picture| picture.attachment_id.as_u128()).collect()
    }

    fn of(shown: &[Kept<Attachment>]) -> (Option<u128>, Vec<u128>) {
        let album = album(shown, Some(PartialDate::Day(born())));
        (album.portrait.map(|picture| picture.attachment_id.as_u128()), numbers(&album.row))
    }

    #[test]
    fn the_cover_has_the_newest_of_the_dog_itself_and_the_row_goes_by_age() {
        let none = json!({});
        let photo = |number, of, age| shown(number, of, age, none.clone());
        assert_eq!(of(&[]), (None, vec![]));
        assert_eq!(of(&[photo(1, "litter_id", Some(3))]), (Some(1), vec![]));
        let all = [
            photo(1, "dog_id", Some(40)),
            photo(2, "litter_id", Some(50)),
            photo(3, "dog_id", None),
            photo(4, "dog_id", Some(0)),
            photo(5, "dog_id", Some(-1)),
        ];
        assert_eq!(of(&all), (Some(1), vec![4, 1, 2]));
        let papers = [
            shown(6, "dog_id", Some(50), json!({ "media_type": "application/pdf" })),
            shown(7, "dog_id", Some(51), json!({ "kind": "test_result" })),
        ];
        assert_eq!(of(&papers), (None, vec![]), "papers are not pictures of a pup");
        assert_eq!(numbers(&album(&all, None).row), [0; 0], "no day of birth, no ages");
    }

    #[test]
    fn of_many_the_row_has_the_first_the_last_and_some_between() {
        let photos = |count: u128| {
            let photo =
                |number| shown(number, "dog_id", Some(i64::try_from(number).unwrap()), json!({}));
            of(&(1..=count).map(photo).collect::<Vec<_>>()).1
        };
        assert_eq!(photos(7), (1..=7).collect::<Vec<_>>());
        assert_eq!(photos(8), (1..=8).collect::<Vec<_>>());
        assert_eq!(photos(9), [1, 2, 3, 4, 5, 6, 7, 9]);
        let many = photos(200);
        assert_eq!((many.len(), many[0], many[7]), (8, 1, 200));
    }
}
