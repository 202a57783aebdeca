//! What a kennel's records ask to be done: preparation of every litter, tests in a heat, own tasks.

use crate::{
    advice::standing_line,
    cycle::{CycleMoment, womb_watch::womb_watch},
    day_chances::shift,
    litter::LitterOfDam,
    pregnancy::{
        DamRecords, KennelTime, PregnancyRecords, heat_over_on, heat_report, read_pregnancy,
    },
    preparation::{
        PreparationDates, PreparationRecords, PreparationTask, PreparationTemplate, ShoppingLine,
        SupplyLitter, SupplyNeed, SupplyStock, checklist, shopping_list, supply_needs,
    },
    record::{Heat, HeatReading, Kept, MatingMethod, OwnTask, PregnancyResult},
    rules::Rules,
    tasks::{
        DaysAhead, GeneratedTask, Marked, TaskGroup, TaskOrigin, TaskStatus, Turn, task_key,
        task_status,
    },
};
use catalogue::{Text, said};
use chrono::{Datelike as _, NaiveDate};
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// What a kennel's house tells of its litters: where they lie, and what was done on its rounds.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct House {
    /// Names of the places.
    pub places: BTreeMap<Uuid, String>,
    /// Days of the dam's temperatures by litter, one a reading.
    pub temperatures: BTreeMap<Uuid, Vec<NaiveDate>>,
    /// What is on hand.
    pub stock: Vec<SupplyStock>,
}

/// A litter that is prepared for, or nursed.
#[derive(Debug, Clone, PartialEq)]
pub struct LitterAhead {
    /// The litter.
    pub litter_id: Uuid,
    /// Its name, or whose it is.
    pub name: Text,
    /// What preparation hangs on.
    pub dates: PreparationDates,
    /// What it takes of supplies.
    pub supplies: SupplyLitter,
    /// Room or box where it lies or will.
    pub place: Option<(Uuid, String)>,
    /// What was recorded that its tasks ask for.
    pub records: PreparationRecords,
    /// What would better its dates.
    pub lacking: Vec<Text>,
}

#[expect(clippy::cast_possible_truncation, reason = "rules of days are small")]
fn whole(rules: &Rules, key: &'static str) -> i64 {
    rules.value(key).round() as i64
}

/// A litter with its dates; `None` while nothing dates it, or once its pups have gone.
pub(crate) fn litter_ahead(
    dam: &DamRecords,
    litter_id: Uuid,
    house: &House,
    time: KennelTime,
    rules: &Rules,
) -> Option<LitterAhead> {
    let records = PregnancyRecords::of(dam, litter_id, time, rules)?;
    let litter = &records.litter.litter.record;
    let pregnancy = read_pregnancy(&records, time, rules);
    if pregnancy.checked.is_some_and(PregnancyResult::is_empty) && litter.whelped_on.is_none() {
        return None;
    }
    let window = pregnancy.window.as_ref();
    let (earliest, likely, latest) = match (litter.whelped_on, window) {
        (Some(born), _) => (born, born, born),
        (None, Some(window)) => (window.earliest, window.likely, window.latest),
        (None, None) => return None,
    };
    let stay = whole(rules, "planner.go_home_days") + whole(rules, "planner.go_home_span_days");
    let until = shift(latest, stay);
    if until < time.today() {
        return None;
    }
    let born = litter.whelped_on.is_some();
    let expected = pregnancy.pups.as_ref().map_or(0, |pups| pups.at_most);
    let place_id = litter.place_id;
    let place = place_id.and_then(|id| Some((id, house.places.get(&id)?.clone())));
    let checks = records.checks.iter();
    Some(LitterAhead {
        litter_id,
        place,
        records: PreparationRecords {
            checks: checks.map(|check| (time.day_of(check.checked_at), check.method)).collect(),
            temperatures: house.temperatures.get(&litter_id).cloned().unwrap_or_default(),
            counted_on: house.stock.iter().map(|stock| stock.counted_on).max(),
        },
        name: match &litter.name {
            Some(name) => Text::verbatim(name),
            None => said!("litter-of-dam", dam = dam.called()),
        },
        dates: PreparationDates {
            litter_id,
            pregnancy_from: window.and_then(|w| w.counted_from_on),
            earliest,
            likely,
            latest,
            whelped_on: litter.whelped_on,
        },
        supplies: SupplyLitter {
            litter_id,
            earliest,
            until,
            born,
            pups: if born && !records.litter.whelping { records.litter.here } else { expected },
        },
        lacking: pregnancy.lacking,
    })
}

/// Every litter of these dams that is prepared for or nursed.
pub fn litters_ahead(
    dams: &[DamRecords],
    house: &House,
    time: KennelTime,
    rules: &Rules,
) -> Vec<LitterAhead> {
    let all = dams.iter().flat_map(|dam| dam.litters.iter().map(move |l| (dam, l.litter.id)));
    all.filter_map(|(dam, id)| litter_ahead(dam, id, house, time, rules)).collect()
}

/// One thing to do for a litter, and where it stands.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PreparationLine {
    /// What to do, by when.
    #[serde(flatten)]
    pub task: PreparationTask,
    /// Where it stands.
    #[serde(rename = "status")]
    pub state: TaskStatus,
    /// Day on which what it asks for was recorded.
    pub recorded_on: Option<NaiveDate>,
    /// Who is to do it.
    pub assignee_id: Option<Uuid>,
}

/// What to do and have ready for a litter, by when.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LitterPreparation {
    /// The litter.
    pub litter_id: Uuid,
    /// First day of the due window, or the birth.
    #[serde(rename = "earliest_on")]
    pub earliest: Option<NaiveDate>,
    /// Likely day.
    #[serde(rename = "likely_on")]
    pub likely: Option<NaiveDate>,
    /// Last day of the due window.
    #[serde(rename = "latest_on")]
    pub latest: Option<NaiveDate>,
    /// Pups provided for: the upper end of what is expected; those here once all are born.
    #[schema(example = 9)]
    pub pups: u32,
    /// Things to do, earliest first.
    pub tasks: Vec<PreparationLine>,
    /// What this litter takes.
    pub supplies: Vec<SupplyNeed>,
    /// What is short for all the kennel's litters together, and by when.
    pub shopping: Vec<ShoppingLine>,
    /// What would be needed for an answer.
    #[schema(value_type = Vec<String>)]
    pub lacking: Vec<Text>,
    /// The line that stands beside every piece of advice.
    #[schema(value_type = String)]
    pub standing_line: Text,
}

/// The preparation of one litter among all that are ahead.
///
/// What is short is reckoned up to the last day of its due window, and at least as far as the list of
/// tasks looks ahead.
pub fn prepare(
    litter_id: Uuid,
    ahead: &[LitterAhead],
    template: &PreparationTemplate,
    stock: &[SupplyStock],
    marks: &BTreeMap<String, Marked>,
    time: KennelTime,
    rules: &Rules,
) -> LitterPreparation {
    let today = time.today();
    let own = ahead.iter().find(|litter| litter.litter_id == litter_id);
    let line = |task: PreparationTask, records: &PreparationRecords| {
        let mark = marks.get(&task.key).map(|(_, mark)| mark.clone()).unwrap_or_default();
        let made = task.to_task(litter_id, records);
        let state = task_status(&made, &mark, today);
        PreparationLine {
            task,
            state,
            recorded_on: made.recorded_on,
            assignee_id: mark.assignee_id,
        }
    };
    let lacking = match own {
        Some(litter) => litter.lacking.clone(),
        None => vec![said!("preparation-nothing")],
    };
    let horizon = shift(today, DaysAhead::usual(rules).days());
    let until = own.map_or(horizon, |litter| litter.dates.latest.max(horizon));
    let tasks = |litter: &LitterAhead| {
        let list = checklist(&litter.dates, template, rules);
        list.into_iter().map(|task| line(task, &litter.records)).collect()
    };
    LitterPreparation {
        litter_id,
        earliest: own.map(|l| l.dates.earliest),
        likely: own.map(|l| l.dates.likely),
        latest: own.map(|l| l.dates.latest),
        pups: own.map_or(0, |l| l.supplies.pups),
        tasks: own.map(tasks).unwrap_or_default(),
        supplies: own
            .map(|l| supply_needs(&l.supplies, template, today, rules))
            .unwrap_or_default(),
        shopping: shopping_list(&supplies_of(ahead), stock, template, (today, until), rules),
        lacking,
        standing_line: standing_line(),
    }
}

fn supplies_of(ahead: &[LitterAhead]) -> Vec<SupplyLitter> {
    ahead.iter().map(|litter| litter.supplies.clone()).collect()
}

/// What is to be bought for all the kennel's litters together.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ShoppingList {
    /// Last day that it looks ahead to.
    #[serde(rename = "last_on")]
    pub until: NaiveDate,
    /// What is short, soonest first.
    pub items: Vec<ShoppingLine>,
}

/// What is short for all litters from today on, as far ahead as is asked; else `tasks.horizon`.
pub fn shopping(
    ahead: &[LitterAhead],
    template: &PreparationTemplate,
    stock: &[SupplyStock],
    (today, asked): (NaiveDate, Option<DaysAhead>),
    rules: &Rules,
) -> ShoppingList {
    let until = shift(today, asked.unwrap_or_else(|| DaysAhead::usual(rules)).days());
    let items = shopping_list(&supplies_of(ahead), stock, template, (today, until), rules);
    ShoppingList { until, items }
}

/// Preparation and nursing of every litter ahead.
///
/// What recurs stands once: the round of today, or the last one as long as it is of use, or the first
/// that is to come. The rounds of a day are one line a place, or a litter that lies nowhere yet.
pub(crate) fn preparation_tasks(
    ahead: &[LitterAhead],
    template: &PreparationTemplate,
    today: NaiveDate,
    rules: &Rules,
) -> Vec<GeneratedTask> {
    let mut tasks = Vec::new();
    for litter in ahead {
        let mut once: BTreeMap<String, PreparationTask> = BTreeMap::new();
        for task in checklist(&litter.dates, template, rules) {
            let is_over = task.every_days.is_some() && task.of_use_until < today;
            if !is_over && (task.from <= today || !once.contains_key(&task.item)) {
                once.insert(task.item.clone(), task);
            }
        }
        tasks.extend(once.into_values().map(|task| of_litter(&task, litter, today)));
    }
    tasks
}

fn of_litter(task: &PreparationTask, litter: &LitterAhead, today: NaiveDate) -> GeneratedTask {
    let made = task.to_task(litter.litter_id, &litter.records);
    let in_short = made.title.clone().going_on();
    let is_round = task.every_days.is_some() && task.from <= today;
    let (at, head) = match &litter.place {
        Some((id, name)) => (format!("place:{id}"), Text::verbatim(name)),
        None => (format!("litter:{}", litter.litter_id), litter.name.clone()),
    };
    let group = TaskGroup {
        key: format!("{at}:chores:{today}"),
        head,
        due_on: Some(today),
        also_of_one: true,
    };
    GeneratedTask {
        title: said!("task-of-litter", litter = &litter.name, what = &in_short),
        in_short,
        litter_name: Some(litter.name.clone()),
        place: litter.place.as_ref().filter(|_| is_round).map(|(_, name)| name.clone()),
        group: is_round.then_some(group),
        ..made
    }
}

/// Shopping for all litters ahead: one line, with a part for each supply that is short.
///
/// Its key is that of the week, so that what was ticked without a count of the stock is asked again
/// the week after.
pub(crate) fn shopping_tasks(list: &ShoppingList, today: NaiveDate) -> Vec<GeneratedTask> {
    let week = shift(today, -i64::from(today.weekday().num_days_from_monday()));
    let made = (TaskOrigin::Preparation, Turn::Shop);
    let task = |line: &ShoppingLine| {
        let task = GeneratedTask::new(
            format!("kennel:shopping:{}:{week}", line.key),
            made,
            said!("task-buy", what = &line.text),
            line.buy_by,
            line.source.clone(),
        );
        GeneratedTask {
            in_short: line.text.clone(),
            from: Some(today),
            group: Some(TaskGroup {
                key: format!("kennel:shopping:{week}"),
                head: said!("task-shopping"),
                due_on: None,
                also_of_one: true,
            }),
            ..task
        }
    };
    list.items.iter().map(task).collect()
}

/// Tests to take and days to mate in heats that are going on.
pub(crate) fn cycle_tasks(
    dams: &[DamRecords],
    time: KennelTime,
    rules: &Rules,
) -> Vec<GeneratedTask> {
    let mut tasks = Vec::new();
    for dam in dams {
        let Some(heat) = dam.heats.iter().max_by_key(|heat| heat.record.began_on) else { continue };
        if heat_over_on(&heat.record, time.today(), rules).is_some() {
            tasks.extend(womb_task(dam, heat, time.today(), rules));
            continue;
        }
        let readings: Vec<&HeatReading> =
            dam.readings.iter().map(|r| &r.record).filter(|r| r.heat_id == heat.id).collect();
        let Ok(report) = heat_report(heat.id, &heat.record, &readings, time, rules) else {
            continue;
        };
        // Whoever takes no tests at all is not reminded of the next one.
        let tested = !readings.is_empty();
        if let Some(next) = report.timing.next_test.filter(|_| tested) {
            let of_use = whole(rules, "tasks.test_of_use");
            let task = GeneratedTask::new(
                task_key("heat", heat.id, "cycle", "test", Some(next.on)),
                (TaskOrigin::Cycle, Turn::Cycle),
                said!("task-progesterone-test", dam = dam.called(), why = &next.why),
                next.on,
                next.source,
            );
            tasks.push(GeneratedTask {
                dog_id: Some(dam.dam_id),
                from: Some(next.on),
                of_use_until: Some(shift(next.on, of_use)),
                ..task
            });
        }
        tasks.extend(mating_task(dam, heat.id, report.timing.ovulation.as_ref(), rules));
    }
    tasks
}

/// Looks out for an infected womb after a heat of which no litter came, or is expected: one line while it may come.
fn womb_task(
    dam: &DamRecords,
    heat: &Kept<Heat>,
    today: NaiveDate,
    rules: &Rules,
) -> Option<GeneratedTask> {
    let began_on = heat.record.began_on;
    let bears = |litter: &LitterOfDam| litter.whelped_on.is_none_or(|on| on >= began_on);
    let watch = womb_watch(began_on, Vec::new(), today, rules);
    if !watch.is_open || dam.whelpings.iter().any(bears) {
        return None;
    }
    let task = GeneratedTask::new(
        task_key("heat", heat.id, "cycle", "womb", None),
        (TaskOrigin::Cycle, Turn::Cycle),
        said!("task-womb-watch", dam = dam.called()),
        watch.last_on,
        watch.source,
    );
    Some(GeneratedTask {
        dog_id: Some(dam.dam_id),
        from: Some(watch.first_on),
        of_use_until: Some(watch.last_on),
        in_short: dam.called().into(),
        group: Some(TaskGroup {
            key: "kennel:cycle:womb".to_owned(),
            head: said!("task-womb-watch-head"),
            due_on: None,
            also_of_one: false,
        }),
        ..task
    })
}

/// Looks out for a planned mating of a heat whose ovulation is dated.
fn mating_task(
    dam: &DamRecords,
    heat_id: Uuid,
    ovulation: Option<&CycleMoment>,
    rules: &Rules,
) -> Option<GeneratedTask> {
    use crate::record::MatingStatus;
    let planned = dam.matings.iter().find(|mating| {
        mating.record.status == MatingStatus::Planned
            && mating.record.heat_id.is_none_or(|id| id == heat_id)
    })?;
    let due_on = planned.record.planned_on.or(ovulation.map(|o| o.on))?;
    let task = GeneratedTask::new(
        task_key("mating", planned.id, "cycle", "mate", None),
        (TaskOrigin::Cycle, Turn::Cycle),
        planned_mating(&dam.called(), planned.record.method),
        due_on,
        "the kennel's plan".to_owned(),
    );
    Some(GeneratedTask {
        dog_id: Some(dam.dam_id),
        from: Some(due_on),
        of_use_until: Some(shift(due_on, whole(rules, "tasks.mating_of_use"))),
        ..task
    })
}

fn planned_mating(dam: &str, method: MatingMethod) -> Text {
    match method {
        MatingMethod::Natural => said!("task-planned-mating-natural", dam = dam),
        MatingMethod::Fresh => said!("task-planned-mating-fresh", dam = dam),
        MatingMethod::Chilled => said!("task-planned-mating-chilled", dam = dam),
        MatingMethod::Frozen => said!("task-planned-mating-frozen", dam = dam),
    }
}

/// Tasks that people wrote.
pub fn own_tasks(tasks: &[Kept<OwnTask>], rules: &Rules) -> Vec<GeneratedTask> {
    let own = |kept: &Kept<OwnTask>| {
        let (record, made) = (&kept.record, (TaskOrigin::Own, Turn::Own));
        let source = "written by a person".to_owned();
        let key = format!("own:{}", kept.id);
        let of_use = whole(rules, "tasks.own_of_use");
        GeneratedTask {
            litter_id: record.litter_id,
            dog_id: record.dog_id,
            from: record.from_on,
            of_use_until: Some(shift(record.due_on, of_use)),
            ..GeneratedTask::new(key, made, record.title.clone(), record.due_on, source)
        }
    };
    tasks.iter().map(own).collect()
}
