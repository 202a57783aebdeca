//! The kennel, its members, access tokens and rules.

use super::{
    account,
    answer::{self, Created},
    login::Login,
    resource::prelude::*,
};
use chrono::{DateTime, Utc};
use domain::{
    record::{Area, Kennel, Member, Role, RuleOverride, RuleOverrideFilter},
    rules::Rule,
};
use security::credentials::{self, ACCESS_TOKEN_PREFIX};
use serde::{Deserialize, Serialize};
use store::{
    StoreResult, Tx,
    keep::RowPath,
    kennels, leaving,
    scope::{self, Right},
};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(create_kennel)
        .service(read_kennel)
        .service(change_kennel)
        .service(list_members)
        .service(read_member)
        .service(change_member)
        .service(delete_member)
        .service(create_access_token)
        .service(list_access_tokens)
        .service(delete_access_token)
        .service(create_rule_override)
        .service(list_rule_overrides)
        .service(read_rule_override)
        .service(change_rule_override)
        .service(delete_rule_override)
        .service(list_rules);
}

type KeptKennel = Kept<Kennel>;
type KennelPatch = Patch<Kennel>;

/// A kennel, and whether it is to end.
#[derive(Serialize, ToSchema)]
pub struct KennelOnRecord {
    #[serde(flatten)]
    kept: KeptKennel,
    /// When it is deleted with all that it has; null while it goes on. Read only.
    ends_at: Option<DateTime<Utc>>,
}

impl KennelOnRecord {
    async fn of(tx: &mut Tx, kept: KeptKennel) -> StoreResult<Self> {
        Ok(Self { kept, ends_at: leaving::ends_at(tx).await? })
    }

    fn answer(&self) -> HttpResponse {
        answer::tagged(self.kept.version, self)
    }
}

/// Found a kennel; the caller becomes its owner.
#[utoipa::path(tag = "kennels", request_body = Kennel,
    responses((status = 201, description = "Founded.", body = KennelOnRecord)))]
#[post("/v1/kennels")]
pub(crate) async fn create_kennel(
    app: web::Data<App>,
    login: Login,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let raw = body.digest();
    let kennel: Kennel = body.record(app.clock.now()).await?;
    let scope = scope::founding(login.0, &kennel, app.clock.now());
    answer::once(&app, &scope, &request, &raw, async |tx| {
        let Created { location, version, body } =
            Created::row(request.path(), kennels::found(tx).await?);
        Ok(Created { location, version, body: KennelOnRecord::of(tx, body).await? })
    })
    .await
}

/// Read the kennel.
#[utoipa::path(tag = "kennels", responses((status = 200, description = "It.", body = KennelOnRecord)))]
#[get("/v1/kennels/{kennel_id}")]
pub(crate) async fn read_kennel(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let find = async |tx: &mut Tx| {
        let kept = kennels::find(tx).await?;
        KennelOnRecord::of(tx, kept).await
    };
    Ok(app.db.within(&scope.0, find).await?.answer())
}

/// Change the kennel by a JSON Merge Patch.
#[utoipa::path(tag = "kennels",
    request_body(content = KennelPatch, content_type = "application/merge-patch+json"),
    responses((status = 200, description = "As it is now.", body = KennelOnRecord)))]
#[patch("/v1/kennels/{kennel_id}")]
pub(crate) async fn change_kennel(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let work = async |tx: &mut Tx| {
        let make = async |kept: &Kept<Kennel>| body.patched(&kept.record, scope.0.now()).await;
        match kennels::change(tx, version.0, make).await? {
            Ok(kept) => Ok(Ok(KennelOnRecord::of(tx, kept).await?)),
            Err(problem) => Ok(Err(problem)),
        }
    };
    Ok(app.db.writing(&scope.0, work).await??.answer())
}

/// A member of the kennel.
#[derive(Serialize, ToSchema)]
pub(crate) struct MemberAnswer {
    /// Id of the membership.
    id: Uuid,
    /// Counts the changes.
    version: i64,
    /// When they joined.
    created_at: DateTime<Utc>,
    /// When the membership was changed last.
    updated_at: DateTime<Utc>,
    /// The person.
    person_id: Uuid,
    /// Their name.
    #[schema(example = "Maren Holt")]
    name: String,
    /// Their email address; null for members who need not see it.
    #[schema(example = "maren@example.org")]
    email: Option<String>,
    /// What they may do.
    role: Role,
}

/// The members of the kennel.
#[derive(Serialize, ToSchema)]
pub(crate) struct Members {
    /// In the order in which they joined.
    items: Vec<MemberAnswer>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
}

/// List the members of the kennel.
#[utoipa::path(tag = "kennels", params(Paging), responses((status = 200, description = "A page.", body = Members)))]
#[get("/v1/kennels/{kennel_id}/members")]
pub(crate) async fn list_members(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<All>,
) -> Result<HttpResponse, Problem> {
    let scope = scope.0;
    let sees_email = scope.allows(Right::Placing);
    let members = app.db.within(&scope, async |tx| kennels::members(tx).await).await?;
    let (members, next_cursor) = listing.asked.cut(members, |of| of.member.id.to_string())?;
    let items = members
        .into_iter()
        .map(|of| MemberAnswer {
            id: of.member.id,
            version: of.member.version,
            created_at: of.member.created_at,
            updated_at: of.member.updated_at,
            person_id: of.person.id,
            name: of.person.name,
            email: Some(of.person.email).filter(|_| sees_email),
            role: of.member.record.role,
        })
        .collect();
    let list = Members { items, next_cursor };
    answer::list::<MemberAnswer>(&request, list.next_cursor.as_deref(), &list)
}

type KeptMember = Kept<Member>;
type MemberPatch = Patch<Member>;

/// Read a membership.
#[utoipa::path(tag = "kennels", responses((status = 200, description = "It.", body = KeptMember)))]
#[get("/v1/kennels/{kennel_id}/members/{member_id}")]
pub(crate) async fn read_member(
    app: web::Data<App>,
    claim: Asks,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    crate::resource::read::<Kept<Member>>(&app, &claim.0, RowPath::from(path.1)).await
}

/// Change a member's role.
#[utoipa::path(tag = "kennels",
    request_body(content = MemberPatch, content_type = "application/merge-patch+json"),
    responses((status = 200, description = "As it is now.", body = KeptMember)))]
#[patch("/v1/kennels/{kennel_id}/members/{member_id}")]
pub(crate) async fn change_member(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    scope.0.require_person()?;
    crate::resource::change::<Kept<Member>>(&app, &scope.0, RowPath::from(path.1), version.0, body)
        .await
}

/// End a membership: an owner anybody's, everybody else their own.
#[utoipa::path(tag = "kennels", responses((status = 204, description = "Ended.")))]
#[delete("/v1/kennels/{kennel_id}/members/{member_id}")]
pub(crate) async fn delete_member(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    version: IfMatch,
) -> Result<HttpResponse, Problem> {
    scope.0.require_person()?;
    app.db
        .writing(&scope.0, async |tx| kennels::end_membership(tx, path.1, version.0).await)
        .await?;
    Ok(HttpResponse::NoContent().finish())
}

/// A new access token for a front end's own server.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NewAccessToken {
    /// What it is for.
    #[schema(example = "Wall screen", min_length = 1, max_length = 200)]
    name: String,
    /// Whether it only reads.
    read_only: bool,
    /// The areas it opens beside reading dogs; null for all that one's role allows.
    #[serde(default)]
    #[schema(example = json!(["observations"]))]
    areas: Option<Vec<Area>>,
    /// When it ends; null never.
    #[serde(default)]
    expires_at: Option<DateTime<Utc>>,
    /// One's password, once more.
    #[schema(example = "a long pass phrase", max_length = 1000, format = "password")]
    password: String,
    /// Code of one's second factor, or a recovery code, where one is on.
    #[serde(default)]
    #[schema(example = "287082", max_length = 40)]
    code: Option<String>,
}

/// An access token.
#[derive(Serialize, ToSchema)]
pub(crate) struct AccessTokenAnswer {
    /// Id.
    id: Uuid,
    /// The person on whose behalf it acts.
    person_id: Uuid,
    /// What it is for.
    #[schema(example = "Wall screen")]
    name: String,
    /// Whether it only reads.
    read_only: bool,
    /// The areas it opens; null for all that its person's role allows.
    #[schema(example = json!(["observations"]))]
    areas: Option<Vec<String>>,
    /// When it ends; null never.
    expires_at: Option<DateTime<Utc>>,
    /// When it was made.
    created_at: DateTime<Utc>,
    /// The token itself: shown once, when it is made, null afterwards.
    token: Option<String>,
}

impl AccessTokenAnswer {
    fn of(token: kennels::AccessToken, secret: Option<String>) -> Self {
        let kennels::AccessToken { id, person_id, name, read_only, areas, expires_at, created_at } =
            token;
        Self { id, person_id, name, read_only, areas, expires_at, created_at, token: secret }
    }
}

/// Access tokens.
#[derive(Serialize, ToSchema)]
pub(crate) struct AccessTokens {
    /// Oldest first.
    items: Vec<AccessTokenAnswer>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
}

/// Make an access token that acts on one's own behalf.
///
/// It may neither make tokens or calendar links, nor invite people or change who belongs here. It outlives
/// one's session, so it asks for one's password again, and for a code where a second factor is on; it ends
/// with one's membership.
#[utoipa::path(tag = "kennels", request_body = NewAccessToken,
    responses((status = 201, description = "Made; the token is shown this once.", body = AccessTokenAnswer)))]
#[post("/v1/kennels/{kennel_id}/access-tokens")]
pub(crate) async fn create_access_token(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let session_id = scope.0.session()?;
    let raw = account::without_proof(&body.0);
    let NewAccessToken { name, read_only, areas, expires_at, password, code } =
        body.parse().await?;
    account::show_again(&app, &request, session_id, password, code).await?;
    let new = kennels::NewAccessToken { name, read_only, areas, expires_at };
    let secret = credentials::new_secret(ACCESS_TOKEN_PREFIX);
    let hash = credentials::hash_secret(&secret);
    answer::once_shown(&app, &scope.0, &request, raw.as_bytes(), async |tx| {
        let token = kennels::add_access_token(tx, &hash, &new).await?;
        let location = format!("{}/{}", request.path(), token.id);
        Ok(Created { location, version: None, body: AccessTokenAnswer::of(token, Some(secret)) })
    })
    .await
}

/// List the access tokens: an owner sees all, everybody else their own.
#[utoipa::path(tag = "kennels", params(Paging), responses((status = 200, description = "A page.", body = AccessTokens)))]
#[get("/v1/kennels/{kennel_id}/access-tokens")]
pub(crate) async fn list_access_tokens(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<All>,
) -> Result<HttpResponse, Problem> {
    let tokens = app.db.within(&scope.0, async |tx| kennels::access_tokens(tx).await).await?;
    let (tokens, next_cursor) = listing.asked.cut(tokens, |token| token.id.to_string())?;
    let items = tokens.into_iter().map(|token| AccessTokenAnswer::of(token, None)).collect();
    let list = AccessTokens { items, next_cursor };
    answer::list::<AccessTokenAnswer>(&request, list.next_cursor.as_deref(), &list)
}

/// Withdraw an access token.
#[utoipa::path(tag = "kennels", responses((status = 204, description = "Withdrawn.")))]
#[delete("/v1/kennels/{kennel_id}/access-tokens/{token_id}")]
pub(crate) async fn delete_access_token(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    app.db.writing(&scope.0, async |tx| kennels::remove_access_token(tx, path.1).await).await?;
    Ok(HttpResponse::NoContent().finish())
}

resource!(RuleOverride, tag "rules", one "the kennel's own value for a rule", many "the kennel's own values",
    at "/v1/kennels/{kennel_id}/rules/overrides", "/v1/kennels/{kennel_id}/rules/overrides/{override_id}";
    create_rule_override, list_rule_overrides, read_rule_override, change_rule_override, delete_rule_override);

/// A rule that advice rests on.
#[derive(Serialize, ToSchema)]
pub(crate) struct RuleListed {
    /// Key of the rule.
    #[schema(example = "growth.early_loss")]
    key: String,
    /// The rule.
    rule: Rule,
}

/// The rules in force.
#[derive(Serialize, ToSchema)]
pub(crate) struct RulesListed {
    /// By key.
    items: Vec<RuleListed>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
}

/// List the rules in force, with their units, sources and ranges.
#[utoipa::path(tag = "rules", params(Paging), responses((status = 200, description = "A page.", body = RulesListed)))]
#[get("/v1/kennels/{kennel_id}/rules")]
pub(crate) async fn list_rules(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<All>,
) -> Result<HttpResponse, Problem> {
    let rules = app.db.within(&scope.0, async |tx| kennels::rules(tx).await).await?;
    let rules = rules
        .iter()
        .map(|(key, rule)| RuleListed { key: key.to_owned(), rule: rule.clone() })
        .collect();
    let (items, next_cursor) = listing.asked.cut(rules, |rule: &RuleListed| rule.key.clone())?;
    let list = RulesListed { items, next_cursor };
    answer::list::<RuleListed>(&request, list.next_cursor.as_deref(), &list)
}
