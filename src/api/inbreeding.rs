//! A dog's ancestors, its inbreeding and its kinship with the breeding stock.

use super::{
    answer,
    problem::Kind,
    query::{Query, in_language},
    resource::prelude::*,
    work::Seat,
};
use catalogue::{Language, said};
use documents::pedigree_chart::{GENERATIONS_DRAWN, pedigree_svg};
use domain::{
    family_tree::{FamilyTree, MOST_GENERATIONS, PedigreeDog, family_tree, tree_dogs},
    inbreeding::{
        Studbook,
        choice::BloodShare,
        report::{InbreedingReport, ReportSize},
    },
    pedigree::PedigreeError,
    record::Dog,
};
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use store::{
    keep::{self, RowPath},
    pedigrees,
    scope::Scope,
    screening,
    studbooks::{self, PedigreeHead},
};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_inbreeding)
        .service(read_family_tree)
        .service(draw_family_tree)
        .service(list_ancestor_shares);
}

/// Most generations that a limited figure walks back.
pub(crate) const MOST_LIMITED_GENERATIONS: u32 = 50;

impl From<PedigreeError<Uuid>> for Problem {
    fn from(error: PedigreeError<Uuid>) -> Self {
        match error {
            // It was there when the request began.
            PedigreeError::NotThere(_) => Self::not_found(),
            error => Self::of_ours(&error),
        }
    }
}

/// The kennel's pedigree, once the dog in the path is known to be there for this person.
async fn book_with(app: &App, scope: &Scope, dog_id: Uuid) -> Result<Arc<Studbook<Uuid>>, Problem> {
    let head = app
        .db
        .within(scope, async |tx| {
            keep::find::<Dog>(tx, RowPath::from(dog_id)).await?;
            studbooks::head(tx).await
        })
        .await?;
    book(app, scope, head).await
}

/// The kennel's pedigree as it stood at `head`, or newer.
pub async fn book(
    app: &App,
    scope: &Scope,
    head: PedigreeHead,
) -> Result<Arc<Studbook<Uuid>>, Problem> {
    Ok(app.studbooks.at_least(scope, head).await?)
}

/// The kennel's pedigree as it stands now.
pub(crate) async fn current_book(app: &App, scope: &Scope) -> Result<Arc<Studbook<Uuid>>, Problem> {
    Ok(app.studbooks.current(scope).await?)
}

/// Who ancestors of dogs are that this person may see.
pub async fn particulars(
    app: &App,
    scope: &Scope,
    dog_ids: &[Uuid],
) -> Result<Vec<PedigreeDog>, Problem> {
    Ok(app.db.within(scope, async |tx| pedigrees::particulars(tx, dog_ids).await).await?)
}

/// Computes of a pedigree.
pub(crate) async fn computed<T: Send + 'static>(
    seat: &Seat,
    work: impl FnOnce() -> Result<T, PedigreeError<Uuid>> + Send + 'static,
) -> Result<T, Problem> {
    Ok(seat.done(work).await??)
}

/// A number of generations, when there is one, within what is computed.
pub fn within(generations: Option<u32>, pointer: &str, most: u32) -> Result<Option<u32>, Problem> {
    match generations {
        Some(number) if !(1..=most).contains(&number) => Err(Problem::fault(
            Kind::NotAcceptable,
            pointer,
            said!("fault-out-of-range-generations", least = 1, most = most),
        )),
        generations => Ok(generations),
    }
}

/// How far to look.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct LimitQuery {
    /// Adds the figure over so many generations alone (`limited`), as certificates quote it;
    /// `inbreeding` stays the one over the whole pedigree.
    #[param(minimum = 1, maximum = 50)]
    generations: Option<u32>,
}

/// Read a dog's inbreeding, where it comes from, and what laboratories measured beside it.
#[utoipa::path(tag = "pedigree", params(LimitQuery),
    responses((status = 200, description = "Coefficient, common ancestors, completeness.", body = InbreedingReport)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/inbreeding")]
pub(crate) async fn read_inbreeding(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<LimitQuery>,
) -> Result<HttpResponse, Problem> {
    let (scope, dog_id) = (scope.0, path.1);
    let generations = within(query.0.generations, "#query/generations", MOST_LIMITED_GENERATIONS)?;
    let seat = app.room.seat(scope.kennel_id()).await?;
    let book = book_with(&app, &scope, dog_id).await?;
    let size = ReportSize { generations, ..ReportSize::default() };
    let mut report = computed(&seat, move || book.report(dog_id, size)).await?;
    let named: Vec<Uuid> = report.named().into_iter().collect();
    report.dogs = particulars(&app, &scope, &named).await?;
    let measured =
        app.db.within(&scope, async |tx| screening::genomic_of(tx, dog_id).await).await?;
    let report = report.with_genomic(measured.into_iter().map(|kept| kept.record).collect());
    Ok(HttpResponse::Ok().json(report))
}

/// How many generations of ancestors to show.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct TreeQuery {
    /// 1–10 generations; 4 when left out.
    #[param(minimum = 1, maximum = 10)]
    generations: Option<u32>,
}

/// Read a dog's ancestors by their places in its family tree.
#[utoipa::path(tag = "pedigree", params(TreeQuery),
    responses((status = 200, description = "The known ancestors.", body = FamilyTree)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/pedigree")]
pub(crate) async fn read_family_tree(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<TreeQuery>,
) -> Result<HttpResponse, Problem> {
    let generations = within(query.0.generations, "#query/generations", MOST_GENERATIONS)?;
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let tree = tree_of(&app, &scope.0, &seat, path.1, generations.unwrap_or(4)).await?;
    Ok(HttpResponse::Ok().json(tree))
}

/// How many generations to draw, and in which language.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ChartQuery {
    /// 3–6 generations; 4 when left out.
    #[param(minimum = 3, maximum = 6)]
    generations: Option<u32>,
    /// In which language; left out, the one that `Accept-Language` wants most.
    #[param(inline)]
    language: Option<Language>,
}

/// Draw a dog's pedigree, to look at or to print on one page.
#[utoipa::path(tag = "pedigree", params(ChartQuery),
    responses((status = 200, description = "The picture.", body = String, content_type = "image/svg+xml")))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/pedigree.svg")]
pub(crate) async fn draw_family_tree(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<ChartQuery>,
) -> Result<HttpResponse, Problem> {
    let generations = query.0.generations.unwrap_or(4);
    if !GENERATIONS_DRAWN.contains(&generations) {
        return Err(Problem::fault(
            Kind::NotAcceptable,
            "#query/generations",
            said!("fault-out-of-range-generations", least = 3, most = 6),
        ));
    }
    let drawn = async {
        let seat = app.room.seat(scope.0.kennel_id()).await?;
        let tree = tree_of(&app, &scope.0, &seat, path.1, generations).await?;
        seat.done(move || pedigree_svg(&tree)).await
    };
    let svg = in_language(query.0.language, drawn).await?;
    Ok(HttpResponse::Ok().content_type("image/svg+xml").body(svg))
}

/// The family tree of a dog that this person may see.
pub(crate) async fn tree_of(
    app: &App,
    scope: &Scope,
    seat: &Seat,
    dog_id: Uuid,
    generations: u32,
) -> Result<FamilyTree, Problem> {
    let book = book_with(app, scope, dog_id).await?;
    let known = particulars(app, scope, &tree_dogs(&book, dog_id, generations)?).await?;
    computed(seat, move || family_tree(&book, dog_id, generations, known)).await
}

/// The expected shares of ancestors in a dog's genes.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct AncestorShares {
    /// Largest first. Ancestors of one line overlap; founders do not.
    items: Vec<BloodShare>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
    /// Ancestors known in all.
    #[schema(example = 212)]
    ancestor_count: usize,
    /// Who they are.
    dogs: Vec<PedigreeDog>,
}

/// List how much of a dog's genes is expected from each ancestor and founder.
#[utoipa::path(tag = "pedigree", params(Paging),
    responses((status = 200, description = "A page.", body = AncestorShares)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/ancestor-shares")]
pub(crate) async fn list_ancestor_shares(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
    listing: Listing<All>,
) -> Result<HttpResponse, Problem> {
    let (scope, dog_id) = (scope.0, path.1);
    let seat = app.room.seat(scope.kennel_id()).await?;
    let book = book_with(&app, &scope, dog_id).await?;
    let all = computed(&seat, move || book.ancestor_shares(dog_id)).await?;
    let ancestor_count = all.len();
    let (items, next_cursor) = listing.asked.cut(all, |share| share.dog_id.to_string())?;
    let named: Vec<Uuid> = items.iter().map(|share| share.dog_id).collect();
    let dogs = particulars(&app, &scope, &named).await?;
    let list = AncestorShares { items, next_cursor, ancestor_count, dogs };
    answer::list::<BloodShare>(&request, list.next_cursor.as_deref(), &list)
}
