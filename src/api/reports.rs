//! Reports on a litter and on a year.

use super::{problem::Kind, resource::prelude::*};
use domain::reports::{ClubLitterReport, YearReport, year_report};
use store::{reports, scope::Right};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(read_litter_report).service(read_year_report);
}

/// Read the report on a litter, for the kennel and its club.
///
/// Survivors, losses by age and cause, weights, sexes, and who the parents and the pups are.
/// Nothing of buyers and money is in it.
#[utoipa::path(tag = "reports",
    responses((status = 200, description = "The report, as of today.", body = ClubLitterReport)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/report")]
pub(crate) async fn read_litter_report(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let report = app.db.read_within(&scope.0, async |tx| reports::litter(tx, path.1).await).await?;
    Ok(HttpResponse::Ok().json(report))
}

/// Read the report on a year: litters, survival, growth, income and costs by litter.
///
/// Litters count in the year of their whelping, money in the year of its day: what was received,
/// less what was paid back, and what was spent. Who may not see money gets the rest. A co-owner
/// gets the shared litters and their money.
#[utoipa::path(tag = "reports", params(("year" = i32, Path, description = "The year.", example = 2026)),
    responses((status = 200, description = "The report, as of today.", body = YearReport)))]
#[get("/v1/kennels/{kennel_id}/reports/years/{year}")]
pub(crate) async fn read_year_report(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, i32)>,
) -> Result<HttpResponse, Problem> {
    let scope = scope.0;
    let year = path.1;
    if !(1900..=2999).contains(&year) {
        return Err(Problem::not_found());
    }
    let seat = app.room.seat(scope.kennel_id()).await?;
    let input = app.db.read_within(&scope, async |tx| reports::year(tx, year).await).await?;
    let sees_money = scope.allows(Right::Money);
    let report = move || {
        let report =
            year_report(&input).map_err(|faults| Problem::faults(Kind::NotAcceptable, faults))?;
        Ok(if sees_money { report } else { report.without_money() })
    };
    seat.answer(report).await
}
