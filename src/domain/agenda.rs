//! What a kennel's records ask to be done: preparation of every litter, tests in a heat, own tasks.

use crate::domain::{
    cycle::CycleMoment,
    day_chances::shift,
    pregnancy::{DamRecords, KennelTime, PregnancyRecords, heat_report, read_pregnancy},
    preparation::{
        PreparationDates, PreparationTask, PreparationTemplate, ShoppingLine, SupplyLitter,
        SupplyNeed, SupplyStock, checklist, shopping_list, supply_needs,
    },
    record::{HeatReading, Kept, OwnTask, PregnancyResult},
    rules::Rules,
    tasks::{GeneratedTask, TaskMark, TaskOrigin, TaskStatus, task_key, task_status},
};
use chrono::NaiveDate;
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// A litter that is prepared for, or nursed.
#[derive(Debug, Clone, PartialEq)]
pub struct LitterAhead {
    /// The litter.
    pub litter_id: Uuid,
    /// Its name, or whose it is.
    pub name: String,
    /// What preparation hangs on.
    pub dates: PreparationDates,
    /// What it takes of supplies.
    pub supplies: SupplyLitter,
    /// What would better its dates.
    pub lacking: Vec<String>,
}

#[expect(clippy::cast_possible_truncation, reason = "rules of days are small")]
fn whole(rules: &Rules, key: &'static str) -> i64 {
    rules.value(key).round() as i64
}

/// A litter with its dates; `None` while nothing dates it, or once its pups have gone.
pub fn litter_ahead(
    dam: &DamRecords,
    litter_id: Uuid,
    time: KennelTime,
    rules: &Rules,
) -> Option<LitterAhead> {
    let records = PregnancyRecords::of(dam, litter_id, time, rules)?;
    let litter = &records.litter.litter.record;
    let pregnancy = read_pregnancy(&records, time, rules);
    if pregnancy.checked == Some(PregnancyResult::NotPregnant) && litter.whelped_on.is_none() {
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
    Some(LitterAhead {
        litter_id,
        name: litter.name.clone().unwrap_or_else(|| format!("litter of {}", dam.called())),
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
            pups: if born { records.litter.here } else { expected },
        },
        lacking: pregnancy.lacking,
    })
}

/// Every litter of these dams that is prepared for or nursed.
pub fn litters_ahead(dams: &[DamRecords], time: KennelTime, rules: &Rules) -> Vec<LitterAhead> {
    let all = dams.iter().flat_map(|dam| dam.litters.iter().map(move |l| (dam, l.litter.id)));
    all.filter_map(|(dam, id)| litter_ahead(dam, id, time, rules)).collect()
}

/// One thing to do for a litter, and where it stands.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PreparationLine {
    /// What to do, by when.
    #[serde(flatten)]
    pub task: PreparationTask,
    /// Where it stands.
    pub state: TaskStatus,
    /// Who is to do it.
    pub assignee_id: Option<Uuid>,
}

/// What to do and have ready for a litter, by when.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LitterPreparation {
    /// The litter.
    pub litter_id: Uuid,
    /// First day of the due window, or the birth.
    pub earliest: Option<NaiveDate>,
    /// Likely day.
    pub likely: Option<NaiveDate>,
    /// Last day of the due window.
    pub latest: Option<NaiveDate>,
    /// Pups provided for: the upper end of the forecast, or those here.
    #[schema(example = 9)]
    pub pups: u32,
    /// Things to do, earliest first.
    pub tasks: Vec<PreparationLine>,
    /// What this litter takes.
    pub supplies: Vec<SupplyNeed>,
    /// What is short for all the kennel's litters together, and by when.
    pub shopping: Vec<ShoppingLine>,
    /// What would be needed for an answer.
    pub lacking: Vec<String>,
    /// The line that stands beside every piece of advice.
    pub standing_line: String,
}

/// The preparation of one litter among all that are ahead.
pub fn prepare(
    litter_id: Uuid,
    ahead: &[LitterAhead],
    template: &PreparationTemplate,
    stock: &[SupplyStock],
    marks: &BTreeMap<String, TaskMark>,
    time: KennelTime,
    rules: &Rules,
) -> LitterPreparation {
    let today = time.today();
    let own = ahead.iter().find(|litter| litter.litter_id == litter_id);
    let litters: Vec<SupplyLitter> = ahead.iter().map(|litter| litter.supplies.clone()).collect();
    let line = |task: PreparationTask| {
        let mark = marks.get(&task.key).cloned().unwrap_or_default();
        let state = task_status(&task.to_task(litter_id), &mark, today);
        PreparationLine { task, state, assignee_id: mark.assignee_id }
    };
    let lacking = match own {
        Some(litter) => litter.lacking.clone(),
        None => vec![
            "Nothing to prepare: the litter has no date, saw no pup at its last check, or its pups \
             have gone."
                .to_owned(),
        ],
    };
    LitterPreparation {
        litter_id,
        earliest: own.map(|l| l.dates.earliest),
        likely: own.map(|l| l.dates.likely),
        latest: own.map(|l| l.dates.latest),
        pups: own.map_or(0, |l| l.supplies.pups),
        tasks: own
            .map(|l| checklist(&l.dates, template, rules).into_iter().map(line).collect())
            .unwrap_or_default(),
        supplies: own
            .map(|l| supply_needs(&l.supplies, template, today, rules))
            .unwrap_or_default(),
        shopping: shopping_list(&litters, stock, template, today, rules),
        lacking,
        standing_line: crate::domain::advice::STANDING_LINE.to_owned(),
    }
}

/// Preparation and nursing of every litter ahead.
pub fn preparation_tasks(
    ahead: &[LitterAhead],
    template: &PreparationTemplate,
    today: NaiveDate,
    rules: &Rules,
) -> Vec<GeneratedTask> {
    let mut tasks = Vec::new();
    for litter in ahead {
        let list = checklist(&litter.dates, template, rules);
        // A round that was missed is made good by the next one, not done twice.
        let overtaken = |task: &&PreparationTask| {
            list.iter().any(|later| {
                later.item == task.item && later.due_on > task.due_on && later.due_on <= today
            })
        };
        tasks.extend(list.iter().filter(|task| !overtaken(task)).map(|task| {
            let made = task.to_task(litter.litter_id);
            GeneratedTask { title: format!("{}: {}", litter.name, made.title), ..made }
        }));
    }
    tasks
}

/// Shopping for all litters ahead, one task a supply.
pub fn shopping_tasks(
    ahead: &[LitterAhead],
    template: &PreparationTemplate,
    stock: &[SupplyStock],
    time: KennelTime,
    rules: &Rules,
) -> Vec<GeneratedTask> {
    let litters: Vec<SupplyLitter> = ahead.iter().map(|litter| litter.supplies.clone()).collect();
    let short = shopping_list(&litters, stock, template, time.today(), rules);
    let first = |line: &ShoppingLine| line.steps.first().map(|step| step.litter_id);
    short
        .into_iter()
        .filter_map(|line| {
            let litter_id = first(&line)?;
            Some(GeneratedTask {
                key: task_key("litter", litter_id, "buy", &line.key, None),
                origin: TaskOrigin::Preparation,
                title: format!("Buy {} {} {}", line.short, line.unit, line.name),
                litter_id: Some(litter_id),
                dog_id: None,
                from: None,
                due_on: line.buy_by,
                source: "the kennel's preparation template and stock".to_owned(),
            })
        })
        .collect()
}

/// Tests to take and days to mate in heats that are going on.
pub fn cycle_tasks(dams: &[DamRecords], time: KennelTime, rules: &Rules) -> Vec<GeneratedTask> {
    let longest = whole(rules, "cycle.heat_longest_days");
    let mut tasks = Vec::new();
    for dam in dams {
        let Some(heat) = dam.heats.iter().max_by_key(|heat| heat.record.began_on) else { continue };
        let over = heat.record.ended_on.is_some_and(|day| day < time.today())
            || shift(heat.record.began_on, longest) < time.today();
        if over {
            continue;
        }
        let readings: Vec<&HeatReading> =
            dam.readings.iter().map(|r| &r.record).filter(|r| r.heat_id == heat.id).collect();
        let Ok(report) = heat_report(heat.id, &heat.record, &readings, time, rules) else {
            continue;
        };
        let task = |item: &str, title: String, from, due_on, source: String| GeneratedTask {
            key: task_key("heat", heat.id, "cycle", item, Some(due_on)),
            origin: TaskOrigin::Cycle,
            title: format!("{}: {title}", dam.called()),
            litter_id: None,
            dog_id: Some(dam.dam_id),
            from: Some(from),
            due_on,
            source,
        };
        // Whoever takes no tests at all is not reminded of the next one.
        let tested = !readings.is_empty();
        if let Some(next) = report.timing.next_test.filter(|_| tested) {
            let title = format!("progesterone test ({})", next.why);
            tasks.push(task("test", title, next.on, next.on, next.source));
        }
        tasks.extend(mating_task(dam, heat.id, report.timing.ovulation.as_ref(), time));
    }
    tasks
}

/// Looks out for a planned mating of a heat whose ovulation is dated.
fn mating_task(
    dam: &DamRecords,
    heat_id: Uuid,
    ovulation: Option<&CycleMoment>,
    time: KennelTime,
) -> Option<GeneratedTask> {
    use crate::domain::record::MatingStatus;
    let planned = dam.matings.iter().find(|mating| {
        mating.record.status == MatingStatus::Planned
            && mating.record.heat_id.is_none_or(|id| id == heat_id)
    })?;
    let due_on = planned.record.planned_on.or(ovulation.map(|o| o.on))?;
    (due_on >= shift(time.today(), -7)).then(|| GeneratedTask {
        key: task_key("mating", planned.id, "cycle", "mate", None),
        origin: TaskOrigin::Cycle,
        title: format!("{}: planned mating ({})", dam.called(), planned.record.method),
        litter_id: None,
        dog_id: Some(dam.dam_id),
        from: Some(due_on),
        due_on,
        source: "the kennel's plan".to_owned(),
    })
}

/// Tasks that people wrote.
pub fn own_tasks(tasks: &[Kept<OwnTask>]) -> Vec<GeneratedTask> {
    tasks
        .iter()
        .map(|kept| GeneratedTask {
            key: format!("own:{}", kept.id),
            origin: TaskOrigin::Own,
            title: kept.record.title.clone(),
            litter_id: kept.record.litter_id,
            dog_id: kept.record.dog_id,
            from: kept.record.from_on,
            due_on: kept.record.due_on,
            source: "written by a person".to_owned(),
        })
        .collect()
}
