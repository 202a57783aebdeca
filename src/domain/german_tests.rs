//! What the tables of tasks, rules and laws call things has its German, and reads as German does.

use super::{
    preparation::{
        PreparationTemplate, ShoppingLine, SupplyLitter, SupplyStock, TemplateOverlay,
        shopping_list,
    },
    readiness::{
        KennelReadinessRules, ReadinessFacts, ReadinessRule, ReadinessRuleSet,
        listed_jurisdictions, readiness,
    },
    record::register,
    rules::Rules,
    tasks::{GeneratedTask, TaskGroup, TaskOrigin, Turn, task_list},
};
use catalogue::{Language, Text, source, speaking};
use chrono::NaiveDate;
use std::collections::BTreeMap;
use uuid::Uuid;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn german(text: &Text) -> String {
    speaking(Language::German, || text.to_string())
}

#[test]
fn each_rule_says_in_german_what_it_is_for() {
    let entries = source(Language::German);
    for (key, rule) in Rules::standard().iter() {
        let id = key.replace(['.', '_'], "-");
        assert!(entries.contains(&format!("\nrule-{id} = ")), "{key}");
        assert_ne!(german(&rule.meaning), rule.meaning.to_string(), "{key}");
    }
}

#[test]
fn what_laws_and_lists_say_is_said_in_german() {
    let mut texts = Vec::new();
    for (code, _) in listed_jurisdictions() {
        let set = ReadinessRuleSet::for_kennel(&code, &KennelReadinessRules::default()).unwrap();
        for row in set.rules {
            texts.extend(row.papers.into_iter().map(|paper| paper.name));
            texts.extend(row.note);
            texts.push(row.scope);
        }
    }
    let template = PreparationTemplate::standard();
    texts.extend(template.tasks.into_iter().flat_map(|task| [task.title, task.why]));
    assert!(texts.len() > 400);
    for text in texts {
        assert_ne!(german(&text), text.to_string());
    }
}

#[test]
fn each_kind_of_row_has_its_german() {
    let entries = source(Language::German);
    for line in register::lines() {
        for (group, key) in [("row", line.word), ("table", line.table)] {
            let id = key.replace('_', "-");
            assert!(entries.contains(&format!("\n{group}-{id} = ")), "{group}-{id}");
        }
    }
}

fn shopping(overlay: &TemplateOverlay) -> Vec<ShoppingLine> {
    let rules = Rules::standard();
    let litter = SupplyLitter {
        litter_id: Uuid::from_u128(1),
        earliest: day("2024-03-05"),
        until: day("2024-05-05"),
        born: true,
        pups: 6,
    };
    let stock: &[SupplyStock] = &[];
    let template = PreparationTemplate::standard().with(overlay, &rules).unwrap();
    shopping_list(&[litter], stock, &template, (day("2024-03-20"), day("2024-04-03")), &rules)
}

#[test]
fn supplies_are_told_in_german_and_a_kennels_own_as_it_wrote_them() {
    let of = |lines: Vec<ShoppingLine>, key: &str| {
        lines.into_iter().find(|line| line.key == key).unwrap()
    };
    let standard = TemplateOverlay::default();
    let liners = of(shopping(&standard), "liners");
    assert_eq!(liners.text, "Liners for the pen: 60 pieces (2 packs of 30)");
    assert_eq!(german(&liners.text), "Einlagen für den Auslauf: 60 Stück (2 Packungen zu 30)");
    let cleaner = of(shopping(&standard), "cleaner");
    assert_eq!(cleaner.text, "Cleaner safe for pups: 2 litres");
    assert_eq!(german(&cleaner.unit), "Liter");
    let supplies = PreparationTemplate::standard().supplies;
    let mut own = supplies.into_iter().find(|supply| supply.key == "cleaner").unwrap();
    (own.name, own.unit) = ("Bio-Reiniger".into(), "Kanister".into());
    own.units = Some("Kanister".into());
    let own = TemplateOverlay { supplies: vec![own], ..TemplateOverlay::default() };
    let own = of(shopping(&own), "cleaner");
    assert_eq!([own.text.to_string(), german(&own.text)], ["Bio-Reiniger: 2 Kanister"; 2]);
}

#[test]
fn a_line_of_tasks_reads_in_either_language() {
    let template = PreparationTemplate::standard();
    let chore = |key: &str| {
        let item = template.tasks.iter().find(|task| task.key == key).unwrap();
        let made = (TaskOrigin::Preparation, Turn::Chores);
        let on = day("2024-03-05");
        GeneratedTask {
            in_short: item.title.clone().going_on(),
            litter_id: Some(Uuid::from_u128(1)),
            litter_name: Some("K".into()),
            group: Some(TaskGroup {
                key: "pen".to_owned(),
                head: "Pen 2".into(),
                due_on: Some(on),
                also_of_one: true,
            }),
            ..GeneratedTask::new(key.to_owned(), made, item.title.clone(), on, String::new())
        }
    };
    let ahead = 14.try_into().unwrap();
    let tasks = vec![chore("bedding"), chore("claws")];
    let lines = task_list(tasks, &BTreeMap::new(), day("2024-03-05"), ahead);
    let title = &lines[0].title;
    assert_eq!(*title, "Pen 2: change the bedding of the whelping place, cut the pups' claws (K)");
    let told = "Pen 2: Unterlage am Wurfplatz wechseln, Krallen der Welpen schneiden (K)";
    assert_eq!(german(title), told);
}

#[test]
fn the_least_age_is_told_in_german() {
    let rules = Rules::standard();
    let set = ReadinessRuleSet::for_kennel("DE", &KennelReadinessRules::default()).unwrap();
    let facts = ReadinessFacts { born_on: Some(day("2026-01-01")), ..Default::default() };
    let found = readiness(&set, &facts, &[], day("2026-02-20"), &rules);
    let age = found.checks.iter().find(|check| check.rule == ReadinessRule::MinimumAge).unwrap();
    let told = german(&age.detail);
    let begins = "7 volle Wochen alt; verlangt sind mehr als 8 Wochen (alle): ab dem 27.02.2026. ";
    assert!(told.starts_with(begins), "{told}");
    let caution = |text: &str| found.cautions.iter().any(|c| german(&c.what) == text);
    assert!(caution(
        "Frag nach, was das Gesetz über die Impfung, die Papiere, die Kennzeichnung mit Chip sagt (Deutschland)."
    ));
}
