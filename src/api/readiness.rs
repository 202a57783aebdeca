//! What is due today, and whether a pup may go home.

use super::{
    answer::{self, IfMatch},
    resource::prelude::*,
};
use actix_web::{http::header, put};
use chrono::NaiveDate;
use domain::{
    advice::Caution,
    alarms::Sights,
    litter::{
        DogCautions, Dosed, DueWalk, Health, Homes, Weights, dog_readiness, due_walk,
        pups_readiness, told_schedule,
    },
    readiness::{KennelReadinessRules, LitterReadiness, Readiness, ReadinessRuleSet, law_cautions},
    record::{Paper, PaperFilter, SetAside, SetAsideFilter},
    schedule::{DueList, WalkStop},
};
use serde::{Deserialize, Serialize};
use store::{
    litters::{self, Which},
    readiness_rules,
    scope::{Right, Scope},
};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(list_due)
        .service(read_schedule)
        .service(read_dog_readiness)
        .service(read_litter_readiness)
        .service(read_readiness_rules)
        .service(set_readiness_rules)
        .service(create_readiness_override)
        .service(list_readiness_overrides)
        .service(read_readiness_override)
        .service(change_readiness_override)
        .service(delete_readiness_override)
        .service(create_paper)
        .service(list_papers)
        .service(read_paper)
        .service(change_paper)
        .service(delete_paper);
}

resource!(SetAside, tag "go-home", one "a readiness rule that an owner sets aside for a pup",
    many "the readiness rules set aside for a pup",
    at "/v1/kennels/{kennel_id}/dogs/{dog_id}/readiness-overrides",
       "/v1/kennels/{kennel_id}/dogs/{dog_id}/readiness-overrides/{override_id}", under dog_id;
    create_readiness_override, list_readiness_overrides, read_readiness_override,
    change_readiness_override, delete_readiness_override);

resource!(Paper, tag "go-home", one "a paper of a pup", many "the papers of a pup",
    at "/v1/kennels/{kennel_id}/dogs/{dog_id}/papers",
       "/v1/kennels/{kennel_id}/dogs/{dog_id}/papers/{paper_id}", under dog_id;
    create_paper, list_papers, read_paper, change_paper, delete_paper);

/// Which part of what is due to show.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct DueQuery {
    /// Only this litter and its dam.
    pub litter_id: Option<Uuid>,
}

/// What is due and late today.
#[derive(Serialize, ToSchema)]
pub(crate) struct DueStops {
    /// The day on the kennel's calendar.
    today: NaiveDate,
    /// The stops: by place and litter, the dam first, then the pups in order of birth.
    items: Vec<WalkStop>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
    /// What was wrong with what was given; of all stops, on every page.
    cautions: Vec<DogCautions>,
}

/// List what is due and late today, in the order of a walk through the kennel.
///
/// Every litter that is here, its dam first, then the pups in order of birth, and the grown dogs
/// last: they are due for what is repeated for life, from the last dose recorded. What is given too
/// early or too close is not counted and comes as a caution.
#[utoipa::path(tag = "health", params(Paging, DueQuery),
    responses((status = 200, description = "A page.", body = DueStops)))]
#[get("/v1/kennels/{kennel_id}/due")]
pub(crate) async fn list_due(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<DueQuery>,
) -> Result<HttpResponse, Problem> {
    let wanted = listing.filter.litter_id.map_or(Which::Kennel, Which::One);
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (litters, moment) = app
        .db
        .within(&scope.0, async |tx| {
            Ok((litters::load::<(Health, Sights)>(tx, wanted).await?, tx.moment().await?))
        })
        .await?;
    let walk = move || {
        let litters: Vec<Dosed<'_>> =
            litters.iter().map(|(core, (health, sights))| (core, health, sights)).collect();
        due_walk(&litters, &moment)
    };
    let DueWalk { today, stops, cautions } = seat.done(walk).await?;
    let (items, next_cursor) = listing.asked.cut(stops, WalkStop::key)?;
    let list = DueStops { today, items, next_cursor, cautions };
    answer::list::<WalkStop>(&request, list.next_cursor.as_deref(), &list)
}

/// Read the health schedule of a dog: every dose given, due and to come.
#[utoipa::path(tag = "health",
    responses((status = 200, description = "The doses, by their ideal day.", body = DueList)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/schedule")]
pub(crate) async fn read_schedule(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (core, (health, sights), moment) = app
        .db
        .within(&scope.0, async |tx| {
            let (core, parts) = litters::of_dog::<(Health, Sights)>(tx, path.1).await?;
            Ok((core, parts, tx.moment().await?))
        })
        .await?;
    let answer = move || {
        let dog = core.pup(path.1).ok_or_else(Problem::not_found)?;
        Ok(told_schedule(&core, (&health, &sights), dog, &moment))
    };
    seat.answer(answer).await
}

/// The parts that going home is judged by, and who has seen what of the alarms.
type Home = (Weights, Health, Homes, Sights);

/// Read whether a pup may go home, rule by rule, and from which day.
#[utoipa::path(tag = "go-home",
    responses((status = 200, description = "Every rule: met, unmet or unknown, and why.", body = Readiness)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/readiness")]
pub(crate) async fn read_dog_readiness(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (core, (weights, health, homes, sights), set, moment) = app
        .db
        .within(&scope.0, async |tx| {
            let (core, parts) = litters::of_dog::<Home>(tx, path.1).await?;
            Ok((core, parts, readiness_rules::in_force(tx).await?, tx.moment().await?))
        })
        .await?;
    let hidden = !scope.0.allows(Right::Money);
    let answer = move || {
        let pup = core.pup(path.1).ok_or_else(Problem::not_found)?;
        let parts = (&weights, &health, &homes, &sights);
        let readiness = dog_readiness(&core, parts, pup, &set, &moment);
        Ok(if hidden { readiness.without_money() } else { readiness })
    };
    seat.answer(answer).await
}

/// Read whether the pups of a litter may go home: the first day for all, and for each.
#[utoipa::path(tag = "go-home",
    responses((status = 200, description = "The litter, and each pup that is here.", body = LitterReadiness)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/readiness")]
pub(crate) async fn read_litter_readiness(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (core, (weights, health, homes, sights), set, moment) = app
        .db
        .within(&scope.0, async |tx| {
            let (core, parts) = litters::one::<Home>(tx, path.1).await?;
            Ok((core, parts, readiness_rules::in_force(tx).await?, tx.moment().await?))
        })
        .await?;
    let hidden = !scope.0.allows(Right::Money);
    let answer = move || {
        let parts = (&weights, &health, &homes, &sights);
        let readiness = pups_readiness(&core, parts, &set, &moment);
        Ok(if hidden { readiness.without_money() } else { readiness })
    };
    seat.answer(answer).await
}

/// What must hold before a pup leaves.
#[derive(Serialize, ToSchema)]
pub(crate) struct ReadinessRulesOfKennel {
    /// What the kennel sets for itself.
    pub own: KennelReadinessRules,
    /// All rules in force: the jurisdiction's, the strict defaults and the kennel's own.
    pub in_force: ReadinessRuleSet,
    /// What to know of the law behind them.
    pub cautions: Vec<Caution>,
}

/// Read the rules that a pup must meet before it leaves.
#[utoipa::path(tag = "go-home",
    responses((status = 200, description = "The rules, with the ETag of the kennel's own.", body = ReadinessRulesOfKennel)))]
#[get("/v1/kennels/{kennel_id}/rules/readiness")]
pub(crate) async fn read_readiness_rules(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    rules_of(&app, &scope.0).await
}

/// Set what the kennel asks before a pup leaves, on top of its jurisdiction.
///
/// The ETag is that of `GET`; it is `"0"` as long as nothing was set.
#[utoipa::path(tag = "go-home", request_body = KennelReadinessRules,
    responses((status = 200, description = "The rules as they are now.", body = ReadinessRulesOfKennel)))]
#[put("/v1/kennels/{kennel_id}/rules/readiness")]
pub(crate) async fn set_readiness_rules(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let own: KennelReadinessRules = body.parse().await?;
    let set = async |tx: &mut _| readiness_rules::set(tx, &own, version.0).await;
    app.db.writing(&scope.0, set).await?;
    rules_of(&app, &scope.0).await
}

async fn rules_of(app: &App, scope: &Scope) -> Result<HttpResponse, Problem> {
    let ((own, version), in_force) = app
        .db
        .within(scope, async |tx| {
            let own = readiness_rules::own(tx).await?;
            Ok((own, readiness_rules::in_force(tx).await?))
        })
        .await?;
    let cautions = law_cautions(&in_force, scope.today());
    Ok(HttpResponse::Ok()
        .insert_header((header::ETAG, format!("\"{version}\"")))
        .json(ReadinessRulesOfKennel { own, in_force, cautions }))
}
