//! What the weights of pups call for.
//!
//! Each ground has its published threshold. Beside it stands what the scale and a healthy day can vary:
//! a shortfall within that asks for another weighing and does not ring.

use super::{Finding, PUP};
use crate::advice::{Caution, CautionCode, Level};
use crate::growth::{
    BirthWeightClass, LitterGrowth, PupGrowth, PupRisk, RiskLevel, ScaleJump, WeightChange,
};
use crate::rules::Rules;
use crate::sayings::signed;
use catalogue::{Text, figure, said};
use chrono::{DateTime, Utc};

/// What is found of one pup; nothing is asked of a pup that has left.
pub(crate) fn of_pup(
    pup: &PupGrowth,
    risk: Option<&PupRisk>,
    now: DateTime<Utc>,
    rules: &Rules,
) -> Vec<Finding> {
    if !pup.present {
        return Vec::new();
    }
    let scale = Scale { pup, risk, now, rules };
    let early = scale.early_loss();
    let change = if early.is_some() { None } else { scale.day_change() };
    [
        early.map(|found| scale.unless_in_doubt(found)),
        change.map(|found| scale.unless_in_doubt(found)),
        scale.failing(),
        scale.early_growth().map(|found| scale.unless_in_doubt(found)),
        scale.birth_weight(),
        scale.below_litter(),
        scale.doubling(),
        scale.unweighed(),
    ]
    .into_iter()
    .flatten()
    .map(|found| found.began(pup.born_at))
    .collect()
}

/// What is found of the litter: most pups losing at once points at the dam, the milk or the scale.
pub fn of_litter(growth: &LitterGrowth, rules: &Rules) -> Option<Finding> {
    if let Some(jump) = &growth.scale_jump {
        return Some(jumped(jump, rules));
    }
    let weighed = || growth.pups.iter().filter(|pup| pup.present);
    let changes: Vec<(&PupGrowth, &WeightChange)> =
        weighed().filter_map(|pup| Some((pup, pup.since_yesterday.as_ref()?))).collect();
    let beyond_rounding = |(pup, change): &&(&PupGrowth, &WeightChange)| {
        -change.gain_g
            > pup
                .scale_step_g
                .max(2.0 * rules.value("growth.weighing_error") * change.from.weight_g)
    };
    let losing = growth.losing.len();
    let first_day = rules.value("growth.first_loss_hours") / 24.0;
    let sure = changes
        .iter()
        .filter(|(_, change)| change.to.age_days > first_day)
        .filter(beyond_rounding)
        .count();
    if losing < 2 || losing * 2 <= changes.len() {
        return None;
    }
    let rule = rules.get("growth.standstill");
    let level = if sure >= 2 && sure * 2 > changes.len() { Level::Act } else { Level::Note };
    let since = changes.iter().map(|(_, change)| change.from.measured_at).min()?;
    let caution = Caution::new(
        CautionCode::GrowthLitterLosing,
        level,
        said!("alarm-growth-litter-losing"),
        said!("alarm-growth-litter-losing-why", losing = losing, weighed = changes.len()),
        rule.source.clone(),
    )
    .with("losing", losing)
    .with("weighed", changes.len());
    Some(Finding::new("litter_losing", since, caution))
}

/// All pups of a round changed alike: they are weighed again at once. If it is not the scale, all have lost.
fn jumped(jump: &ScaleJump, rules: &Rules) -> Finding {
    let down = jump.change_fraction < 0.0;
    let percent = figure(jump.change_fraction.abs() * 100.0, 0);
    let (level, what, rule) = if down {
        let what = said!("alarm-growth-scale-down", percent = percent);
        (Level::Act, what, "growth.jump_down")
    } else {
        (Level::Note, said!("alarm-growth-scale-up", percent = percent), "growth.jump_up")
    };
    let why = said!("alarm-growth-scale-why", pups = jump.pups.len());
    let source = rules.get(rule).source.clone();
    let caution = Caution::new(CautionCode::GrowthScaleJump, level, what, why, source)
        .with("change_fraction", (jump.change_fraction * 1e3).round() / 1e3)
        .with("pups", jump.pups.len());
    Finding::new("litter_losing", jump.since, caution)
}

struct Scale<'a> {
    pup: &'a PupGrowth,
    risk: Option<&'a PupRisk>,
    now: DateTime<Utc>,
    rules: &'a Rules,
}

fn figures(change: &WeightChange) -> Text {
    said!(
        "alarm-growth-change",
        weight_g = figure(change.to.weight_g, 0),
        before_g = figure(change.from.weight_g, 0),
        hours = figure(change.hours, 0),
        percent = signed(change.gain_fraction_per_day * 100.0, 1)
    )
}

fn with_change(caution: Caution, change: &WeightChange) -> Caution {
    caution
        .with("weight_g", change.to.weight_g)
        .with("before_g", change.from.weight_g)
        .with("hours", (change.hours * 10.0).round() / 10.0)
        .with("gain_fraction_per_day", (change.gain_fraction_per_day * 1e4).round() / 1e4)
}

impl Scale<'_> {
    fn value(&self, rule: &'static str) -> f64 {
        self.rules.value(rule)
    }

    fn born_plus(&self, rule: &'static str) -> DateTime<Utc> {
        self.pup.born_at + self.rules.span(rule)
    }

    /// The share of `from_g` that rounding alone can feign; a fine scale feigns nothing to speak of.
    fn rounding(&self, from_g: f64) -> f64 {
        let share = self.pup.scale_step_g / from_g;
        if share > 0.01 { share } else { 0.0 }
    }

    /// Whether a share has reached a limit, whose tenths no sum of shares meets exactly.
    fn reached(share: f64, limit: f64) -> bool {
        share >= limit - 1e-9
    }

    /// The standard deviation of the log of a change by the scale and by what healthy days vary, beside
    /// rounding.
    fn noise(&self, change: &WeightChange) -> f64 {
        let error = self.value("growth.weighing_error");
        let days = change.hours / 24.0;
        (2.0 * error * error + self.value("growth.daily_spread").powi(2) * days).sqrt()
    }

    /// Whether a change is further below what was expected of the pup than noise brings about, and a
    /// whole step of the scale, by which rounding errs at most.
    fn beyond_noise(&self, change: &WeightChange) -> bool {
        let expected = self.risk.and_then(|risk| risk.expected_fraction_per_day).unwrap_or(0.0);
        let days = change.hours / 24.0;
        let gain = (change.to.weight_g / change.from.weight_g).ln();
        let shortfall = expected.max(0.0).ln_1p() * days - gain;
        let rounding = self.rounding(change.from.weight_g);
        shortfall - rounding >= self.value("growth.beyond_noise") * self.noise(change)
    }

    /// Whether a coarse scale can have feigned what the weights say: a change of one day and of two are
    /// both within what it rounds away.
    fn may_be_rounding(&self) -> bool {
        let changes = [&self.pup.since_yesterday, &self.pup.since_two_days];
        let mut changes = changes.into_iter().flatten();
        self.pup.last.is_some_and(|last| self.rounding(last.weight_g) > 0.0)
            && !changes.any(|change| self.beyond_noise(change))
    }

    /// The change over two days; what was lost on the first day, and regained, is no part of it.
    fn since_two_days(&self) -> Option<&WeightChange> {
        let first_day = self.value("growth.first_loss_hours");
        self.pup.since_two_days.as_ref().filter(|two| two.from.age_days * 24.0 >= first_day)
    }

    /// Whether a pup gains at least half of what is expected of it: over two days where they are known, and
    /// by one alone within what the scale and a healthy day vary, which is as much as half a day's gain.
    fn gains_half(&self) -> bool {
        let Some(expected) = self.risk.and_then(|risk| risk.expected_fraction_per_day) else {
            return false;
        };
        let enough = |change: &WeightChange, allowed: f64| {
            let gain = change.gain_fraction_per_day.ln_1p() + allowed / (change.hours / 24.0);
            gain >= (expected / 2.0).ln_1p() - 1e-9
        };
        match (self.since_two_days(), &self.pup.since_yesterday) {
            (Some(two), _) => enough(two, 0.0),
            (None, Some(one)) => enough(one, self.noise(one)),
            (None, None) => false,
        }
    }

    /// What rests on a weight that is not believed is pointed out: the litter calls to weigh all of them again.
    fn unless_in_doubt(&self, mut found: Finding) -> Finding {
        if self.pup.last_in_doubt {
            found.caution.level = Level::Note;
            found.next_limit_at = None;
        }
        found
    }

    fn found(&self, since: DateTime<Utc>, caution: Caution) -> Finding {
        Finding::new(PUP, since, caution)
    }

    /// A tenth of the birth weight lost in the first days, or a smaller loss that may be normal.
    fn early_loss(&self) -> Option<Finding> {
        let pup = self.pup;
        let since_birth = pup.since_birth.as_ref()?;
        let age_h = since_birth.to.age_days * 24.0;
        let lost = -since_birth.gain_fraction;
        let limit = self.value("growth.early_loss");
        let must_gain = "growth.must_gain_by_hours";
        let still = pup.since_yesterday.as_ref().is_none_or(|change| change.gain_g <= 0.0);
        let young = pup.age_days as f64 <= self.value("growth.nursing_days");
        let sure = lost - self.rounding(since_birth.from.weight_g);
        let label = &pup.label;
        let (level, what, next) = if Self::reached(sure, limit) && still && young {
            let reached = self.now >= self.born_plus(must_gain);
            if reached {
                (Level::Emergency, said!("alarm-growth-early-loss-now", pup = label), None)
            } else {
                let next = Some(self.born_plus(must_gain));
                (Level::Act, said!("alarm-growth-early-loss-today", pup = label), next)
            }
        } else if lost > 0.0 && age_h <= self.value("growth.first_loss_hours") {
            (Level::Note, said!("alarm-growth-early-loss-first-day", pup = label), None)
        } else if lost > 0.0 && age_h <= self.value("growth.early_loss_hours") {
            (Level::Note, said!("alarm-growth-early-loss-still", pup = label), None)
        } else {
            return None;
        };
        let why = said!(
            "alarm-growth-early-loss-why",
            weight_g = figure(since_birth.to.weight_g, 0),
            age_hours = figure(age_h, 0),
            birth_g = figure(since_birth.from.weight_g, 0),
            percent = signed(since_birth.gain_fraction * 100.0, 1),
            limit_percent = figure(limit * 100.0, 0)
        );
        let rule =
            if level == Level::Note { "growth.early_loss_hours" } else { "growth.early_loss" };
        let source = self.rules.get(rule).source.clone();
        let caution = Caution::new(CautionCode::GrowthEarlyLoss, level, what, why, source)
            .with("limit_fraction", limit);
        let caution = with_change(caution, since_birth);
        Some(self.found(since_birth.to.measured_at, caution).until(next))
    }

    /// Lost weight or stood still since yesterday: it calls when noise does not explain it, a loss over a
    /// day, a standstill over two.
    fn day_change(&self) -> Option<Finding> {
        let change = self.pup.since_yesterday.as_ref()?;
        let still = self.rules.get("growth.standstill");
        if change.gain_fraction_per_day > still.value {
            return None;
        }
        let nursing = change.to.age_days <= self.value("growth.nursing_days");
        let longer = self
            .since_two_days()
            .filter(|two| two.gain_fraction_per_day <= still.value && self.beyond_noise(two));
        let lost = change.gain_g < 0.0 && self.beyond_noise(change);
        let calls = nursing && (lost || longer.is_some());
        let level = if calls { Level::Act } else { Level::Note };
        let (pup, hours) = (&self.pup.label, figure(self.value("growth.weigh_again_hours"), 0));
        let (code, what) = if change.gain_g < 0.0 {
            (CautionCode::GrowthLosing, said!("alarm-growth-lost", pup = pup, hours = hours))
        } else {
            let what = said!("alarm-growth-not-gained", pup = pup, hours = hours);
            (CautionCode::GrowthStandstill, what)
        };
        let caution = Caution::new(code, level, what, figures(change), still.source.clone());
        Some(self.found(change.to.measured_at, with_change(caution, change)))
    }

    /// The early warning, where it says more than the birth weight alone.
    fn failing(&self) -> Option<Finding> {
        let risk = self.risk?;
        let expected = risk.expected_fraction_per_day?;
        let gain = risk.gain_fraction_per_day.filter(|gain| *gain < expected)?;
        let label = &self.pup.label;
        let (level, what) = match risk.level {
            RiskLevel::None => return None,
            RiskLevel::Act if !self.may_be_rounding() => {
                (Level::Act, said!("alarm-growth-failing-act", pup = label))
            }
            RiskLevel::Act | RiskLevel::Watch => {
                (Level::Note, said!("alarm-growth-failing-watch", pup = label))
            }
        };
        let why = said!(
            "alarm-growth-failing-why",
            gain = signed(gain * 100.0, 1),
            expected = signed(expected * 100.0, 1),
            percent = figure(risk.probability * 100.0, 0)
        );
        let source = self.rules.get("growth.warning_act").source.clone();
        let caution = Caution::new(CautionCode::GrowthFailing, level, what, why, source)
            .with("gain_fraction_per_day", (gain * 1e4).round() / 1e4)
            .with("expected_fraction_per_day", (expected * 1e4).round() / 1e4)
            .with("probability", (risk.probability * 100.0).round() / 100.0);
        Some(self.found(self.pup.last?.measured_at, caution))
    }

    /// Too little from birth to day 2: it calls until the pup gains and is above its birth weight.
    fn early_growth(&self) -> Option<Finding> {
        let pup = self.pup;
        let growth = pup.early_growth_fraction?;
        let limit = self.rules.get("growth.early_growth_risk");
        let last = pup.last?;
        if last.age_days > self.value("growth.nursing_days") {
            return None;
        }
        let birth = pup.birth_weight_g?;
        if !Self::reached(-growth - self.rounding(birth), -limit.value) {
            return None;
        }
        let above = last.weight_g > birth;
        let gains = pup
            .since_yesterday
            .as_ref()
            .is_some_and(|change| change.gain_fraction_per_day > self.value("growth.standstill"));
        let level = if above && gains { Level::Note } else { Level::Act };
        let what = said!("alarm-growth-early-growth", pup = &pup.label);
        let why = said!(
            "alarm-growth-early-growth-why",
            growth = signed(growth * 100.0, 1),
            limit = signed(limit.value * 100.0, 1)
        );
        let caution =
            Caution::new(CautionCode::GrowthEarly, level, what, why, limit.source.clone())
                .with("growth_fraction", (growth * 1e4).round() / 1e4)
                .with("limit_fraction", limit.value);
        Some(self.found(self.born_plus("growth.early_growth_day"), caution))
    }

    /// A low birth weight; a very low one calls in the days in which it tells of death.
    fn birth_weight(&self) -> Option<Finding> {
        let pup = self.pup;
        let grade = pup.birth_weight_grade.as_ref()?;
        if pup.age_days as f64 > self.value("growth.nursing_days") {
            return None;
        }
        let first = self.now < self.born_plus("growth.birth_weight_hours");
        let birth = pup.birth_weight_g.unwrap_or_default();
        // Half a step is what rounding takes off at most.
        let sure = birth * (1.0 + 0.5 * self.rounding(birth)) < grade.low_from_g;
        let very_low = || said!("alarm-growth-birth-weight-very-low", pup = &pup.label);
        let (level, what, limit) = match grade.class {
            BirthWeightClass::Normal => return None,
            BirthWeightClass::Low => {
                let low = said!("alarm-growth-birth-weight-low", pup = &pup.label);
                (Level::Note, low, grade.normal_from_g)
            }
            BirthWeightClass::VeryLow if first && sure => {
                (Level::Act, very_low(), grade.low_from_g)
            }
            BirthWeightClass::VeryLow => (Level::Note, very_low(), grade.low_from_g),
        };
        let why = said!(
            "alarm-growth-birth-weight-why",
            weight_g = figure(birth, 0),
            limit_g = figure(limit, 0),
            percent = figure(grade.death_within_21_days * 100.0, 1)
        );
        let caution =
            Caution::new(CautionCode::GrowthBirthWeight, level, what, why, grade.source.clone())
                .with("birth_weight_g", birth)
                .with("limit_g", limit)
                .with("death_within_21_days", grade.death_within_21_days);
        Some(self.found(pup.born_at, caution))
    }

    /// Far lighter than its litter: it calls in the first week when it does not gain as expected.
    fn below_litter(&self) -> Option<Finding> {
        let pup = self.pup;
        let limit = self.rules.get("growth.below_litter_mean");
        let place = pup.position.as_ref().filter(|p| p.above_mean_fraction <= -limit.value)?;
        let last = pup.last?;
        let gains = self.gains_half() || self.may_be_rounding();
        // On its first day nothing tells yet whether it gains.
        let told = last.age_days * 24.0 > self.value("growth.first_loss_hours");
        let level = if pup.age_days <= 7 && told && !gains { Level::Act } else { Level::Note };
        let what = said!("alarm-growth-below-litter", pup = &pup.label);
        let why = said!(
            "alarm-growth-below-litter-why",
            percent = figure(-place.above_mean_fraction * 100.0, 0),
            limit_percent = figure(limit.value * 100.0, 0)
        );
        let caution =
            Caution::new(CautionCode::GrowthBelowLitter, level, what, why, limit.source.clone())
                .with("below_mean_fraction", (-place.above_mean_fraction * 1e3).round() / 1e3)
                .with("limit_fraction", limit.value);
        Some(self.found(last.measured_at, caution))
    }

    /// Not doubled (or tripled) its birth weight by the usual age.
    fn doubling(&self) -> Option<Finding> {
        let since_birth = self.pup.since_birth.as_ref()?;
        let multiple = 1.0 + since_birth.gain_fraction;
        // Only a fresh weight tells: an old one would blame the pup for a missed day.
        let fresh = self.rules.span("growth.multiple_fresh_hours");
        if self.now - since_birth.to.measured_at > fresh {
            return None;
        }
        let age = since_birth.to.age_days;
        let late = self.rules.get("growth.doubled_late_day");
        let third = self.rules.get("growth.tripled_by_day");
        let usual = self.value("growth.doubled_by_day");
        let told = third.value + self.value("growth.tripled_told_days");
        let label = &self.pup.label;
        let (what, rule, from) = if multiple < 2.0 && age > late.value {
            (said!("alarm-growth-not-doubled", pup = label), late, usual)
        } else if multiple < 3.0 && age > third.value && age <= told {
            (said!("alarm-growth-not-tripled", pup = label), third, third.value)
        } else {
            return None;
        };
        let why = said!(
            "alarm-growth-multiple-why",
            multiple = figure(multiple, 1),
            age_days = figure(age, 0),
            from_day = figure(from, 0),
            limit_day = figure(rule.value, 0)
        );
        let caution = Caution::new(
            CautionCode::GrowthNotDoubled,
            Level::Note,
            what,
            why,
            rule.source.clone(),
        )
        .with("multiple", (multiple * 100.0).round() / 100.0)
        .with("limit_day", rule.value);
        Some(self.found(since_birth.to.measured_at, caution))
    }

    fn unweighed(&self) -> Option<Finding> {
        let rule = self.rules.get("growth.unweighed_hours");
        if self.pup.age_days as f64 > self.value("growth.nursing_days") {
            return None;
        }
        let last = self.pup.last?;
        let hours = (self.now - last.measured_at).num_minutes() as f64 / 60.0;
        (hours >= rule.value).then(|| {
            let what = said!("alarm-growth-unweighed", pup = &self.pup.label);
            let why = said!("alarm-growth-unweighed-why", hours = figure(hours, 0));
            let caution = Caution::new(
                CautionCode::GrowthUnweighed,
                Level::Note,
                what,
                why,
                rule.source.clone(),
            )
            .with("hours", hours.round());
            self.found(last.measured_at, caution)
        })
    }
}
