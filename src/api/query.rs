//! Query strings: every parameter is known, or the request is refused; and which page of a list is asked for.

use super::{
    body::{Found, unknown_parameter},
    conditional::digest,
    problem::{Kind, Problem},
};
use actix_web::{FromRequest, HttpRequest, dev::Payload};
use catalogue::{Language, Speaking, Text, said, spoken};
use postgres::order::Order;
use serde::{Deserialize, de::DeserializeOwned};
use std::{
    future::{Ready, ready},
    marker::PhantomData,
};
use store::keep::{Keep, Page};
use utoipa::{
    IntoParams,
    openapi::{
        ObjectBuilder,
        path::{Parameter, ParameterBuilder, ParameterIn},
        schema::Type,
    },
};

/// Most rows that a page gives.
const LARGEST_PAGE: i64 = 500;

/// Rows that a page gives of itself.
const USUAL_PAGE: i64 = 100;

/// Parameters that every list takes beside those of its filter.
const OF_LISTS: [&str; 3] = ["limit", "cursor", "sort"];
/// Work in the language that the query asked for; where it asked for none, in that of the answer.
pub(crate) fn in_language<F>(asked: Option<Language>, work: F) -> Speaking<F> {
    Speaking::new(asked.unwrap_or_else(spoken), work)
}

/// Where a list goes on.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct Paging {
    /// Rows a page, 1–500; 100 when left out.
    #[param(minimum = 1, maximum = 500)]
    pub limit: Option<i64>,
    /// `next_cursor` of the page before.
    pub cursor: Option<String>,
}

/// By which fields a list of records is sorted: of all lists one parameter, with names of its own in each.
pub(crate) struct Sort<R>(PhantomData<R>);

impl<R: Keep> IntoParams for Sort<R> {
    fn into_params(_: impl Fn() -> Option<ParameterIn>) -> Vec<Parameter> {
        // Of every row, which the head of the document says.
        let own = R::SORTS.len().saturating_sub(2).max(2 * usize::from(R::SORTS.len() == 2));
        let names: Vec<String> =
            R::SORTS.iter().take(own).map(|sortable| format!("`{}`", sortable.name)).collect();
        let text = ObjectBuilder::new().schema_type(Type::String);
        let parameter = ParameterBuilder::new()
            .name("sort")
            .parameter_in(ParameterIn::Query)
            .description(Some(format!("By {}.", names.join(", "))))
            .schema(Some(text));
        vec![parameter.build()]
    }
}

/// What a list is asked for: its filter, its order and its page.
pub struct Listing<F> {
    /// Which rows.
    pub filter: F,
    /// Which page of them, in which order.
    pub asked: AskedPage,
}

/// The filter of a list that has none.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct All {}

/// Which page of a list is asked for.
#[derive(Debug, Clone)]
pub struct AskedPage {
    /// Most rows that it gives.
    pub limit: i64,
    cursor: Option<String>,
    sort: Option<String>,
}

impl AskedPage {
    /// A page of records.
    ///
    /// # Errors
    /// When the list is not sorted by what was asked for, or the cursor is none of that order.
    pub(crate) fn of_records<R: Keep>(&self) -> Result<Page, Problem> {
        let order = match &self.sort {
            Some(sort) => Order::read(sort, R::SORTS).map_err(|detail| fault("sort", detail))?,
            None => Order::ENTRY,
        };
        let after = self.cursor.as_deref().map(|cursor| order.place(cursor));
        let after = after.transpose().map_err(|detail| fault("cursor", detail))?;
        Ok(Page { order, after, limit: self.limit })
    }

    /// Of rows that are numbered: the number after which a page begins, and whether the newest come first.
    ///
    /// # Errors
    /// When the list is asked to be sorted by something else, or the cursor is no number.
    pub(crate) fn of_numbered(&self) -> Result<(Option<i64>, bool), Problem> {
        let newest_first = match self.sort.as_deref() {
            None | Some("sequence") => false,
            Some("-sequence") => true,
            Some(_) => return Err(fault("sort", said!("fault-unknown-value-sequence"))),
        };
        Ok((self.number()?, newest_first))
    }

    /// Of rows that are numbered, and told from the newest on: the number before which a page begins.
    ///
    /// # Errors
    /// When the list is asked to be sorted, or the cursor is no number.
    pub(crate) fn of_newest_first(&self) -> Result<Option<i64>, Problem> {
        self.in_its_own_order()?;
        self.number()
    }

    fn number(&self) -> Result<Option<i64>, Problem> {
        let Some(cursor) = &self.cursor else { return Ok(None) };
        let number = cursor.parse().ok().filter(|number| *number >= 0);
        number.map(Some).ok_or_else(no_cursor)
    }

    /// The rows of a page, of which one more was looked for, and where the next one begins.
    pub(crate) fn numbered<T>(
        &self,
        mut found: Vec<T>,
        number: impl Fn(&T) -> i64,
    ) -> (Vec<T>, Option<String>) {
        let limit = usize::try_from(self.limit).unwrap_or_default();
        let more = found.len() > limit;
        found.truncate(limit);
        let next = found.last().filter(|_| more).map(|last| number(last).to_string());
        (found, next)
    }

    fn in_its_own_order(&self) -> Result<(), Problem> {
        match self.sort {
            Some(_) => Err(fault("sort", said!("fault-unsupported-sort"))),
            None => Ok(()),
        }
    }

    /// A page of a list that is worked out whole, in its own order, and where the next one begins.
    ///
    /// It begins after the last row of the page before, wherever that stands by now; where that is gone, at
    /// the place that it had.
    ///
    /// # Errors
    /// When the list is asked to be sorted, or the cursor is none of a list.
    pub(crate) fn cut<T>(
        &self,
        mut items: Vec<T>,
        key: impl Fn(&T) -> String,
    ) -> Result<(Vec<T>, Option<String>), Problem> {
        self.in_its_own_order()?;
        let begin = match &self.cursor {
            Some(cursor) => {
                let known = cursor
                    .split_once('-')
                    .and_then(|(place, name)| Some((place.parse::<usize>().ok()?, name)));
                let (place, name) = known.ok_or_else(no_cursor)?;
                let after = items.iter().position(|item| name_of(&key(item)) == name);
                after.map_or(place, |place| place + 1).min(items.len())
            }
            None => 0,
        };
        let limit = usize::try_from(self.limit).unwrap_or_default();
        let mut page: Vec<T> = items.drain(begin..).collect();
        let more = page.len() > limit;
        page.truncate(limit);
        let last = page.last().filter(|_| more);
        let next = last.map(|last| format!("{}-{}", begin + limit - 1, name_of(&key(last))));
        Ok((page, next))
    }
}

/// A text that is no cursor.
fn no_cursor() -> Problem {
    fault("cursor", said!("fault-malformed-cursor"))
}

/// What a row is called in a cursor.
fn name_of(key: &str) -> String {
    digest(&[key.as_bytes()])
}

fn fault(parameter: &str, detail: Text) -> Problem {
    Problem::fault(Kind::Unreadable, &format!("#query/{parameter}"), detail)
}

/// A query string as `T`.
pub struct Query<T>(pub T);

/// Reads the pairs of a query string as `T`, naming what does not fit; `beside` are the parameters that are
/// taken as well, and read elsewhere.
fn read<T: DeserializeOwned>(pairs: &[(String, String)], beside: &[&str]) -> Result<T, Problem> {
    if let Some((name, _)) = pairs.iter().find(|(_, value)| value.contains('\0')) {
        return Err(fault(name, said!("fault-malformed-nul-in-query")));
    }
    let text = serde_urlencoded::to_string(pairs)
        .map_err(|_| Problem::new(Kind::Unreadable, said!("problem-query")))?;
    let form = serde_urlencoded::Deserializer::new(form_urlencoded::parse(text.as_bytes()));
    serde_path_to_error::deserialize(form).map_err(|error| {
        let name = error.path().to_string();
        match Found::of(&error.into_inner().to_string()) {
            Found::UnknownField(name, known) => {
                let known = known.iter().map(String::as_str).chain(beside.iter().copied());
                fault(&name, unknown_parameter(&name, &known.collect::<Vec<_>>()))
            }
            Found::Missing(name) => fault(&name, said!("fault-missing-field")),
            Found::Twice(name) => fault(&name, said!("fault-twice-field")),
            Found::Wrong(detail) if name == "." => {
                Problem::fault(Kind::Unreadable, "#query", detail)
            }
            Found::Wrong(detail) => fault(&name, detail),
        }
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
        ready(read(&pairs(request), &[]).map(Self))
    }
}

impl<F: DeserializeOwned> FromRequest for Listing<F> {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        #[derive(Deserialize)]
        struct Sorted {
            sort: Option<String>,
        }
        let is_of_page = |(name, _): &(String, String)| name == "limit" || name == "cursor";
        let (of_page, others): (Vec<_>, Vec<_>) = pairs(request).into_iter().partition(is_of_page);
        let (sort, filter): (Vec<_>, Vec<_>) =
            others.into_iter().partition(|(name, _)| name == "sort");
        ready((|| {
            let Paging { limit, cursor } = read(&of_page, &[])?;
            let Sorted { sort } = read(&sort, &[])?;
            let limit = limit.unwrap_or(USUAL_PAGE);
            if !(1..=LARGEST_PAGE).contains(&limit) {
                let detail = said!("fault-out-of-range-of-query", least = 1, most = LARGEST_PAGE);
                return Err(fault("limit", detail));
            }
            Ok(Self { filter: read(&filter, &OF_LISTS)?, asked: AskedPage { limit, cursor, sort } })
        })())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(limit: i64, cursor: Option<String>) -> AskedPage {
        AskedPage { limit, cursor, sort: None }
    }

    fn page(items: &[&str], limit: i64, cursor: Option<String>) -> (Vec<String>, Option<String>) {
        let items = items.iter().map(|item| (*item).to_owned()).collect();
        asked(limit, cursor).cut(items, String::clone).unwrap()
    }

    #[test]
    fn a_list_goes_on_after_the_last_row_that_was_told() {
        let all = ["a", "b", "c", "d", "e"];
        let (first, next) = page(&all, 2, None);
        assert_eq!(first, ["a", "b"]);
        let (second, next_but_one) = page(&all, 2, next.clone());
        assert_eq!(second, ["c", "d"]);
        assert_eq!(page(&all, 2, next_but_one), (vec!["e".to_owned()], None));
        // What has come before it or gone from before it moves nothing.
        assert_eq!(page(&["x", "a", "b", "c"], 2, next.clone()).0, ["c"]);
        assert_eq!(page(&["b", "c", "d"], 2, next.clone()).0, ["c", "d"]);
        // Where it is gone itself, the list goes on at its place.
        assert_eq!(page(&["a", "c", "d", "e"], 2, next.clone()).0, ["c", "d"]);
        assert_eq!(page(&[], 2, next), (vec![], None));
    }

    #[test]
    fn a_page_that_ends_with_the_list_is_the_last() {
        for (limit, goes_on) in [(1, true), (2, true), (3, false), (4, false)] {
            assert_eq!(page(&["a", "b", "c"], limit, None).1.is_some(), goes_on, "{limit}");
        }
    }

    #[test]
    fn what_is_no_cursor_is_refused() {
        for made_up in ["", "x", "12", "-1-abc", "99999999999999999999-a"] {
            let refused =
                asked(2, Some(made_up.to_owned())).cut(vec!["a".to_owned()], String::clone);
            assert!(refused.is_err(), "{made_up}");
        }
        let beyond = asked(2, Some("7-ab".to_owned())).cut(vec!["a".to_owned()], String::clone);
        assert!(beyond.unwrap().0.is_empty());
    }

    #[test]
    fn numbered_rows_go_either_way() {
        let read = |cursor: &str, sort: Option<&str>| {
            let sort = sort.map(str::to_owned);
            AskedPage { limit: 1, cursor: Some(cursor.to_owned()), sort }.of_numbered()
        };
        assert_eq!(read("0", None).unwrap(), (Some(0), false));
        assert_eq!(read("4812", Some("-sequence")).unwrap(), (Some(4812), true));
        assert!(read("-1", None).is_err() && read("x", None).is_err());
        assert!(read("1", Some("at")).is_err());
    }
}
