//! Buyers on the waiting list, and what of their data is exported and erased.

use super::{answer, resource::prelude::*};
use domain::{
    privacy::BuyerErasure,
    record::{Attachment, Buyer, BuyerFilter, BuyerReport, HealthEvent, Payment, Placement},
};
use serde::Serialize;
use store::{
    StoreError,
    buyer_privacy::{self, BuyerData, ErasedBuyer},
};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(create_buyer)
        .service(list_buyers)
        .service(read_buyer)
        .service(change_buyer)
        .service(delete_buyer)
        .service(export_buyer)
        .service(erase_buyer);
}

resource!(Buyer, tag "buyers", one "a buyer", many "buyers, in the order in which they were entered",
    at "/v1/kennels/{kennel_id}/buyers", "/v1/kennels/{kennel_id}/buyers/{buyer_id}";
    create_buyer, list_buyers, read_buyer, change_buyer, delete_buyer);

type KeptAttachment = Kept<Attachment>;
type KeptBuyerReport = Kept<BuyerReport>;
type KeptHealthEvent = Kept<HealthEvent>;
type KeptPayment = Kept<Payment>;
type KeptPlacement = Kept<Placement>;

/// Everything that is kept of a buyer.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct BuyerExport {
    /// The buyer.
    buyer: KeptBuyer,
    /// The placements.
    placements: Vec<KeptPlacement>,
    /// The entries of their accounts.
    payments: Vec<KeptPayment>,
    /// The health news told.
    health_news: Vec<KeptHealthEvent>,
    /// Contracts, whose files are read as attachments.
    contracts: Vec<KeptAttachment>,
    /// What was told by booklets' links, whatever became of it.
    reports: Vec<KeptBuyerReport>,
}

/// Export everything that is kept of a buyer, to give it to them.
#[utoipa::path(tag = "buyers", responses((status = 200, description = "All of it.", body = BuyerExport)))]
#[get("/v1/kennels/{kennel_id}/buyers/{buyer_id}/export")]
pub(crate) async fn export_buyer(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let export = async |tx: &mut _| buyer_privacy::export(tx, path.1).await;
    let data = app.db.within(&scope.0, export).await?;
    let BuyerData { buyer, placements, payments, health_news, contracts, reports } = data;
    let export = BuyerExport { buyer, placements, payments, health_news, contracts, reports };
    Ok(HttpResponse::Ok().json(export))
}

/// Erase a buyer's personal data.
///
/// Name, contact, household, notes and wishes go, and so does what is written about the buyer elsewhere:
/// terms and notes of placements, accounts, follow-ups and health news, labels of booklet links, tasks about
/// the pup since it was placed, reports told by booklets' links, and the buyer's name and addresses in every text of the kennel, its log of
/// changes, answers kept for repeats and mails that wait or lie in the folder; contracts too, their files within a day.
/// Days, sums and where the pup went stay, and so do pictures and papers of the pup itself, without the buyer's name:
/// look whether one shows the buyer. A pup that is still promised must be withdrawn first. A buyer who was deleted is
/// erased from the log.
#[utoipa::path(tag = "buyers",
    responses((status = 200, description = "What was erased and what is kept, and why.", body = BuyerErasure)))]
#[post("/v1/kennels/{kennel_id}/buyers/{buyer_id}/erasure")]
pub(crate) async fn erase_buyer(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    answer::once_done(&app, &scope.0, &request, &[], async |tx| {
        let ErasedBuyer { erasure, traces } = buyer_privacy::erase_buyer(tx, path.1).await?;
        // Before the database commits: either all forget, or nothing does.
        let forgotten = app.mailer.forget(traces).await;
        forgotten.map_err(|error| StoreError::Internal(format!("mails in the folder: {error}")))?;
        Ok(erasure)
    })
    .await
}
