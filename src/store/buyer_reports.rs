//! What new owners tell of dogs by their booklets' links, and what the kennel takes of it into the record.
//!
//! A link is nobody's login and writes nothing: the functions in `migrations/functions/buyer_reports.sql` enter a report
//! by it, tell its own and take one back.

use super::{
    StoreError, StoreResult, Tx,
    columns::{Shape, Word},
    keep::{Conditions, Gather as _, Hooks, Keep as _, Page, keep, write},
    schema,
    scope::Right,
    statement::statement,
};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, NullableExpressionMethods as _,
    QueryDsl as _, QueryableByName,
    sql_types::{Bool, Bytea, Date, Nullable, Text, Timestamptz, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    fault::Fault,
    litter::called,
    record::{
        BuyerNews, BuyerReport, BuyerReportFilter, Dog, Kept, ReportPart, ReportStatus, TakenNews,
    },
    report_tasks::WaitingReport,
};
use std::collections::BTreeMap;
use uuid::Uuid;

keep!(BuyerReport in buyer_reports { dog_id, buyer_id, link_id, news, status, refusal_reason, decided_on }
sorted { decided_on Day, status Word }
filter BuyerReportFilter { dog_id == dog_id, status == status }
and asked_of_reports);

/// What a list of reports asks beside the values of columns.
fn asked_of_reports(
    filter: &BuyerReportFilter,
    _today: Option<NaiveDate>,
) -> Option<Conditions<schema::buyer_reports::table>> {
    use schema::{buyer_reports::dsl, dogs};
    let mut asked: Conditions<schema::buyer_reports::table> = Vec::new();
    if let Some(buyer_id) = filter.buyer_id {
        asked.push(Box::new(dsl::buyer_id.eq(buyer_id)));
    }
    if let Some(parent) = filter.parent_id {
        let offspring = dogs::table
            .filter(dogs::kennel_id.eq(dsl::kennel_id).and(dogs::id.eq(dsl::dog_id)))
            .filter(dogs::sire_id.eq(parent).or(dogs::dam_id.eq(parent)))
            .select(dogs::id);
        asked.push(Box::new(diesel::dsl::exists(offspring).nullable()));
    }
    Some(asked)
}

impl Hooks for BuyerReport {}

/// A report as the link by which it was told shows it.
#[derive(Debug, Clone, QueryableByName)]
pub struct OwnReport {
    /// Id.
    #[diesel(sql_type = SqlUuid)]
    pub id: Uuid,
    /// When it was told.
    #[diesel(sql_type = Timestamptz)]
    pub created_at: DateTime<Utc>,
    /// What was told.
    #[diesel(sql_type = Shape)]
    pub news: BuyerNews,
    /// How far it has come.
    #[diesel(sql_type = Word)]
    pub status: ReportStatus,
    /// Why it was refused.
    #[diesel(sql_type = Nullable<Text>)]
    pub refusal_reason: Option<String>,
    /// The day of the decision.
    #[diesel(sql_type = Nullable<Date>)]
    pub decided_on: Option<NaiveDate>,
}

/// Enters what is told by a booklet's link; it waits for somebody of the kennel.
///
/// # Errors
/// [`StoreError::NotFound`] when the link is none, [`StoreError::Conflict`] when too many wait for a decision.
pub async fn tell(tx: &mut Tx, secret_hash: &[u8], news: BuyerNews) -> StoreResult<OwnReport> {
    let id = Uuid::now_v7();
    statement("SELECT tell_by_booklet_link($1, $2, $3)")
        .bind::<Bytea, _>(secret_hash)
        .bind::<SqlUuid, _>(id)
        .bind::<Shape, _>(news)
        .execute(&mut tx.conn)
        .await?;
    let own = told(tx, secret_hash).await?;
    own.into_iter().find(|report| report.id == id).ok_or(StoreError::NotFound)
}

/// What was told by a booklet's link, oldest first.
///
/// # Errors
/// When the database is away.
pub async fn told(tx: &mut Tx, secret_hash: &[u8]) -> StoreResult<Vec<OwnReport>> {
    Ok(statement("SELECT * FROM told_by_booklet_link($1)")
        .bind::<Bytea, _>(secret_hash)
        .load(&mut tx.conn)
        .await?)
}

/// Takes back what was told by a booklet's link and is not decided: nothing of it is left.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such report of this link that waits.
pub async fn take_back(tx: &mut Tx, secret_hash: &[u8], id: Uuid) -> StoreResult<()> {
    #[derive(QueryableByName)]
    struct Gone {
        #[diesel(sql_type = Bool)]
        gone: bool,
    }
    let answer: Gone = statement("SELECT take_back_by_booklet_link($1, $2) AS gone")
        .bind::<Bytea, _>(secret_hash)
        .bind::<SqlUuid, _>(id)
        .get_result(&mut tx.conn)
        .await?;
    if answer.gone { Ok(()) } else { Err(StoreError::NotFound) }
}

/// Most reports that wait and are told as tasks; ten wait of a dog at most.
const MOST_WAITING: Page = Page::first(1_000);

/// The reports that wait for a decision, with what their dogs are called.
///
/// # Errors
/// When the database is away.
pub async fn waiting(tx: &mut Tx) -> StoreResult<Vec<WaitingReport>> {
    let filter =
        BuyerReportFilter { status: Some(ReportStatus::Waiting), ..BuyerReportFilter::default() };
    let reports = BuyerReport::page(tx, None, &filter, MOST_WAITING).await?;
    if reports.is_empty() {
        return Ok(Vec::new());
    }
    let dog_ids: Vec<Uuid> = reports.iter().map(|report| report.record.dog_id).collect();
    let dogs: BTreeMap<Uuid, Dog> =
        Dog::gather(tx, &dog_ids).await?.into_iter().map(|kept| (kept.id, kept.record)).collect();
    let named = |report: Kept<BuyerReport>| {
        let dog = dogs.get(&report.record.dog_id).and_then(called);
        (report, dog)
    };
    Ok(reports.into_iter().map(named).collect())
}

/// What somebody of the kennel makes of a report.
#[derive(Debug, Clone, Copy)]
pub enum Decision<'a> {
    /// It goes into the record of its dog, but for these parts.
    Accept(&'a [ReportPart]),
    /// It does not, for this reason.
    Refuse(&'a str),
}

/// Decides what becomes of a report; of one that is accepted the record of its dog takes all that is not left out.
///
/// # Errors
/// [`StoreError::Conflict`] when it was decided already, [`StoreError::Refused`] where the record does not allow what
/// was told, at the place in the report.
pub async fn decide(
    tx: &mut Tx,
    id: Uuid,
    decision: Decision<'_>,
) -> StoreResult<Kept<BuyerReport>> {
    tx.scope.require(Right::Placing)?;
    tx.begin_writing().await?;
    let report = BuyerReport::select(tx, id, true).await?;
    let today = tx.scope.today();
    let decided = match decision {
        Decision::Accept(left_out) => {
            let decided = report.record.accepted_on(today)?;
            take(tx, &report, left_out).await?;
            decided
        }
        Decision::Refuse(reason) => report.record.refused_on(today, reason)?,
    };
    write::change_settled(tx, id, &report.record, &decided).await?;
    BuyerReport::select(tx, id, false).await
}

/// Writes what a report tells as anybody of the kennel would write it.
async fn take(tx: &mut Tx, report: &Kept<BuyerReport>, left_out: &[ReportPart]) -> StoreResult<()> {
    let dog = Dog::select(tx, report.record.dog_id, true).await?;
    let moment = tx.moment().await?;
    let told_on = moment.day_of(report.created_at);
    let taken = report.record.taken(told_on, left_out, &dog.record, &moment);
    let TakenNews { weight, health, dog: known } = taken;
    if let Some(weight) = weight {
        write::create(tx, &weight).await.map_err(|error| at("/news/weight_g", error))?;
    }
    for (index, event) in health.iter().enumerate() {
        let place = format!("/news/health/{index}");
        write::create(tx, event).await.map_err(|error| at(&place, error))?;
    }
    let Some(known) = known else { return Ok(()) };
    let seen = super::keep::Seen::Version(dog.version);
    let make = async |_: &Kept<Dog>| Ok::<Dog, std::convert::Infallible>(known);
    match write::change(tx, dog.id, seen, make).await.map_err(|error| at("/news", error))? {
        Ok(_) => Ok(()),
        Err(never) => match never {},
    }
}

/// What the record does not allow, at its place in the report.
fn at(place: &str, error: StoreError) -> StoreError {
    match error {
        StoreError::Refused(faults) => StoreError::Refused(
            faults.into_iter().map(|fault| Fault { pointer: place.to_owned(), ..fault }).collect(),
        ),
        other => other,
    }
}
