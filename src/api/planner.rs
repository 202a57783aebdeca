//! The kennel's calendar: heats, births, going home, clashes; and what if.

use super::{
    answer::{self, IfMatch},
    conditional::unless_unchanged,
    genetics::FAMILY_GENERATIONS,
    inbreeding::{computed, current_book},
    problem::Kind,
    query::Query,
    resource::prelude::*,
    work::Seat,
};
use actix_web::put;
use chrono::NaiveDate;
use domain::{
    day_chances::{DayChances, shift},
    inbreeding::Studbook,
    moment::Moment,
    pedigree::PedigreeRow,
    planner::{
        DateSpan, MatingDraft, OptionCost, PlannerRecords, PlannerReport, ReadPlan,
        compare_options, expected_colours, heat_options, read_plan, report_plan, shift_options,
    },
    record::{Absence, AbsenceFilter, Place, PlaceFilter, PlannerSettings},
    rules::Rules,
};
use serde::{Deserialize, Serialize};
use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};
use store::{StoreError, StoreResult, Tx, genotypes, keep, litters, planning, scope::Scope};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_planner)
        .service(try_planner)
        .service(read_planner_settings)
        .service(put_planner_settings)
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
pub struct PlannerQuery {
    /// First day; today when left out.
    #[param(example = "2026-05-01")]
    from: Option<NaiveDate>,
    /// Last day, at most three years after the first; a year after it when left out.
    #[param(example = "2026-12-31")]
    to: Option<NaiveDate>,
}

/// How long a plan is when its end is not given.
const USUAL_SPAN_DAYS: i64 = 365;

fn span_of(from: Option<NaiveDate>, to: Option<NaiveDate>, today: NaiveDate) -> DateSpan {
    let from = from.unwrap_or(today);
    DateSpan { from, to: to.unwrap_or_else(|| shift(from, USUAL_SPAN_DAYS)) }
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
        let family = book.near_ancestors(&[dam, sire], FAMILY_GENERATIONS).ok()?;
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
    Ok(PlannerRecords {
        dams,
        sires,
        places: planning::places(tx).await?,
        people: planning::people(tx).await?,
        buyers: planning::waiting_buyers(tx).await?,
        limits: planning::breeding_rules(tx).await?,
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
pub async fn read_planner(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    query: Query<PlannerQuery>,
) -> Result<HttpResponse, Problem> {
    unless_unchanged(&scope.0, &request, async || {
        let seat = app.room.seat(scope.0.kennel_id()).await?;
        let (records, moment) = gather(&app, &scope.0, &seat, &[]).await?;
        let span = span_of(query.0.from, query.0.to, moment.today());
        let answer = move || {
            let read =
                read_plan(&records, &[], span, moment.time(), &moment.rules).map_err(of_query)?;
            report_plan(&records, read, &moment.rules).map_err(of_query)
        };
        seat.answer(answer).await
    })
    .await
}

/// Most choices that are compared for one mating: each is a plan of its own.
const MOST_CHOICES: i64 = 120;

/// How a planned mating might be moved: to at most 120 days.
#[derive(Debug, Clone, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PlannerMove {
    /// Key of the litter in the plan; the drafts are `draft:1`, `draft:2` …
    #[schema(example = "draft:1", min_length = 1, max_length = 100)]
    key: String,
    /// Days earlier that are possible.
    #[serde(default)]
    #[schema(example = 14, minimum = 0, maximum = 365)]
    days_earlier: i64,
    /// Days later that are possible.
    #[serde(default)]
    #[schema(example = 28, minimum = 0, maximum = 365)]
    days_later: i64,
    /// Days from one choice to the next; with the days earlier and later it makes at most 120 choices.
    #[serde(default = "a_week")]
    #[schema(example = 7, minimum = 1, maximum = 60)]
    step_days: i64,
    /// Whether to try the dam's next heats as well.
    #[serde(default)]
    heats: bool,
}

impl PlannerMove {
    /// Whether its choices are few enough to be compared.
    fn check(&self) -> Result<(), Problem> {
        let step = self.step_days.max(1);
        let choices = self.days_earlier / step + 1 + self.days_later / step;
        if choices > MOST_CHOICES {
            let detail = format!("makes {choices} choices; {MOST_CHOICES} are the most");
            return Err(Problem::fault(Kind::NotAcceptable, "/shift/step_days", detail));
        }
        Ok(())
    }
}

fn a_week() -> i64 {
    7
}

/// Matings thought of, and one to move.
#[derive(Debug, Clone, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WhatIf {
    /// First day; today when left out.
    #[serde(default)]
    from: Option<NaiveDate>,
    /// Last day; a year after the first when left out.
    #[serde(default)]
    to: Option<NaiveDate>,
    /// Matings to add.
    #[serde(default)]
    #[schema(max_items = 20)]
    drafts: Vec<MatingDraft>,
    /// A planned mating to find the best days for.
    #[serde(default)]
    shift: Option<PlannerMove>,
}

/// The calendar with the drafts, and what each choice would cost.
#[derive(Debug, Serialize, ToSchema)]
pub struct WhatIfAnswer {
    /// The calendar with the drafts.
    plan: PlannerReport,
    /// The choices of the mating to move, cheapest first; empty when none is.
    options: Vec<OptionCost>,
}

/// Try matings that are not written.
///
/// Nothing is kept. The answer is the calendar as it would be; for a mating to move, the choices
/// with what each costs: births on the same nights, days without a place or with too few hands.
#[utoipa::path(tag = "planner", request_body = WhatIf,
    responses((status = 200, description = "The calendar as it would be.", body = WhatIfAnswer)))]
#[post("/v1/kennels/{kennel_id}/planner/what-if")]
pub async fn try_planner(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let asked: WhatIf = body.parse().await?;
    if let Some(moved) = &asked.shift {
        moved.check()?;
    }
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (records, moment) = gather(&app, &scope.0, &seat, &asked.drafts).await?;
    let span = span_of(asked.from, asked.to, moment.today());
    let answer = move || {
        let read = read_plan(&records, &asked.drafts, span, moment.time(), &moment.rules)
            .map_err(StoreError::Refused)?;
        let options = match &asked.shift {
            Some(moved) => options(&read, moved, &moment.rules).map_err(StoreError::Refused)?,
            None => Vec::new(),
        };
        let plan = report_plan(&records, read, &moment.rules).map_err(StoreError::Refused)?;
        Ok(WhatIfAnswer { plan, options })
    };
    seat.answer(answer).await
}

/// What each choice for one litter would cost.
fn options(
    read: &ReadPlan,
    moved: &PlannerMove,
    rules: &Rules,
) -> Result<Vec<OptionCost>, Vec<domain::fault::Fault>> {
    let refused = |detail: &str| {
        vec![domain::fault::Fault { pointer: "/shift/key".to_owned(), detail: detail.to_owned() }]
    };
    let Some(litter) = read.input.litters.iter().find(|litter| litter.key == moved.key) else {
        return Err(refused("names no litter of this plan; take a key from its litters"));
    };
    if litter.key.starts_with("litter:") {
        return Err(refused("names a litter that cannot be moved; only planned matings can"));
    }
    let Some(chances) = DayChances::from_list(&litter.whelping) else {
        return Err(refused("has no day with a chance"));
    };
    let step = usize::try_from(moved.step_days).unwrap_or(1);
    let mut choices = shift_options(&chances, -moved.days_earlier..=0, step.max(1));
    choices.extend(shift_options(&chances, 1..=moved.days_later, step.max(1)));
    if moved.heats
        && let Some(dam) = read.input.dams.iter().find(|dam| dam.dam_id == litter.dam_id)
    {
        choices.extend(heat_options(dam, rules)?);
    }
    compare_options(&read.input, &moved.key, &choices, rules)
}

/// Read how the kennel plans.
#[utoipa::path(tag = "planner", responses((status = 200, description = "The settings.", body = PlannerSettings)))]
#[get("/v1/kennels/{kennel_id}/planner/settings")]
pub async fn read_planner_settings(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let kept = app.db.within(&scope.0, async |tx| keep::only::<PlannerSettings>(tx).await).await?;
    let version = kept.as_ref().map_or(0, |kept| kept.version);
    Ok(answer::tagged(version, &kept.map(|kept| kept.record).unwrap_or_default()))
}

/// Set how the kennel plans.
#[utoipa::path(tag = "planner", request_body = PlannerSettings,
    responses((status = 200, description = "As they are now.", body = PlannerSettings)))]
#[put("/v1/kennels/{kennel_id}/planner/settings")]
pub async fn put_planner_settings(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let settings: PlannerSettings = body.record(scope.0.now()).await?;
    let kept =
        app.db.within(&scope.0, async |tx| keep::put_only(tx, version.0, &settings).await).await?;
    Ok(answer::tagged(kept.version, &kept.record))
}
