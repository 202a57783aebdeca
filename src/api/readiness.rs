//! What is due today, and whether a pup may go home.

use super::{answer::IfMatch, now, query::Query, resource::prelude::*};
use crate::{
    domain::{
        litter_record::{AskedOn, DogRecord, DueWalk, LitterRecord, due_walk},
        readiness::{KennelReadinessRules, LitterReadiness, Readiness, ReadinessRuleSet},
        record::{Paper, PaperFilter, SetAside, SetAsideFilter},
        schedule::DueList,
    },
    store::{
        Tx,
        litter_records::{self, Asked, Wanted},
        people::Scope,
    },
};
use actix_web::{http::header, put};
use serde::{Deserialize, Serialize};
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

fn ask<'a>(asked: &'a Asked, scope: &Scope) -> AskedOn<'a> {
    AskedOn { book: &asked.book, rules: &asked.rules, now: now(), zone: scope.tz() }
}

/// Which part of what is due to show.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct DueQuery {
    /// Only this litter and its dam.
    pub litter_id: Option<Uuid>,
}

/// Read what is due and late today, in the order of a walk through the kennel.
///
/// Every litter that is here, its dam first, then the pups in order of birth, and the grown dogs
/// last: they are due for what is repeated for life, from the last dose recorded. What is given too
/// early or too close is not counted and comes as a caution.
#[utoipa::path(tag = "health", params(DueQuery),
    responses((status = 200, description = "What is open.", body = DueWalk)))]
#[get("/v1/kennels/{kennel_id}/due")]
pub async fn list_due(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    query: Query<DueQuery>,
) -> Result<HttpResponse, Problem> {
    let wanted = query.0.litter_id.map_or(Wanted::Current, Wanted::Litter);
    let (litters, asked) = app
        .db
        .within(&scope.0, async |tx| {
            let mut litters = litter_records::litters(tx, wanted, now()).await?;
            if wanted == Wanted::Current {
                litters.push(litter_records::grown(tx, &litters).await?);
            }
            Ok((litters, litter_records::asked(tx).await?))
        })
        .await?;
    Ok(HttpResponse::Ok().json(due_walk(&litters, ask(&asked, &scope.0))))
}

/// The record of a dog, that of its litter, and what they are held against.
async fn record_of(
    app: &App,
    scope: &Scope,
    dog_id: Uuid,
) -> Result<(LitterRecord, DogRecord, Asked), Problem> {
    let read = async |tx: &mut Tx| {
        let (litter, dog) = litter_records::of_dog(tx, dog_id, now()).await?;
        Ok((litter, dog, litter_records::asked(tx).await?))
    };
    Ok(app.db.within(scope, read).await?)
}

/// Read the health schedule of a dog: every dose given, due and to come.
#[utoipa::path(tag = "health",
    responses((status = 200, description = "The doses, by their ideal day.", body = DueList)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/schedule")]
pub async fn read_schedule(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (litter, dog, asked) = record_of(&app, &scope.0, path.1).await?;
    Ok(HttpResponse::Ok().json(litter.followed_schedule(&dog, ask(&asked, &scope.0))))
}

/// Read whether a pup may go home, rule by rule, and from which day.
#[utoipa::path(tag = "go-home",
    responses((status = 200, description = "Every rule: met, unmet or unknown, and why.", body = Readiness)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/readiness")]
pub async fn read_dog_readiness(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (litter, dog, asked) = record_of(&app, &scope.0, path.1).await?;
    let readiness = litter.pup_readiness(&dog, &asked.set, ask(&asked, &scope.0));
    let hidden = !scope.0.sees_money();
    Ok(HttpResponse::Ok().json(if hidden { readiness.without_money() } else { readiness }))
}

/// Read whether the pups of a litter may go home: the first day for all, and for each.
#[utoipa::path(tag = "go-home",
    responses((status = 200, description = "The litter, and each pup that is here.", body = LitterReadiness)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/readiness")]
pub async fn read_litter_readiness(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (litters, asked) = app
        .db
        .within(&scope.0, async |tx| {
            let litters = litter_records::litters(tx, Wanted::Litter(path.1), now()).await?;
            Ok((litters, litter_records::asked(tx).await?))
        })
        .await?;
    let litter = litters.first().ok_or_else(Problem::not_found)?;
    let readiness = litter.readiness(&asked.set, ask(&asked, &scope.0));
    let hidden = !scope.0.sees_money();
    Ok(HttpResponse::Ok().json(if hidden { readiness.without_money() } else { readiness }))
}

/// What must hold before a pup leaves.
#[derive(Serialize, ToSchema)]
pub struct ReadinessRulesOfKennel {
    /// What the kennel sets for itself.
    pub own: KennelReadinessRules,
    /// All rules in force: the jurisdiction's, the strict defaults and the kennel's own.
    pub in_force: ReadinessRuleSet,
}

/// Read the rules that a pup must meet before it leaves.
#[utoipa::path(tag = "go-home",
    responses((status = 200, description = "The rules, with the ETag of the kennel's own.", body = ReadinessRulesOfKennel)))]
#[get("/v1/kennels/{kennel_id}/readiness-rules")]
pub async fn read_readiness_rules(
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
#[put("/v1/kennels/{kennel_id}/readiness-rules")]
pub async fn set_readiness_rules(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let own: KennelReadinessRules = body.parse()?;
    let set = async |tx: &mut _| litter_records::set_readiness_rules(tx, &own, version.0).await;
    app.db.within(&scope.0, set).await?;
    rules_of(&app, &scope.0).await
}

async fn rules_of(app: &App, scope: &Scope) -> Result<HttpResponse, Problem> {
    let ((own, version), in_force) = app
        .db
        .within(scope, async |tx| {
            let own = litter_records::own_readiness_rules(tx).await?;
            Ok((own, litter_records::rule_set(tx).await?))
        })
        .await?;
    Ok(HttpResponse::Ok()
        .insert_header((header::ETAG, format!("\"{version}\"")))
        .json(ReadinessRulesOfKennel { own, in_force }))
}
