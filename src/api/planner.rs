//! The kennel's calendar: heats, births, going home, clashes; and what if.

use super::{
    answer::IfMatch,
    conditional::unless_unchanged,
    inbreeding::{computed, current_book},
    problem::Kind,
    query::Query,
    resource::prelude::*,
    work::Seat,
};
use actix_web::put;
use chrono::NaiveDate;
use domain::{
    breeding_limits::law_line,
    inbreeding::Studbook,
    moment::Moment,
    pedigree::PedigreeRow,
    planner::{
        DateSpan, MatingDraft, PlannerRecords, PlannerReport, WhatIf, WhatIfAnswer,
        expected_colours, read_plan, report_plan, what_if,
    },
    record::{Absence, AbsenceFilter, Place, PlaceFilter, PlannerSettings},
    trial_genetics::TESTED_GENERATIONS,
};
use serde::Deserialize;
use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};
use store::{StoreError, StoreResult, Tx, genotypes, litters, planning, scope::Scope};
use utoipa::IntoParams;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_planner)
        .service(try_planner)
        .service(read_planner_settings)
        .service(set_planner_settings)
        .service(create_place)
        .service(list_places)
        .service(read_place)
        .service(change_place)
        .service(delete_place)
        .service(create_absence)
        .service(list_absences)
        .service(read_absence)
        .service(change_absence)
        .service(delete_absence);
}

resource!(Place, tag "planner", one "a place to whelp in", many "places",
    at "/v1/kennels/{kennel_id}/places", "/v1/kennels/{kennel_id}/places/{place_id}";
    create_place, list_places, read_place, change_place, delete_place);

resource!(Absence, tag "planner", one "days on which somebody is away", many "absences",
    at "/v1/kennels/{kennel_id}/absences", "/v1/kennels/{kennel_id}/absences/{absence_id}";
    create_absence, list_absences, read_absence, change_absence, delete_absence);

/// Which days to plan.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PlannerQuery {
    /// First day; today when left out.
    #[param(example = "2026-05-01")]
    #[serde(rename = "first_on")]
    from: Option<NaiveDate>,
    /// Last day, at most three years after the first; a year after it when left out.
    #[param(example = "2026-12-31")]
    #[serde(rename = "last_on")]
    to: Option<NaiveDate>,
}

/// All that a plan is made of.
pub(super) async fn gather(
    app: &App,
    scope: &Scope,
    seat: &Seat,
    drafts: &[MatingDraft],
) -> Result<(PlannerRecords, Arc<Moment>), Problem> {
    let book = current_book(app, scope).await?;
    let read = async |tx: &mut Tx| {
        let records = records(tx, &book, drafts).await?;
        let families = families(&book, &records.pairs(drafts));
        let relatives: BTreeSet<Uuid> = families.values().flatten().map(|row| row.id).collect();
        let relatives: Vec<Uuid> = relatives.into_iter().collect();
        let results = genotypes::results_of(tx, &relatives).await?;
        Ok((records, families, results, tx.moment().await?))
    };
    let (records, families, results, moment) = app.db.within(scope, read).await?;
    let rules = moment.rules.clone();
    let colours = computed(seat, move || {
        let of = |(pair, family): (&(Uuid, Uuid), &Vec<PedigreeRow<Uuid>>)| {
            (*pair, expected_colours(family, &results, *pair, &rules))
        };
        Ok(families.iter().map(of).collect())
    });
    Ok((PlannerRecords { colours: colours.await?, ..records }, moment))
}

/// Each pair with its near ancestors, whose tests tell of its pups' colours.
fn families(
    book: &Studbook<Uuid>,
    pairs: &BTreeSet<(Uuid, Uuid)>,
) -> BTreeMap<(Uuid, Uuid), Vec<PedigreeRow<Uuid>>> {
    let near = |&(dam, sire): &(Uuid, Uuid)| {
        let family = book.near_ancestors(&[dam, sire], TESTED_GENERATIONS).ok()?;
        Some(((dam, sire), family))
    };
    pairs.iter().filter_map(near).collect()
}

/// What is on record; the colours are reckoned from it.
async fn records(
    tx: &mut Tx,
    book: &Studbook<Uuid>,
    drafts: &[MatingDraft],
) -> StoreResult<PlannerRecords> {
    let mut dam_ids = litters::planned_dams(tx).await?;
    dam_ids.extend(drafts.iter().map(|draft| draft.dam_id));
    dam_ids.sort();
    dam_ids.dedup();
    let sire_ids: Vec<Uuid> = drafts.iter().filter_map(|draft| draft.sire_id).collect();
    let mut dams = litters::of_dams(tx, book, &dam_ids).await?;
    for dam in &mut dams {
        let own = drafts.iter().filter(|draft| draft.dam_id == dam.dam_id);
        let sires: Vec<Uuid> = own.filter_map(|draft| draft.sire_id).collect();
        dam.look_up_inbreeding(book, &sires);
    }
    let sires = litters::sires_of(tx, &dams, &sire_ids).await?;
    let limits = planning::breeding_rules(tx).await?;
    let law = law_line(tx.scope().jurisdiction(), limits, tx.scope().today());
    Ok(PlannerRecords {
        dams,
        sires,
        places: planning::places(tx).await?,
        people: planning::people(tx).await?,
        buyers: planning::waiting_buyers(tx).await?,
        limits,
        law,
        colours: BTreeMap::new(),
    })
}

/// Faults of the span as those of the query.
fn of_query(faults: Vec<domain::fault::Fault>) -> Problem {
    let faults = faults
        .into_iter()
        .map(|mut fault| {
            if let Some(name) = fault.pointer.strip_prefix('/') {
                fault.pointer = format!("#query/{name}");
            }
            fault
        })
        .collect();
    Problem::faults(Kind::Unreadable, faults)
}

/// Read the kennel's calendar.
///
/// Every heat foretold, expected litter, birth window, critical weeks and going home, the places
/// and hands they take, and clashes with their chances. Pups expected against buyers waiting.
#[utoipa::path(tag = "planner", params(PlannerQuery),
    responses((status = 200, description = "The calendar.", body = PlannerReport)))]
#[get("/v1/kennels/{kennel_id}/planner")]
pub(crate) async fn read_planner(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    query: Query<PlannerQuery>,
) -> Result<HttpResponse, Problem> {
    unless_unchanged(&scope.0, &request, async || {
        let seat = app.room.seat(scope.0.kennel_id()).await?;
        let (records, moment) = gather(&app, &scope.0, &seat, &[]).await?;
        let span = DateSpan::asked(query.0.from, query.0.to, moment.today());
        let answer = move || {
            let read =
                read_plan(&records, &[], span, moment.time(), &moment.rules).map_err(of_query)?;
            report_plan(&records, read, &moment.rules).map_err(of_query)
        };
        seat.answer(answer).await
    })
    .await
}

/// Try matings that are not written.
///
/// Nothing is kept. The answer is the calendar as it would be; for a mating to move, the choices
/// with what each costs: births on the same nights, days without a place or with too few hands. A heat
/// moves with the litters planned in it and all that comes after.
#[utoipa::path(tag = "planner", request_body = WhatIf,
    responses((status = 200, description = "The calendar as it would be.", body = WhatIfAnswer)))]
#[post("/v1/kennels/{kennel_id}/planner/what-if")]
pub(crate) async fn try_planner(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let asked: WhatIf = body.parse().await?;
    if let Some(moved) = &asked.shift {
        moved.check().map_err(|fault| Problem::faults(Kind::NotAcceptable, vec![fault]))?;
    }
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (records, moment) = gather(&app, &scope.0, &seat, &asked.drafts).await?;
    let answer = move || Ok(what_if(&records, &asked, &moment).map_err(StoreError::Refused)?);
    seat.answer(answer).await
}

/// Read how the kennel plans.
#[utoipa::path(tag = "planner", responses((status = 200, description = "The settings.", body = PlannerSettings)))]
#[get("/v1/kennels/{kennel_id}/planner/settings")]
pub(crate) async fn read_planner_settings(
    app: web::Data<App>,
    claim: Asks,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    crate::resource::read_single::<PlannerSettings>(&app, &claim.0).await
}

/// Set how the kennel plans.
#[utoipa::path(tag = "planner", request_body = PlannerSettings,
    responses((status = 200, description = "As they are now.", body = PlannerSettings)))]
#[put("/v1/kennels/{kennel_id}/planner/settings")]
pub(crate) async fn set_planner_settings(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    crate::resource::set_single::<PlannerSettings>(&app, &scope.0, version.0, body).await
}
