//! The shapes that every resource shares: a record as kept, a page of them, and a change to one.

use chrono::{DateTime, Utc};
use serde::Serialize;
use std::{borrow::Cow, marker::PhantomData};
use utoipa::{
    PartialSchema, ToSchema,
    openapi::{
        ObjectBuilder, Ref, RefOr,
        schema::{
            AdditionalProperties, KnownFormat, Object, Schema, SchemaFormat, SchemaType, Type,
        },
    },
};
use uuid::Uuid;

/// A record as it is kept and answered: its own fields beside the ones that every row has.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Kept<R> {
    /// UUIDv7 of the row.
    pub id: Uuid,
    /// Counts the changes; the `ETag` of a single resource is made of it.
    pub version: i64,
    /// When it was written first.
    pub created_at: DateTime<Utc>,
    /// When it was changed last.
    pub updated_at: DateTime<Utc>,
    /// The fields of the record.
    #[serde(flatten)]
    pub record: R,
}

/// A page of a list; `next_cursor` is null on the last one.
#[derive(Debug, Clone, Serialize)]
pub struct List<R> {
    /// The rows of this page, in the order that was asked for.
    pub items: Vec<Kept<R>>,
    /// Give it as `cursor` to get the next page.
    pub next_cursor: Option<String>,
}

/// A JSON Merge Patch (RFC 7396) of a record: null clears, absent leaves.
#[derive(Debug, Clone)]
pub struct Patch<R>(PhantomData<R>);

/// The record's own schema, opened up.
fn object_of<R: ToSchema>() -> Object {
    match R::schema() {
        RefOr::T(Schema::Object(object)) => object,
        _ => Object::new(),
    }
}

fn property(format: Option<KnownFormat>, kind: Type, description: &str) -> RefOr<Schema> {
    ObjectBuilder::new()
        .schema_type(kind)
        .format(format.map(SchemaFormat::KnownFormat))
        .description(Some(description))
        .into()
}

impl<R: ToSchema> PartialSchema for Kept<R> {
    fn schema() -> RefOr<Schema> {
        let mut object = object_of::<R>();
        let time = Some(KnownFormat::DateTime);
        let own = [
            ("id", property(Some(KnownFormat::Uuid), Type::String, "UUIDv7 of the row.")),
            ("version", property(Some(KnownFormat::Int64), Type::Integer, "Counts the changes.")),
            ("created_at", property(time.clone(), Type::String, "When it was written first.")),
            ("updated_at", property(time, Type::String, "When it was changed last.")),
        ];
        for (name, schema) in own {
            object.properties.insert(name.to_owned(), schema);
        }
        for schema in object.properties.values_mut() {
            if let RefOr::T(Schema::Object(field)) = schema {
                field.read_only = None;
            }
        }
        // Answers always carry every key.
        object.required = object.properties.keys().cloned().collect();
        object.additional_properties = None;
        RefOr::T(Schema::Object(object))
    }
}

impl<R: ToSchema> ToSchema for Kept<R> {
    fn name() -> Cow<'static, str> {
        format!("Kept{}", R::name()).into()
    }

    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        R::schemas(schemas);
    }
}

impl<R: ToSchema> PartialSchema for List<R> {
    fn schema() -> RefOr<Schema> {
        let item = Ref::from_schema_name(Kept::<R>::name());
        ObjectBuilder::new()
            .property("items", utoipa::openapi::ArrayBuilder::new().items(item))
            .required("items")
            .property(
                "next_cursor",
                ObjectBuilder::new()
                    .schema_type(SchemaType::from_iter([Type::String, Type::Null]))
                    .description(Some("The next page's `cursor`; null on the last.")),
            )
            .required("next_cursor")
            .into()
    }
}

impl<R: ToSchema> ToSchema for List<R> {
    fn name() -> Cow<'static, str> {
        format!("{}List", R::name()).into()
    }

    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        schemas.push((Kept::<R>::name().into_owned(), Kept::<R>::schema()));
        R::schemas(schemas);
    }
}

impl<R: ToSchema> PartialSchema for Patch<R> {
    fn schema() -> RefOr<Schema> {
        let mut object = object_of::<R>();
        object.properties.retain(|_, schema| match schema {
            RefOr::T(Schema::Object(field)) => field.read_only != Some(true),
            _ => true,
        });
        object.required.clear();
        object.example = None;
        object.examples.clear();
        object.additional_properties = Some(Box::new(AdditionalProperties::FreeForm(false)));
        object.description = Some(format!(
            "JSON Merge Patch of {}, whose fields it has: null clears, absent leaves.",
            R::name()
        ));
        RefOr::T(Schema::Object(object))
    }
}

impl<R: ToSchema> ToSchema for Patch<R> {
    fn name() -> Cow<'static, str> {
        format!("{}Patch", R::name()).into()
    }

    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        R::schemas(schemas);
    }
}
