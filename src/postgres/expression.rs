//! What diesel asks of an expression, for SQL that is written by hand.

use diesel::{
    QueryResult,
    pg::Pg,
    query_builder::{AstPass, QueryFragment},
    sql_types::Bool,
};
use uuid::Uuid;

/// That rows hang on the one with this id, by a column that is known by its name alone. A connection keeps the
/// statement, which it does with none that holds [`diesel::dsl::sql`].
#[derive(Debug, Clone, Copy)]
pub struct HangsOn {
    /// The column.
    pub column: &'static str,
    /// The row that is named in it.
    pub id: Uuid,
}

impl QueryFragment<Pg> for HangsOn {
    fn walk_ast<'b>(&'b self, mut out: AstPass<'_, 'b, Pg>) -> QueryResult<()> {
        out.push_identifier(self.column)?;
        out.push_sql(" = ");
        out.push_bind_param::<diesel::sql_types::Uuid, _>(&self.id)
    }
}

/// Lets something that is written as SQL stand where an expression may, in any query.
#[macro_export]
macro_rules! expression {
    ($($name:ident as $sql:ty),+) => { $(
        impl ::diesel::expression::Expression for $name {
            type SqlType = $sql;
        }
        impl ::diesel::query_builder::QueryId for $name {
            type QueryId = ();
            const HAS_STATIC_QUERY_ID: bool = false;
        }
        impl<GroupBy> ::diesel::expression::ValidGrouping<GroupBy> for $name {
            type IsAggregate = ::diesel::expression::is_aggregate::Never;
        }
        impl<Source> ::diesel::expression::AppearsOnTable<Source> for $name {}
        impl<Source> ::diesel::expression::SelectableExpression<Source> for $name {}
    )+ };
}

crate::expression!(HangsOn as Bool);
