//! Every answer of the domain about one record at one moment, as a client reads it.

use super::{
    laws::Answers,
    record::{Records, object},
};
use crate::{
    advice::Caution,
    agenda::{
        House, cycle_tasks, litters_ahead, preparation_tasks, prepare, shopping, shopping_tasks,
    },
    alarms::{Alarm, cautions, list, look_at, of_feeding, of_night, of_night_in_full},
    dam_after_birth::dam_health,
    feeding::{DamStage, NextFeed, next_feed, pup_ration},
    growth::litter_figures,
    litter::{
        Core, collars_worn, dam_after_whelping, dam_stage, dog_readiness, due_walk, followed,
        growth_litter, hand_fed, pups_readiness, told_schedule, whelping_status,
    },
    litter_tasks::{bereft_tasks, growth_tasks, health_tasks, history_tasks},
    moment::Moment,
    newborn::newborn_round,
    planner::{DateSpan, PlannerRecords, read_plan, report_plan},
    pregnancy::{LitterDueWindow, LitterPups},
    preparation::PreparationTemplate,
    readiness::ReadinessRuleSet,
    reports::{litter_input, litter_report},
    schedule::plus,
    tasks::{DaysAhead, task_list},
    today::{BoardMemory, today_board},
    units::{TemperatureUnit, WeightUnit},
    whelping::sheet::whelping_sheet,
};
use catalogue::Text;
use serde::Serialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use uuid::Uuid;

fn value(answer: impl Serialize) -> Value {
    serde_json::to_value(answer).unwrap()
}

/// Asks everything.
pub(super) fn ask(records: &Records, set: &ReadinessRuleSet, moment: &Moment) -> Answers {
    let core = &records.core;
    let litters = [(core.clone().into(), records.parts.clone())];
    let looked_at = look_at(core, &records.parts, moment);
    let of_litter = looked_at.alarms;
    let (night, pregnancy_part) = (&records.parts.3, &records.parts.4);
    assert_eq!(
        of_night(core, night, pregnancy_part, moment),
        of_night_in_full(core, night, pregnancy_part, moment),
        "what dates a litter is left unread only where it has nothing to say"
    );
    let board = today_board(litters.to_vec(), moment, &BoardMemory::default());
    let kennel = object(vec![
        ("alarms", value(list(&litters, moment))),
        ("due", value(due_walk(&[(core, &records.parts.2, &records.parts.5)], moment))),
        ("tasks", tasks(records, moment)),
        ("planner", planner(records, moment)),
        ("today", value(board)),
        ("collars", value(collars_worn([core].into_iter(), moment))),
    ]);
    let litter = object(vec![
        ("growth", growth(records, &of_litter, moment)),
        ("newborns", value(newborn_round(core, &records.parts, &of_litter, moment))),
        ("readiness", readiness(records, set, moment)),
        ("dam_health", value(of_dam(records, &of_litter, moment))),
        ("feeding", value(dam_fed(records, moment))),
        ("report", value(report(records, moment))),
        ("preparation", preparation(records, moment)),
        ("alarms", value(&of_litter)),
    ]);
    let mut answers = Answers {
        now: moment.now,
        zone: moment.zone,
        kennel,
        litter,
        pups: core
            .pups
            .iter()
            .map(|pup| (pup.dog_id, of_pup(records, pup.dog_id, set, moment)))
            .collect(),
    };
    pregnancy(&mut answers, records, &of_litter, moment);
    answers
}

fn told(alarms: &[Alarm], wanted: impl Fn(&Alarm) -> bool) -> Vec<Caution> {
    alarms.iter().filter(|alarm| wanted(alarm)).map(Alarm::caution).collect()
}

fn growth(records: &Records, alarms: &[Alarm], moment: &Moment) -> Value {
    let litter = growth_litter(&records.core, &records.parts.0, moment);
    let mut growth = litter_figures(&litter, moment.now, &moment.rules);
    growth.hear(alarms);
    value(growth)
}

fn readiness(records: &Records, set: &ReadinessRuleSet, moment: &Moment) -> Value {
    let parts = (&records.parts.0, &records.parts.2, &records.homes, &records.parts.5);
    value(pups_readiness(&records.core, parts, set, moment))
}

fn of_dam(
    records: &Records,
    alarms: &[Alarm],
    moment: &Moment,
) -> Option<crate::dam_after_birth::DamHealth> {
    let dam = dam_after_whelping(&records.core, &records.parts.3, moment)?;
    let own: Vec<Alarm> = alarms.iter().filter(|alarm| alarm.is_of_dam()).cloned().collect();
    Some(dam_health(&dam, &own, moment.now, &moment.rules))
}

fn dam_fed(records: &Records, moment: &Moment) -> Option<DamStage> {
    dam_stage(&[(records.core.clone(), records.parts.4.clone())], moment).map(|(stage, _)| stage)
}

fn report(records: &Records, moment: &Moment) -> Option<crate::reports::LitterReport> {
    let input = litter_input(&records.core, &records.parts.0, moment)?;
    Some(litter_report(&input, moment.today()))
}

/// Window, count, night and sheet.
fn pregnancy(answers: &mut Answers, records: &Records, alarms: &[Alarm], moment: &Moment) {
    let (core, night, pregnancy) = (&records.core, &records.parts.3, &records.parts.4);
    let Some((read, reading)) = pregnancy.read(core, moment) else { return };
    let mut window = LitterDueWindow::of(&read, reading.clone(), moment.time());
    window.cautions = told(alarms, Alarm::is_of_night);
    let sheet = whelping_sheet(
        "Thornwick",
        (WeightUnit::G, TemperatureUnit::C),
        core,
        night,
        pregnancy,
        moment,
    );
    let litter = &mut answers.litter;
    litter["window"] = value(window);
    litter["expected_pups"] = value(LitterPups::of(&read, reading, moment.time()));
    litter["status"] = value(whelping_status(core, night, pregnancy, alarms, moment));
    litter["sheet"] = json!({
        "due": sheet.due, "expected": sheet.expected, "status": sheet.status,
        "pups": sheet.pups.iter().map(|pup| pup.ordinal).collect::<Vec<_>>(),
    });
}

fn of_pup(records: &Records, dog_id: Uuid, set: &ReadinessRuleSet, moment: &Moment) -> Value {
    let (core, homes) = (&records.core, &records.homes);
    let (weights, nursing, health, _, _, sights) = &records.parts;
    let pup = core.pup(dog_id).unwrap();
    let here = pup.presence(moment).is_here();
    let born = pup.born_on(moment).filter(|_| here);
    let young = born.is_some_and(|born| (moment.today() - born).num_days() <= 56);
    let fed = hand_fed(core, (weights, nursing), dog_id, 1.0, None, false, moment);
    let feeding = fed.filter(|_| young).map(|fed| {
        let ration = pup_ration(&fed, moment.now, &moment.rules).unwrap();
        let next = next_feed(&nursing.feeds_taken(dog_id), &ration, moment.now, &moment.rules);
        let told = cautions(&of_feeding(core, (weights, nursing, sights), pup, moment));
        let next = NextFeed { cautions: told, ..next };
        json!({ "ration": ration, "next": next })
    });
    object(vec![
        (
            "readiness",
            value(dog_readiness(core, (weights, health, homes, sights), pup, set, moment)),
        ),
        ("schedule", value(told_schedule(core, (health, sights), pup, moment))),
        ("feeding", value(feeding)),
        ("weight_g", value(weights.last(dog_id, moment.now).map(|(_, weight_g)| weight_g))),
    ])
}

fn tasks(records: &Records, moment: &Moment) -> Value {
    let (core, health) = (&records.core, &records.parts.2);
    let (time, today, rules) = (moment.time(), moment.today(), &moment.rules);
    let dams = [records.parts.4.dam.clone()];
    let (template, house) = (PreparationTemplate::standard(), House::default());
    let ahead = litters_ahead(&dams, &house, time, rules);
    let mut tasks = preparation_tasks(&ahead, &template, today, rules);
    tasks.extend(shopping_tasks(&shopping(&ahead, &template, &[], (today, None), rules), today));
    tasks.extend(cycle_tasks(&dams, time, rules));
    let (dogs, _) = followed(&[(core, health, &records.parts.5)], moment);
    tasks.extend(health_tasks(&dogs, rules));
    tasks.extend(history_tasks(&dogs, today));
    tasks.extend(growth_tasks(&[(core, look_at(core, &records.parts, moment))], moment));
    tasks.extend(bereft_tasks(&[core], moment));
    value(task_list(tasks, &BTreeMap::new(), today, DaysAhead::usual(rules)))
}

fn preparation(records: &Records, moment: &Moment) -> Value {
    let (time, rules) = (moment.time(), &moment.rules);
    let Some(id) = records.core.id() else { return Value::Null };
    let ahead =
        litters_ahead(std::slice::from_ref(&records.parts.4.dam), &House::default(), time, rules);
    let template = PreparationTemplate::standard();
    value(prepare(id, &ahead, &template, &[], &BTreeMap::new(), time, rules))
}

fn planner(records: &Records, moment: &Moment) -> Value {
    let planned = PlannerRecords {
        dams: vec![records.parts.4.dam.clone()],
        sires: BTreeMap::new(),
        places: Vec::new(),
        people: Vec::new(),
        buyers: Vec::new(),
        limits: None,
        law: Text::default(),
        colours: BTreeMap::new(),
    };
    let today = moment.today();
    let span = DateSpan { from: today, to: plus(today, 180) };
    let (time, rules) = (moment.time(), &moment.rules);
    let plan = read_plan(&planned, &[], span, time, rules)
        .and_then(|read| report_plan(&planned, read, rules));
    value(plan.unwrap_or_else(|faults| panic!("{faults:?}")))
}

/// The litter's own record, without the parts: for a message.
pub(super) fn in_short(core: &Core) -> String {
    let pups = core.pups.iter().map(|pup| format!("{} {}", pup.dog_id, pup.label()));
    pups.collect::<Vec<_>>().join(", ")
}
