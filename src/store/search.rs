//! Rows by what people type.
//!
//! The walls are asked before: a word is looked for in rows that the person sees, and in what every reader of
//! such rows may read, so that a search tells nobody what a read does not.

use diesel::{
    QueryResult,
    pg::Pg,
    query_builder::{AstPass, QueryFragment},
    sql_types::{Bool, Text},
};

/// Whether a word is found in what a row is searched by, as SQL.
#[derive(Debug, Clone)]
pub(crate) struct Finds {
    /// What the row is searched by, folded.
    within: &'static str,
    word: String,
}

impl Finds {
    /// Whether a dog is called so, or has that number.
    pub(crate) fn in_dog(word: &str) -> Self {
        Self { within: "dogs.search_words", word: word.to_owned() }
    }

    /// Whether a buyer is called so. Where they live and how they are reached is not searched: not
    /// everybody who reads buyers may read that.
    pub(crate) fn in_buyer(word: &str) -> Self {
        Self { within: "folded(buyers.name)", word: word.to_owned() }
    }
}

impl QueryFragment<Pg> for Finds {
    fn walk_ast<'b>(&'b self, mut out: AstPass<'_, 'b, Pg>) -> QueryResult<()> {
        // The word is folded once a statement, not once a row.
        out.push_sql("position((SELECT folded(");
        out.push_bind_param::<Text, _>(&self.word)?;
        out.push_sql(")) IN ");
        out.push_sql(self.within);
        out.push_sql(") > 0");
        Ok(())
    }
}

postgres::expression!(Finds as Bool);
