//! The night: its log, where it stands, and how the dam is after it.

use super::{
    alarms::of_litter,
    booklets::{PaperQuery, printed},
    inbreeding::current_book,
    problem::Kind,
    query::{Query, in_language},
    resource::prelude::*,
};
use catalogue::{Text, said};
use documents::{pdf::PaperFormat, whelping_sheet::whelping_sheet_pdf};
use domain::{
    advice::standing_line,
    alarms::Alarm,
    dam_after_birth::{DamHealth, Puerperium, dam_health},
    litter::{
        Pregnancy, PupOfNight, WhelpingWatch, collars_worn, dam_after_whelping, puerperium_of_dam,
        pups_of_night, signs_of_dam, whelping_status,
    },
    record::{DamCheck, DamCheckFilter, WhelpingLine, WhelpingLineFilter},
    whelping::{WhelpingStatus, next_free_collar, sheet::whelping_sheet},
};
use serde::Serialize;
use store::{
    kennels,
    litters::{self, Which},
    scope::{Right, Scope},
};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_whelping_status)
        .service(print_whelping_sheet)
        .service(create_whelping_line)
        .service(list_whelping_lines)
        .service(read_whelping_line)
        .service(change_whelping_line)
        .service(delete_whelping_line)
        .service(read_dam_health)
        .service(create_dam_check)
        .service(list_dam_checks)
        .service(read_dam_check)
        .service(change_dam_check)
        .service(delete_dam_check);
}

resource!(WhelpingLine, tag "whelping", one "a line of the log of a whelping", many "the log of a whelping",
    at "/v1/kennels/{kennel_id}/litters/{litter_id}/whelping",
       "/v1/kennels/{kennel_id}/litters/{litter_id}/whelping/{line_id}", under litter_id;
    create_whelping_line, list_whelping_lines, read_whelping_line, change_whelping_line,
    delete_whelping_line);

resource!(DamCheck, tag "whelping", one "a check of the dam after whelping", many "the checks of the dam",
    at "/v1/kennels/{kennel_id}/litters/{litter_id}/dam-checks",
       "/v1/kennels/{kennel_id}/litters/{litter_id}/dam-checks/{check_id}", under litter_id;
    create_dam_check, list_dam_checks, read_dam_check, change_dam_check, delete_dam_check);

/// Where a whelping stands, pup by pup.
#[derive(Serialize, ToSchema)]
pub(crate) struct WhelpingStatusAnswer {
    #[serde(flatten)]
    status: WhelpingStatus,
    /// The pups, in the order in which they came.
    pups: Vec<PupOfNight>,
    /// A collar that no pup in the house wears; null when all are taken.
    #[schema(example = "yellow")]
    next_collar: Option<String>,
    /// What stands beside every piece of advice.
    #[schema(value_type = String)]
    advice: Text,
}

/// How the dam is after whelping.
#[derive(Serialize, ToSchema)]
pub(crate) struct DamHealthAnswer {
    #[serde(flatten)]
    health: DamHealth,
    /// Her discharge by day, her womb, the risk of low calcium, her weight.
    puerperium: Puerperium,
    /// What stands beside every piece of advice.
    #[schema(value_type = String)]
    advice: Text,
}

/// Read where a whelping stands: stage, times, pups out, when to call.
#[utoipa::path(tag = "whelping",
    responses((status = 200, description = "As far as the log tells.", body = WhelpingStatusAnswer)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/whelping/status")]
pub(crate) async fn read_whelping_status(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (core, parts, alarms, moment) = of_litter(&app, &scope.0, &seat, id).await?;
    let (here, collars) = app
        .db
        .within(&scope.0, async |tx| {
            let here = litters::load::<()>(tx, Which::Current).await?;
            Ok((here, kennels::collars(tx).await?))
        })
        .await?;
    let answer = move || {
        let worn = collars_worn(here.iter().map(|(core, ())| core), &moment);
        Ok(WhelpingStatusAnswer {
            status: whelping_status(&core, &parts.3, &parts.4, &alarms, &moment),
            pups: pups_of_night(&core, &alarms, &moment.rules),
            next_collar: next_free_collar(&worn, &collars),
            advice: standing_line(),
        })
    };
    seat.answer(answer).await
}

/// Print the sheet of a whelping.
///
/// Before the birth a sheet to write on when the power fails, with as many rows as pups may come and a
/// margin; after it the filled record.
#[utoipa::path(tag = "whelping", params(PaperQuery),
    responses((status = 200, description = "The pages.", content_type = "application/pdf", body = Vec<u8>)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/whelping-sheet.pdf")]
pub(crate) async fn print_whelping_sheet(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<PaperQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let PaperQuery { format, language } = query.0;
    in_language(language, print_sheet(&app, &scope.0, path.1, format)).await
}

async fn print_sheet(
    app: &App,
    scope: &Scope,
    id: Uuid,
    format: PaperFormat,
) -> Result<HttpResponse, Problem> {
    let seat = app.room.seat(scope.kennel_id()).await?;
    let book = current_book(app, scope).await?;
    let (core, (night, mut pregnancy), moment, units) = app
        .db
        .read_within(scope, async |tx| {
            let (core, parts) = litters::one::<(WhelpingWatch, Pregnancy)>(tx, id).await?;
            Ok((core, parts, tx.moment().await?, kennels::units(tx).await?))
        })
        .await?;
    let kennel = scope.kennel().name.clone();
    let print = move || {
        pregnancy.look_up_inbreeding(&book);
        let sheet = whelping_sheet(&kennel, units, &core, &night, &pregnancy, &moment);
        whelping_sheet_pdf(&sheet, &moment.rules, format)
    };
    printed(seat.done(print).await?, "whelping-sheet")
}

/// Read how the dam is after whelping, with cautions for fever, low calcium, mastitis and the womb.
#[utoipa::path(tag = "whelping",
    responses((status = 200, description = "By what was seen of her.", body = DamHealthAnswer)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/dam-health")]
pub(crate) async fn read_dam_health(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (core, parts, mut alarms, moment) = of_litter(&app, &scope.0, &seat, id).await?;
    let checks =
        app.db.within(&scope.0, async |tx| litters::dam_checks(tx, &core.of_dam).await).await?;
    let answer = move || {
        let signs = signs_of_dam(&core.of_dam, &checks);
        let (weights, night) = (&parts.0, &parts.3);
        let weeks = puerperium_of_dam(&core, weights, night, &signs, &moment);
        let dam = dam_after_whelping(&core, night, &moment);
        let Some((dam, puerperium)) = dam.zip(weeks) else {
            let detail = said!("fault-not-now-litter-unborn");
            return Err(Problem::fault(Kind::NotAcceptable, "#path/litter_id", detail));
        };
        alarms.retain(Alarm::is_of_dam);
        let health = dam_health(&dam, &alarms, moment.now, &moment.rules);
        Ok(DamHealthAnswer { health, puerperium, advice: standing_line() })
    };
    seat.answer(answer).await
}
