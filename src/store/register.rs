//! What the store does with the record that a word names: the lines are in [`domain::record::register`].

use super::{StoreError, StoreResult, Tx, ask::Parent, keep::Keep, statement::statement};
use diesel::{
    QueryableByName,
    sql_types::{Array, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::record::register::Registered;
use std::collections::HashSet;
use uuid::Uuid;

/// Work that is done with whatever record a word names.
pub trait ByRecord {
    /// What comes of it.
    type Done;

    /// Does it for rows of `R`.
    fn with<R: Keep>(self) -> impl Future<Output = Self::Done>;
}

macro_rules! by_word {
    ($(($record:path, $word:literal, $table:literal))+) => {
        /// Does `work` with the record that a word names; null when it names none.
        pub async fn with_record_of<W: ByRecord>(word: &str, work: W) -> Option<W::Done> {
            match word {
                $($word => Some(work.with::<$record>().await),)+
                _ => None,
            }
        }

        /// The table of a word.
        fn table(word: &str) -> Option<&'static str> {
            match word {
                $($word => Some($table),)+
                _ => None,
            }
        }

        /// Which rows of a word are seen, as a statement that is prepared once.
        fn question(word: &str) -> Option<&'static str> {
            match word {
                $($word => Some(concat!(
                    "SELECT id FROM ", $table, " WHERE kennel_id = $1 AND id = ANY ($2)"
                )),)+
                _ => None,
            }
        }
    };
}
domain::each_record!(by_word);

/// The row that rows of a record hang on in the path.
pub(crate) fn parent_of<R: Registered>(id: Option<Uuid>) -> StoreResult<Option<Parent>> {
    let (Some(id), Some(of)) = (id, R::LINE.parent) else { return Ok(None) };
    let table = table(of.word).ok_or_else(|| unknown(of.word))?;
    Ok(Some(Parent { table, id }))
}

fn unknown(word: &str) -> StoreError {
    StoreError::Internal(format!("{word} is the word of no record"))
}

#[derive(QueryableByName)]
struct SeenRow {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
}

/// Of the rows of a record that are asked for, those that this person may see.
pub(super) async fn seen(tx: &mut Tx, word: &str, ids: &[Uuid]) -> StoreResult<HashSet<Uuid>> {
    let question = question(word).ok_or_else(|| unknown(word))?;
    let rows: Vec<SeenRow> = statement(question)
        .bind::<SqlUuid, _>(tx.scope.kennel_id())
        .bind::<Array<SqlUuid>, _>(ids)
        .load(&mut tx.conn)
        .await?;
    Ok(rows.into_iter().map(|row| row.id).collect())
}
