//! SQL text that a connection prepares once.
//!
//! `diesel::sql_query` is parsed and planned anew at each run, with a round trip of its own: good for
//! what is seldom asked or put together on the way, too slow for what every request does.

use diesel::{
    QueryResult,
    pg::Pg,
    query_builder::{AstPass, Query, QueryFragment, QueryId},
    serialize::ToSql,
    sql_types::{HasSqlType, Untyped},
};
use std::marker::PhantomData;

/// A statement, with the values of its places `$1`, `$2` and so on, each once and in this order.
pub struct Statement<Values> {
    text: &'static str,
    values: Values,
}

/// A statement of this text, to bind values to.
pub fn statement(text: &'static str) -> Statement<()> {
    Statement { text, values: () }
}

impl<Values> Statement<Values> {
    /// Binds the value of the next place, as the SQL type `ST`.
    pub fn bind<ST, Value>(self, value: Value) -> Statement<(Values, Bound<ST, Value>)> {
        let bound = Bound { value, sql_type: PhantomData };
        Statement { text: self.text, values: (self.values, bound) }
    }
}

/// A value of a statement, sent as the SQL type `ST`.
pub struct Bound<ST, Value> {
    value: Value,
    sql_type: PhantomData<fn() -> ST>,
}

/// The values of a statement.
pub trait Values {
    /// Puts each value in its place; returns the text after the last one.
    fn place<'text, 'b>(
        &'b self,
        text: &'text str,
        out: &mut AstPass<'_, 'b, Pg>,
    ) -> QueryResult<&'text str>;
}

impl Values for () {
    fn place<'text, 'b>(
        &'b self,
        text: &'text str,
        _out: &mut AstPass<'_, 'b, Pg>,
    ) -> QueryResult<&'text str> {
        Ok(text)
    }
}

impl<Before, ST, Value> Values for (Before, Bound<ST, Value>)
where
    Before: Values,
    Pg: HasSqlType<ST>,
    Value: ToSql<ST, Pg>,
{
    fn place<'text, 'b>(
        &'b self,
        text: &'text str,
        out: &mut AstPass<'_, 'b, Pg>,
    ) -> QueryResult<&'text str> {
        let rest = self.0.place(text, out)?;
        let (before, after) = rest.split_once('$').ok_or_else(|| {
            diesel::result::Error::QueryBuilderError("more values than places".into())
        })?;
        out.push_sql(before);
        out.push_bind_param::<ST, Value>(&self.1.value)?;
        Ok(after.trim_start_matches(|letter: char| letter.is_ascii_digit()))
    }
}

impl<V: Values> QueryFragment<Pg> for Statement<V> {
    fn walk_ast<'b>(&'b self, mut out: AstPass<'_, 'b, Pg>) -> QueryResult<()> {
        let rest = self.values.place(self.text, &mut out)?;
        out.push_sql(rest);
        Ok(())
    }
}

impl<V> QueryId for Statement<V> {
    type QueryId = ();
    // Statements of the same types differ by their text, which the cache then goes by.
    const HAS_STATIC_QUERY_ID: bool = false;
}

impl<V> Query for Statement<V> {
    type SqlType = Untyped;
}

#[cfg(test)]
mod tests {
    use super::*;
    use diesel::sql_types::{Integer, Text};

    #[test]
    fn each_value_stands_in_its_place() {
        let query = statement("SELECT * FROM of($1) WHERE name = $2 LIMIT 1")
            .bind::<Integer, _>(7)
            .bind::<Text, _>("Wren");
        let shown = diesel::debug_query::<Pg, _>(&query).to_string();
        assert!(shown.starts_with("SELECT * FROM of($1) WHERE name = $2 LIMIT 1"), "{shown}");
        assert!(shown.contains("[7, \"Wren\"]"), "{shown}");
    }

    #[test]
    fn a_value_too_many_is_a_fault() {
        let query = statement("SELECT $1").bind::<Integer, _>(7).bind::<Integer, _>(8);
        let mut built = diesel::pg::PgQueryBuilder::default();
        assert!(query.to_sql(&mut built, &Pg).is_err());
    }
}
