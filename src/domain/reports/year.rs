//! A kennel's year: litters, survival, growth, income and costs.

use super::{litter::LitterReport, spread::WeightSpread};
use crate::{
    fault::{Fault, Faults},
    placement::{Currency, Money},
};
use catalogue::said;
use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// Which way money went.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum MoneyLineKind {
    /// Received.
    Income,
    /// Paid.
    Cost,
}

/// Money that was received or paid.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MoneyLine {
    /// Which way.
    pub kind: MoneyLineKind,
    /// The sum; below 0 for what came back, such as a refund.
    pub amount: Money,
    /// The day.
    pub on: NaiveDate,
    /// The litter it is for; `None` for the kennel as a whole.
    pub litter_id: Option<Uuid>,
}

/// A litter with the names of its parents and its report.
#[derive(Debug, Clone, PartialEq)]
pub struct YearLitter {
    /// The dam's name.
    pub dam: String,
    /// The sire's name.
    pub sire: Option<String>,
    /// The report.
    pub report: LitterReport,
}

/// What the report on a year takes in.
#[derive(Debug, Clone, PartialEq)]
pub struct YearReportInput {
    /// The year.
    pub year: i32,
    /// All litters, whelped in the year or not.
    pub litters: Vec<YearLitter>,
    /// All money, of the year or not.
    pub money: Vec<MoneyLine>,
}

/// Income and costs in one currency, in minor units.
///
/// `result = income − costs`, always.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct MoneySums {
    /// The currency.
    pub currency: Currency,
    /// Received.
    #[schema(example = 900_000)]
    pub income_minor: i64,
    /// Paid.
    #[schema(example = 350_000)]
    pub costs_minor: i64,
    /// Received less paid.
    #[schema(example = 550_000)]
    pub result_minor: i64,
}

/// A litter in the report on a year.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct YearLitterRow {
    /// The litter.
    pub litter_id: Uuid,
    /// Its name.
    #[schema(example = "Juno's spring litter")]
    pub name: Option<String>,
    /// The dam's name.
    #[schema(example = "Juno")]
    pub dam: String,
    /// The sire's name.
    #[schema(example = "Ajax")]
    pub sire: Option<String>,
    /// Day of the whelping.
    pub whelped_on: NaiveDate,
    /// Whether it was whelped in this year; other litters are here for their money only.
    pub whelped_in_year: bool,
    /// All pups born.
    #[schema(example = 7)]
    pub born: usize,
    /// Born alive.
    #[schema(example = 6)]
    pub born_alive: usize,
    /// Alive.
    #[schema(example = 6)]
    pub alive: usize,
    /// First weights.
    pub birth_weights: WeightSpread,
    /// Weights at 8 weeks.
    pub eight_week_weights: Option<WeightSpread>,
    /// Its money in this year, by currency; `null` for who may not see money.
    pub money: Option<Vec<MoneySums>>,
}

/// The report on a kennel's year.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct YearReport {
    /// The year.
    #[schema(example = 2026)]
    pub year: i32,
    /// Litters whelped in it.
    #[schema(example = 4)]
    pub litters: usize,
    /// Pups born in them.
    #[schema(example = 25)]
    pub born: usize,
    /// Born alive.
    #[schema(example = 24)]
    pub born_alive: usize,
    /// Alive.
    #[schema(example = 23)]
    pub alive: usize,
    /// Mean of pups born a litter; `null` without litters.
    #[schema(example = 6.25)]
    pub mean_litter_size: Option<f64>,
    /// Alive of all born, 0–1; `null` without pups.
    #[schema(example = 0.92)]
    pub survival_fraction: Option<f64>,
    /// The litters, by their day, those whelped before for their money only.
    pub rows: Vec<YearLitterRow>,
    /// Money of the kennel as a whole, by currency; `null` for who may not see money.
    pub kennel_money: Option<Vec<MoneySums>>,
    /// All money of the year, by currency: the rows and the kennel together; `null` for who may
    /// not see money.
    pub total_money: Option<Vec<MoneySums>>,
}

impl YearReport {
    /// The report for who may not see money: litters that are here for their money only are gone.
    pub fn without_money(mut self) -> Self {
        self.rows.retain(|row| row.whelped_in_year);
        for row in &mut self.rows {
            row.money = None;
        }
        Self { kennel_money: None, total_money: None, ..self }
    }
}

/// Reports on a year: litters by the year of their whelping, money by the year of its day.
///
/// Currencies are never mixed. The totals are added up from the money itself, and equal the sum of
/// the rows and the kennel's own.
///
/// # Errors
/// Every fault, at `/money/N`: a litter that is not given, a sum that makes the total too large.
pub fn year_report(input: &YearReportInput) -> Result<YearReport, Vec<Fault>> {
    let of_year: Vec<(usize, &MoneyLine)> =
        input.money.iter().enumerate().filter(|(_, line)| line.on.year() == input.year).collect();
    let mut faults = Faults::new();
    let mut by_litter: BTreeMap<Option<Uuid>, Sums> = BTreeMap::new();
    let mut total = Sums::default();
    for (index, line) in of_year {
        let known = line
            .litter_id
            .is_none_or(|id| input.litters.iter().any(|litter| litter.report.litter_id == id));
        let at = format!("/money/{index}");
        faults.unless(known, &at, || said!("fault-not-found-money-litter"));
        let added = total.add(line) && by_litter.entry(line.litter_id).or_default().add(line);
        faults.unless(added, &at, || said!("fault-out-of-range-money-total"));
    }
    faults.into_result()?;
    let mut rows: Vec<YearLitterRow> =
        input.litters.iter().filter_map(|litter| row(litter, input.year, &by_litter)).collect();
    rows.sort_by_key(|row| (row.whelped_on, row.litter_id));
    let whelped = || rows.iter().filter(|row| row.whelped_in_year);
    let litters = whelped().count();
    let born = whelped().map(|row| row.born).sum::<usize>();
    let alive = whelped().map(|row| row.alive).sum::<usize>();
    Ok(YearReport {
        year: input.year,
        litters,
        born,
        born_alive: whelped().map(|row| row.born_alive).sum(),
        alive,
        mean_litter_size: (litters > 0).then(|| born as f64 / litters as f64),
        survival_fraction: (born > 0).then(|| alive as f64 / born as f64),
        kennel_money: Some(by_litter.get(&None).map(Sums::list).unwrap_or_default()),
        total_money: Some(total.list()),
        rows,
    })
}

fn row(
    litter: &YearLitter,
    year: i32,
    by_litter: &BTreeMap<Option<Uuid>, Sums>,
) -> Option<YearLitterRow> {
    let report = &litter.report;
    let whelped_in_year = report.whelped_on.year() == year;
    let money = by_litter.get(&Some(report.litter_id)).map(Sums::list).unwrap_or_default();
    let eight_weeks = report.weights.iter().find(|at| at.age_days == 56);
    (whelped_in_year || !money.is_empty()).then(|| YearLitterRow {
        litter_id: report.litter_id,
        name: report.name.clone(),
        dam: litter.dam.clone(),
        sire: litter.sire.clone(),
        whelped_on: report.whelped_on,
        whelped_in_year,
        born: report.born,
        born_alive: report.born_alive,
        alive: report.alive,
        birth_weights: report.birth_weights,
        eight_week_weights: eight_weeks.map(|at| at.weights),
        money: Some(money),
    })
}

/// Income and costs by currency.
#[derive(Default)]
struct Sums(BTreeMap<Currency, (i64, i64)>);

impl Sums {
    /// Adds a line; `false`, and nothing added, when a sum would leave its range.
    fn add(&mut self, line: &MoneyLine) -> bool {
        let (income, costs) = self.0.entry(line.amount.currency).or_default();
        let amount = line.amount.amount_minor;
        let (more_income, more_costs) = match line.kind {
            MoneyLineKind::Income => (income.checked_add(amount), Some(*costs)),
            MoneyLineKind::Cost => (Some(*income), costs.checked_add(amount)),
        };
        let (Some(more_income), Some(more_costs)) = (more_income, more_costs) else {
            return false;
        };
        let within = more_income.checked_sub(more_costs).is_some();
        if within {
            (*income, *costs) = (more_income, more_costs);
        }
        within
    }

    fn list(&self) -> Vec<MoneySums> {
        let sums = |(currency, (income_minor, costs_minor)): (&Currency, &(i64, i64))| MoneySums {
            currency: *currency,
            income_minor: *income_minor,
            costs_minor: *costs_minor,
            result_minor: income_minor - costs_minor,
        };
        self.0.iter().map(sums).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::litter::{LitterReportInput, ReportPup, litter_report};
    use super::*;
    use proptest::prelude::*;

    fn litter(n: u128, whelped_on: &str, pups: usize, stillborn: usize) -> YearLitter {
        let whelped_on: NaiveDate = whelped_on.parse().unwrap();
        let pup = |index| ReportPup {
            dog_id: Uuid::from_u128(n * 100 + index as u128),
            stillborn: index < stillborn,
            ..Default::default()
        };
        let input = LitterReportInput {
            litter_id: Uuid::from_u128(n),
            name: None,
            mated_on: None,
            whelped_on,
            pups: (0..pups).map(pup).collect(),
        };
        let report = litter_report(&input, "2027-06-01".parse().unwrap());
        YearLitter { dam: "Juno".into(), sire: None, report }
    }

    fn line(kind: MoneyLineKind, amount_minor: i64, on: &str, litter: Option<u128>) -> MoneyLine {
        MoneyLine {
            kind,
            amount: Money { amount_minor, currency: "EUR".parse().unwrap() },
            on: on.parse().unwrap(),
            litter_id: litter.map(Uuid::from_u128),
        }
    }

    #[test]
    fn a_year_counts_its_litters_and_its_money() {
        use MoneyLineKind::{Cost, Income};
        let report = year_report(&YearReportInput {
            year: 2026,
            litters: vec![
                litter(3, "2026-11-01", 5, 0),
                litter(2, "2026-03-01", 7, 2),
                litter(1, "2025-12-01", 4, 0),
                litter(4, "2025-06-01", 4, 0),
            ],
            money: vec![
                line(Income, 150_000, "2026-05-01", Some(2)),
                line(Cost, 40_000, "2026-03-02", Some(2)),
                line(Income, 120_000, "2026-02-01", Some(1)),
                line(Income, -20_000, "2026-02-03", Some(1)),
                line(Cost, 30_000, "2026-07-01", None),
                line(Cost, 99_999, "2025-12-31", Some(1)),
            ],
        })
        .unwrap();
        assert_eq!((report.litters, report.born, report.born_alive, report.alive), (2, 12, 10, 10));
        assert_eq!(report.mean_litter_size, Some(6.0));
        assert_eq!(report.survival_fraction, Some(10.0 / 12.0));
        let results: Vec<Vec<i64>> = report
            .rows
            .iter()
            .map(|row| row.money.iter().flatten().map(|sums| sums.result_minor).collect())
            .collect();
        assert_eq!(results, [vec![100_000], vec![110_000], vec![]]);
        let whelped: Vec<bool> = report.rows.iter().map(|row| row.whelped_in_year).collect();
        assert_eq!(whelped, [false, true, true]);
        assert_eq!(report.kennel_money.as_ref().unwrap()[0].result_minor, -30_000);
        assert_eq!(report.total_money.as_ref().unwrap()[0].result_minor, 180_000);
        let shown = report.without_money();
        assert_eq!((shown.rows.len(), shown.litters, shown.born), (2, 2, 12));
        assert!(shown.rows.iter().all(|row| row.money.is_none()) && shown.total_money.is_none());
    }

    #[test]
    fn money_of_no_known_litter_is_named() {
        let input = YearReportInput {
            year: 2026,
            litters: Vec::new(),
            money: vec![
                line(MoneyLineKind::Cost, 1, "2025-01-01", Some(9)),
                line(MoneyLineKind::Cost, 1, "2026-01-01", Some(9)),
                line(MoneyLineKind::Income, i64::MAX, "2026-01-01", None),
                line(MoneyLineKind::Income, 2, "2026-01-01", None),
            ],
        };
        let at: Vec<String> =
            year_report(&input).unwrap_err().into_iter().map(|fault| fault.pointer).collect();
        assert_eq!(at, ["/money/1", "/money/3"]);
    }

    proptest! {
        /// Every cent is in exactly one row or with the kennel, whatever the mix.
        #[test]
        fn rows_and_kennel_make_the_total(
            money in prop::collection::vec(
                (any::<bool>(), -1_000_000i64..1_000_000, 0u128..4, any::<bool>(), any::<bool>()),
                0..60,
            ),
        ) {
            let lines = money.iter().map(|(income, amount, litter, this_year, euro)| {
                let kind = if *income { MoneyLineKind::Income } else { MoneyLineKind::Cost };
                let on = if *this_year { "2026-05-05" } else { "2025-05-05" };
                let mut line = line(kind, *amount, on, (*litter > 0).then_some(*litter));
                line.amount.currency = if *euro { "EUR" } else { "JPY" }.parse().unwrap();
                line
            });
            let report = year_report(&YearReportInput {
                year: 2026,
                litters: (1..4).map(|n| litter(n, "2026-03-01", 3, 0)).collect(),
                money: lines.collect(),
            })
            .unwrap();
            for total in report.total_money.iter().flatten() {
                let of_rows = report.rows.iter().flat_map(|row| row.money.iter().flatten());
                let parts = of_rows.chain(report.kennel_money.iter().flatten());
                let parts: Vec<_> = parts.filter(|part| part.currency == total.currency).collect();
                let sum = |of: fn(&MoneySums) -> i64| parts.iter().map(|part| of(part)).sum::<i64>();
                prop_assert_eq!(sum(|part| part.income_minor), total.income_minor);
                prop_assert_eq!(sum(|part| part.costs_minor), total.costs_minor);
                prop_assert_eq!(sum(|part| part.result_minor), total.result_minor);
                prop_assert_eq!(total.income_minor - total.costs_minor, total.result_minor);
            }
        }
    }
}
