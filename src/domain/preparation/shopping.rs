//! One shopping list for the kennel: what is short for all litters together, in packs.

use super::{
    supplies::{SupplyLitter, Use, days_between, rounded_up, told_amount, unit, use_of},
    template::{PreparationTemplate, TemplateSupply},
};
use crate::rules::Rules;
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// What is on hand of one supply.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SupplyStock {
    /// Key of the supply.
    #[schema(example = "towels")]
    pub key: String,
    /// Amount when it was counted, in the supply's unit.
    #[schema(example = 12.0)]
    pub on_hand: f64,
    /// The day on which it was counted.
    pub counted_on: NaiveDate,
}

/// What is short from a day on.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ShoppingStep {
    /// Day by which to have it.
    #[serde(rename = "needed_on")]
    pub by: NaiveDate,
    /// Litter that makes it short.
    pub litter_id: Uuid,
    /// Amount to add for it.
    pub amount: f64,
}

/// One line of the shopping list.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ShoppingLine {
    /// Key of the supply.
    pub key: String,
    /// Name.
    #[schema(value_type = String)]
    pub name: Text,
    /// The line as one reads it.
    #[schema(value_type = String, example = "Liners for the pen: 60 pieces (2 packs of 30)")]
    pub text: Text,
    /// Unit, in the form that goes with `buy`.
    #[schema(value_type = String, example = "pieces")]
    pub unit: Text,
    /// Whether it lasts: it is counted by the most that are in use at one time, not used up.
    pub lasting: bool,
    /// What is needed in the time asked for: the most in use at one time, or what is used up.
    #[schema(example = 52.0)]
    pub needed: f64,
    /// What is on hand: as it was counted, less what was used since. Of lasting things that were
    /// never counted, what the litters already born have in use.
    pub on_hand: f64,
    /// Day on which it was counted; null for never.
    pub counted_on: Option<NaiveDate>,
    /// What is short in all.
    #[schema(example = 48.0)]
    pub short: f64,
    /// Units sold together.
    #[schema(example = 30.0)]
    pub pack_size: f64,
    /// Packs to buy.
    #[schema(example = 2)]
    pub packs: u32,
    /// Units to buy: whole packs.
    #[schema(example = 60.0)]
    pub buy: f64,
    /// First day by which some is missing.
    #[serde(rename = "needed_on")]
    pub buy_by: NaiveDate,
    /// What is missing for which litter.
    pub steps: Vec<ShoppingStep>,
    /// Where the amounts come from.
    pub source: String,
}

/// One thing that takes some of a supply on a day.
struct Taken {
    on: NaiveDate,
    litter_id: Uuid,
    amount: f64,
}

/// What is short for all litters together from `today` to `until`, soonest first.
///
/// Consumables are used up litter after litter: what a birth takes when it has to be here, what is
/// used daily day by day, with the template's margin; what was used since the stock was counted is
/// taken off it (without the margin). Lasting things are counted by the largest number in use at one
/// time, and what the kennel shares once for all litters. Amounts are told in whole packs.
pub(crate) fn shopping_list(
    litters: &[SupplyLitter],
    stock: &[SupplyStock],
    template: &PreparationTemplate,
    (today, until): (NaiveDate, NaiveDate),
    rules: &Rules,
) -> Vec<ShoppingLine> {
    let counted: BTreeMap<&str, &SupplyStock> = stock.iter().map(|s| (s.key.as_str(), s)).collect();
    let line = |supply: &TemplateSupply| {
        let uses: Vec<(&SupplyLitter, Use)> = litters
            .iter()
            .filter(|litter| litter.until >= today)
            .map(|litter| (litter, use_of(supply, litter, rules)))
            .collect();
        let stock = counted.get(supply.key.as_str()).copied();
        let (have, taken) = if supply.reusable {
            lasting(supply, &uses, stock, (today, until))
        } else {
            used_up(supply, &uses, stock, (today, until))
        };
        told(supply, have, &taken, stock)
    };
    let mut lines: Vec<ShoppingLine> = template.supplies.iter().filter_map(line).collect();
    lines.sort_by(|a, b| (a.buy_by, &a.key).cmp(&(b.buy_by, &b.key)));
    lines
}

/// What is on hand of a lasting thing, and each rise of the number in use.
fn lasting(
    supply: &TemplateSupply,
    uses: &[(&SupplyLitter, Use)],
    stock: Option<&SupplyStock>,
    (today, until): (NaiveDate, NaiveDate),
) -> (f64, Vec<Taken>) {
    let in_use = |on: NaiveDate, born_only: bool| -> f64 {
        let then = uses
            .iter()
            .filter(|(litter, used)| used.by <= on && on <= used.to && (litter.born || !born_only))
            .map(|(_, used)| used.at_once);
        if supply.shared { then.fold(0.0, f64::max) } else { then.sum() }
    };
    // Nobody whelps without a box: what was never counted is what the born litters were seen with.
    let seen = uses.iter().map(|(_, used)| used.by).filter(|by| *by <= today);
    let seen = seen.map(|by| in_use(by, true)).fold(0.0, f64::max);
    let have = stock.map_or(seen, |stock| stock.on_hand);
    let mut rises: Vec<(NaiveDate, Uuid)> = uses
        .iter()
        .filter(|(_, used)| used.to >= today && used.by <= until)
        .map(|(litter, used)| (used.by.max(today), litter.litter_id))
        .collect();
    rises.sort_unstable();
    let mut most = 0.0_f64;
    let mut taken = Vec::new();
    for (on, litter_id) in rises {
        let needed = in_use(on, false);
        if needed > most {
            taken.push(Taken { on, litter_id, amount: needed - most });
            most = needed;
        }
    }
    (have, taken)
}

/// What is left of a consumable, and all that takes of it, by day.
fn used_up(
    supply: &TemplateSupply,
    uses: &[(&SupplyLitter, Use)],
    stock: Option<&SupplyStock>,
    (today, until): (NaiveDate, NaiveDate),
) -> (f64, Vec<Taken>) {
    let mut taken = Vec::new();
    for (litter, used) in uses {
        let litter_id = litter.litter_id;
        if !litter.born && used.by <= until && used.at_once > 0.0 {
            taken.push(Taken { on: used.by.max(today), litter_id, amount: used.at_once });
        }
        let (from, to) = used.daily;
        let amount = used.a_day * (1.0 + supply.margin);
        let days = from.max(today).iter_days().take_while(|day| *day <= to.min(until));
        taken.extend(days.filter(|_| amount > 0.0).map(|on| Taken { on, litter_id, amount }));
    }
    taken.sort_by_key(|one| (one.on, one.litter_id));
    let left = |stock: &SupplyStock| {
        let used: f64 =
            uses.iter().map(|(litter, used)| used_since(stock, litter, used, today)).sum();
        (stock.on_hand - used).max(0.0)
    };
    (stock.map_or(0.0, left), taken)
}

/// What a litter used since the stock was counted, up to yesterday.
fn used_since(stock: &SupplyStock, litter: &SupplyLitter, used: &Use, today: NaiveDate) -> f64 {
    let Some(yesterday) = today.pred_opt().filter(|_| litter.born) else { return 0.0 };
    let (from, to) = used.daily;
    let daily = used.a_day * days_between(from.max(stock.counted_on), to.min(yesterday));
    let at_birth = stock.counted_on < litter.earliest;
    daily + if at_birth { used.at_once } else { 0.0 }
}

/// The line of a supply; `None` when nothing is short.
fn told(
    supply: &TemplateSupply,
    have: f64,
    taken: &[Taken],
    stock: Option<&SupplyStock>,
) -> Option<ShoppingLine> {
    let needed: f64 = taken.iter().map(|one| one.amount).sum();
    let short = rounded_up(needed - have);
    if short <= 0.0 {
        return None;
    }
    let steps = steps(have, taken);
    let pack_size = supply.pack_size.unwrap_or(1.0);
    let packs = rounded_up(short / pack_size);
    let buy = packs * pack_size;
    let unit = unit(supply, buy);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "rounded up from above zero; too many packs are as many as it holds"
    )]
    let packs = packs as u32;
    let (name, amount) = (&supply.name, told_amount(buy));
    let text = match supply.pack_size {
        Some(size) if size > 1.0 => said!(
            "shopping-line-packs",
            supply = name,
            amount = amount,
            unit = &unit,
            packs = packs,
            size = told_amount(size)
        ),
        _ => said!("shopping-line", supply = name, amount = amount, unit = &unit),
    };
    Some(ShoppingLine {
        key: supply.key.clone(),
        text,
        name: supply.name.clone(),
        unit,
        lasting: supply.reusable,
        needed: (needed * 100.0).round() / 100.0,
        on_hand: (have * 100.0).round() / 100.0,
        counted_on: stock.map(|stock| stock.counted_on),
        short,
        pack_size,
        packs,
        buy,
        buy_by: steps.first()?.by,
        steps,
        source: supply.source.clone(),
    })
}

/// What each litter makes short, from the first day on which it does.
fn steps(have: f64, taken: &[Taken]) -> Vec<ShoppingStep> {
    let mut left = have;
    let mut steps: Vec<ShoppingStep> = Vec::new();
    for one in taken {
        let missing = (one.amount - left).max(0.0).min(one.amount);
        left = (left - one.amount).max(0.0);
        if missing <= 1e-9 {
            continue;
        }
        match steps.iter_mut().find(|step| step.litter_id == one.litter_id) {
            Some(step) => step.amount += missing,
            None => {
                steps.push(ShoppingStep { by: one.on, litter_id: one.litter_id, amount: missing })
            }
        }
    }
    for step in &mut steps {
        step.amount = rounded_up(step.amount);
    }
    steps
}
