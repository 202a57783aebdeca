//! Matings and litters, answered with what is to be minded about their two parents.

use super::resource::Shown;
use domain::{
    advice::Caution,
    record::{Kept, Litter, Mating},
};
use serde::Serialize;
use std::borrow::Cow;
use store::{StoreResult, Tx, keep::Keep, kennels, seen_traits};
use utoipa::{
    PartialSchema, ToSchema,
    openapi::{
        Ref, RefOr, Schema,
        schema::{AllOfBuilder, ArrayBuilder, ObjectBuilder},
    },
};
use uuid::Uuid;

/// A record that names two parents.
pub(crate) trait Pair {
    /// The dam and the sire; no sire while he is unknown.
    fn pair(&self) -> (Uuid, Option<Uuid>);
}

impl Pair for Mating {
    fn pair(&self) -> (Uuid, Option<Uuid>) {
        (self.dam_id, Some(self.sire_id))
    }
}

impl Pair for Litter {
    fn pair(&self) -> (Uuid, Option<Uuid>) {
        (self.dam_id, self.sire_id)
    }
}

/// A record with what is to be minded about the two that are mated.
#[derive(Serialize)]
pub(crate) struct OfPair<R> {
    /// The record as it is kept.
    #[serde(flatten)]
    kept: Kept<R>,
    /// What is seen of dam and sire without any test (merle, bobtail, hairless), read only.
    cautions: Vec<Caution>,
}

impl<R: ToSchema> PartialSchema for OfPair<R> {
    fn schema() -> RefOr<Schema> {
        let cautions = ArrayBuilder::new()
            .items(Ref::from_schema_name(Caution::name()))
            .description(Some(
                "What is seen of dam and sire without any test (merle, bobtail, hairless), read only.",
            ));
        let beside = ObjectBuilder::new().property("cautions", cautions).required("cautions");
        AllOfBuilder::new()
            .item(Ref::from_schema_name(Kept::<R>::name()))
            .item(beside)
            .description(Some("It, with what is to be minded about the two that are mated."))
            .into()
    }
}

impl<R: ToSchema> ToSchema for OfPair<R> {
    fn name() -> Cow<'static, str> {
        format!("{}OnRecord", R::name()).into()
    }

    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        schemas.push((Kept::<R>::name().into_owned(), Kept::<R>::schema()));
        Kept::<R>::schemas(schemas);
        schemas.push((Caution::name().into_owned(), Caution::schema()));
        Caution::schemas(schemas);
    }
}

impl<R: Keep + Pair> Shown for OfPair<R>
where
    Kept<R>: Serialize,
{
    type Record = R;

    async fn of(tx: &mut Tx, kept: Kept<R>) -> StoreResult<Self> {
        let cautions = match kept.record.pair() {
            (dam_id, Some(sire_id)) => {
                let rules = kennels::rules(tx).await?;
                seen_traits::cautions_of_pair(tx, dam_id, sire_id, &rules).await?
            }
            (_, None) => Vec::new(),
        };
        Ok(Self { kept, cautions })
    }

    fn kept(&self) -> &Kept<R> {
        &self.kept
    }
}
