//! How the domain's words and shapes are written in columns.

use diesel::{
    deserialize::{FromSql, Queryable},
    expression::{AsExpression, TypedExpressionType},
    internal::derives::as_expression::Bound,
    pg::{Pg, PgValue},
    query_builder::QueryId,
    serialize::{IsNull, Output, ToSql},
    sql_types::SqlType,
};
use domain::{
    advice::Level,
    call_signs::PupSign,
    dam_after_birth::{DamSign, GlandState},
    markers::{Inheritance, MarkerKind},
    newborn::NewbornExam,
    partial_date::PartialDate,
    placement::{BuyerWishes, LedgerKind, PlacementKind, PlacementStage},
    planner::DateSpan,
    preparation::{TemplateSupply, TemplateTask},
    readiness::{KennelReadinessRules, ReadinessRule},
    record::{
        AttachmentKind, BirthOutcome, BuyerNews, DeliveryStatus, DutyTurn, FileType, GenomicMethod,
        LossKind, MatingMethod, MatingStatus, Measure, PlaceKind, Placenta, PregnancyMethod,
        PregnancyResult, Presentation, ReadingKind, ReadingUnit, Registration, ReportStatus,
        Residence, RingChoices, RingWay, Role, Sex, TestResult, Tie, WhichParent,
    },
    schedule::{HealthKind, HealthPlan, PlanStep, PlanSubject},
    units::{TemperatureUnit, WeightUnit},
    whelping::{DischargeAmount, DischargeColour, NewbornSigns, WhelpingEvent},
};
use std::{fmt::Debug, io::Write};

/// A text column that holds a word of the domain or a partial date.
///
/// A type of the store's own, since only for such a one may the store say how others' types are written.
#[derive(Debug, Clone, Copy, Default, QueryId, SqlType)]
#[diesel(postgres_type(oid = 25, array_oid = 1009))]
pub struct Word;

/// A jsonb column that holds a shape of the domain, read and written whole.
#[derive(Debug, Clone, Copy, Default, QueryId, SqlType)]
#[diesel(postgres_type(oid = 3802, array_oid = 3807))]
pub struct Shape;

/// A value of any type as it is written into a column or compared with one.
///
/// What types of the domain become in SQL can only be said through a type of the store's own.
#[derive(Debug, Clone, Copy)]
pub struct Stored<T>(pub T);

impl<T, ST> AsExpression<ST> for Stored<T>
where
    ST: SqlType + TypedExpressionType,
{
    type Expression = Bound<ST, Self>;

    fn as_expression(self) -> Self::Expression {
        Bound::new(self)
    }
}

impl<T: ToSql<ST, Pg> + Debug, ST> ToSql<ST, Pg> for Stored<T> {
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> diesel::serialize::Result {
        self.0.to_sql(out)
    }
}

/// Lets columns of the given SQL type be read as a type.
macro_rules! column {
    ($sql:ty: $($name:ty),+ $(,)?) => { $(
        impl Queryable<$sql, Pg> for $name {
            type Row = Self;
            fn build(row: Self) -> diesel::deserialize::Result<Self> { Ok(row) }
        }
    )+ };
}

/// A word or a partial date: as it is displayed and parsed.
macro_rules! text_column {
    ($($name:ty),+ $(,)?) => {
        column!(Word: $($name),+);
        $(
            impl ToSql<Word, Pg> for $name {
                fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> diesel::serialize::Result {
                    write!(out, "{self}")?;
                    Ok(IsNull::No)
                }
            }
            impl FromSql<Word, Pg> for $name {
                fn from_sql(value: PgValue<'_>) -> diesel::deserialize::Result<Self> {
                    Ok(std::str::from_utf8(value.as_bytes())?.parse::<Self>()?)
                }
            }
        )+
    };
}

/// A list or an object that is only ever read and written whole.
macro_rules! json_column {
    ($($name:ty),+ $(,)?) => {
        column!(Shape: $($name),+);
        $(
            impl ToSql<Shape, Pg> for $name {
                fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> diesel::serialize::Result {
                    out.write_all(&[1])?;
                    serde_json::to_writer(out, self)?;
                    Ok(IsNull::No)
                }
            }
            impl FromSql<Shape, Pg> for $name {
                fn from_sql(value: PgValue<'_>) -> diesel::deserialize::Result<Self> {
                    // The binary form of jsonb begins with its version, 1.
                    Ok(serde_json::from_slice(value.as_bytes().get(1..).unwrap_or_default())?)
                }
            }
        )+
    };
}

/// A word of the domain: as it is written in JSON.
macro_rules! word_column {
    ($($name:ty),+ $(,)?) => {
        column!(Word: $($name),+);
        $(
            impl ToSql<Word, Pg> for $name {
                fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> diesel::serialize::Result {
                    let word = serde_json::to_value(self)?;
                    out.write_all(word.as_str().ok_or("not a word")?.as_bytes())?;
                    Ok(IsNull::No)
                }
            }
            impl FromSql<Word, Pg> for $name {
                fn from_sql(value: PgValue<'_>) -> diesel::deserialize::Result<Self> {
                    let word = std::str::from_utf8(value.as_bytes())?.to_owned();
                    Ok(serde_json::from_value(serde_json::Value::String(word))?)
                }
            }
        )+
    };
}

word_column!(DischargeAmount, DischargeColour, GlandState, Inheritance, Level, MarkerKind);
text_column!(
    AttachmentKind,
    BirthOutcome,
    DeliveryStatus,
    FileType,
    GenomicMethod,
    HealthKind,
    LedgerKind,
    LossKind,
    MatingMethod,
    MatingStatus,
    PartialDate,
    PlaceKind,
    PlanSubject,
    Placenta,
    PlacementKind,
    PlacementStage,
    PregnancyMethod,
    PregnancyResult,
    Presentation,
    ReadinessRule,
    ReadingKind,
    ReadingUnit,
    ReportStatus,
    Residence,
    RingWay,
    Role,
    Sex,
    TemperatureUnit,
    TestResult,
    WeightUnit,
    WhichParent,
);
json_column!(
    JsonList<DamSign>,
    JsonList<PupSign>,
    NewbornExam,
    NewbornSigns,
    WhelpingEvent,
    BuyerNews,
    BuyerWishes,
    HealthPlan,
    JsonList<DateSpan>,
    JsonList<DutyTurn>,
    JsonList<Measure>,
    JsonList<PlanStep>,
    JsonList<Registration>,
    JsonList<String>,
    JsonList<TemplateSupply>,
    JsonList<TemplateTask>,
    JsonList<Tie>,
    KennelReadinessRules,
    RingChoices,
);

/// A list in a jsonb column.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(transparent)]
pub(crate) struct JsonList<T>(pub Vec<T>);

impl<T> AsExpression<Shape> for JsonList<T> {
    type Expression = Bound<Shape, Self>;

    fn as_expression(self) -> Self::Expression {
        Bound::new(self)
    }
}

/// The SQL types that tables are made of.
pub mod sql {
    pub use super::{Shape, Word};
    pub use diesel::sql_types::*;
}
