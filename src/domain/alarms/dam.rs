//! The dam after whelping: low calcium, an infected womb, her glands, and whatever else is wrong.

use super::Finding;
use crate::advice::{Caution, CautionCode, Level};
use crate::call_signs::dam_sign;
use crate::dam_after_birth::{DamAfterBirth, DamObservation, DamSign, GlandState};
use crate::rules::Rules;
use crate::whelping::{DischargeAmount, DischargeColour};
use chrono::{DateTime, Utc};

const ECLAMPSIA: &str = "eclampsia";
const GLANDS: &str = "glands";
const WOMB: &str = "womb";
const GENERAL: &str = "dam_unwell";

/// What is found of a dam after whelping at `now`, by what was seen of her in the last day.
///
/// A reading back to normal ends nothing: what was seen counts for `dam_after_birth.sign_hours`. What is
/// general (fever, dullness, no appetite) belongs to the gravest special cause that is seen beside it.
pub fn findings(dam: &DamAfterBirth, now: DateTime<Utc>, rules: &Rules) -> Vec<Finding> {
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
        (level, what): (Level, &str),
        (why, rule): (String, &'static str),
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
            (
                Level::Emergency,
                "Call the vet now: stiffness, trembling, fits or fever of a restless nursing dam may be low calcium. Take the pups away from her.",
            )
        } else {
            (
                Level::Act,
                "Restless or panting: this can be the beginning of low calcium, which worsens within hours. Call the vet today and watch for stiffness or trembling.",
            )
        };
        let rule = "dam_after_birth.low_calcium_to_day";
        let day = self.hours_after(self.now) / 24.0;
        let usual = if day < self.rules.value(rule) {
            "the usual time for it"
        } else {
            "later than usual for it"
        };
        let first = match self.dam.first_litter {
            Some(true) => ", her first litter (a risk)",
            _ => "",
        };
        let why = format!("Day {day:.0} after whelping, {usual}; {} pups{first}.", self.dam.pups);
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
            GlandState::Engorged => (
                Level::Note,
                "Her glands are full: see that the pups empty them all, look again today.",
            ),
            GlandState::HotPainfulHard if !ill => (
                Level::Act,
                "A gland is hot, painful or hard, which is how mastitis begins: call the vet today.",
            ),
            GlandState::HotPainfulHard | GlandState::BadMilk => (
                Level::Emergency,
                "Call the vet now: inflamed glands (mastitis) with fever, dullness or bad milk.",
            ),
        };
        let why = match highest(self.recent) {
            Some((_, t)) => format!("Glands seen in the last day; temperature {t:.1} degrees."),
            None => "Glands seen in the last day; temperature not known.".to_owned(),
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
                (
                    Level::Emergency,
                    "Call the vet now: foul discharge and an unwell dam, perhaps an infected womb.",
                )
            } else {
                (
                    Level::Act,
                    "Foul discharge: call the vet today, it may be an infection of the womb.",
                )
            };
            let why = format!("Day {day:.0} after whelping; typical within two weeks.");
            let name = (WOMB, CautionCode::DamFoulDischarge);
            return Some(self.found(name, at, call, (why, metritis)));
        }
        if let Some(at) = self.discharge(DischargeColour::BrightRed) {
            let what = "Call the vet now: she bleeds, unless it is only spotting.";
            let why = format!("Bright red discharge on day {day:.0} after whelping.");
            let name = (WOMB, CautionCode::DamBleeding);
            return Some(self.found(
                name,
                at,
                (Level::Emergency, what),
                (why, "whelping.alarm_minutes"),
            ));
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
        let counted = match self.dam.placentas_missing {
            Some(0) => "all placentas were counted, but counts deceive".to_owned(),
            Some(n) => format!("{n} placentas were not seen"),
            None => "placentas were not counted".to_owned(),
        };
        if let Some(seen) = green {
            let what =
                "Call the vet today: green or black discharge goes on, a placenta may have stayed.";
            let grave = "Call the vet now: green or black discharge with fever, a placenta may have stayed.";
            let call = match self.fever() {
                Some(_) => (Level::Emergency, grave),
                None => (Level::Act, what),
            };
            let hours = self.hours_after(seen.at);
            let why = format!("{hours:.0} h after the last pup, limit {limit:.0} h; {counted}.");
            let name = (WOMB, CautionCode::DamGreenDischarge);
            return Some(self.found(name, seen.at, call, (why, rule)));
        }
        let (at, _) = self.fever().filter(|_| missing > 0)?;
        let what = "Call the vet now: fever with placentas missing.";
        let name = (WOMB, CautionCode::DamRetainedPlacenta);
        Some(self.found(name, at, (Level::Emergency, what), (counted, rule)))
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
            let caution = if grave {
                let what = "Call the vet now: fever, and she is dull or neglects her pups.";
                Caution::new(
                    row.code,
                    Level::Emergency,
                    what,
                    "Seen in the last day.",
                    &*row.source,
                )
            } else {
                Caution::new(row.code, level, &*row.what, "Seen in the last day.", &*row.source)
            };
            found.push(Finding::new(cause, at, caution.with("sign", serde_json::json!(sign))));
        }
        found.extend(self.pups_cry(cause));
        found.extend(self.appetite(cause));
        found
    }

    fn temperature(&self, cause: &'static str) -> Option<Finding> {
        let (at, t) = highest(self.recent)?;
        let why = format!("{t:.1} degrees, {:.0} h after the last pup.", self.hours_after(at));
        let (fever, high) = ("dam_after_birth.fever_c", "dam_after_birth.very_high_c");
        let (raised, low) = ("dam_after_birth.raised_c", "dam_after_birth.low_c");
        let value = |rule| self.rules.value(rule);
        let first_days = self.hours_after(at) <= value("dam_after_birth.first_days_hours");
        let lowest = self.recent.iter().filter_map(|o| Some((o.at, o.temperature_c?)));
        let (code, at, level, what, rule) = if t >= value(high) {
            let what = "Call the vet now: very high temperature.";
            (CautionCode::DamFever, at, Level::Emergency, what, high)
        } else if t >= value(fever) {
            let what = "She has a fever: call the vet today, look at glands and discharge.";
            (CautionCode::DamFever, at, Level::Act, what, fever)
        } else if t > value(raised) && !first_days {
            let what = "Her temperature is a little raised: take it again this evening.";
            (CautionCode::DamFever, at, Level::Note, what, raised)
        } else {
            let (at, t) =
                lowest.min_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, t)| *t < value(low))?;
            let what = "She is colder than usual: take it again, and call the vet if she is dull.";
            let why = format!("{t:.1} degrees.");
            let found =
                self.found((cause, CautionCode::DamCold), at, (Level::Act, what), (why, low));
            return Some(temperature_of(found, t, self.rules.value(low)));
        };
        let limit = value(rule);
        let why = format!("{why} The limit is {limit:.1}.");
        Some(temperature_of(self.found((cause, code), at, (level, what), (why, rule)), t, limit))
    }

    fn pups_cry(&self, cause: &'static str) -> Option<Finding> {
        let at = self.recent.iter().find(|o| o.pups_cry == Some(true))?.at;
        let what = "Her pups cry and do not settle: see whether they are warm and fed, look at her glands, and call the vet today.";
        let name = (cause, CautionCode::DamPupsCry);
        let why = "Seen in the last day.".to_owned();
        Some(self.found(name, at, (Level::Act, what), (why, "dam_after_birth.metritis_days")))
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
            (Level::Act, "She has not eaten for a day: call the vet.")
        } else {
            (Level::Note, "She does not eat: offer tasty food at the box, take her temperature.")
        };
        let name = (cause, CautionCode::DamNotEating);
        Some(self.found(name, since, call, (format!("No food for {hours:.0} h."), rule)))
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
            (Level::Act, "Discharge goes on too long: see the vet.", long)
        } else if day.floor() > self.rules.value(usual) {
            let what = "Discharge lasts longer than three weeks: mention it to the vet.";
            (Level::Note, what, usual)
        } else {
            return None;
        };
        let name = (WOMB, CautionCode::DamDischargeLong);
        Some(self.found(name, at, (level, what), (format!("Seen on day {day:.0}."), rule)))
    }
}

fn temperature_of(mut found: Finding, temperature_c: f64, limit_c: f64) -> Finding {
    found.caution = found.caution.with("temperature_c", temperature_c).with("limit_c", limit_c);
    found
}
