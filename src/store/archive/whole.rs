//! What must hold between the rows of an archive beyond the database's own constraints.

use super::Shapes;
use crate::{StoreError, StoreResult, Tx, aside, ledger, schema};
use catalogue::said;
use diesel::{
    ExpressionMethods as _, QueryDsl as _, Queryable, QueryableByName, Selectable,
    SelectableHelper as _,
    sql_types::{Bool, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    archive::{CellKind, CheckedArchive, MOST_FAULTS},
    fault::Fault,
    pedigree::{Pedigree, PedigreeError, PedigreeRow},
};
use std::{collections::BTreeMap, sync::Arc};
use uuid::Uuid;

#[derive(QueryableByName)]
struct FoundRow {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
    #[diesel(sql_type = Text)]
    field: String,
    /// Whether there is no such parent; else it is not older.
    #[diesel(sql_type = Bool)]
    missing: bool,
}

/// A row that does not go with the others: what is wrong with it, and where.
struct Found {
    row_id: Uuid,
    fault: Fault,
}

/// A dog with its parents.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::dogs)]
struct DogRow {
    id: Uuid,
    sire_id: Option<Uuid>,
    dam_id: Option<Uuid>,
}

/// Checks the whole of what was written: pedigree and accounts.
///
/// # Errors
/// When the database is away.
pub(super) async fn check_whole<B: AsRef<[u8]> + Clone + Send + Sync + 'static>(
    tx: &mut Tx,
    source: &Arc<CheckedArchive<B>>,
    shapes: &Shapes,
) -> StoreResult<Vec<Fault>> {
    let mut dogs = parents(tx).await?;
    if dogs.is_empty() {
        dogs = loops(tx).await?;
    }
    let mut faults = at_lines(source, shapes, "dogs", dogs).await?;
    let unbalanced = ledger::unbalanced(tx).await?.into_iter().map(|(row_id, detail)| {
        let detail = said!("fault-differs-payments", what = detail);
        Found { row_id, fault: Fault::new("/price_minor", detail) }
    });
    faults.extend(at_lines(source, shapes, "placements", unbalanced.collect()).await?);
    Ok(faults)
}

/// Parents that are not there, are of the wrong sex, or are not older.
async fn parents(tx: &mut Tx) -> StoreResult<Vec<Found>> {
    let of = |field: &str, sex: &str| {
        format!(
            "SELECT c.id, '/{field}' AS field, p.id IS NULL AS missing FROM dogs c LEFT JOIN dogs p ON p.kennel_id = $1 AND p.id = c.{field} AND p.sex = '{sex}' \
             WHERE c.kennel_id = $1 AND c.{field} IS NOT NULL \
               AND (p.id IS NULL OR NOT born_before(p.born_on, c.born_on))"
        )
    };
    tx.expect_many_rows().await?;
    let query = format!(
        "{} UNION ALL {} ORDER BY 1 LIMIT {MOST_FAULTS}",
        of("sire_id", "male"),
        of("dam_id", "female")
    );
    let rows: Vec<FoundRow> = diesel::sql_query(query)
        .bind::<SqlUuid, _>(tx.scope.kennel_id())
        .load(&mut tx.conn)
        .await?;
    let found = |FoundRow { id, field, missing }| {
        let detail = match (missing, field.as_str()) {
            (true, "/sire_id") => said!("fault-not-found-sire-in-archive"),
            (true, _) => said!("fault-not-found-dam-in-archive"),
            (false, _) => said!("fault-too-young-parent"),
        };
        Found { row_id: id, fault: Fault::new(field, detail) }
    };
    Ok(rows.into_iter().map(found).collect())
}

/// Dogs that are their own ancestors.
async fn loops(tx: &mut Tx) -> StoreResult<Vec<Found>> {
    use schema::dogs::dsl;
    let rows: Vec<DogRow> = dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select(DogRow::as_select())
        .load(&mut tx.conn)
        .await?;
    let member = |DogRow { id, sire_id, dam_id }| PedigreeRow { id, sire: sire_id, dam: dam_id };
    let rows: Vec<PedigreeRow<Uuid>> = rows.into_iter().map(member).collect();
    let built = aside(move || Pedigree::build(rows).map(drop)).await?;
    let found = |row_id, detail| Found { row_id, fault: Fault::new("/sire_id", detail) };
    Ok(match built {
        Ok(()) => Vec::new(),
        Err(PedigreeError::Loop(loops)) => loops
            .into_iter()
            .flatten()
            .take(MOST_FAULTS)
            .map(|id| found(id, said!("fault-own-ancestor-of-archive")))
            .collect(),
        Err(PedigreeError::SameParents(id)) => {
            vec![found(id, said!("fault-not-together-sire-and-dam"))]
        }
        Err(error) => return Err(StoreError::Internal(format!("the pedigree: {error}"))),
    })
}

/// The faults with the lines on which their rows stand.
async fn at_lines<B: AsRef<[u8]> + Clone + Send + Sync + 'static>(
    source: &Arc<CheckedArchive<B>>,
    shapes: &Shapes,
    table: &'static str,
    found: Vec<Found>,
) -> StoreResult<Vec<Fault>> {
    if found.is_empty() {
        return Ok(Vec::new());
    }
    let ids = shapes.get(table).into_iter().flatten().filter(|column| column.kind == CellKind::Id);
    let ids: Vec<_> = ids.filter(|column| column.name == "id").cloned().collect();
    let source = Arc::clone(source);
    let located = aside(move || {
        let mut wanted: BTreeMap<String, Vec<Fault>> = BTreeMap::new();
        for Found { row_id, fault } in found {
            wanted.entry(row_id.to_string()).or_default().push(fault);
        }
        let mut faults = Vec::new();
        for (_, file) in source.tables().filter(|(of, _)| of.name == table) {
            let shape: Vec<_> = ids
                .iter()
                .cloned()
                .chain(file.columns.iter().filter(|name| *name != "id").map(|name| {
                    domain::archive::ArchiveColumn {
                        name: name.clone(),
                        kind: CellKind::Text,
                        required: false,
                    }
                }))
                .collect();
            let mut take = |line, row: Vec<Option<String>>| {
                let own = row.into_iter().next().flatten().and_then(|id| wanted.remove(&id));
                faults.extend(own.into_iter().flatten().map(|fault| Fault {
                    pointer: format!("{}#line/{line}{}", file.name, fault.pointer),
                    ..fault
                }));
                !wanted.is_empty()
            };
            source.rows(file, &shape, &mut take)?;
        }
        Ok(faults)
    });
    located.await?.map_err(StoreError::Refused)
}
