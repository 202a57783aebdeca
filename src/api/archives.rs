//! A kennel's archive: leave with everything, and come back.

use super::{
    answer::{self, Created},
    body,
    file_body::{FileBody, FileKind as _, Zip},
    login::Login,
    problem::Kind,
    query::Query,
    resource::prelude::*,
    table, uploads,
};
use actix_web::{body::SizedStream, http::header};
use catalogue::{Text, said};
use chrono::{DateTime, Utc};
use documents::pdf::logo;
use domain::{
    archive::{ArchiveSource, ArchivedPicture, CheckedArchive},
    fault::{Fault, Faults},
    readiness::KennelReadinessRules,
    record::{
        BookletTexts, FileFacts, Kennel, Record, named_now,
        register::{self, OfTable, Registered},
    },
    schedule::HealthPlan,
};
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use std::{fs::File, io::BufWriter, sync::Arc};
use store::{
    StoreError,
    archive::{self, Arrived, Exported, Shapes},
    aside,
    scope::Scope,
};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(export_archive).service(import_archive);
}

/// Write the whole kennel as one archive.
///
/// A ZIP with one CSV file a table, and `manifest.json` with the format, the schema, and each file's
/// columns, rows and checksum; below `pictures/` the files that `attachments.csv` names by their SHA-256. The archive can be taken in again; `people.csv` and `history.csv` are
/// for reading. Logins, tokens and secret links stay behind. Only an owner may take everything along.
#[utoipa::path(tag = "archive",
    responses((status = 200, description = "The archive, as of one moment.", body = Vec<u8>, content_type = "application/zip")))]
#[get("/v1/kennels/{kennel_id}/archive")]
pub(crate) async fn export_archive(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let now = scope.0.now();
    let _seat = app.room.seat(scope.0.kennel_id()).await?;
    let file = written(&app, &scope.0, now).await?;
    let name = format!("attachment; filename=\"kennel-{}.zip\"", scope.0.day_of(now));
    let (length, chunks) = files::read_in_chunks(file)?;
    Ok(HttpResponse::Ok()
        .content_type(Zip::MEDIA_TYPES[0])
        .insert_header((header::CONTENT_DISPOSITION, name))
        .body(SizedStream::new(length, chunks)))
}

/// The archive as a file without a name: with its pictures it may be larger than memory.
async fn written(app: &App, scope: &Scope, now: DateTime<Utc>) -> Result<File, Problem> {
    let out = || {
        let file = files::nameless_file();
        file.map(BufWriter::new).map_err(|error| StoreError::Internal(error.to_string()))
    };
    let Exported { mut archive, manifest, pictures } =
        archive::export(&app.db, scope, now, out).await?;
    for sha256 in pictures {
        let kept = app.files.read(scope.kennel_id(), &sha256).await?;
        let add = move || -> Result<_, Problem> {
            archive.picture(&sha256, &kept.checked()?).map_err(|error| Problem::of_ours(&error))?;
            Ok(archive)
        };
        archive = aside(add).await??;
    }
    let finish = move || -> Result<File, Problem> {
        let out = archive.finish(manifest).map_err(|error| Problem::of_ours(&error))?;
        out.into_inner().map_err(|error| Problem::of_ours(&error))
    };
    aside(finish).await?
}

/// How to take an archive in.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ArchiveQuery {
    /// Give the kennel a new id, so that it stands beside the one that the archive was written from.
    copy: Option<bool>,
}

/// Rows of a file that were written.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ArchiveRows {
    /// The file.
    #[schema(example = "dogs.csv")]
    file: String,
    /// How many rows.
    #[schema(example = 42)]
    rows: u64,
}

/// What of an archive was left out.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ArchiveLeftOut {
    /// The file.
    #[schema(example = "shares.csv")]
    file: String,
    /// The column that was left empty; null when the rows themselves were left out.
    column: Option<String>,
    /// How many rows.
    #[schema(example = 2)]
    rows: u64,
    /// Why.
    #[schema(
        value_type = String,
        example = "names other people than you; invite them, then enter it again"
    )]
    why: Text,
}

/// A kennel that came back.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct KennelTakenIn {
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
pub(crate) async fn import_archive(
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
        source.checked(&columns, &move |table, row| row_faults(table, row, now))
    })
    .await?
    .map_err(|faults: Vec<Fault>| Problem::faults(Kind::NotAcceptable, faults))?;
    let copy = query.0.copy.unwrap_or(false);
    let now = app.clock.now();
    let scope = archive::restoring_scope(&app.db, login.0, source.manifest(), copy, now).await?;
    let source = Arc::new(source);
    take_pictures_in(&app, &scope, &source, &shapes).await?;
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

/// Keeps the files of an archive, each looked at as if it came by itself. Where its rows are refused
/// afterwards, nothing refers to them, and they go.
async fn take_pictures_in(
    app: &App,
    scope: &Scope,
    source: &Arc<CheckedArchive<web::Bytes>>,
    shapes: &Shapes,
) -> Result<(), Problem> {
    let refused = |faults: Vec<Fault>| Problem::faults(Kind::NotAcceptable, faults);
    let (own, columns) = (Arc::clone(source), shapes.clone());
    let told = aside(move || own.pictures(&columns)).await?.map_err(refused)?;
    let most = app.files_limits.bytes_of_kennel;
    let taken = ArchivedPicture::bytes_of(&told);
    if taken > most {
        let detail = said!("fault-limit-archive-files", taken = taken >> 20, most = most >> 20);
        return Err(Problem::fault(Kind::NotAcceptable, "attachments.csv", detail));
    }
    // All are looked at before the first is kept.
    for keeps in [false, true] {
        for file in &told {
            let (own, file) = (Arc::clone(source), file.clone());
            let looked = aside(move || as_told(&own, &file)).await?.map_err(refused)?;
            let (facts, bytes) = looked;
            if keeps {
                uploads::keep(app, scope.kennel_id(), &facts, bytes).await?;
            }
        }
    }
    Ok(())
}

/// A file of an archive, when it is what its row says.
fn as_told(
    source: &ArchiveSource<web::Bytes>,
    told: &ArchivedPicture,
) -> Result<(FileFacts, Vec<u8>), Vec<Fault>> {
    let bytes = source.picture(told)?;
    let place = || format!("{}/sha256", told.place);
    let facts = files::look_at(&bytes).map_err(|why| vec![Fault::new(place(), why)])?;
    let size = (facts.width_px, facts.height_px);
    let is_told = facts.sha256 == told.sha256
        && facts.media_type.as_str() == told.media_type
        && size == told.size_px;
    if is_told {
        return Ok((facts, bytes));
    }
    Err(vec![Fault::new(place(), said!("fault-differs-archive-picture"))])
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
    match table {
        "readiness_rules" => inner_faults::<KennelReadinessRules>(row, "own"),
        "booklet_texts" => text_faults(row, now),
        "health_plan_versions" => plan_faults(row, now),
        // What is no record has plain columns, and the database checks them.
        _ => register::with_record_in(table, RowFaults { row, now }).unwrap_or_default(),
    }
}

/// Looks for the faults of a row.
struct RowFaults {
    row: Map<String, Value>,
    now: DateTime<Utc>,
}

impl OfTable for RowFaults {
    type Done = Vec<Fault>;

    fn with<R: Registered>(self) -> Vec<Fault> {
        let Self { mut row, now } = self;
        // A person is named by an address here, which no record knows.
        for person in R::LINE.archive.iter().flat_map(|archive| archive.people) {
            row.remove(*person);
            if table::columns::<R>().iter().any(|field| field == person) {
                row.insert((*person).to_owned(), Value::from(Uuid::nil().to_string()));
            }
        }
        faults_of::<R>(row, now)
    }
}

fn faults_of<R: Record>(row: Map<String, Value>, now: DateTime<Utc>) -> Vec<Fault> {
    let mut found = match body::parse::<R>(Value::Object(named_now(R::STORED_AS, row))) {
        Ok(record) => {
            let mut faults = Faults::new();
            record.check(now, &mut faults);
            faults.into_vec()
        }
        Err(faults) => faults,
    };
    // A column is told by its own name.
    for (column, field) in R::STORED_AS {
        for fault in found.iter_mut().filter(|fault| fault.pointer == format!("/{field}")) {
            fault.pointer = format!("/{column}");
        }
    }
    found
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
        said!("fault-too-long-plan-key", least = 1, most = 300)
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
    faults.extend(svg.map(|error| Fault::new("/logo_svg", error.of_picture())));
    faults
}
