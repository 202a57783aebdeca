//! A kennel's book as the database keeps it: one value in parts, read at once.
//!
//! A dog is 32 bytes: its id, the places of sire and dam in the book, and F. A hundred thousand are read in some
//! milliseconds, where their rows took a third of a second to be joined, sent and numbered. Added dogs are a part of their
//! own; after anything else the book is written whole. Whatever does not hold together is as good as absent: the book is
//! then made of the dogs.

use super::{Book, PedigreeHead, Standing};
use crate::{StoreResult, Tx, aside, statement::statement};
use diesel::{
    QueryableByName,
    sql_types::{BigInt, Binary, Bool, Integer},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    inbreeding::Studbook,
    pedigree::{Parents, Pedigree},
};
use std::sync::Arc;
use uuid::Uuid;

/// Bytes of a dog.
const DOG_BYTES: usize = 32;
/// Dogs in a part: a megabyte.
const PART_DOGS: usize = 32_768;
/// So many added dogs are written by themselves at most.
const MOST_ADDED: usize = 2_048;
/// Parts beyond the full ones before all are written anew.
const MOST_PARTS: usize = 64;
/// The place of a parent that is not known.
const NOBODY: u32 = u32::MAX;

/// What the database holds of a book.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Kept {
    /// The change up to which it goes.
    pub(super) head: PedigreeHead,
    dogs: usize,
    parts: i32,
}

#[derive(QueryableByName)]
struct PartRow {
    #[diesel(sql_type = BigInt)]
    sequence: i64,
    #[diesel(sql_type = BigInt)]
    dogs: i64,
    #[diesel(sql_type = Integer)]
    part: i32,
    #[diesel(sql_type = Binary)]
    content: Vec<u8>,
}

/// The book as it is kept; `None` where none is, or dogs were deleted or imported since.
pub(super) async fn read(tx: &mut Tx) -> StoreResult<Option<(Book, Kept)>> {
    let parts: Vec<PartRow> =
        statement("SELECT sequence, dogs, part, content FROM kept_studbook() ORDER BY part")
            .load(&mut tx.conn)
            .await?;
    if parts.is_empty() {
        return Ok(None);
    }
    let read = aside(move || restored(parts)).await?;
    if read.is_none() {
        tracing::warn!(kennel = %tx.scope.kennel_id(), "a kept pedigree does not hold together");
    }
    Ok(read)
}

fn restored(rows: Vec<PartRow>) -> Option<(Book, Kept)> {
    let (sequence, dogs) = rows.as_slice().first().map(|row| (row.sequence, row.dogs))?;
    let dogs = usize::try_from(dogs).ok()?;
    let in_row = (0..).zip(&rows).all(|(number, row)| row.part == number);
    let bytes: usize = rows.iter().map(|row| row.content.len()).sum();
    if !in_row || bytes != dogs.checked_mul(DOG_BYTES)? {
        return None;
    }
    let (mut ids, mut inbreeding) = (Vec::with_capacity(dogs), Vec::with_capacity(dogs));
    let mut parents = Parents::with_capacity(dogs);
    let kept = Kept { head: PedigreeHead(sequence), dogs, parts: i32::try_from(rows.len()).ok()? };
    for row in rows {
        let (records, []) = row.content.as_chunks::<DOG_BYTES>() else { return None };
        for record in records {
            let (id, rest) = record.split_first_chunk::<16>()?;
            let (sire, rest) = rest.split_first_chunk::<4>()?;
            let (dam, rest) = rest.split_first_chunk::<4>()?;
            let place = |bytes| Some(u32::from_le_bytes(bytes)).filter(|place| *place != NOBODY);
            ids.push(Uuid::from_bytes(*id));
            parents.push(place(*sire), place(*dam))?;
            inbreeding.push(f64::from_le_bytes(*rest.first_chunk::<8>()?));
        }
    }
    let studbook = Studbook::restored(Pedigree::restored(ids, parents).ok()?, inbreeding)?;
    Some((Book { head: kept.head, studbook: Arc::new(studbook) }, kept))
}

/// The dogs of a book from one place to another, as they are kept.
fn written(book: &Studbook<Uuid>, from: usize, to: usize) -> Vec<u8> {
    let pedigree = book.pedigree();
    let mut bytes = Vec::with_capacity((to - from) * DOG_BYTES);
    for animal in from as u32..to as u32 {
        let parents = pedigree.parents();
        bytes.extend(pedigree.id(animal).as_bytes());
        for parent in [parents.sire(animal), parents.dam(animal)] {
            bytes.extend(parent.unwrap_or(NOBODY).to_le_bytes());
        }
        bytes.extend(book.coefficients()[animal as usize].to_le_bytes());
    }
    bytes
}

#[derive(QueryableByName)]
struct BegunRow {
    #[diesel(sql_type = Bool)]
    begun: bool,
}

/// Writes what the database lacks of a book, and tells what it holds then; `None` where another instance writes, or has
/// written.
pub(super) async fn write(
    tx: &mut Tx,
    book: &Book,
    standing: &Standing,
) -> StoreResult<Option<Kept>> {
    let all = book.studbook.pedigree().len();
    let is_added = |kept: &Kept| {
        let full = all / PART_DOGS + MOST_PARTS;
        let fits = kept.dogs <= all && all - kept.dogs <= MOST_ADDED;
        fits && !standing.is_edited && (kept.parts as usize) < full
    };
    let (before, part, dogs) = match standing.kept.filter(is_added) {
        Some(kept) => (kept.head.0, kept.parts, kept.dogs),
        None => (-1, 0, 0),
    };
    let begun = statement("SELECT begin_keeping($1, $2, $3) AS begun")
        .bind::<BigInt, _>(before)
        .bind::<BigInt, _>(book.head.0)
        .bind::<Integer, _>(part)
        .get_result::<BegunRow>(&mut tx.conn)
        .await?;
    if !begun.begun {
        return Ok(None);
    }
    let mut parts = part;
    for from in (dogs..all).step_by(PART_DOGS) {
        let content = written(&book.studbook, from, all.min(from + PART_DOGS));
        statement("SELECT keep_studbook_part($1, $2)")
            .bind::<Integer, _>(parts)
            .bind::<Binary, _>(content)
            .execute(&mut tx.conn)
            .await?;
        parts += 1;
    }
    statement("SELECT end_keeping($1, $2)")
        .bind::<BigInt, _>(book.head.0)
        .bind::<BigInt, _>(all as i64)
        .execute(&mut tx.conn)
        .await?;
    Ok(Some(Kept { head: book.head, dogs: all, parts }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use domain::pedigree::PedigreeRow;

    fn book() -> Studbook<Uuid> {
        let id = Uuid::from_u128;
        let row =
            |dog, sire, dam| PedigreeRow { id: id(dog), sire: Some(id(sire)), dam: Some(id(dam)) };
        let rows = [row(5, 1, 2), row(6, 5, 2), row(3, 6, 7), row(7, 5, 2), row(9, 6, 7)];
        let mut book = Studbook::compute(Pedigree::build(rows).unwrap(), 1);
        book.append([row(4, 3, 7)]).unwrap();
        book
    }

    fn parts(book: &Studbook<Uuid>, at: usize) -> Vec<PartRow> {
        let dogs = book.pedigree().len();
        let ranges = [(0, 0, at), (1, at, dogs)];
        let part = |(part, from, to)| PartRow {
            sequence: 7,
            dogs: dogs as i64,
            part,
            content: written(book, from, to),
        };
        ranges.into_iter().map(part).collect()
    }

    #[test]
    fn what_is_kept_comes_back_to_the_last_bit() {
        let book = book();
        for at in 0..=book.pedigree().len() {
            let (read, kept) = restored(parts(&book, at)).unwrap();
            assert_eq!((kept.head, kept.parts), (PedigreeHead(7), 2));
            assert_eq!(*read.studbook, book);
            for id in book.pedigree().ids() {
                assert_eq!(read.studbook.pedigree().find(id), book.pedigree().find(id));
            }
        }
    }

    #[test]
    fn what_does_not_hold_together_is_not_taken() {
        let book = book();
        let spoilt = |spoil: fn(&mut Vec<PartRow>)| {
            let mut parts = parts(&book, 3);
            spoil(&mut parts);
            restored(parts).is_none()
        };
        assert!(!spoilt(|_| {}));
        assert!(spoilt(|parts| drop(parts.pop())), "a part is missing");
        assert!(spoilt(|parts| drop(parts.remove(0))), "the first is missing");
        assert!(spoilt(|parts| drop(parts[1].content.pop())), "a byte is missing");
        assert!(spoilt(|parts| parts[0].content[16..20].fill(0)), "its own sire");
        assert!(spoilt(|parts| parts[1].content[16..20].fill(0x7f)), "a sire beyond the end");
        assert!(spoilt(|parts| parts[1].content[24..32].fill(0xff)), "F is no number");
        assert!(
            spoilt(|parts| {
                let id = parts[0].content[..16].to_vec();
                parts[1].content[..16].copy_from_slice(&id);
            }),
            "a dog twice"
        );
    }
}
