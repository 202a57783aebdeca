//! Query strings: every parameter is known, or the request is refused.

use super::problem::{Kind, Problem};
use actix_web::{FromRequest, HttpRequest, dev::Payload};
use domain::fault::in_brief;
use serde::{Deserialize, de::DeserializeOwned};
use std::future::{Ready, ready};
use store::keep::Page;
use utoipa::IntoParams;
use uuid::Uuid;

/// Most rows that a page gives.
const LARGEST_PAGE: i64 = 500;

/// Where a list goes on.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct Paging {
    /// Rows a page, 1–500; 100 when left out.
    #[param(minimum = 1, maximum = 500)]
    pub limit: Option<i64>,
    /// `next_cursor` of the page before.
    pub cursor: Option<Uuid>,
}

/// The filter and the page that a list is asked for.
pub struct Listing<F> {
    /// Which rows.
    pub filter: F,
    /// Which page of them.
    pub page: Page,
}

/// A query string as `T`.
pub struct Query<T>(pub T);

/// Reads the pairs of a query string as `T`, naming what does not fit.
fn read<T: DeserializeOwned>(pairs: &[(String, String)]) -> Result<T, Problem> {
    if let Some((name, _)) = pairs.iter().find(|(_, value)| value.contains('\0')) {
        return Err(Problem::fault(Kind::Unreadable, &format!("#query/{name}"), "contains U+0000"));
    }
    let text = serde_urlencoded::to_string(pairs)
        .map_err(|_| Problem::new(Kind::Unreadable, "The query cannot be read."))?;
    let form = serde_urlencoded::Deserializer::new(form_urlencoded::parse(text.as_bytes()));
    serde_path_to_error::deserialize(form).map_err(|error| {
        let name = error.path().to_string();
        let pointer = if name == "." { "#query".to_owned() } else { format!("#query/{name}") };
        let detail = in_brief(&error.into_inner().to_string());
        Problem::fault(Kind::Unreadable, &pointer, detail)
    })
}

fn pairs(request: &HttpRequest) -> Vec<(String, String)> {
    form_urlencoded::parse(request.query_string().as_bytes())
        .map(|(name, value)| (name.into_owned(), value.into_owned()))
        .collect()
}

impl<T: DeserializeOwned> FromRequest for Query<T> {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(read(&pairs(request)).map(Self))
    }
}

impl<F: DeserializeOwned> FromRequest for Listing<F> {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let (paging, filter): (Vec<_>, Vec<_>) =
            pairs(request).into_iter().partition(|(name, _)| name == "limit" || name == "cursor");
        ready((|| {
            let Paging { limit, cursor } = read(&paging)?;
            let limit = limit.unwrap_or(100);
            if !(1..=LARGEST_PAGE).contains(&limit) {
                return Err(Problem::fault(
                    Kind::Unreadable,
                    "#query/limit",
                    format!("must be from 1 to {LARGEST_PAGE}"),
                ));
            }
            Ok(Self { filter: read(&filter)?, page: Page { after: cursor, limit } })
        })())
    }
}
