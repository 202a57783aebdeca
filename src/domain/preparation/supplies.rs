//! What a litter takes, what is on hand, and what to buy by when.

use super::template::{PreparationTemplate, TemplateSupply};
use crate::domain::{day_chances::shift, rules::Rules};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// A litter that takes supplies.
#[derive(Debug, Clone, PartialEq)]
pub struct SupplyLitter {
    /// Litter.
    pub litter_id: Uuid,
    /// First day of the due window, or the birth.
    pub earliest: NaiveDate,
    /// Last day on which pups are here.
    pub until: NaiveDate,
    /// Whether it is born: what whelping takes is used, only the weeks left count.
    pub born: bool,
    /// Pups to provide for: the upper end of `PupForecast`, or those alive.
    pub pups: u32,
}

/// What is on hand of one supply.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SupplyStock {
    /// Key of the supply.
    #[schema(example = "towels")]
    pub key: String,
    /// Amount, in the supply's unit.
    #[schema(example = 12.0)]
    pub on_hand: f64,
}

/// What one litter takes of one supply.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SupplyNeed {
    /// Key of the supply.
    pub key: String,
    /// Name.
    pub name: String,
    /// Unit.
    pub unit: String,
    /// Amount, whole units, margin included.
    #[schema(example = 20.0)]
    pub amount: f64,
    /// Day by which it has to be here.
    pub needed_by: NaiveDate,
    /// Whether it is free again after the litter.
    pub reusable: bool,
    /// Where the amount comes from.
    pub source: String,
}

/// What is short from a day on.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ShoppingStep {
    /// Day by which to have it.
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
    pub name: String,
    /// Unit.
    pub unit: String,
    /// What is on hand.
    pub on_hand: f64,
    /// What is short in all.
    #[schema(example = 8.0)]
    pub short: f64,
    /// First day by which some is missing.
    pub buy_by: NaiveDate,
    /// What is missing for which litter.
    pub steps: Vec<ShoppingStep>,
}

fn weeks_left(litter: &SupplyLitter, today: NaiveDate, rules: &Rules) -> f64 {
    let all = rules.value("preparation.nursing_weeks");
    if !litter.born {
        return all;
    }
    let days = (litter.until - today.max(litter.earliest)).num_days().max(0);
    (f64::from(i32::try_from(days).unwrap_or(0)) / 7.0).ceil().min(all)
}

fn amount(supply: &TemplateSupply, litter: &SupplyLitter, weeks: f64) -> f64 {
    let pups = f64::from(litter.pups);
    let whelping = supply.per_dam + supply.per_litter + supply.per_pup * pups;
    // What whelping used up is gone; what is reusable is still in use.
    let whelping = if litter.born && !supply.reusable { 0.0 } else { whelping };
    let nursing = weeks * (supply.per_litter_week + supply.per_pup_week * pups);
    // Rounded up to whole units, but not for the last digit of a product.
    ((whelping + nursing) * (1.0 + supply.margin) - 1e-9).ceil().max(0.0)
}

fn needed_by(litter: &SupplyLitter, today: NaiveDate, rules: &Rules) -> NaiveDate {
    #[expect(clippy::cast_possible_truncation, reason = "a rule of days")]
    let before = rules.value("preparation.supplies_before_days").round() as i64;
    if litter.born { today } else { shift(litter.earliest, -before) }
}

/// What one litter takes, by the template; supplies of which it takes none are left out.
pub fn supply_needs(
    litter: &SupplyLitter,
    template: &PreparationTemplate,
    today: NaiveDate,
    rules: &Rules,
) -> Vec<SupplyNeed> {
    let weeks = weeks_left(litter, today, rules);
    template
        .supplies
        .iter()
        .map(|supply| SupplyNeed {
            key: supply.key.clone(),
            name: supply.name.clone(),
            unit: supply.unit.clone(),
            amount: amount(supply, litter, weeks),
            needed_by: needed_by(litter, today, rules),
            reusable: supply.reusable,
            source: supply.source.clone(),
        })
        .filter(|need| need.amount > 0.0)
        .collect()
}

/// What is short for all litters together, and by when; soonest first.
///
/// Consumables are used up litter after litter, in order of need. Reusable things serve again once
/// a litter's pups have gone, so only litters that come close together add up.
pub fn shopping_list(
    litters: &[SupplyLitter],
    stock: &[SupplyStock],
    template: &PreparationTemplate,
    today: NaiveDate,
    rules: &Rules,
) -> Vec<ShoppingLine> {
    let mut ordered: Vec<&SupplyLitter> = litters.iter().filter(|l| l.until >= today).collect();
    ordered.sort_by_key(|l| (needed_by(l, today, rules), l.litter_id));
    let on_hand: BTreeMap<&str, f64> = stock.iter().map(|s| (s.key.as_str(), s.on_hand)).collect();
    let mut lines: Vec<ShoppingLine> = template
        .supplies
        .iter()
        .filter_map(|supply| {
            let have = on_hand.get(supply.key.as_str()).copied().unwrap_or(0.0);
            line(supply, &ordered, have, today, rules)
        })
        .collect();
    lines.sort_by(|a, b| (a.buy_by, &a.key).cmp(&(b.buy_by, &b.key)));
    lines
}

fn line(
    supply: &TemplateSupply,
    litters: &[&SupplyLitter],
    on_hand: f64,
    today: NaiveDate,
    rules: &Rules,
) -> Option<ShoppingLine> {
    let mut have = on_hand;
    let mut in_use: Vec<(NaiveDate, f64)> = Vec::new();
    let mut steps = Vec::new();
    for litter in litters {
        let by = needed_by(litter, today, rules);
        let need = amount(supply, litter, weeks_left(litter, today, rules));
        in_use.retain(|(until, _)| !supply.reusable || *until >= by);
        let used: f64 = in_use.iter().map(|(_, n)| n).sum();
        let short = (used + need - have).max(0.0);
        if short > 0.0 && need > 0.0 {
            have += short;
            steps.push(ShoppingStep {
                by: by.max(today),
                litter_id: litter.litter_id,
                amount: short,
            });
        }
        in_use.push((litter.until, need));
    }
    Some(ShoppingLine {
        key: supply.key.clone(),
        name: supply.name.clone(),
        unit: supply.unit.clone(),
        on_hand,
        short: steps.iter().map(|s| s.amount).sum(),
        buy_by: steps.first()?.by,
        steps,
    })
}
