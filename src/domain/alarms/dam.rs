//! The dam after whelping: low calcium, an infected womb, her glands, and whatever else is wrong.

use super::Finding;
use crate::advice::{Caution, CautionCode, Level};
use crate::call_signs::dam_sign;
use crate::dam_after_birth::{DamAfterBirth, DamObservation, DamSign, GlandState};
use crate::rules::Rules;
use crate::whelping::{DischargeAmount, DischargeColour};
use catalogue::{Text, figure, said};
use chrono::{DateTime, Utc};

const ECLAMPSIA: &str = "eclampsia";
const GLANDS: &str = "glands";
const WOMB: &str = "womb";
const GENERAL: &str = "dam_unwell";

/// What is found of a dam after whelping at `now`, by what was seen of her in the last day.
///
/// A reading back to normal ends nothing: what was seen counts for `dam_after_birth.sign_hours`. What is
/// general (fever, dullness, no appetite) belongs to the gravest special cause that is seen beside it.
pub(crate) fn findings(dam: &DamAfterBirth, now: DateTime<Utc>, rules: &Rules) -> Vec<Finding> {
    let mut seen: Vec<&DamObservation> =
        dam.observations.iter().filter(|o| o.at <= now && o.at >= dam.last_pup_at).collect();
    seen.sort_by_key(|o| o.at);
    let hours = rules.span("dam_after_birth.sign_hours");
    let recent: Vec<&DamObservation> =
        seen.iter().filter(|o| now - o.at <= hours).copied().collect();
    let look = Look { dam, seen: &seen, recent: &recent, now, rules };
    let special: Vec<Finding> =
        [look.low_calcium(), look.glands(), look.womb()].into_iter().flatten().collect();
    let gravest = special.iter().filter(|found| found.caution.level >= Level::Act);
    let cause =
        gravest.max_by_key(|found| found.caution.level).map_or(GENERAL, |found| found.cause);
    let mut found = special.clone();
    found.extend(look.general(cause));
    found.extend(look.discharge_too_long());
    found.into_iter().map(|one| one.began(dam.last_pup_at)).collect()
}

/// The highest temperature in degrees Celsius of the last day, and when.
pub(crate) fn highest(recent: &[&DamObservation]) -> Option<(DateTime<Utc>, f64)> {
    let readings = recent.iter().filter_map(|o| Some((o.at, o.temperature_c?)));
    readings.max_by(|a, b| a.1.total_cmp(&b.1))
}

struct Look<'a> {
    dam: &'a DamAfterBirth,
    seen: &'a [&'a DamObservation],
    recent: &'a [&'a DamObservation],
    now: DateTime<Utc>,
    rules: &'a Rules,
}

impl Look<'_> {
    /// When a sign was first seen in the last day.
    fn sign(&self, sign: DamSign) -> Option<DateTime<Utc>> {
        self.recent.iter().find(|o| o.signs.contains(&sign)).map(|o| o.at)
    }

    fn first_of(&self, signs: &[DamSign]) -> Option<DateTime<Utc>> {
        signs.iter().filter_map(|sign| self.sign(*sign)).min()
    }

    fn fever(&self) -> Option<(DateTime<Utc>, f64)> {
        highest(self.recent).filter(|(_, t)| *t >= self.rules.value("dam_after_birth.fever_c"))
    }

    fn unwell(&self) -> bool {
        self.fever().is_some()
            || self.first_of(&[DamSign::Dull, DamSign::NeglectsPups]).is_some()
            || self.recent.iter().any(|o| o.pups_cry == Some(true))
    }

    fn hours_after(&self, at: DateTime<Utc>) -> f64 {
        (at - self.dam.last_pup_at).num_minutes() as f64 / 60.0
    }

    fn found(
        &self,
        (cause, code): (&'static str, CautionCode),
        since: DateTime<Utc>,
        (level, what): (Level, Text),
        (why, rule): (Text, &'static str),
    ) -> Finding {
        let day = self.hours_after(self.now) / 24.0;
        let caution = Caution::new(code, level, what, why, self.rules.get(rule).source.clone())
            .with("days_after_birth", day.floor())
            .with("pups", self.dam.pups);
        Finding::new(cause, since, caution)
    }

    /// Restless, panting, face rubbing, drooling; then stiff, trembling, fits: low calcium of a nursing
    /// dam. It worsens within hours, so the early signs call by themselves, and fever makes them grave.
    fn low_calcium(&self) -> Option<Finding> {
        let grave = self.first_of(&DamSign::GRAVE);
        let early = self.first_of(&DamSign::EARLY);
        let since = [grave, early].into_iter().flatten().min()?;
        let emergency = grave.is_some() || self.fever().is_some();
        let (level, what) = if emergency {
            (Level::Emergency, said!("alarm-dam-low-calcium-now"))
        } else {
            (Level::Act, said!("alarm-dam-low-calcium-today"))
        };
        let rule = "dam_after_birth.low_calcium_to_day";
        let day = self.hours_after(self.now) / 24.0;
        let usual = day < self.rules.value(rule);
        let (first, pups) = (self.dam.first_litter == Some(true), self.dam.pups);
        let day = figure(day, 0);
        let why = match (usual, first) {
            (true, false) => said!("alarm-dam-low-calcium-why", day = day, pups = pups),
            (true, true) => said!("alarm-dam-low-calcium-why-first", day = day, pups = pups),
            (false, false) => said!("alarm-dam-low-calcium-why-later", day = day, pups = pups),
            (false, true) => said!("alarm-dam-low-calcium-why-later-first", day = day, pups = pups),
        };
        let name = (ECLAMPSIA, CautionCode::DamEclampsia);
        Some(self.found(name, since, (level, what), (why, rule)))
    }

    fn glands(&self) -> Option<Finding> {
        let rule = "dam_after_birth.mastitis_hours";
        let counts = |o: &&&DamObservation| self.now - o.at <= self.rules.span(rule);
        let looks = self.seen.iter().rev().filter(counts);
        let (at, state) = looks.into_iter().find_map(|o| Some((o.at, o.glands?)))?;
        let ill = self.fever().is_some() || self.sign(DamSign::Dull).is_some();
        let (level, what) = match state {
            GlandState::Normal => return None,
            GlandState::Engorged => (Level::Note, said!("alarm-dam-glands-full")),
            GlandState::HotPainfulHard if !ill => (Level::Act, said!("alarm-dam-glands-hot")),
            GlandState::HotPainfulHard | GlandState::BadMilk => {
                (Level::Emergency, said!("alarm-dam-glands-ill"))
            }
        };
        let why = match highest(self.recent) {
            Some((_, t)) => said!("alarm-dam-glands-why", temperature_c = figure(t, 1)),
            None => said!("alarm-dam-glands-why-unknown"),
        };
        Some(self.found((GLANDS, CautionCode::DamGlands), at, (level, what), (why, rule)))
    }

    fn discharge(&self, wanted: DischargeColour) -> Option<DateTime<Utc>> {
        let seen = |o: &&&DamObservation| {
            o.discharge == Some(wanted) && o.discharge_amount != Some(DischargeAmount::Spotting)
        };
        self.recent.iter().find(seen).map(|o| o.at)
    }

    /// Foul discharge, fresh blood, green discharge that goes on, fever with placentas missing.
    fn womb(&self) -> Option<Finding> {
        let metritis = "dam_after_birth.metritis_days";
        let day = self.hours_after(self.now) / 24.0;
        if let Some(at) = self.discharge(DischargeColour::Foul) {
            let call = if self.unwell() {
                (Level::Emergency, said!("alarm-dam-foul-unwell"))
            } else {
                (Level::Act, said!("alarm-dam-foul"))
            };
            let why = said!("alarm-dam-foul-why", day = figure(day, 0));
            let name = (WOMB, CautionCode::DamFoulDischarge);
            return Some(self.found(name, at, call, (why, metritis)));
        }
        if let Some(at) = self.discharge(DischargeColour::BrightRed) {
            let call = (Level::Emergency, said!("alarm-dam-bleeding"));
            let why = said!("alarm-dam-bleeding-why", day = figure(day, 0));
            let name = (WOMB, CautionCode::DamBleeding);
            return Some(self.found(name, at, call, (why, "whelping.alarm_minutes")));
        }
        self.placenta()
    }

    /// Green or black discharge that goes on, or fever while placentas are missing.
    fn placenta(&self) -> Option<Finding> {
        let rule = "dam_after_birth.green_hours";
        let limit = self.rules.value(rule);
        let green = self.recent.iter().find(|o| {
            o.discharge == Some(DischargeColour::GreenBlack) && self.hours_after(o.at) > limit
        });
        let missing = self.dam.placentas_missing.unwrap_or(0);
        if let Some(seen) = green {
            let call = match self.fever() {
                Some(_) => (Level::Emergency, said!("alarm-dam-green-fever")),
                None => (Level::Act, said!("alarm-dam-green")),
            };
            let why = self.green_why(self.hours_after(seen.at), limit);
            let name = (WOMB, CautionCode::DamGreenDischarge);
            return Some(self.found(name, seen.at, call, (why, rule)));
        }
        let (at, _) = self.fever().filter(|_| missing > 0)?;
        let call = (Level::Emergency, said!("alarm-dam-placenta-fever"));
        let why = said!("alarm-dam-placenta-why", missing = missing);
        let name = (WOMB, CautionCode::DamRetainedPlacenta);
        Some(self.found(name, at, call, (why, rule)))
    }

    fn green_why(&self, hours: f64, limit_hours: f64) -> Text {
        let (hours, limit_hours) = (figure(hours, 0), figure(limit_hours, 0));
        match self.dam.placentas_missing {
            Some(0) => {
                said!("alarm-dam-green-why-all", hours = hours, limit_hours = limit_hours)
            }
            Some(missing) => said!(
                "alarm-dam-green-why-missing",
                hours = hours,
                limit_hours = limit_hours,
                missing = missing
            ),
            None => {
                said!("alarm-dam-green-why-uncounted", hours = hours, limit_hours = limit_hours)
            }
        }
    }

    /// What may belong to any of them: fever, cold, dullness, no appetite and the like.
    fn general(&self, cause: &'static str) -> Vec<Finding> {
        let mut found: Vec<Finding> = self.temperature(cause).into_iter().collect();
        for sign in DamSign::ALL {
            let Some((at, row)) = self.sign(sign).zip(dam_sign(sign)) else { continue };
            // Who eats placentas may vomit them.
            let usual = sign == DamSign::Vomiting
                && self.hours_after(at) < self.rules.value("dam_after_birth.green_hours");
            let level = if usual { Level::Note } else { row.level };
            let grave =
                self.fever().is_some() && matches!(sign, DamSign::Dull | DamSign::NeglectsPups);
            let (level, what) = if grave {
                (Level::Emergency, said!("alarm-dam-fever-and-dull"))
            } else {
                (level, row.said())
            };
            let caution =
                Caution::new(row.code, level, what, said!("alarm-dam-seen"), &*row.source);
            found.push(Finding::new(cause, at, caution.with("sign", serde_json::json!(sign))));
        }
        found.extend(self.pups_cry(cause));
        found.extend(self.appetite(cause));
        found
    }

    fn temperature(&self, cause: &'static str) -> Option<Finding> {
        let (at, t) = highest(self.recent)?;
        let hours = self.hours_after(at);
        let (fever, high) = ("dam_after_birth.fever_c", "dam_after_birth.very_high_c");
        let (raised, low) = ("dam_after_birth.raised_c", "dam_after_birth.low_c");
        let value = |rule| self.rules.value(rule);
        let first_days = self.hours_after(at) <= value("dam_after_birth.first_days_hours");
        let lowest = self.recent.iter().filter_map(|o| Some((o.at, o.temperature_c?)));
        let (code, at, level, what, rule) = if t >= value(high) {
            let what = said!("alarm-dam-fever-very-high");
            (CautionCode::DamFever, at, Level::Emergency, what, high)
        } else if t >= value(fever) {
            (CautionCode::DamFever, at, Level::Act, said!("alarm-dam-fever"), fever)
        } else if t > value(raised) && !first_days {
            (CautionCode::DamFever, at, Level::Note, said!("alarm-dam-raised"), raised)
        } else {
            let (at, t) =
                lowest.min_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, t)| *t < value(low))?;
            let call = (Level::Act, said!("alarm-dam-cold"));
            let why = said!("alarm-dam-cold-why", temperature_c = figure(t, 1));
            let found = self.found((cause, CautionCode::DamCold), at, call, (why, low));
            return Some(temperature_of(found, t, self.rules.value(low)));
        };
        let limit = value(rule);
        let why = said!(
            "alarm-dam-fever-why",
            temperature_c = figure(t, 1),
            hours = figure(hours, 0),
            limit_c = figure(limit, 1)
        );
        Some(temperature_of(self.found((cause, code), at, (level, what), (why, rule)), t, limit))
    }

    fn pups_cry(&self, cause: &'static str) -> Option<Finding> {
        let at = self.recent.iter().find(|o| o.pups_cry == Some(true))?.at;
        let call = (Level::Act, said!("alarm-dam-pups-cry"));
        let name = (cause, CautionCode::DamPupsCry);
        let why = said!("alarm-dam-seen");
        Some(self.found(name, at, call, (why, "dam_after_birth.metritis_days")))
    }

    /// She has not eaten for a day.
    fn appetite(&self, cause: &'static str) -> Option<Finding> {
        let rule = "dam_after_birth.appetite_hours";
        let mut refused_since = None;
        for observation in self.seen {
            match observation.eats {
                Some(false) => refused_since = refused_since.or(Some(observation.at)),
                Some(true) => refused_since = None,
                None => {}
            }
        }
        let since = refused_since?;
        let span = self.rules.span(rule);
        let last = self.seen.iter().rev().find(|o| o.eats.is_some())?.at;
        // A refusal of days ago that nobody looked at again says nothing of today.
        if self.now - last > span * 2 {
            return None;
        }
        let hours = (last - since).num_minutes() as f64 / 60.0;
        let reached = last - since >= span;
        let call = if reached {
            (Level::Act, said!("alarm-dam-not-eaten"))
        } else {
            (Level::Note, said!("alarm-dam-not-eating"))
        };
        let name = (cause, CautionCode::DamNotEating);
        let why = said!("alarm-dam-not-eating-why", hours = figure(hours, 0));
        Some(self.found(name, since, call, (why, rule)))
    }

    /// Discharge weeks after the birth.
    fn discharge_too_long(&self) -> Option<Finding> {
        let at = self.seen.iter().rev().find_map(|o| o.discharge.map(|_| o.at))?;
        if self.now - at > self.rules.span("dam_after_birth.discharge_looked_at_hours") {
            return None;
        }
        let day = self.hours_after(at) / 24.0;
        let (usual, long) = ("dam_after_birth.lochia_days", "dam_after_birth.lochia_long_days");
        let (level, what, rule) = if day.floor() > self.rules.value(long) {
            (Level::Act, said!("alarm-dam-discharge-too-long"), long)
        } else if day.floor() > self.rules.value(usual) {
            (Level::Note, said!("alarm-dam-discharge-long"), usual)
        } else {
            return None;
        };
        let name = (WOMB, CautionCode::DamDischargeLong);
        let why = said!("alarm-dam-discharge-why", day = figure(day, 0));
        Some(self.found(name, at, (level, what), (why, rule)))
    }
}

fn temperature_of(mut found: Finding, temperature_c: f64, limit_c: f64) -> Finding {
    found.caution = found.caution.with("temperature_c", temperature_c).with("limit_c", limit_c);
    found
}
