//! What a litter takes of each supply, and how it is told.

use super::template::{PreparationTemplate, TemplateSupply};
use crate::{day_chances::shift, rules::Rules};
use catalogue::Text;
use chrono::NaiveDate;
use serde::Serialize;
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
    /// Pups to provide for: the upper end of `PupForecast`; those here once all are born.
    pub pups: u32,
}

/// What one litter takes of one supply.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SupplyNeed {
    /// Key of the supply.
    pub key: String,
    /// Name.
    #[schema(value_type = String)]
    pub name: Text,
    /// Unit, in the form that goes with the amount.
    #[schema(value_type = String, example = "pieces")]
    pub unit: Text,
    /// Amount, whole units, margin included.
    #[schema(example = 20.0)]
    pub amount: f64,
    /// Day by which it has to be here.
    #[serde(rename = "needed_on")]
    pub needed_by: NaiveDate,
    /// Whether it is free again after the litter.
    pub reusable: bool,
    /// Where the amount comes from.
    pub source: String,
}

/// What a litter takes of a supply, laid out in days.
pub(super) struct Use {
    /// Day by which it has to be here.
    pub by: NaiveDate,
    /// Last day of its use.
    pub to: NaiveDate,
    /// For the birth, or while it is in use, in whole units with the margin.
    pub at_once: f64,
    /// First and last day of daily use.
    pub daily: (NaiveDate, NaiveDate),
    /// Units a day between them, without the margin.
    pub a_day: f64,
}

#[expect(clippy::cast_possible_truncation, reason = "rules of days are small")]
fn days(rules: &Rules, key: &'static str, each: f64) -> i64 {
    (rules.value(key) * each).round() as i64
}

/// Lays out what a litter takes of a supply.
///
/// It is here `preparation.supplies_before_days` before its first use; what is used daily is so from
/// the birth on for `preparation.nursing_weeks`, at the most while pups are here.
pub(super) fn use_of(supply: &TemplateSupply, litter: &SupplyLitter, rules: &Rules) -> Use {
    let before = days(rules, "preparation.supplies_before_days", 1.0);
    let nursing = days(rules, "preparation.nursing_weeks", 7.0);
    let after = |day: Option<u32>| day.map(|day| shift(litter.earliest, i64::from(day)));
    let first = after(supply.used_from_day).unwrap_or(litter.earliest);
    let to = after(supply.used_to_day).unwrap_or(litter.until).min(litter.until);
    let pups = f64::from(litter.pups);
    let at_once = supply.per_dam + supply.per_litter + supply.per_pup * pups;
    Use {
        by: shift(first, -before),
        to,
        at_once: rounded_up(at_once * (1.0 + supply.margin)),
        daily: (first, shift(litter.earliest, nursing - 1).min(to)),
        a_day: (supply.per_litter_week + supply.per_pup_week * pups) / 7.0,
    }
}

/// Whole units, but not for the last digit of a product.
pub(super) fn rounded_up(amount: f64) -> f64 {
    (amount - 1e-9).ceil().max(0.0)
}

/// Days from `from` to `to`, both counted; 0 when there are none.
pub(super) fn days_between(from: NaiveDate, to: NaiveDate) -> f64 {
    f64::from(i32::try_from((to - from).num_days() + 1).unwrap_or(0).max(0))
}

/// What one litter takes from today on, by the template; supplies of which it takes none are left
/// out.
pub(crate) fn supply_needs(
    litter: &SupplyLitter,
    template: &PreparationTemplate,
    today: NaiveDate,
    rules: &Rules,
) -> Vec<SupplyNeed> {
    let need = |supply: &TemplateSupply| {
        let used = use_of(supply, litter, rules);
        // What whelping used up is gone; what is reusable is in use up to its last day.
        let over = if supply.reusable { used.to < today } else { litter.born };
        let at_once = if over { 0.0 } else { used.at_once };
        let (from, to) = used.daily;
        let daily = used.a_day * days_between(from.max(today), to) * (1.0 + supply.margin);
        let amount = rounded_up(at_once + daily);
        SupplyNeed {
            key: supply.key.clone(),
            name: supply.name.clone(),
            unit: unit(supply, amount),
            amount,
            needed_by: if litter.born { used.by.max(today) } else { used.by },
            reusable: supply.reusable,
            source: supply.source.clone(),
        }
    };
    template.supplies.iter().map(need).filter(|need| need.amount > 0.0).collect()
}

/// The unit of a supply in the form that goes with an amount.
pub(super) fn unit(supply: &TemplateSupply, amount: f64) -> Text {
    if (amount - 1.0).abs() < 1e-9 {
        return supply.unit.clone();
    }
    let several = supply.units.as_ref().or(supply.usual_units.as_ref());
    several.cloned().unwrap_or_else(|| Text::verbatim(plural(&supply.unit.to_string())))
}

/// Units that are written alike for one and for several.
const SIGNS: &[&str] = &["g", "kg", "mg", "ml", "cl", "l", "m", "cm", "mm"];

/// The usual English plural of a unit.
pub(super) fn plural(one: &str) -> String {
    let ends = |endings: &[&str]| endings.iter().any(|ending| one.ends_with(ending));
    if one.is_empty() || SIGNS.contains(&one) {
        return one.to_owned();
    }
    match one.strip_suffix('y') {
        Some(stem) if !stem.ends_with(['a', 'e', 'i', 'o', 'u']) => format!("{stem}ies"),
        _ if ends(&["s", "x", "z", "ch", "sh"]) => format!("{one}es"),
        _ => format!("{one}s"),
    }
}

/// An amount as people write it, to two digits: `30`, `2.5`.
pub(super) fn told_amount(amount: f64) -> f64 {
    (amount * 100.0).round() / 100.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_told_as_people_do() {
        let cases = [
            ("piece", "pieces"),
            ("box", "boxes"),
            ("pouch", "pouches"),
            ("tray", "trays"),
            ("supply", "supplies"),
            ("kg", "kg"),
            ("litre", "litres"),
            ("", ""),
        ];
        for (one, several) in cases {
            assert_eq!(plural(one), several);
        }
        let told = [30.0, 2.5, 0.126].map(|amount| told_amount(amount).to_string());
        assert_eq!(told, ["30", "2.5", "0.13"]);
    }

    #[test]
    fn a_kennels_own_plural_goes_first() {
        let standard = PreparationTemplate::standard();
        let mut loaf = standard.supplies[0].clone();
        (loaf.unit, loaf.units) = ("loaf".into(), Some("loaves".into()));
        assert_eq!((unit(&loaf, 1.0), unit(&loaf, 2.0)), ("loaf".into(), "loaves".into()));
        assert_eq!(unit(&loaf, 0.0), "loaves");
    }
}
