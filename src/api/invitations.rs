//! Invitations: made, mailed where mail is set up, listed and withdrawn.

use super::{
    answer::{self, Created},
    end_of,
    resource::prelude::*,
};
use catalogue::{Language, spoken};
use chrono::{DateTime, Duration, Utc};
use domain::record::{Invitation, InvitationFilter, Role};
use outgoing::notices::Invited;
use security::credentials;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use store::{accounts, keep::RowPath, kennels, rings};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(create_invitation).service(list_invitations).service(delete_invitation);
}

/// How long an invitation stays open.
const INVITATION_DAYS: i64 = 14;

/// Whom to invite.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct InvitationRequest {
    /// Address of the person invited.
    #[schema(example = "wren@example.org", format = "email", min_length = 3, max_length = 254)]
    email: String,
    /// The role they will have.
    role: Role,
    /// The language of the mail to them; null for the one that is spoken to whoever invites.
    #[serde(default)]
    language: Option<Language>,
}

/// An invitation with its secret, shown once.
#[derive(Serialize, ToSchema)]
pub struct NewInvitation {
    /// The invitation.
    invitation: KeptInvitation,
    /// Give it to the person invited, when they get no mail; they send it to `/v1/invitations/accept`.
    token: String,
    /// Whether a mail with the link is on its way to them.
    mailed: bool,
    /// Until when it is good.
    expires_at: DateTime<Utc>,
}

type KeptInvitation = Kept<Invitation>;
type InvitationList = List<Invitation>;

/// Invite somebody to the kennel.
///
/// Where mail is set up, and it is known where others reach the service (`DENWRIGHT_PUBLIC_URL`), the link goes to
/// the address by mail, tried for three days; it goes with the invitation when that is withdrawn. Elsewhere
/// `mailed` is false: hand the token over yourself.
#[utoipa::path(tag = "kennels", request_body = InvitationRequest,
    responses((status = 201, description = "Invited.", body = NewInvitation)))]
#[post("/v1/kennels/{kennel_id}/invitations")]
pub async fn create_invitation(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let raw = body.digest();
    let InvitationRequest { email, role, language } = body.parse().await?;
    let invitation = Invitation { email, role };
    let token = credentials::new_secret("");
    let expires_at = end_of(Duration::days(INVITATION_DAYS));
    let mail = mail(&app, &scope, &invitation, (&token, expires_at), language).await?;
    answer::once_shown(&app, &scope.0, &request, &raw, async |tx| {
        let kept =
            kennels::invite(tx, &invitation, &credentials::hash_secret(&token), expires_at).await?;
        if let Some(mail) = &mail {
            rings::mail_invitation(tx, kept.id, mail).await?;
        }
        let created = Created::row(request.path(), kept.clone());
        let (token, mailed) = (token.clone(), mail.is_some());
        let body = NewInvitation { invitation: kept, token, mailed, expires_at };
        Ok(Created { location: created.location, version: created.version, body })
    })
    .await
}

/// The mail to whoever is invited; `None` where none can be sent.
async fn mail(
    app: &App,
    scope: &InKennel,
    invitation: &Invitation,
    (token, expires_at): (&str, DateTime<Utc>),
    language: Option<Language>,
) -> Result<Option<Value>, Problem> {
    let Some(origin) = app.own_origin.as_ref().filter(|_| app.mails_people) else {
        return Ok(None);
    };
    let inviter = accounts::of_session(&app.db, scope.0.session()?).await?.person.name;
    let invited = Invited {
        kennel: &scope.0.kennel().name,
        inviter: &inviter,
        role: invitation.role,
        link: &format!("{origin}/#/join/{token}"),
        last_on: scope.0.day_of(expires_at),
    };
    Ok(Some(invited.mail(language.unwrap_or_else(spoken))))
}

/// List the invitations, oldest first.
#[utoipa::path(tag = "kennels", params(Paging, InvitationFilter),
    responses((status = 200, description = "A page.", body = InvitationList)))]
#[get("/v1/kennels/{kennel_id}/invitations")]
pub async fn list_invitations(
    app: web::Data<App>,
    claim: Asks,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<InvitationFilter>,
) -> Result<HttpResponse, Problem> {
    crate::resource::list::<Invitation>(&app, &claim.0, &request, None, listing).await
}

/// Withdraw an invitation.
#[utoipa::path(tag = "kennels", responses((status = 204, description = "Withdrawn.")))]
#[delete("/v1/kennels/{kennel_id}/invitations/{invitation_id}")]
pub async fn delete_invitation(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    version: IfMatch,
) -> Result<HttpResponse, Problem> {
    scope.0.require_person()?;
    crate::resource::delete::<Invitation>(&app, &scope.0, RowPath::from(path.1), version.0).await
}
