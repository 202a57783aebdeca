//! The night: its log, where it stands, and how the dam is after it.

use super::{
    booklets::PaperQuery, inbreeding::current_book, now, problem::Kind, query::Query,
    resource::prelude::*,
};
use crate::{
    documents::whelping_sheet::whelping_sheet_pdf,
    domain::{
        advice::STANDING_LINE,
        dam_after_birth::{DamHealth, dam_health},
        pregnancy::day_of_pregnancy,
        record::{Birth, BirthOutcome, DamCheck, DamCheckFilter, WhelpingLine, WhelpingLineFilter},
        rules::Rules,
        whelping::{
            BirthMarks, VitalityScore, WhelpingStatus, next_free_collar, possible_doubles,
            vitality_score, where_it_stands,
        },
    },
    store::{kennels, people::Right, pregnancies, whelping as store, whelping_sheets},
};
use actix_web::http::header;
use serde::Serialize;
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

/// A pup that came, in short.
#[derive(Serialize, ToSchema)]
pub struct PupOfNight {
    /// Its number in the litter.
    #[schema(example = 3)]
    ordinal: i32,
    /// Its birth.
    birth_id: Uuid,
    /// Its dog.
    dog_id: Uuid,
    /// Its collar.
    #[schema(example = "green")]
    collar: Option<String>,
    /// Whether it lived when it was born.
    outcome: BirthOutcome,
    /// The score of its vitality; null when no sign was looked at.
    vitality: Option<VitalityScore>,
}

/// Where a whelping stands, pup by pup.
#[derive(Serialize, ToSchema)]
pub struct WhelpingStatusAnswer {
    #[serde(flatten)]
    status: WhelpingStatus,
    /// The pups, in the order in which they came.
    pups: Vec<PupOfNight>,
    /// A collar that no pup in the house wears; null when all are taken.
    #[schema(example = "yellow")]
    next_collar: Option<String>,
    /// What stands beside every piece of advice.
    advice: &'static str,
}

/// How the dam is after whelping.
#[derive(Serialize, ToSchema)]
pub struct DamHealthAnswer {
    #[serde(flatten)]
    health: DamHealth,
    /// What stands beside every piece of advice.
    advice: &'static str,
}

/// Read where a whelping stands: stage, times, pups out, when to call.
#[utoipa::path(tag = "whelping",
    responses((status = 200, description = "As far as the log tells.", body = WhelpingStatusAnswer)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/whelping/status")]
pub async fn read_whelping_status(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let now = now();
    let book = current_book(&app, &scope.0).await?;
    let (mut night, dam, rules, time) = app
        .db
        .within(&scope.0, async |tx| {
            let rules = kennels::rules(tx).await?;
            let night = store::night(tx, id, now, &rules).await?;
            let (_, dam) = pregnancies::of_litter(tx, &book, id, now).await?;
            Ok((night, dam, rules, tx.time(now)))
        })
        .await?;
    night.case.day_of_pregnancy = day_of_pregnancy(&dam, id, time, &rules);
    let mut status = where_it_stands(&night.case, now, &rules);
    let marks: Vec<BirthMarks> = night.births.iter().map(|birth| birth.record.marks()).collect();
    status.cautions.extend(possible_doubles(&marks, &rules));
    Ok(HttpResponse::Ok().json(WhelpingStatusAnswer {
        status,
        pups: night.births.into_iter().map(|birth| pup_of_night(birth, &rules)).collect(),
        next_collar: next_free_collar(&night.worn, &night.collars),
        advice: STANDING_LINE,
    }))
}

fn pup_of_night(birth: Kept<Birth>, rules: &Rules) -> PupOfNight {
    let Birth { ordinal, dog_id, collar, outcome, vitality, vitality_minutes, .. } = birth.record;
    PupOfNight {
        ordinal,
        birth_id: birth.id,
        dog_id,
        collar,
        outcome,
        vitality: vitality
            .map(|signs| vitality_score(&signs, vitality_minutes.unwrap_or(0).into(), rules)),
    }
}

/// Print the sheet of a whelping.
///
/// Before the birth a sheet to write on when the power fails, with as many rows as pups may come and a
/// margin; after it the filled record.
#[utoipa::path(tag = "whelping", params(PaperQuery),
    responses((status = 200, description = "The pages.", content_type = "application/pdf", body = Vec<u8>)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/whelping-sheet.pdf")]
pub async fn print_whelping_sheet(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<PaperQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let now = now();
    let book = current_book(&app, &scope.0).await?;
    let (sheet, rules) = app
        .db
        .within(&scope.0, async |tx| {
            let rules = kennels::rules(tx).await?;
            Ok((whelping_sheets::sheet(tx, &book, id, now, &rules).await?, rules))
        })
        .await?;
    let fault = |error: String| Problem::new(Kind::Fault, error);
    let bytes = web::block(move || whelping_sheet_pdf(&sheet, &rules, query.0.format))
        .await
        .map_err(|error| fault(error.to_string()))?
        .map_err(|error| fault(error.to_string()))?;
    Ok(HttpResponse::Ok()
        .content_type("application/pdf")
        .insert_header((header::CONTENT_DISPOSITION, "inline; filename=\"whelping-sheet.pdf\""))
        .body(bytes))
}

/// Read how the dam is after whelping, with cautions for fever, low calcium, mastitis and the womb.
#[utoipa::path(tag = "whelping",
    responses((status = 200, description = "By what was seen of her.", body = DamHealthAnswer)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/dam-health")]
pub async fn read_dam_health(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let now = now();
    let (dam, rules) = app
        .db
        .within(&scope.0, async |tx| {
            let rules = kennels::rules(tx).await?;
            Ok((store::dam_after_birth(tx, id, now, &rules).await?, rules))
        })
        .await?;
    let health = dam_health(&dam, now, &rules);
    Ok(HttpResponse::Ok().json(DamHealthAnswer { health, advice: STANDING_LINE }))
}
