//! Placements with their accounts, proposals and follow-ups; and what litters cost.

use super::{answer, resource::prelude::*};
use chrono::NaiveDate;
use domain::{
    placement::{
        FollowUp, FollowUpsOfPup, LedgerEntry, LedgerSums, PlacementProposal, PlacementStage,
        propose,
    },
    record::{
        Cost, CostFilter, FollowUpDone, FollowUpDoneFilter, HealthEvent, Payment, PaymentFilter,
        Placement, PlacementFilter,
    },
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use store::{
    StoreError, after_placement,
    ledger::{self, Account},
    proposals,
};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(create_placement)
        .service(list_placements)
        .service(read_placement)
        .service(change_placement)
        .service(delete_placement)
        .service(create_payment)
        .service(list_payments)
        .service(read_payment)
        .service(change_payment)
        .service(delete_payment)
        .service(read_account)
        .service(end_placement)
        .service(propose_placements)
        .service(list_follow_ups)
        .service(create_placement_follow_up)
        .service(list_placement_follow_ups)
        .service(read_placement_follow_up)
        .service(change_placement_follow_up)
        .service(delete_placement_follow_up)
        .service(list_offspring_health)
        .service(create_cost)
        .service(list_costs)
        .service(read_cost)
        .service(change_cost)
        .service(delete_cost);
}

resource!(Placement, tag "placements", one "the placement of a pup", many "placements",
    at "/v1/kennels/{kennel_id}/placements", "/v1/kennels/{kennel_id}/placements/{placement_id}";
    create_placement, list_placements, read_placement, change_placement, delete_placement);

resource!(Payment, tag "placements", one "an entry of a placement's account", many "the entries of a placement's account",
    at "/v1/kennels/{kennel_id}/placements/{placement_id}/payments",
       "/v1/kennels/{kennel_id}/placements/{placement_id}/payments/{payment_id}", under placement_id;
    create_payment, list_payments, read_payment, change_payment, delete_payment);

resource!(FollowUpDone, tag "placements", one "a follow-up that was done", many "the follow-ups done after a hand-over",
    at "/v1/kennels/{kennel_id}/placements/{placement_id}/follow-ups",
       "/v1/kennels/{kennel_id}/placements/{placement_id}/follow-ups/{follow_up_id}", under placement_id;
    create_placement_follow_up, list_placement_follow_ups, read_placement_follow_up, change_placement_follow_up, delete_placement_follow_up);

resource!(Cost, tag "money", one "money spent, for a litter or for the kennel", many "costs",
    at "/v1/kennels/{kennel_id}/costs", "/v1/kennels/{kennel_id}/costs/{cost_id}";
    create_cost, list_costs, read_cost, change_cost, delete_cost);

/// The account of a placement: charged − reduced = received − refunded + balance due, always.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct PlacementAccount {
    /// The placement.
    placement_id: Uuid,
    /// Its stage.
    stage: PlacementStage,
    /// The entries, the price first, then as they were recorded.
    entries: Vec<LedgerEntry>,
    /// What they add up to.
    sums: LedgerSums,
    /// The pup died before it was handed over: the entries that would end the account with all given back.
    /// Nothing is written until the placement is ended. Null for a pup that lives.
    closing: Option<Vec<LedgerEntry>>,
}

impl From<Account> for PlacementAccount {
    fn from(account: Account) -> Self {
        let Account { placement, entries, sums, closing } = account;
        Self { placement_id: placement.id, stage: placement.record.stage, entries, sums, closing }
    }
}

/// Read the account of a placement.
#[utoipa::path(tag = "placements", responses((status = 200, description = "The account.", body = PlacementAccount)))]
#[get("/v1/kennels/{kennel_id}/placements/{placement_id}/account")]
pub(crate) async fn read_account(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let account = app.db.within(&scope.0, async |tx| ledger::account(tx, path.1).await).await?;
    Ok(HttpResponse::Ok().json(PlacementAccount::from(account)))
}

/// The end of a placement.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PlacementEnd {
    /// What the kennel keeps of the price, in minor units: a deposit that is not paid back, say.
    #[serde(default)]
    #[schema(example = 10000, minimum = 0, maximum = 100000000000i64)]
    kept_minor: i64,
    /// The day of the entries; today when null.
    #[serde(default, rename = "ended_on")]
    on: Option<NaiveDate>,
    /// Why.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    note: Option<String>,
}

/// End a placement and close its account.
///
/// Before the hand-over it is withdrawn, after it the pup has come back. The price is cancelled but
/// for what is kept, and what was paid beyond it is entered as paid back.
#[utoipa::path(tag = "placements", request_body = PlacementEnd,
    responses((status = 200, description = "The closed account.", body = PlacementAccount)))]
#[post("/v1/kennels/{kennel_id}/placements/{placement_id}/end")]
pub(crate) async fn end_placement(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    path: web::Path<(Uuid, Uuid)>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let raw = body.digest();
    let end: PlacementEnd = body.parse().await?;
    answer::once_done(&app, &scope.0, &request, &raw, async |tx| {
        let on = end.on.unwrap_or_else(|| ledger::today(tx));
        let account = ledger::close(tx, path.1, end.kept_minor, on, end.note.as_deref()).await?;
        Ok(PlacementAccount::from(account))
    })
    .await
}

/// What a pup is suited for, in the kennel's words.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PupSuited {
    /// The pup.
    dog_id: Uuid,
    /// What for.
    #[schema(example = json!(["companion"]), max_items = 20)]
    purposes: Vec<String>,
}

/// What a proposal takes into account beside the records.
#[derive(Debug, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub(crate) struct ProposalQuestion {
    /// What the pups are suited for.
    #[schema(max_items = 50)]
    suited_for: Vec<PupSuited>,
    /// Only these buyers; null for all who wait.
    #[schema(max_items = 1000)]
    buyer_ids: Option<Vec<Uuid>>,
}

/// Propose which waiting buyer gets which free pup of a litter.
///
/// The waiting order and the wishes are honoured as the objective says, with the reason for each
/// pair. Nothing is written: make the placements that you agree with.
#[utoipa::path(tag = "placements", request_body = ProposalQuestion,
    responses((status = 200, description = "The proposal.", body = PlacementProposal)))]
#[post("/v1/kennels/{kennel_id}/litters/{litter_id}/placement-proposal")]
pub(crate) async fn propose_placements(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let question: ProposalQuestion = body.parse().await?;
    let suited: Vec<Uuid> = question.suited_for.iter().map(|pup| pup.dog_id).collect();
    Problem::unless_once_each("/suited_for", &suited)?;
    Problem::unless_once_each("/buyer_ids", question.buyer_ids.as_deref().unwrap_or_default())?;
    let suited: BTreeMap<Uuid, Vec<String>> =
        question.suited_for.into_iter().map(|pup| (pup.dog_id, pup.purposes)).collect();
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (mut buyers, pups) = app
        .db
        .within(&scope.0, async |tx| {
            let buyers = proposals::waiting(tx).await?;
            Ok((buyers, proposals::free_pups(tx, path.1, &suited).await?))
        })
        .await?;
    if let Some(only) = &question.buyer_ids {
        buyers.retain(|buyer| only.contains(&buyer.buyer_id));
    }
    let answer = move || Ok(propose(&buyers, &pups).map_err(StoreError::Refused)?);
    seat.answer(answer).await
}

/// Which follow-ups to show.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct FollowUpQuery {
    /// Only of this placement.
    placement_id: Option<Uuid>,
    /// Only pups with a follow-up that is due, and those reminders alone.
    due: Option<bool>,
}

/// The follow-ups of one pup that has gone.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct PupFollowUps {
    /// The placement.
    placement_id: Uuid,
    /// The pup.
    dog_id: Uuid,
    /// Its new owner.
    buyer_id: Option<Uuid>,
    /// The reminders, by their day.
    reminders: Vec<FollowUp>,
}

/// Follow-ups by pup.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct FollowUps {
    /// The pups that have gone, in the order in which they were placed.
    items: Vec<PupFollowUps>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
}

/// List whom to ask how a pup is that has gone, and when.
#[utoipa::path(tag = "placements", params(Paging, FollowUpQuery),
    responses((status = 200, description = "A page.", body = FollowUps)))]
#[get("/v1/kennels/{kennel_id}/follow-ups")]
pub(crate) async fn list_follow_ups(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<FollowUpQuery>,
) -> Result<HttpResponse, Problem> {
    let FollowUpQuery { placement_id, due } = listing.filter;
    let find = async |tx: &mut _| after_placement::reminders(tx, placement_id).await;
    let all = app.db.within(&scope.0, find).await?;
    let mut items: Vec<PupFollowUps> = all
        .into_iter()
        .map(|FollowUpsOfPup { placement_id, dog_id, buyer_id, reminders, .. }| PupFollowUps {
            placement_id,
            dog_id,
            buyer_id,
            reminders,
        })
        .collect();
    if let Some(due) = due {
        items.iter_mut().for_each(|pup| pup.reminders.retain(|reminder| reminder.due == due));
        items.retain(|pup| !pup.reminders.is_empty());
    }
    let placement = |pup: &PupFollowUps| pup.placement_id.to_string();
    let (items, next_cursor) = listing.asked.cut(items, placement)?;
    let list = FollowUps { items, next_cursor };
    answer::list::<PupFollowUps>(&request, list.next_cursor.as_deref(), &list)
}

type KeptHealthEvent = Kept<HealthEvent>;

/// What was found in the offspring of a dog.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct OffspringHealth {
    /// Illnesses, tests, examinations and treatments, by day.
    items: Vec<KeptHealthEvent>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
}

/// List what was found and tested in the offspring of a dam or a sire, news of new owners among it.
#[utoipa::path(tag = "health", params(Paging),
    responses((status = 200, description = "A page.", body = OffspringHealth)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/offspring-health")]
pub(crate) async fn list_offspring_health(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
    listing: Listing<All>,
) -> Result<HttpResponse, Problem> {
    let find = async |tx: &mut _| after_placement::offspring_health(tx, path.1).await;
    let all = app.db.within(&scope.0, find).await?;
    let (items, next_cursor) = listing.asked.cut(all, |event| event.id.to_string())?;
    let list = OffspringHealth { items, next_cursor };
    answer::list::<KeptHealthEvent>(&request, list.next_cursor.as_deref(), &list)
}
