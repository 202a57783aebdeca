//! Health plans: the kennel's own, the standard ones, and those applied to litters.

use super::{answer, resource::prelude::*};
use domain::{
    record::{HealthPlanFilter, LitterPlan, LitterPlanFilter},
    schedule::{HealthPlan, HealthPlanVersion, RegionalSchedule, standard_plans_in},
};
use serde::Serialize;
use store::health;
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(list_standard_health_plans)
        .service(read_regional_health_plans)
        .service(create_health_plan)
        .service(list_health_plans)
        .service(read_health_plan)
        .service(change_health_plan)
        .service(delete_health_plan)
        .service(list_health_plan_versions)
        .service(create_litter_plan)
        .service(list_litter_plans)
        .service(read_litter_plan)
        .service(change_litter_plan)
        .service(delete_litter_plan);
}

resource!(HealthPlan, tag "health", one "a health plan of the kennel's own", many "the kennel's own health plans",
    at "/v1/kennels/{kennel_id}/health-plans", "/v1/kennels/{kennel_id}/health-plans/{plan_id}";
    create_health_plan, list_health_plans, read_health_plan, change_health_plan, delete_health_plan);

resource!(LitterPlan, tag "health", one "a health plan that a litter follows beside the default ones",
    many "the health plans applied to a litter",
    at "/v1/kennels/{kennel_id}/litters/{litter_id}/health-plans",
       "/v1/kennels/{kennel_id}/litters/{litter_id}/health-plans/{litter_plan_id}", under litter_id;
    create_litter_plan, list_litter_plans, read_litter_plan, change_litter_plan, delete_litter_plan);

/// The standard plans, from published guidance.
#[derive(Serialize, ToSchema)]
pub(crate) struct StandardHealthPlans {
    /// The plans; those with `default` hold where the kennel says nothing.
    pub items: Vec<HealthPlan>,
    /// The next page's `cursor`; null on the last.
    pub next_cursor: Option<String>,
}

/// Every version of a plan.
#[derive(Serialize, ToSchema)]
pub(crate) struct HealthPlanVersions {
    /// The versions, the first first; none is ever changed.
    pub items: Vec<HealthPlanVersion>,
    /// The next page's `cursor`; null on the last.
    pub next_cursor: Option<String>,
}

/// List the standard health plans, with the source of every step.
///
/// Those that the guideline of the kennel's country calls for have `default` as well, and rabies is as its law
/// has it; `health-plans/regional` says which, and why.
#[utoipa::path(tag = "health", params(Paging),
    responses((status = 200, description = "A page.", body = StandardHealthPlans)))]
#[get("/v1/kennels/{kennel_id}/health-plans/standard")]
pub(crate) async fn list_standard_health_plans(
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<All>,
) -> Result<HttpResponse, Problem> {
    let all = standard_plans_in(scope.0.jurisdiction());
    let (items, next_cursor) = listing.asked.cut(all, |plan| plan.key.clone())?;
    let list = StandardHealthPlans { items, next_cursor };
    answer::list::<HealthPlan>(&request, list.next_cursor.as_deref(), &list)
}

/// Read what the kennel's country calls for.
///
/// Rabies by law, plans by guideline, and which vaccines are live.
#[utoipa::path(tag = "health",
    responses((status = 200, description = "Each row with what was read and when.", body = RegionalSchedule)))]
#[get("/v1/kennels/{kennel_id}/health-plans/regional")]
pub(crate) async fn read_regional_health_plans(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let work = async |tx: &mut _| health::regional(tx).await;
    Ok(HttpResponse::Ok().json(app.db.within(&scope.0, work).await?))
}

/// List the versions of a health plan.
///
/// A litter keeps the version that was in force on the day of its birth, or that was applied to it.
#[utoipa::path(tag = "health", params(Paging),
    responses((status = 200, description = "A page.", body = HealthPlanVersions)))]
#[get("/v1/kennels/{kennel_id}/health-plans/{plan_id}/versions")]
pub(crate) async fn list_health_plan_versions(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
    listing: Listing<All>,
) -> Result<HttpResponse, Problem> {
    let work = async |tx: &mut _| health::versions_of(tx, path.1).await;
    let all = app.db.within(&scope.0, work).await?;
    let number = |version: &HealthPlanVersion| version.number.to_string();
    let (items, next_cursor) = listing.asked.cut(all, number)?;
    let list = HealthPlanVersions { items, next_cursor };
    answer::list::<HealthPlanVersion>(&request, list.next_cursor.as_deref(), &list)
}
