//! Money and pups between co-owners: a statement a holder.

use super::{
    answer,
    problem::{Kind, Problem},
    resource::prelude::*,
};
use chrono::NaiveDate;
use domain::co_ownership::{
    HolderSums, StatementLine, StatementLitter, StatementSpan, StatementSums, statement,
    sums_by_holder,
};
use serde::{Deserialize, Serialize};
use store::co_ownership;
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(list_statements).service(read_statement);
}

/// The days of a statement.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct StatementQuery {
    /// First day; when left out the first of January of the last day's year.
    #[param(example = "2026-01-01")]
    first_on: Option<NaiveDate>,
    /// Last day; today when left out.
    #[param(example = "2026-12-31")]
    last_on: Option<NaiveDate>,
}

impl StatementQuery {
    fn span(&self, today: NaiveDate) -> Result<StatementSpan, Problem> {
        StatementSpan::asked(self.first_on, self.last_on, today).map_err(refused)
    }
}

/// What the parts of all holders add up to.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Statements {
    /// First day.
    first_on: NaiveDate,
    /// Last day.
    last_on: NaiveDate,
    /// A row a holder and currency; the kennel's own first, under its own id.
    items: Vec<HolderSums>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
}

/// List what each co-owner's part of income and costs comes to, by currency.
///
/// The parts of all holders add up to the money to the cent; what nobody holds by name is the kennel's. A co-owner
/// gets their own row alone.
#[utoipa::path(tag = "money", params(Paging, StatementQuery),
    responses((status = 200, description = "A page.", body = Statements)))]
#[get("/v1/kennels/{kennel_id}/statements")]
pub(crate) async fn list_statements(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<StatementQuery>,
) -> Result<HttpResponse, Problem> {
    let (kennel_id, span) = (scope.0.kennel_id(), listing.filter.span(scope.0.today())?);
    let seat = app.room.seat(kennel_id).await?;
    let find = async |tx: &mut _| {
        Ok((co_ownership::known(tx, span).await?, co_ownership::only_holder(tx)))
    };
    let (known, only) = app.db.within(&scope.0, find).await?;
    let sums = move || sums_by_holder(&known, kennel_id, span);
    let mut all = seat.done(sums).await?.map_err(refused)?;
    all.retain(|row| only.is_none_or(|only| row.holder_id == only));
    let key = |row: &HolderSums| format!("{}:{}", row.holder_id, row.sums.currency);
    let (items, next_cursor) = listing.asked.cut(all, key)?;
    let StatementSpan { first_on, last_on } = span;
    let list = Statements { first_on, last_on, items, next_cursor };
    answer::list::<HolderSums>(&request, list.next_cursor.as_deref(), &list)
}

/// The statement of one holder.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct HolderStatement {
    /// The person; the kennel's own id for what nobody holds by name.
    holder_id: Uuid,
    /// First day.
    first_on: NaiveDate,
    /// Last day.
    last_on: NaiveDate,
    /// What all lines add up to, by currency.
    sums: Vec<StatementSums>,
    /// The litters whelped within these days, with the holder's part of their pups.
    litters: Vec<StatementLitter>,
    /// The lines, by day.
    items: Vec<StatementLine>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
}

/// Read a co-owner's statement: income, costs and pups by the shares held on the day.
///
/// Each sum is divided by the shares of its own day: a pup's by the shares in the pup where somebody holds one, else
/// by those in its dam; a litter's cost by those in the dam. A change of shares divides what comes from its first day
/// on. What is paid back to a buyer goes by what was received of them. Pups go by the shares on the day of the litter's
/// first birth. As a table it has the lines. A co-owner reads their own alone, also for days before their share ended;
/// the kennel's own stands under the kennel's id.
#[utoipa::path(tag = "money", params(Paging, StatementQuery,
        ("holder_id" = Uuid, Path, description = "A person, or the kennel's own id.")),
    responses((status = 200, description = "The statement, a page of its lines.", body = HolderStatement)))]
#[get("/v1/kennels/{kennel_id}/statements/{holder_id}")]
pub(crate) async fn read_statement(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
    listing: Listing<StatementQuery>,
) -> Result<HttpResponse, Problem> {
    let (_, holder_id) = path.into_inner();
    let span = listing.filter.span(scope.0.today())?;
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let find = async |tx: &mut _| {
        let holder = co_ownership::holder(tx, holder_id).await?;
        Ok((holder, co_ownership::known(tx, span).await?))
    };
    let (holder, known) = app.db.within(&scope.0, find).await?;
    let told = seat.done(move || statement(&known, holder, span)).await?.map_err(refused)?;
    let line = |line: &StatementLine| line.entry_id.to_string();
    let (items, next_cursor) = listing.asked.cut(told.lines, line)?;
    let StatementSpan { first_on, last_on } = span;
    let (sums, litters) = (told.sums, told.litters);
    let list = HolderStatement { holder_id, first_on, last_on, sums, litters, items, next_cursor };
    answer::list::<StatementLine>(&request, list.next_cursor.as_deref(), &list)
}

fn refused(fault: domain::fault::Fault) -> Problem {
    Problem::faults(Kind::NotAcceptable, vec![fault])
}
