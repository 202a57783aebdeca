//! Matings that are only thought of, and one to move: the calendar with them, and what each choice costs.

use super::{
    DateSpan, MatingDraft, OptionCost, PlannerRecords, PlannerReport, ReadPlan, compare_options,
    days_to_try, heat_moves, heat_options, read_plan, report_plan, shift_options,
};
use crate::{
    day_chances::{DayChances, shift},
    fault::Fault,
    moment::Moment,
    rules::Rules,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

#[cfg(test)]
mod tests;

/// How long a plan is when its end is not given.
const USUAL_SPAN_DAYS: i64 = 365;
/// Most choices that are compared for one mating: each is a plan of its own.
const MOST_CHOICES: i64 = 120;

impl DateSpan {
    /// The days that are asked for: from today where no first day is, for a year where no last one is.
    pub fn asked(from: Option<NaiveDate>, to: Option<NaiveDate>, today: NaiveDate) -> Self {
        let from = from.unwrap_or(today);
        Self { from, to: to.unwrap_or_else(|| shift(from, USUAL_SPAN_DAYS)) }
    }
}

/// How a planned mating, or a heat to come, might be moved: to at most 120 days.
#[derive(Debug, Clone, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PlannerMove {
    /// Key of the litter or heat in the plan; the drafts are `draft:1`, `draft:2` …
    #[schema(example = "draft:1", min_length = 1, max_length = 100)]
    pub key: String,
    /// Days earlier that are possible.
    #[serde(default)]
    #[schema(example = 14, minimum = 0, maximum = 365)]
    pub days_earlier: i64,
    /// Days later that are possible.
    #[serde(default)]
    #[schema(example = 28, minimum = 0, maximum = 365)]
    pub days_later: i64,
    /// Days from one choice to the next; with the days earlier and later it makes at most 120 choices.
    #[serde(default = "a_week")]
    #[schema(example = 7, minimum = 1, maximum = 60)]
    pub step_days: i64,
    /// Whether to try the dam's next heats as well, for a litter.
    #[serde(default)]
    pub heats: bool,
}

fn a_week() -> i64 {
    7
}

/// A fault at a field of the move.
fn at(field: &str, detail: Text) -> Fault {
    Fault::new(format!("/shift/{field}"), detail)
}

impl PlannerMove {
    /// Whether its choices are few enough to be compared.
    ///
    /// # Errors
    /// A fault at `/shift/step_days` beyond 120 choices.
    pub fn check(&self) -> Result<(), Fault> {
        let choices = days_to_try(self.days_earlier, self.days_later, self.step_days).len() as i64;
        if choices > MOST_CHOICES {
            let detail = said!("fault-too-many-choices", count = choices, most = MOST_CHOICES);
            return Err(at("step_days", detail));
        }
        Ok(())
    }

    /// What each choice for the litter, or heat, would cost in this plan.
    ///
    /// # Errors
    /// Faults of the move: a key that is not in the plan, a litter that is expected already and does not
    /// move, a heat with the heats to try.
    pub fn options(
        &self,
        read: &ReadPlan,
        today: NaiveDate,
        rules: &Rules,
    ) -> Result<Vec<OptionCost>, Vec<Fault>> {
        let days = days_to_try(self.days_earlier, self.days_later, self.step_days);
        let refused = |field: &str, detail: Text| vec![at(field, detail)];
        if self.key.starts_with("heat:") {
            if self.heats {
                return Err(refused("heats", said!("fault-not-together-heats-of-heat")));
            }
            let choices = heat_moves(&read.input, &self.key, &days, today)
                .ok_or_else(|| refused("key", said!("fault-not-found-heat-of-plan")))?;
            return compare_options(&read.input, &choices, rules);
        }
        let Some(litter) = read.input.litters.iter().find(|litter| litter.key == self.key) else {
            return Err(refused("key", said!("fault-not-found-key-of-plan")));
        };
        if litter.key.starts_with("litter:") {
            return Err(refused("key", said!("fault-fixed-litter-of-plan")));
        }
        let Some(chances) = DayChances::from_list(&litter.whelping) else {
            return Err(refused("key", said!("fault-unknowable-no-day")));
        };
        let mut choices = shift_options(&self.key, &chances, &days);
        let dam = read.input.dams.iter().find(|dam| dam.dam_id == litter.dam_id);
        if let Some(dam) = dam.filter(|_| self.heats) {
            choices.extend(heat_options(&self.key, dam, rules)?);
        }
        compare_options(&read.input, &choices, rules)
    }
}

/// Matings thought of, and one to move.
#[derive(Debug, Clone, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WhatIf {
    /// First day; today when left out.
    #[serde(default, rename = "first_on")]
    pub from: Option<NaiveDate>,
    /// Last day; a year after the first when left out.
    #[serde(default, rename = "last_on")]
    pub to: Option<NaiveDate>,
    /// Matings to add.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub drafts: Vec<MatingDraft>,
    /// A planned mating to find the best days for, or a heat that may come earlier or later.
    #[serde(default)]
    pub shift: Option<PlannerMove>,
}

/// The calendar with the drafts, and what each choice would cost.
#[derive(Debug, Serialize, ToSchema)]
pub struct WhatIfAnswer {
    /// The calendar with the drafts.
    pub plan: PlannerReport,
    /// The choices of the mating to move, cheapest first; empty when none is.
    pub options: Vec<OptionCost>,
}

/// The calendar as it would be, with what each choice of the mating to move would cost.
///
/// # Errors
/// Faults of the span, of the drafts and of the move.
pub fn what_if(
    records: &PlannerRecords,
    asked: &WhatIf,
    moment: &Moment,
) -> Result<WhatIfAnswer, Vec<Fault>> {
    let (today, rules) = (moment.today(), &moment.rules);
    let span = DateSpan::asked(asked.from, asked.to, today);
    let read = read_plan(records, &asked.drafts, span, moment.time(), rules)?;
    let options = match &asked.shift {
        Some(moved) => moved.options(&read, today, rules)?,
        None => Vec::new(),
    };
    Ok(WhatIfAnswer { plan: report_plan(records, read, rules)?, options })
}
