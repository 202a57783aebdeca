//! Files of spreadsheets: tried by line, then taken in whole.

use super::{
    answer,
    body::{self, unknown_parameter, unknown_word},
    file_body::{FileBody, Table},
    problem::Kind,
    query::Query,
    resource::prelude::*,
    work::Seat,
};
use catalogue::{Text, said};
use chrono::{DateTime, Utc};
use domain::{
    fault::{Fault, Faults, MOST_TOLD},
    import::{
        ColumnMap, ImportHow, ImportKind, ImportReport, LineFault, StatedRow,
        cells::DateOrder,
        dogs,
        table::{Separator, TableHow},
    },
    record::{Buyer, HealthEvent, Record, Temperature, Weight},
};
use serde_json::{Value, json};
use store::imports::{self, ReadRow, observations::FromFile};
use utoipa::IntoParams;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(import_file);
}

/// How to read a file. It is told here and read by [`asked`], since the columns are free.
#[derive(IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "says what the query may be")]
struct ImportQuery {
    /// Only tell what would be done, line by line.
    dry_run: Option<bool>,
    /// How days such as 03/04/2021 are written.
    #[param(inline)]
    date_order: Option<DateOrder>,
    /// What parts the columns, where the first line does not tell.
    #[param(inline)]
    separator: Option<Separator>,
    /// The sheet of a workbook; the first when left out.
    sheet: Option<String>,
    /// Columns to leave out, parted by commas.
    ignore: Option<String>,
    /// The file's column for a field, where the name is another: `born_on=hatched`.
    #[param(style = Form, explode = true, required = false, value_type = std::collections::BTreeMap<String, String>)]
    columns: Option<Value>,
}

type Pairs = Vec<(String, String)>;

/// What a query asks for.
///
/// # Errors
/// 400 for a parameter that is none, and no field of this kind of file.
fn asked(kind: ImportKind, pairs: Pairs) -> Result<(bool, ImportHow), Problem> {
    let mut how = ImportHow::default();
    let (mut dry_run, mut columns) = (false, Pairs::new());
    let mut table = TableHow::default();
    for (name, value) in pairs {
        match name.as_str() {
            "dry_run" => {
                let wrong = |_| wrong(&name, said!("fault-wrong-type-truth"));
                dry_run = value.parse().map_err(wrong)?;
            }
            "date_order" => {
                how.date_order = Some(word(&name, &value, DateOrder::ALL, DateOrder::as_str)?);
            }
            "separator" => {
                table.separator = Some(word(&name, &value, Separator::ALL, Separator::as_str)?);
            }
            "sheet" => table.sheet = Some(value),
            _ if name == "ignore" || kind.fields().contains(&name.as_str()) => {
                columns.push((name, value));
            }
            _ => {
                let known: Vec<&str> = PARAMETERS.into_iter().chain(kind.fields()).collect();
                let detail = unknown_parameter(&name, &known);
                return Err(wrong(&name, detail));
            }
        }
    }
    how.columns = ColumnMap::new(columns);
    Ok((dry_run, ImportHow { table, ..how }))
}

/// Parameters of an import that are no columns of its file.
const PARAMETERS: [&str; 5] = ["dry_run", "date_order", "separator", "sheet", "ignore"];

/// One of these words.
fn word<T: Copy>(
    name: &str,
    value: &str,
    all: &[T],
    as_str: impl Fn(T) -> &'static str,
) -> Result<T, Problem> {
    let found = all.iter().copied().find(|word| as_str(*word) == value);
    found.ok_or_else(|| {
        let known: Vec<&str> = all.iter().copied().map(as_str).collect();
        wrong(name, unknown_word(value, &known))
    })
}

fn wrong(parameter: &str, detail: Text) -> Problem {
    Problem::fault(Kind::Unreadable, &format!("#query/{parameter}"), detail)
}

/// Take in a file of a spreadsheet: all of it, or nothing.
///
/// Text parted by commas, semicolons or tabs, or `.xlsx`; the first line names the columns, in our words or plain
/// English or German ones. A dog is known by `id`, chip, registration or name; an observation by dog, time and
/// what was seen (the day, where no time is given; noon when new); a buyer by address or name: the same file
/// twice makes nothing twice. Empty cells leave what is known. A parent that is unknown is made up as an ancestor
/// elsewhere, and listed. What cannot be read without doubt is 422 at `#line/N/column`, tried or not. 1,000,000
/// dogs or 10,000 other rows at once.
#[utoipa::path(tag = "archive",
    params(("kind" = inline(ImportKind), Path, description = "What the rows are.", example = "dogs"), ImportQuery),
    request_body(content(
        (String = "text/csv", example = "id,name,sex,born_on,sire,dam\nA1,Juno,F,2021-04-03,B7,B9\nB7,Rex,M,2018,,\n"),
        (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"))),
    responses((status = 200, description = "Done, or tried.", body = ImportReport)))]
#[post("/v1/kennels/{kennel_id}/imports/{kind}")]
pub(crate) async fn import_file(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    path: web::Path<(Uuid, String)>,
    query: Query<Pairs>,
    body: FileBody<Table>,
) -> Result<HttpResponse, Problem> {
    let scope = scope.0;
    let kind: ImportKind = path.1.parse().map_err(|_| no_kind(&path.1))?;
    let (dry_run, how) = asked(kind, query.0)?;
    scope.require(imports::right(kind))?;
    let seat = app.room.seat(scope.kennel_id()).await?;
    let (bytes, digest) = (body.bytes.clone(), body.digest);
    let (today, zone, now) = (scope.today(), scope.kennel().tz(), scope.now());
    let reader = FileReader { bytes, how, zone, now };
    macro_rules! taken {
        ($file:expr, $import:path) => {{
            let file = $file;
            // Its room is for others now.
            drop(body);
            let work = async |tx: &mut store::Tx| $import(tx, file, dry_run).await;
            answer::once_done(&app, &scope, &request, &digest, work).await
        }};
    }
    match kind {
        ImportKind::Dogs => {
            let FileReader { bytes, how, .. } = reader;
            let read = move || dogs::read(&bytes, &how, today);
            taken!(seat.done(read).await?.map_err(line_faults)?, imports::dogs::import)
        }
        ImportKind::Weights => {
            taken!(reader.of_dogs::<Weight>(&seat, kind).await?, imports::observations::import)
        }
        ImportKind::Temperatures => {
            taken!(reader.of_dogs::<Temperature>(&seat, kind).await?, imports::observations::import)
        }
        ImportKind::HealthEvents => {
            taken!(reader.of_dogs::<HealthEvent>(&seat, kind).await?, imports::observations::import)
        }
        ImportKind::Microchips => taken!(reader.chips(&seat).await?, imports::chips::import),
        ImportKind::Buyers => {
            taken!(
                reader.records::<Buyer>(&seat, kind, Value::clone).await?,
                imports::buyers::import
            )
        }
    }
}

fn no_kind(named: &str) -> Problem {
    let known: Vec<&str> = ImportKind::ALL.iter().map(|kind| kind.as_str()).collect();
    let fault = Fault::new("#path/kind", unknown_word(named, &known));
    let known = catalogue::Value::any(known);
    Problem::about(Kind::NotFound, said!("problem-no-kind-of-file", known = known), fault)
}

fn line_faults(faults: Vec<LineFault>) -> Problem {
    Problem::faults(Kind::NotAcceptable, faults.into_iter().map(Fault::from).collect())
}

struct FileReader {
    bytes: web::Bytes,
    how: ImportHow,
    zone: chrono_tz::Tz,
    now: DateTime<Utc>,
}

impl FileReader {
    /// Records that hang on dogs: which ones is looked up later.
    async fn of_dogs<R: Record + FromFile>(
        self,
        seat: &Seat,
        kind: ImportKind,
    ) -> Result<Vec<ReadRow<R>>, Problem> {
        let unnamed = |body: &Value| {
            let mut body = body.clone();
            body["dog_id"] = json!(Uuid::nil());
            body
        };
        self.records(seat, kind, unnamed).await
    }

    /// Records as if each had been sent by itself.
    async fn records<R: Record>(
        self,
        seat: &Seat,
        kind: ImportKind,
        body_of: fn(&Value) -> Value,
    ) -> Result<Vec<ReadRow<R>>, Problem> {
        let Self { bytes, how, zone, now } = self;
        let read = move || {
            let rows = kind.rows(&bytes, &how, zone).map_err(line_faults)?;
            checked(rows, |row| record(&body_of(&Value::Object(row.stated.clone())), now))
        };
        seat.done(read).await?
    }

    async fn chips(self, seat: &Seat) -> Result<Vec<ReadRow<String>>, Problem> {
        let Self { bytes, how, zone, .. } = self;
        let read = move || {
            let rows = ImportKind::Microchips.rows(&bytes, &how, zone).map_err(line_faults)?;
            checked(rows, |row| {
                let number = row.stated.get("chip_number").and_then(Value::as_str);
                let missing = || vec![Fault::new("/chip_number", said!("fault-missing-field"))];
                number.map(str::to_owned).ok_or_else(missing)
            })
        };
        seat.done(read).await?
    }
}

/// The record of a body that is good by itself.
fn record<R: Record>(value: &Value, now: DateTime<Utc>) -> Result<R, Vec<Fault>> {
    let record: R = body::parse(value.clone())?;
    let mut faults = Faults::new();
    record.check(now, &mut faults);
    faults.into_result().map(|()| record)
}

/// Makes records of rows, or tells every fault at its line and column.
fn checked<R>(
    rows: Vec<StatedRow>,
    make: impl Fn(&StatedRow) -> Result<R, Vec<Fault>>,
) -> Result<Vec<ReadRow<R>>, Problem> {
    let mut faults: Vec<Fault> = Vec::new();
    let mut read = Vec::with_capacity(rows.len());
    for row in rows {
        domain::stop::look();
        match make(&row) {
            Ok(record) => read.push(ReadRow { row, record }),
            Err(found) => faults.extend(found.into_iter().map(|fault| row.at_column(fault))),
        }
        if faults.len() > MOST_TOLD {
            break;
        }
    }
    if faults.is_empty() { Ok(read) } else { Err(Problem::faults(Kind::NotAcceptable, faults)) }
}
