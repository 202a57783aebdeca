//! Leaving for good: one deletes one's login, an owner the kennel.

use super::{account, answer, limits, login::Login, now, resource::prelude::*};
use catalogue::said;
use chrono::{DateTime, Utc};
use outgoing::notices;
use serde::{Deserialize, Serialize};
use store::{StoreError, leaving, scope::Right};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(delete_login).service(delete_kennel).service(keep_kennel);
}

/// One's password, and a code where a second factor is on.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LoginDeletion {
    /// One's password.
    #[schema(example = "a long pass phrase", max_length = 1000, format = "password")]
    password: String,
    /// Code of one's second factor, or a recovery code, where one is on.
    #[serde(default)]
    #[schema(example = "287082", max_length = 40)]
    code: Option<String>,
}

/// Delete one's login, at once and for good.
///
/// Sessions, memberships, access tokens, links, webhooks, devices, what one chose of rings and letters, and
/// invitations that one made or that wait for one's address end; name and address are forgotten, in the log of
/// changes and in answers kept for repeats as well. What one wrote in kennels stays theirs, as that of a former
/// member; so does what others wrote about one, which their owners change. 409 while one is the only owner of a
/// kennel that goes on: make somebody else an owner, or delete the kennel, first. One that is set to end then has
/// nobody who can take that back.
#[utoipa::path(tag = "people", request_body = LoginDeletion,
    responses((status = 204, description = "Deleted; there is no such login any more.")))]
#[post("/v1/me/deletion")]
pub async fn delete_login(
    app: web::Data<App>,
    login: Login,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let LoginDeletion { password, code } = body.parse().await?;
    let session_id = login.0.session_id;
    let account = account::show_again(&app, &request, session_id, password, code).await?;
    let address = leaving::end_login(&app.db, session_id, &account.password_hash, now()).await?;
    limits::forget(&app, &address).await?;
    let forgotten = app.mailer.forget(vec![address.clone()]).await;
    forgotten.map_err(|error| StoreError::Internal(format!("mails in the folder: {error}")))?;
    // In a folder it would be what is left of them.
    if app.mailer.reaches_people() {
        let text = said!("mail-login-deleted");
        account::tell(&app, address, said!("mail-login-deleted-subject"), text);
    }
    Ok(HttpResponse::NoContent().finish())
}

/// The kennel's name, and who deletes it.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KennelDeletion {
    /// The kennel's name, exactly as it is: so that it is the right one.
    #[schema(example = "Larkfell Kennel", max_length = 200)]
    name: String,
    /// One's password.
    #[schema(example = "a long pass phrase", max_length = 1000, format = "password")]
    password: String,
    /// Code of one's second factor, or a recovery code, where one is on.
    #[serde(default)]
    #[schema(example = "287082", max_length = 40)]
    code: Option<String>,
}

/// What becomes of a kennel that was set to end.
#[derive(Serialize, ToSchema)]
pub struct KennelEnding {
    /// When it is deleted with all that it has. Until then any owner takes it back.
    ends_at: DateTime<Utc>,
    /// Where everything is taken along, until then.
    #[schema(example = "/v1/kennels/0197a2c4-7a10-7c3e-9f5b-2d6f0e8a1b34/archive")]
    archive: String,
    /// Whether a mail is on its way to each member.
    mailed: bool,
}

/// Have the kennel deleted in 30 days.
///
/// Until then everything goes on, so that animals are looked after and nothing is missing should an owner take it
/// back: it is read and written, it rings, letters come, and archives are made. Each member is told, by mail where
/// mail is set up; `ends_at` of the kennel says it, and the log. At the end all rows, pictures and papers are deleted,
/// and nobody gets in any more. A repeated request leaves the day as it is.
#[utoipa::path(tag = "kennels", request_body = KennelDeletion,
    responses((status = 200, description = "It ends then.", body = KennelEnding)))]
#[post("/v1/kennels/{kennel_id}/deletion")]
pub async fn delete_kennel(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let scope = scope.0;
    scope.require(Right::Managing)?;
    let session_id = scope.session()?;
    let raw = account::without_proof(&body.0);
    let KennelDeletion { name, password, code } = body.parse().await?;
    account::show_again(&app, &request, session_id, password, code).await?;
    let archive = format!("/v1/kennels/{}/archive", scope.kennel_id());
    answer::once_done(&app, &scope, &request, raw.as_bytes(), async |tx| {
        let end = leaving::end_kennel(tx, &name).await?;
        let mailed = app.mails_people && end.fresh;
        if mailed {
            let (day, link) = (tx.scope().day_of(end.ends_at), app.page_of_kennel());
            let mail = |language| notices::kennel_ends(&name, day, link.as_deref(), language);
            leaving::tell_members(tx, mail).await?;
        }
        Ok(KennelEnding { ends_at: end.ends_at, archive: archive.clone(), mailed })
    })
    .await
}

/// Take back that the kennel is to be deleted.
///
/// 409 when it was not, or its end has come.
#[utoipa::path(tag = "kennels", responses((status = 204, description = "It goes on.")))]
#[delete("/v1/kennels/{kennel_id}/deletion")]
pub async fn keep_kennel(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let keep = async |tx: &mut store::Tx| {
        leaving::keep_kennel(tx).await?;
        if app.mails_people {
            let (name, link) = (tx.scope().kennel().name.clone(), app.page_of_kennel());
            let mail = |language| notices::kennel_goes_on(&name, link.as_deref(), language);
            leaving::tell_members(tx, mail).await?;
        }
        Ok(())
    };
    app.db.writing(&scope.0, keep).await?;
    Ok(HttpResponse::NoContent().finish())
}

impl App {
    /// Where a kennel is looked after, when it is known where others reach the service.
    pub fn page_of_kennel(&self) -> Option<String> {
        self.own_origin.as_ref().map(|origin| format!("{origin}/#/kennel"))
    }
}
