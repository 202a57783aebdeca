//! A kennel's archive: leave with everything, and come back.

use super::{
    answer::{self, Created},
    body,
    file_body::{FileBody, FileKind as _, Zip},
    login::Login,
    problem::Kind,
    query::Query,
    resource::prelude::*,
};
use actix_web::http::header;
use chrono::{DateTime, Utc};
use documents::pdf::logo;
use domain::{
    archive::ArchiveSource,
    fault::{Fault, Faults},
    preparation::TemplateOverlay,
    readiness::KennelReadinessRules,
    record::{
        Absence, Birth, BookletTexts, Buyer, Cost, DamCheck, Dog, Feed, FollowUpDone, GenotypeTest,
        HealthEvent, Heat, HeatReading, Kennel, Litter, LitterPlan, Mating, OwnTask, Paper,
        Payment, Place, Placement, PlannerSettings, PregnancyCheck, Record, RuleOverride, SetAside,
        Share, Supply, Temperature, Weight, WhelpingLine,
    },
    schedule::HealthPlan,
};
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use std::sync::Arc;
use store::{
    archive::{self, Arrived},
    aside,
};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(export_archive).service(import_archive);
}

/// Write the whole kennel as one archive.
///
/// A ZIP with one CSV file a table, and `manifest.json` with the format, the schema, and each file's
/// columns, rows and checksum. The archive can be taken in again; `people.csv` and `history.csv` are
/// for reading. Logins, tokens and secret links stay behind. Only an owner may take everything along.
#[utoipa::path(tag = "archive",
    responses((status = 200, description = "The archive, as of one moment.", body = Vec<u8>, content_type = "application/zip")))]
#[get("/v1/kennels/{kennel_id}/archive")]
pub async fn export_archive(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let now = scope.0.now();
    let _seat = app.room.seat(scope.0.kennel_id()).await?;
    let bytes = archive::export(&app.db, &scope.0, now).await?;
    let name = format!("attachment; filename=\"kennel-{}.zip\"", scope.0.day_of(now));
    Ok(HttpResponse::Ok()
        .content_type(Zip::MEDIA_TYPE)
        .insert_header((header::CONTENT_DISPOSITION, name))
        .body(bytes))
}

/// How to take an archive in.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct ArchiveQuery {
    /// Give the kennel a new id, so that it stands beside the one that the archive was written from.
    copy: Option<bool>,
}

/// Rows of a file that were written.
#[derive(Debug, Serialize, ToSchema)]
pub struct ArchiveRows {
    /// The file.
    #[schema(example = "dogs.csv")]
    file: String,
    /// How many rows.
    #[schema(example = 42)]
    rows: u64,
}

/// What of an archive was left out.
#[derive(Debug, Serialize, ToSchema)]
pub struct ArchiveLeftOut {
    /// The file.
    #[schema(example = "shares.csv")]
    file: String,
    /// The column that was left empty; null when the rows themselves were left out.
    column: Option<String>,
    /// How many rows.
    #[schema(example = 2)]
    rows: u64,
    /// Why.
    #[schema(example = "names other people than you; invite them, then enter it again")]
    why: &'static str,
}

/// A kennel that came back.
#[derive(Debug, Serialize, ToSchema)]
pub struct KennelTakenIn {
    /// Id of the kennel; that of the archive, unless it is a copy or others have kennels here.
    kennel_id: Uuid,
    /// The kennel.
    kennel: Kennel,
    /// The rows written, by file.
    files: Vec<ArchiveRows>,
    /// What was left out.
    left_out: Vec<ArchiveLeftOut>,
}

/// Take an archive in as a new kennel: all of it, or nothing.
///
/// The caller becomes its owner, its only member, and the only person whom its rows name; what
/// names others is told in `left_out`. All ids stay, save that of the kennel itself: beside kennels of
/// others it gets a new one, so that no id tells whose kennel is here. A kennel of one's own that is here
/// already is refused, unless the archive is taken in as a copy. Faulty lines are told as `FILE#line/N`,
/// the first fifty of them.
#[utoipa::path(tag = "archive", params(ArchiveQuery),
    request_body(content = Vec<u8>, content_type = "application/zip", description = "The archive."),
    responses((status = 201, description = "The kennel is here.", body = KennelTakenIn)))]
#[post("/v1/kennels/archive")]
pub async fn import_archive(
    app: web::Data<App>,
    login: Login,
    request: HttpRequest,
    query: Query<ArchiveQuery>,
    body: FileBody<Zip>,
) -> Result<HttpResponse, Problem> {
    // The kennel is not here yet; whoever brings it has a place of their own.
    let _seat = app.room.seat(login.0.person_id).await?;
    let shapes = archive::shapes(&app.db).await?;
    let (bytes, columns, now) = (body.bytes.clone(), shapes.clone(), app.clock.now());
    let source = aside(move || {
        let source = ArchiveSource::open(bytes)?;
        let kennel = faults_of::<Kennel>(member_map(&source.manifest().kennel), now);
        if !kennel.is_empty() {
            let place = |fault: Fault| Fault {
                pointer: format!("manifest.json#/kennel{}", fault.pointer),
                ..fault
            };
            return Err(kennel.into_iter().map(place).collect());
        }
        source.check(&columns, &move |table, row| row_faults(table, row, now))?;
        Ok(source)
    })
    .await?
    .map_err(|faults: Vec<Fault>| Problem::faults(Kind::NotAcceptable, faults))?;
    let copy = query.0.copy.unwrap_or(false);
    let now = app.clock.now();
    let scope = archive::restoring_scope(&app.db, login.0, source.manifest(), copy, now).await?;
    let source = Arc::new(source);
    answer::once(&app, &scope, &request, &body.digest, async |tx| {
        let arrived = archive::take_in(tx, &source, &shapes).await?;
        let kennel_id = tx.scope().kennel_id();
        Ok(Created {
            location: format!("/v1/kennels/{kennel_id}"),
            version: None,
            body: taken_in(kennel_id, tx.scope().kennel().clone(), arrived),
        })
    })
    .await
}

fn taken_in(kennel_id: Uuid, kennel: Kennel, arrived: Arrived) -> KennelTakenIn {
    let rows = |of: archive::ArrivedRows| ArchiveRows { file: of.file, rows: of.rows };
    let left = |of: archive::LeftOut| ArchiveLeftOut {
        file: of.file,
        column: of.column,
        rows: of.rows,
        why: of.why,
    };
    KennelTakenIn {
        kennel_id,
        kennel,
        files: arrived.files.into_iter().map(rows).collect(),
        left_out: arrived.left_out.into_iter().map(left).collect(),
    }
}

fn member_map<T: Serialize>(value: &T) -> Map<String, Value> {
    match serde_json::to_value(value) {
        Ok(Value::Object(members)) => members,
        _ => Map::new(),
    }
}

/// What is wrong with a row by itself: the same that is asked of a body.
fn row_faults(table: &str, mut row: Map<String, Value>, now: DateTime<Utc>) -> Vec<Fault> {
    for stamp in ["id", "version", "created_at", "updated_at"] {
        row.remove(stamp);
    }
    let check = match table {
        "rule_overrides" => faults_of::<RuleOverride>,
        "places" => faults_of::<Place>,
        "supplies" => faults_of::<Supply>,
        "preparation_templates" => faults_of::<TemplateOverlay>,
        "planner_settings" => faults_of::<PlannerSettings>,
        "readiness_rules" => return inner_faults::<KennelReadinessRules>(row, "own"),
        "booklet_texts" => return text_faults(row, now),
        "dogs" => faults_of::<Dog>,
        "shares" => return faults_of::<Share>(without_person(row), now),
        "heats" => faults_of::<Heat>,
        "heat_readings" => faults_of::<HeatReading>,
        "matings" => faults_of::<Mating>,
        "pregnancy_checks" => faults_of::<PregnancyCheck>,
        "litters" => faults_of::<Litter>,
        "births" => faults_of::<Birth>,
        "whelping_lines" => faults_of::<WhelpingLine>,
        "dam_checks" => faults_of::<DamCheck>,
        "weights" => faults_of::<Weight>,
        "temperatures" => faults_of::<Temperature>,
        "feeds" => faults_of::<Feed>,
        "genotype_tests" => faults_of::<GenotypeTest>,
        "health_plans" => faults_of::<HealthPlan>,
        "health_plan_versions" => return plan_faults(row, now),
        "litter_plans" => faults_of::<LitterPlan>,
        "buyers" => {
            row.remove("created_by");
            faults_of::<Buyer>
        }
        "health_events" => faults_of::<HealthEvent>,
        "papers" => faults_of::<Paper>,
        "readiness_overrides" => faults_of::<SetAside>,
        "placements" => faults_of::<Placement>,
        "payments" => faults_of::<Payment>,
        "follow_ups" => faults_of::<FollowUpDone>,
        "costs" => faults_of::<Cost>,
        "absences" => return faults_of::<Absence>(without_person(row), now),
        "own_tasks" => faults_of::<OwnTask>,
        // Its columns are plain, and the database checks them.
        _ => return Vec::new(),
    };
    check(row, now)
}

fn faults_of<R: Record>(row: Map<String, Value>, now: DateTime<Utc>) -> Vec<Fault> {
    match body::parse::<R>(Value::Object(row)) {
        Ok(record) => {
            let mut faults = Faults::new();
            record.check(now, &mut faults);
            faults.into_vec()
        }
        Err(faults) => faults,
    }
}

/// A person is named by an address here, which the record does not know.
fn without_person(mut row: Map<String, Value>) -> Map<String, Value> {
    row.insert("person_id".to_owned(), Value::from(Uuid::nil().to_string()));
    row
}

/// What is wrong with the value of one column that holds a whole object.
fn inner_faults<T: serde::de::DeserializeOwned + ToSchema + 'static>(
    mut row: Map<String, Value>,
    column: &str,
) -> Vec<Fault> {
    let Some(inner) = row.remove(column) else { return Vec::new() };
    let place = |fault: Fault| Fault { pointer: format!("/{column}{}", fault.pointer), ..fault };
    body::parse::<T>(inner).err().into_iter().flatten().map(place).collect()
}

fn plan_faults(row: Map<String, Value>, now: DateTime<Utc>) -> Vec<Fault> {
    let mut faults = Faults::new();
    let key = row.get("plan_key").and_then(Value::as_str).unwrap_or_default();
    faults.unless((1..=300).contains(&key.chars().count()), "/plan_key", || {
        "must have 1 to 300 characters".to_owned()
    });
    let mut faults = faults.into_vec();
    if let Some(Value::Object(plan)) = row.get("plan") {
        let place = |fault: Fault| Fault { pointer: format!("/plan{}", fault.pointer), ..fault };
        faults.extend(faults_of::<HealthPlan>(plan.clone(), now).into_iter().map(place));
    }
    faults
}

fn text_faults(row: Map<String, Value>, now: DateTime<Utc>) -> Vec<Fault> {
    let svg = row.get("logo_svg").and_then(Value::as_str).and_then(|svg| logo::check(svg).err());
    let mut faults = faults_of::<BookletTexts>(row, now);
    faults.extend(
        svg.map(|error| Fault { pointer: "/logo_svg".to_owned(), detail: error.to_string() }),
    );
    faults
}
