//! The default template, and a kennel's own on top of it.

use super::supplies::plural;
use crate::{
    fault::{Fault, Faults, quoted},
    record::words::words,
    rules::{Rules, Status},
};
use catalogue::{Text, said};
use serde::{Deserialize, Serialize};
use std::{collections::HashSet, sync::LazyLock};
use utoipa::ToSchema;

/// What the days of an item are counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PreparationAnchor {
    /// Day 0 of pregnancy.
    Pregnancy,
    /// First day of the due window.
    DueEarliest,
    /// Likely day.
    DueLikely,
    /// Last day of the due window.
    DueLatest,
    /// Birth (the likely day until then).
    Birth,
}

words! {
    /// What on record closes a task, so that nobody has to tick it.
    ClosedBy {
        /// An ultrasound of this pregnancy, or the radiograph after it.
        Ultrasound = "ultrasound",
        /// A radiograph of this pregnancy.
        Xray = "xray",
        /// The dam's temperature, as often as it is asked for on the day.
        Temperature = "temperature",
        /// What is on hand of any supply.
        SupplyCount = "supply_count",
    }
}

/// One thing to do, in a template.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TemplateTask {
    /// Its key.
    #[schema(example = "heat_source")]
    pub key: String,
    /// What to do.
    #[schema(value_type = String)]
    pub title: Text,
    /// Why.
    #[serde(default)]
    #[schema(value_type = String)]
    pub why: Text,
    /// What the days are counted from.
    pub anchor: PreparationAnchor,
    /// First day, relative to the anchor.
    #[schema(example = -7)]
    pub from_day: i64,
    /// What the last day is counted from, if another anchor.
    #[serde(default)]
    pub to_anchor: Option<PreparationAnchor>,
    /// Last day, relative to its anchor.
    #[schema(example = -3)]
    pub to_day: i64,
    /// Days between repeats; `None` for once.
    #[serde(default)]
    pub every_days: Option<u32>,
    /// How often on each day.
    #[serde(default)]
    pub times_a_day: Option<u32>,
    /// Days after the last one for which it is of use still; `None` for
    /// `tasks.preparation_of_use`. What recurs is of use until it comes again.
    #[serde(default, rename = "useful_days", alias = "of_use_days")]
    #[schema(example = 14)]
    pub of_use_days: Option<u32>,
    /// What on record closes it; `None` when it can only be ticked.
    #[serde(default)]
    pub closed_by: Option<ClosedBy>,
    /// Where it comes from.
    pub source: String,
    /// How far it is confirmed.
    #[serde(rename = "confirmation", alias = "status")]
    pub status: Status,
}

/// One thing to have, in a template.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TemplateSupply {
    /// Its key.
    #[schema(example = "towels")]
    pub key: String,
    /// What it is.
    #[schema(value_type = String)]
    pub name: Text,
    /// Unit it is counted in, of one.
    #[schema(value_type = String, example = "piece")]
    pub unit: Text,
    /// Unit of several; `None` for the usual English form.
    #[serde(default)]
    #[schema(value_type = Option<String>, example = "pieces")]
    pub units: Option<Text>,
    /// The usual form of several, of a supply of the default template: in the reader's language.
    #[serde(skip)]
    #[schema(ignore)]
    pub(super) usual_units: Option<Text>,
    /// How many units are sold together; `None` for one.
    #[serde(default)]
    #[schema(example = 30.0)]
    pub pack_size: Option<f64>,
    /// Whether it is free again after the litter.
    pub reusable: bool,
    /// Whether one serves all litters of the kennel, as a scale does; for what is reusable.
    #[serde(default)]
    pub shared: bool,
    /// First day of its use after the birth; `None` for the days of the birth.
    #[serde(default)]
    #[schema(example = 21)]
    pub used_from_day: Option<u32>,
    /// Last day of its use after the birth; `None` until the pups have gone.
    #[serde(default)]
    #[schema(example = 28)]
    pub used_to_day: Option<u32>,
    /// For the dam.
    #[serde(default)]
    pub per_dam: f64,
    /// For each litter.
    #[serde(default)]
    pub per_litter: f64,
    /// For each pup.
    #[serde(default)]
    pub per_pup: f64,
    /// For each litter and nursing week.
    #[serde(default)]
    pub per_litter_week: f64,
    /// For each pup and nursing week.
    #[serde(default)]
    pub per_pup_week: f64,
    /// Added on top, as a fraction.
    #[serde(default)]
    pub margin: f64,
    /// Where it comes from.
    pub source: String,
    /// How far it is confirmed.
    #[serde(rename = "confirmation", alias = "status")]
    pub status: Status,
}

/// What is to be done and to be had for every litter of a kennel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PreparationTemplate {
    /// Things to do.
    #[serde(alias = "task")]
    pub tasks: Vec<TemplateTask>,
    /// Things to have.
    #[serde(alias = "supply")]
    pub supplies: Vec<TemplateSupply>,
}

/// A kennel's own template: an item of a default's key replaces it, another is added.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TemplateOverlay {
    /// Things to do.
    #[serde(default)]
    #[schema(max_items = 200)]
    pub tasks: Vec<TemplateTask>,
    /// Things to have.
    #[serde(default)]
    #[schema(max_items = 200)]
    pub supplies: Vec<TemplateSupply>,
    /// Keys of defaults (tasks or supplies) that the kennel does without.
    #[serde(default)]
    #[schema(max_items = 200)]
    pub without: Vec<String>,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static STANDARD: LazyLock<PreparationTemplate> = LazyLock::new(|| {
    let template: PreparationTemplate =
        toml::from_str(include_str!("preparation.toml")).expect("preparation template");
    template.of_the_table()
});

impl PreparationTemplate {
    /// The embedded default.
    pub fn standard() -> Self {
        STANDARD.clone()
    }

    /// The template as the table has it, with each of its texts by its key there.
    fn of_the_table(mut self) -> Self {
        for task in &mut self.tasks {
            task.title = of_row("preparation-task", &task.key, &task.title);
            task.why = of_row("preparation-why", &task.key, &task.why);
        }
        for supply in &mut self.supplies {
            let one = supply.unit.to_string();
            supply.name = of_row("supply", &supply.key, &supply.name);
            supply.unit = Text::keyed("supply-unit", &one, &one);
            supply.usual_units = Some(Text::keyed("supply-units", &one, plural(&one)));
        }
        self
    }

    /// This template with a kennel's own on top.
    ///
    /// # Errors
    /// Faults of the overlay (`/tasks/0/to_day` …): unknown keys to leave out, keys given twice or
    /// of other than small letters, digits and `_`, spans that end before they begin, amounts out
    /// of range.
    pub fn with(mut self, overlay: &TemplateOverlay, rules: &Rules) -> Result<Self, Vec<Fault>> {
        let mut faults = Faults::new();
        self.check_without(overlay, &mut faults);
        check_keys("tasks", overlay.tasks.iter().map(|t| &t.key), &mut faults);
        check_keys("supplies", overlay.supplies.iter().map(|s| &s.key), &mut faults);
        for (i, task) in overlay.tasks.iter().enumerate() {
            check_task(i, task, rules, &mut faults);
        }
        for (i, supply) in overlay.supplies.iter().enumerate() {
            check_supply(i, supply, &mut faults);
        }
        faults.into_result()?;
        self.tasks.retain(|t| !overlay.without.contains(&t.key));
        self.supplies.retain(|s| !overlay.without.contains(&s.key));
        for task in &overlay.tasks {
            match self.tasks.iter_mut().find(|t| t.key == task.key) {
                Some(standing) => standing.clone_from(task),
                None => self.tasks.push(task.clone()),
            }
        }
        for supply in &overlay.supplies {
            match self.supplies.iter_mut().find(|s| s.key == supply.key) {
                Some(standing) => standing.clone_from(supply),
                None => self.supplies.push(supply.clone()),
            }
        }
        Ok(self)
    }

    fn check_without(&self, overlay: &TemplateOverlay, faults: &mut Faults) {
        for (i, key) in overlay.without.iter().enumerate() {
            let known = self.tasks.iter().any(|t| t.key == *key)
                || self.supplies.iter().any(|s| s.key == *key);
            faults.unless(known, &format!("/without/{i}"), || {
                said!("fault-not-found-preparation-key", key = quoted(key))
            });
        }
    }
}

/// A text of a row of a table, which the catalogue has by the row's key.
fn of_row(group: &'static str, key: &str, english: &Text) -> Text {
    Text::keyed(group, &key.replace('_', "-"), english.to_string())
}

fn check_keys<'k>(list: &str, keys: impl Iterator<Item = &'k String>, faults: &mut Faults) {
    let mut seen = HashSet::new();
    for (i, key) in keys.enumerate() {
        let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_';
        let pointer = format!("/{list}/{i}/key");
        faults.unless(!key.is_empty() && key.bytes().all(plain), &pointer, || {
            said!("fault-malformed-preparation-key")
        });
        faults.unless(seen.insert(key), &pointer, || {
            said!("fault-twice-preparation-key", key = quoted(key))
        });
    }
}

fn check_task(i: usize, task: &TemplateTask, rules: &Rules, faults: &mut Faults) {
    let place = |name: &str| format!("/tasks/{i}/{name}");
    let untitled = task.title.to_string().trim().is_empty();
    faults.unless(!untitled, &place("title"), || said!("fault-empty-preparation-title"));
    let same_anchor = task.to_anchor.is_none_or(|anchor| anchor == task.anchor);
    faults.unless(!same_anchor || task.from_day <= task.to_day, &place("to_day"), || {
        said!("fault-disordered-preparation-days", from_day = task.from_day)
    });
    #[expect(clippy::cast_possible_truncation, reason = "a rule of days")]
    let longest = rules.value("preparation.longest_every_days") as i64;
    for (name, day) in [("from_day", task.from_day), ("to_day", task.to_day)] {
        faults.unless((-longest..=longest).contains(&day), &place(name), || {
            said!("fault-out-of-range-preparation-day", most_days = longest)
        });
    }
    faults.unless(task.every_days != Some(0), &place("every_days"), || {
        said!("fault-out-of-range-preparation-every-days")
    });
    faults.unless(
        task.times_a_day.is_none_or(|n| (1..=24).contains(&n)),
        &place("times_a_day"),
        || said!("fault-out-of-range-preparation-times-a-day"),
    );
    faults.unless(
        task.of_use_days.is_none_or(|days| i64::from(days) <= longest),
        &place("of_use_days"),
        || said!("fault-out-of-range-preparation-of-use", most_days = longest),
    );
}

/// Most days after a birth on which a supply is used.
const MOST_DAYS: u32 = 365;

fn check_supply(i: usize, supply: &TemplateSupply, faults: &mut Faults) {
    let amounts = [
        ("per_dam", supply.per_dam),
        ("per_litter", supply.per_litter),
        ("per_pup", supply.per_pup),
        ("per_litter_week", supply.per_litter_week),
        ("per_pup_week", supply.per_pup_week),
        ("margin", supply.margin),
    ];
    for (name, amount) in amounts {
        faults.unless((0.0..=10_000.0).contains(&amount), &format!("/supplies/{i}/{name}"), || {
            said!("fault-out-of-range-supply-amount")
        });
    }
    let pack_size = supply.pack_size.unwrap_or(1.0);
    faults.unless(
        pack_size > 0.0 && pack_size <= 10_000.0,
        &format!("/supplies/{i}/pack_size"),
        || said!("fault-out-of-range-supply-pack-size"),
    );
    faults.unless(supply.reusable || !supply.shared, &format!("/supplies/{i}/shared"), || {
        said!("fault-not-together-supply-shared")
    });
    let (from, to) = (supply.used_from_day.unwrap_or(0), supply.used_to_day.unwrap_or(MOST_DAYS));
    faults.unless(from <= to && to <= MOST_DAYS, &format!("/supplies/{i}/used_to_day"), || {
        said!("fault-out-of-range-supply-days", from_day = from, most_days = MOST_DAYS)
    });
}
