//! Pictures and papers of dogs, litters and placements.

use super::{
    StoreError, StoreResult, Tx, files,
    keep::{Conditions, Hooks, Keep as _, Page, keep},
    schema,
    scope::{Right, Scope},
    uploads,
};
use catalogue::said;
use chrono::NaiveDate;
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
};
use diesel_async::RunQueryDsl as _;
use domain::record::{Attachment, AttachmentFilter, AttachmentKind, Kept};
use uuid::Uuid;

keep!(Attachment in attachments {
    upload_id, dog_id, litter_id, placement_id, kind, taken_on, caption, shown_to_buyer,
    sha256, media_type, size_bytes, width_px, height_px,
}
sorted { taken_on Day, kind Word } dated taken_on
filter AttachmentFilter { kind == kind } and asked_of_attachments);

/// What a list of them asks beside their kind.
fn asked_of_attachments(
    asked: &AttachmentFilter,
    _today: Option<NaiveDate>,
) -> Option<Conditions<schema::attachments::table>> {
    use schema::attachments::dsl;
    let mut conditions: Conditions<schema::attachments::table> = Vec::new();
    if let Some(dog_id) = asked.dog_id {
        conditions.push(Box::new(dsl::dog_id.eq(dog_id)));
    }
    if let Some(litter_id) = asked.litter_id {
        conditions.push(Box::new(dsl::litter_id.eq(litter_id)));
    }
    if let Some(placement_id) = asked.placement_id {
        conditions.push(Box::new(dsl::placement_id.eq(placement_id)));
    }
    Some(conditions)
}

impl Hooks for Attachment {
    /// A contract is written by those who place pups.
    fn may_write(&self, scope: &Scope) -> StoreResult<()> {
        if self.placement_id.is_some() { scope.require(Right::Placing) } else { Ok(()) }
    }

    /// What its file is comes with the upload, and stays.
    async fn completed(self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<Self> {
        match before {
            Some(before) if before.record.upload_id != self.upload_id => {
                Err(StoreError::refused("/upload_id", said!("fault-fixed-upload")))
            }
            Some(before) => Ok(self.of_file(&before.record.file())),
            None => {
                let file = uploads::finished(tx, self.upload_id).await?;
                Ok(self.of_file(&file))
            }
        }
    }

    async fn validate(&self, _tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        if self.kind == AttachmentKind::Photo && !self.media_type.is_picture() {
            return Err(StoreError::refused("/kind", said!("fault-wrong-kind-photo")));
        }
        Ok(())
    }

    /// The upload has become this.
    async fn after_write(
        tx: &mut Tx,
        _id: Uuid,
        before: Option<&Self>,
        after: &Self,
    ) -> StoreResult<()> {
        if before.is_none() { uploads::remove(tx, after.upload_id).await } else { Ok(()) }
    }

    /// Its file must be there still.
    async fn validate_again(&self, tx: &mut Tx) -> StoreResult<()> {
        if !files::is_remembered(tx, &self.sha256).await? {
            return Err(StoreError::Conflict(said!("problem-conflict-file-gone")));
        }
        Ok(())
    }
}

/// More than anybody shows.
const MOST_SHOWN: i64 = 1_000;

/// The pictures and papers that the new owner of a dog sees: its own and its litter's, by age.
///
/// # Errors
/// When the database is away.
pub async fn shown_to_buyer(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Vec<Kept<Attachment>>> {
    use schema::births::dsl;
    let litter_id: Option<Uuid> = dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)))
        .select(dsl::litter_id)
        .first(&mut tx.conn)
        .await
        .optional()?;
    let of_dog = AttachmentFilter { dog_id: Some(dog_id), ..AttachmentFilter::default() };
    let of_litter =
        litter_id.map(|_| AttachmentFilter { litter_id, ..AttachmentFilter::default() });
    let mut shown = Vec::new();
    for filter in [Some(of_dog), of_litter].into_iter().flatten() {
        shown.extend(Attachment::page(tx, None, &filter, Page::first(MOST_SHOWN)).await?);
    }
    shown.retain(|kept| kept.record.shown_to_buyer);
    shown.sort_by_key(|kept| (kept.record.taken_on.is_none(), kept.record.taken_on, kept.id));
    Ok(shown)
}
