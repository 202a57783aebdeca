//! Rows of files whose records hang on a dog, or on nothing: what each column holds, and the body that a row
//! makes, as somebody would have sent it for this record alone.

use super::{
    ImportHow, LineFault, LineFaultKind as Kind, LineFaults,
    cells::{self, DateOrder},
    columns::{Field, require},
    row::{Cell, Row},
    table::{self, Part},
};
use crate::{
    fault::{Fault, quoted},
    microchip::read_chip,
    record::MOST_ROWS,
    units::{StatedWeight, kept_celsius},
};
use catalogue::{Text, said};
use chrono::{DateTime, LocalResult, NaiveDate, NaiveTime, TimeZone as _, Utc};
use chrono_tz::Tz;
use serde_json::{Map, Value, json};

/// What the cells of a column hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Holds {
    /// A dog, by id, chip, registration or name.
    Dog,
    /// A day, with a time of day where there is one.
    At,
    /// The time of day of that.
    Time,
    /// A day.
    Day,
    /// Words.
    Text,
    /// Words of several lines.
    Lines,
    /// A whole number.
    Whole,
    /// Yes or no.
    Truth,
    /// A sex.
    Sex,
    /// A kind of health event.
    HealthKind,
    /// What a test said.
    TestResult,
    /// Several names: between commas, semicolons or plus signs, or as a table of ours writes a list.
    Names,
    /// A transponder number (ISO 11784).
    Chip,
    /// Whole grams.
    Grams,
    /// Kilograms.
    Kilograms,
    /// Pounds.
    Pounds,
    /// Ounces.
    Ounces,
    /// Degrees Celsius.
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
}

/// A kind of file that is read row by row.
pub(crate) trait RecordFile: Field {
    /// Of each of these lists one column must be there.
    const NEEDED: &'static [&'static [Self]];

    /// What its cells hold.
    fn holds(self) -> Holds;

    /// The field of the record's body, which may lie in another.
    fn field(self) -> &'static str {
        self.name()
    }
}

/// A row of a file: the body that it makes, and which dog it names.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedRow {
    /// Its line.
    pub line: u64,
    /// The dog, as the file names it.
    pub dog: Option<String>,
    /// The fields that it states.
    pub stated: Map<String, Value>,
    /// The day of what has no time of day: it stands for any time of that day.
    pub day_only: Option<NaiveDate>,
    /// Fields that other columns than of their own name state.
    columns: Vec<(&'static str, &'static str)>,
}

/// The time of day of what has none.
const NOON: NaiveTime = match NaiveTime::from_hms_opt(12, 0, 0) {
    Some(noon) => noon,
    None => NaiveTime::MIN,
};

impl StatedRow {
    /// A fault of the body, at its line and column.
    pub fn at_column(&self, fault: Fault) -> Fault {
        let field = fault.pointer.trim_start_matches('/');
        let own = self.columns.iter().find(|(of, _)| *of == field).map(|(_, column)| *column);
        let column = own.unwrap_or_else(|| field.split('/').next().unwrap_or_default());
        let end = if column.is_empty() { String::new() } else { format!("/{column}") };
        Fault { pointer: format!("#line/{}{end}", self.line), ..fault }
    }

    /// A fault of one of its columns.
    pub fn fault(&self, column: &str, detail: impl Into<Text>) -> Fault {
        Fault::new(format!("#line/{}/{column}", self.line), detail)
    }

    /// The body of `present` with what the row states, and the fields that differ.
    pub fn over(&self, present: &Value) -> (Value, Vec<String>) {
        let mut body = present.clone();
        let mut changes = Vec::new();
        let Value::Object(members) = &mut body else { return (body, changes) };
        for (field, value) in &self.stated {
            let before = members.get(field).cloned().unwrap_or(Value::Null);
            let after = match (&before, value) {
                (Value::Object(before), Value::Object(value)) => {
                    let mut inner = before.clone();
                    inner.extend(value.clone());
                    Value::Object(inner)
                }
                _ => value.clone(),
            };
            if !same(&before, &after) {
                members.insert(field.clone(), after);
                changes.push(field.clone());
            }
        }
        (body, changes)
    }
}

/// Whether two values of a body are the same: times may be written in different ways.
fn same(one: &Value, other: &Value) -> bool {
    let time = |value: &Value| value.as_str().and_then(|text| text.parse::<DateTime<Utc>>().ok());
    one == other
        || one.as_f64().is_some() && one.as_f64() == other.as_f64()
        || time(one).is_some() && time(one) == time(other)
}

/// Reads a file row by row; days are those of `zone`.
///
/// # Errors
/// Every fault of the file, by line and column.
pub(super) fn read<F: RecordFile>(
    bytes: &[u8],
    how: &ImportHow,
    zone: Tz,
) -> Result<Vec<StatedRow>, Vec<LineFault>> {
    let mut faults = LineFaults::default();
    let (mut columns, mut header_line) = (Vec::new(), 1);
    let mut rows: Vec<StatedRow> = Vec::new();
    let mut read_any = false;
    let outcome = table::read(bytes, &how.table, &mut |part| {
        match part {
            Part::Header(names, line) => {
                header_line = line;
                columns = how.columns.resolve::<F>(&names, line, &mut faults);
                let before = faults.len();
                for one_of in F::NEEDED {
                    require(&columns, one_of, line, &mut faults);
                }
                return faults.len() == before;
            }
            Part::Fault(fault) => faults.push(fault),
            Part::Row(row) if rows.len() == MOST_ROWS => {
                let detail = said!("fault-too-many-rows", most = MOST_ROWS);
                faults.push(LineFault::at_line(Kind::Value, row.line, &[], detail));
                return false;
            }
            Part::Row(row) => {
                let (read, wrong) = RowReader { zone, order: how.date_order }.read(row, &columns);
                rows.push(read);
                faults.extend(wrong);
            }
        }
        read_any = true;
        !faults.is_full()
    });
    if let Err(fault) = outcome {
        faults.push(fault);
    } else if !read_any && faults.is_empty() {
        let detail = said!("fault-empty-rows");
        faults.push(LineFault::at_line(Kind::Empty, header_line, &[], detail));
    }
    if faults.is_empty() { Ok(rows) } else { Err(faults.in_order()) }
}

struct RowReader {
    zone: Tz,
    order: Option<DateOrder>,
}

/// What of a row only makes sense together.
#[derive(Default)]
struct Parts {
    at: Option<(&'static str, NaiveDate, Option<NaiveTime>)>,
    time: Option<NaiveTime>,
    weight: StatedWeight,
    weight_columns: Vec<&'static str>,
    celsius: Vec<(&'static str, f64)>,
}

impl RowReader {
    /// The row, and what is wrong with its cells.
    fn read<F: RecordFile>(&self, row: &Row, columns: &[Option<F>]) -> (StatedRow, Vec<LineFault>) {
        let (stated, columns_of) = (Map::new(), Vec::new());
        let mut read =
            StatedRow { line: row.line, dog: None, stated, day_only: None, columns: columns_of };
        let mut wrong = Vec::new();
        let mut parts = Parts::default();
        for (cell, column) in row.cells().zip(columns) {
            let Some(column) = column.filter(|_| cell != Cell::Empty) else { continue };
            if let Err(detail) = self.set(column, row, cell, &mut read, &mut parts) {
                let fault = LineFault::at_value(row.line, column.name(), &[], detail);
                wrong.push(fault.about(quoted(&cell.shown())));
            }
        }
        for (column, detail) in self.put_together(parts, &mut read).err().into_iter().flatten() {
            wrong.push(LineFault::at_value(row.line, column, &[], detail));
        }
        (read, wrong)
    }

    fn set<F: RecordFile>(
        &self,
        column: F,
        row: &Row,
        cell: Cell<'_>,
        read: &mut StatedRow,
        parts: &mut Parts,
    ) -> Result<(), Text> {
        let value = match column.holds() {
            Holds::Dog => {
                read.dog = Some(cell.text()?);
                return Ok(());
            }
            Holds::At => {
                let (day, time) = cells::moment(row, cell, self.order)?;
                parts.at = Some((column.name(), day, time));
                return Ok(());
            }
            Holds::Time => {
                parts.time = Some(cells::time(cell)?);
                return Ok(());
            }
            Holds::Grams | Holds::Kilograms | Holds::Pounds | Holds::Ounces => {
                let weight = &mut parts.weight;
                match column.holds() {
                    Holds::Grams => weight.g = Some(cells::whole(row, cell)?),
                    Holds::Kilograms => weight.kg = Some(cells::figure(row, cell)?),
                    Holds::Pounds => weight.lb = Some(cells::figure(row, cell)?),
                    _ => weight.oz = Some(cells::figure(row, cell)?),
                }
                parts.weight_columns.push(column.name());
                return Ok(());
            }
            Holds::Celsius => {
                parts.celsius.push((column.name(), cells::figure(row, cell)?));
                return Ok(());
            }
            Holds::Fahrenheit => {
                parts.celsius.push((column.name(), kept_celsius(cells::figure(row, cell)?)));
                return Ok(());
            }
            Holds::Day => json!(cells::day(row, cell, self.order)?),
            Holds::Text => json!(cell.text()?),
            Holds::Lines => json!(cell.text()?.replace("\r\n", "\n")),
            Holds::Whole => json!(cells::whole(row, cell)?),
            Holds::Truth => match cell {
                Cell::Truth(truth) => json!(truth),
                other => json!(cells::truth(&other.text()?)?),
            },
            Holds::Sex => json!(cells::sex(&cell.text()?)?),
            Holds::HealthKind => json!(cells::health_kind(&cell.text()?)?),
            Holds::TestResult => json!(cells::test_result(&cell.text()?)?),
            Holds::Names => json!(cells::names(&cell.text()?)),
            Holds::Chip => {
                let chip = read_chip(&cell.text()?).map_err(|error| error.to_string())?;
                json!(chip.number)
            }
        };
        match column.field().split_once('/') {
            Some((outer, inner)) => {
                read.columns.push((column.field(), column.name()));
                let outer = read.stated.entry(outer).or_insert_with(|| json!({}));
                outer[inner] = value;
            }
            None => drop(read.stated.insert(column.field().to_owned(), value)),
        }
        Ok(())
    }

    /// Day and time, and a figure in one of its units.
    fn put_together(
        &self,
        parts: Parts,
        read: &mut StatedRow,
    ) -> Result<(), Vec<(&'static str, Text)>> {
        let mut wrong = Vec::new();
        if let Some((column, day, time)) = parts.at {
            let time = parts.time.or(time);
            read.day_only = time.is_none().then_some(day);
            match self.zone.from_local_datetime(&day.and_time(time.unwrap_or(NOON))) {
                LocalResult::Single(at) | LocalResult::Ambiguous(at, _) => {
                    let at = json!(at.with_timezone(&Utc));
                    read.stated.insert(column.to_owned(), at);
                }
                LocalResult::None => {
                    wrong.push((column, said!("fault-malformed-hour-left-out")));
                }
            }
        } else if parts.time.is_some() {
            wrong.push(("time", said!("fault-only-together-time-and-day")));
        }
        if let Some(column) = parts.weight_columns.first().copied() {
            read.columns.push(("weight_g", column));
            match parts.weight.grams(i32::MIN, i32::MAX) {
                Ok(grams) => drop(read.stated.insert("weight_g".to_owned(), json!(grams))),
                Err((_, detail)) => wrong.push((column, detail)),
            }
        }
        match parts.celsius.as_slice() {
            [] => {}
            [(column, celsius)] => {
                read.columns.push(("temperature_c", column));
                read.stated.insert("temperature_c".to_owned(), json!(celsius));
            }
            [_, (column, _), ..] => {
                wrong.push((*column, said!("fault-not-together-units")));
            }
        }
        if wrong.is_empty() { Ok(()) } else { Err(wrong) }
    }
}

#[cfg(test)]
#[path = "records_tests.rs"]
mod tests;
