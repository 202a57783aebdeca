//! What diesel asks of an expression, for SQL that is written by hand.

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
