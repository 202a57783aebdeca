//! A question of one statement: the login is shown, the walls are set and the rows are read in that very statement.
//!
//! What is shown stands first in it (`enter_by_session`, `enter_by_token`), and the question behind it, for the one
//! row that tells who asks. So it is one message to Postgres and one answer, and a login that has ended since the
//! last question is none at this one. Postgres comes to the question last: it hangs on that row as the far side of
//! an outer join, and has a limit of its own, which keeps the two from being planned as one. Were it asked first, the
//! walls would show it nothing.

use super::{
    Db, StoreError, StoreResult,
    columns::Word,
    pools::soon,
    scope::{Claim, Scope, Shown, Told},
};
use diesel::{
    QueryResult,
    pg::Pg,
    query_builder::{AstPass, Query, QueryFragment, QueryId},
    sql_types::{Array, Bool, Bytea, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::{AsyncPgConnection, RunQueryDsl as _, methods::LoadQuery};
use uuid::Uuid;

/// What an answer begins with: [`Told`].
type ToldSql = (
    Nullable<SqlUuid>,
    Nullable<Bool>,
    Nullable<Array<Text>>,
    Nullable<Text>,
    Nullable<Text>,
    Nullable<Text>,
    Nullable<Text>,
    Nullable<Word>,
    Bool,
);

/// The row of another table that rows hang on in the path.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Parent {
    /// Its table.
    pub table: &'static str,
    /// Its id.
    pub id: Uuid,
}

/// What came of a question.
pub enum Answer<Row> {
    /// It was answered.
    Told {
        /// Who asks, as the database has just found it.
        scope: Box<Scope>,
        /// Whether the row is there that the rows hang on.
        has_parent: bool,
        /// The rows.
        rows: Vec<Row>,
    },
    /// The person does not belong to the kennel, or there is none.
    NoKennel,
    /// It has to be asked in a transaction: it needs the kennel's day, or is put together of several statements.
    Later,
}

impl<Row> Answer<Row> {
    /// The same with other rows.
    pub fn map<Other>(self, make: impl FnMut(Row) -> Other) -> Answer<Other> {
        match self {
            Self::Told { scope, has_parent, rows } => {
                let rows = rows.into_iter().map(make).collect();
                Answer::Told { scope, has_parent, rows }
            }
            Self::NoKennel => Answer::NoKennel,
            Self::Later => Answer::Later,
        }
    }
}

/// A question behind what is shown.
pub(crate) struct Asked<'a, Q> {
    claim: &'a Claim,
    parent: Option<Parent>,
    question: Q,
}

impl<Q: QueryFragment<Pg>> QueryFragment<Pg> for Asked<'_, Q> {
    fn walk_ast<'b>(&'b self, mut out: AstPass<'_, 'b, Pg>) -> QueryResult<()> {
        out.push_sql(
            "SELECT (s.e).person_id, (s.e).read_only, (s.e).areas, (s.e).name, (s.e).time_zone, (s.e).jurisdiction, \
             (s.e).currency, (s.e).role, ",
        );
        match &self.parent {
            Some(Parent { table, id }) => {
                out.push_sql("EXISTS (SELECT FROM ");
                out.push_sql(table);
                out.push_sql(" WHERE kennel_id = ");
                out.push_bind_param::<SqlUuid, _>(&self.claim.kennel_id)?;
                out.push_sql(" AND id = ");
                out.push_bind_param::<SqlUuid, _>(id)?;
                out.push_sql("), r.* FROM ");
            }
            None => out.push_sql("true, r.* FROM "),
        }
        let Claim { kennel_id, shown, .. } = self.claim;
        // Once, however many of its fields are asked for: what has an offset is not taken apart.
        out.push_sql(match shown {
            Shown::Session(_) => "(SELECT enter_by_session(",
            Shown::Token(_) => "(SELECT enter_by_token(",
        });
        out.push_bind_param::<SqlUuid, _>(kennel_id)?;
        out.push_sql(", ");
        match shown {
            Shown::Session(subject) => out.push_bind_param::<SqlUuid, _>(&subject.session_id)?,
            Shown::Token(hash) => out.push_bind_param::<Bytea, _>(hash)?,
        }
        out.push_sql(") AS e OFFSET 0) AS s LEFT JOIN LATERAL (");
        self.question.walk_ast(out.reborrow())?;
        out.push_sql(") AS r ON true");
        Ok(())
    }
}

impl<Q> QueryId for Asked<'_, Q> {
    type QueryId = ();
    // The cache goes by the text.
    const HAS_STATIC_QUERY_ID: bool = false;
}

impl<Q: Query> Query for Asked<'_, Q> {
    type SqlType = (ToldSql, Nullable<Q::SqlType>);
}

/// Asks within the kennel of a claim. The question has a limit.
///
/// # Errors
/// [`StoreError::Login`] when what was shown is not, or no longer, good.
pub(crate) async fn ask<'a, Q, Row>(
    db: &Db,
    claim: &'a Claim,
    parent: Option<Parent>,
    question: Q,
) -> StoreResult<Answer<Row>>
where
    Asked<'a, Q>: for<'c> LoadQuery<'a, &'c AsyncPgConnection, (Told, Option<Row>)> + 'a,
    Row: Send,
{
    let asked = Asked { claim, parent, question };
    let line = db.pools.for_question().await?;
    let found: Vec<(Told, Option<Row>)> =
        soon(async { Ok(asked.load(&mut line.conn()).await?) }).await?;
    let (mut first, mut rows) = (None, Vec::with_capacity(found.len()));
    for (told, row) in found {
        first.get_or_insert(told);
        rows.extend(row);
    }
    let told = first.ok_or_else(|| StoreError::Internal("nobody was told".to_owned()))?;
    let has_parent = told.has_parent;
    Ok(match claim.opened(told)? {
        None => Answer::NoKennel,
        Some(scope) => Answer::Told { scope: Box::new(scope), has_parent, rows },
    })
}
