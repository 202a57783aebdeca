//! How the domain's words and shapes are written in columns.

use crate::domain::{
    dam_after_birth::{DamSign, GlandState},
    partial_date::PartialDate,
    placement::{BuyerWishes, LedgerKind, PlacementKind, PlacementStage},
    planner::DateSpan,
    preparation::{TemplateSupply, TemplateTask},
    readiness::{KennelReadinessRules, ReadinessRule},
    record::{
        BirthOutcome, DeliveryStatus, MatingMethod, MatingStatus, Measure, PlaceKind, Placenta,
        PregnancyMethod, PregnancyResult, Presentation, ReadingKind, ReadingUnit, Registration,
        Residence, Role, Sex, Tie,
    },
    schedule::{HealthKind, HealthPlan, PlanStep, PlanSubject},
    whelping::{DischargeColour, NewbornSigns, WhelpingEvent},
};
use diesel::{
    deserialize::{FromSql, Queryable},
    expression::AsExpression,
    internal::derives::as_expression::Bound,
    pg::{Pg, PgValue},
    serialize::{IsNull, Output, ToSql},
    sql_types::{Jsonb, Nullable, Text},
};
use std::io::Write;

/// Lets a type of the domain stand for a column of the given SQL type.
macro_rules! column {
    ($sql:ty: $($name:ty),+ $(,)?) => { $(
        impl AsExpression<$sql> for $name {
            type Expression = Bound<$sql, Self>;
            fn as_expression(self) -> Self::Expression { Bound::new(self) }
        }
        impl AsExpression<$sql> for &$name {
            type Expression = Bound<$sql, Self>;
            fn as_expression(self) -> Self::Expression { Bound::new(self) }
        }
        impl AsExpression<Nullable<$sql>> for $name {
            type Expression = Bound<Nullable<$sql>, Self>;
            fn as_expression(self) -> Self::Expression { Bound::new(self) }
        }
        impl AsExpression<Nullable<$sql>> for &$name {
            type Expression = Bound<Nullable<$sql>, Self>;
            fn as_expression(self) -> Self::Expression { Bound::new(self) }
        }
        impl Queryable<$sql, Pg> for $name {
            type Row = Self;
            fn build(row: Self) -> diesel::deserialize::Result<Self> { Ok(row) }
        }
    )+ };
}

/// A word or a partial date: as it is displayed and parsed.
macro_rules! text_column {
    ($($name:ty),+ $(,)?) => {
        column!(Text: $($name),+);
        $(
            impl ToSql<Text, Pg> for $name {
                fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> diesel::serialize::Result {
                    write!(out, "{self}")?;
                    Ok(IsNull::No)
                }
            }
            impl ToSql<Nullable<Text>, Pg> for $name {
                fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> diesel::serialize::Result {
                    ToSql::<Text, Pg>::to_sql(self, out)
                }
            }
            impl FromSql<Text, Pg> for $name {
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
        column!(Jsonb: $($name),+);
        $(
            impl ToSql<Jsonb, Pg> for $name {
                fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> diesel::serialize::Result {
                    out.write_all(&[1])?;
                    serde_json::to_writer(out, self)?;
                    Ok(IsNull::No)
                }
            }
            impl ToSql<Nullable<Jsonb>, Pg> for $name {
                fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> diesel::serialize::Result {
                    ToSql::<Jsonb, Pg>::to_sql(self, out)
                }
            }
            impl FromSql<Jsonb, Pg> for $name {
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
        column!(Text: $($name),+);
        $(
            impl ToSql<Text, Pg> for $name {
                fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> diesel::serialize::Result {
                    let word = serde_json::to_value(self)?;
                    out.write_all(word.as_str().ok_or("not a word")?.as_bytes())?;
                    Ok(IsNull::No)
                }
            }
            impl ToSql<Nullable<Text>, Pg> for $name {
                fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> diesel::serialize::Result {
                    ToSql::<Text, Pg>::to_sql(self, out)
                }
            }
            impl FromSql<Text, Pg> for $name {
                fn from_sql(value: PgValue<'_>) -> diesel::deserialize::Result<Self> {
                    let word = std::str::from_utf8(value.as_bytes())?.to_owned();
                    Ok(serde_json::from_value(serde_json::Value::String(word))?)
                }
            }
        )+
    };
}

word_column!(DischargeColour, GlandState);
text_column!(
    BirthOutcome,
    DeliveryStatus,
    HealthKind,
    LedgerKind,
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
    Residence,
    Role,
    Sex,
);
json_column!(
    JsonList<DamSign>,
    NewbornSigns,
    WhelpingEvent,
    BuyerWishes,
    HealthPlan,
    JsonList<DateSpan>,
    JsonList<Measure>,
    JsonList<PlanStep>,
    JsonList<Registration>,
    JsonList<String>,
    JsonList<TemplateSupply>,
    JsonList<TemplateTask>,
    JsonList<Tie>,
    KennelReadinessRules,
);

/// A list in a jsonb column.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(transparent)]
pub struct JsonList<T>(pub Vec<T>);
