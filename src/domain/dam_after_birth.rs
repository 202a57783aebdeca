//! Is the dam well after whelping: fever, low calcium, mastitis, womb, placenta.

use crate::domain::advice::{Caution, Level};
use crate::domain::fault::{Fault, Faults};
use crate::domain::rules::Rules;
use crate::domain::whelping::DischargeColour;
use chrono::{DateTime, Duration, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A sign seen on the dam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum DamSign {
    /// Restless.
    Restless,
    /// Pants without heat.
    Panting,
    /// Walks stiffly.
    StiffGait,
    /// Trembles.
    Tremor,
    /// Stiff limbs or fits.
    Fits,
    /// Dull, lies about.
    Dull,
    /// Neglects her pups.
    NeglectsPups,
    /// Collapses.
    Collapse,
}

/// The state of her glands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum GlandState {
    /// Soft, normal milk.
    Normal,
    /// Full and firm, not painful.
    Engorged,
    /// Hot, painful or hard.
    HotPainfulHard,
    /// Discoloured, bloody or purulent milk, or dark skin.
    BadMilk,
}

/// What was seen of the dam at one time; everything may be unknown.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DamObservation {
    /// When.
    pub at: DateTime<Utc>,
    /// Temperature in degrees Celsius.
    #[schema(example = 38.9)]
    pub temperature_c: Option<f64>,
    /// Discharge seen.
    pub discharge: Option<DischargeColour>,
    /// Whether she eats.
    #[schema(example = true)]
    pub eats: Option<bool>,
    /// Her glands.
    pub glands: Option<GlandState>,
    /// Signs.
    #[serde(default)]
    pub signs: Vec<DamSign>,
    /// Whether the pups cry and do not settle.
    pub pups_cry: Option<bool>,
}

/// The dam after whelping, as asked about.
#[derive(Debug, Clone, PartialEq)]
pub struct DamAfterBirth {
    /// Birth of the last pup.
    pub last_pup_at: DateTime<Utc>,
    /// Pups that nurse.
    pub pups: u32,
    /// Whether it is her first litter.
    pub first_litter: Option<bool>,
    /// Placentas counted short of pups, if counted.
    pub placentas_missing: Option<u32>,
    /// What was seen, in any order.
    pub observations: Vec<DamObservation>,
}

/// How the dam is.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DamHealth {
    /// The moment she was looked at.
    pub as_of: DateTime<Utc>,
    /// Days since the last pup.
    #[schema(example = 3)]
    pub days_after_birth: i64,
    /// Her last temperature in degrees Celsius.
    #[schema(example = 38.9)]
    pub last_temperature_c: Option<f64>,
    /// The fever limit that counts now.
    #[schema(example = 39.5)]
    pub fever_limit_c: f64,
    /// What to heed, the gravest first.
    pub cautions: Vec<Caution>,
    /// What was not looked at in the last day and should be.
    pub lacks: Vec<String>,
}

/// Checks one observation by itself.
///
/// # Errors
/// A time in the future or a temperature that is not Celsius.
pub fn check_dam_observation(
    observation: &DamObservation,
    now: DateTime<Utc>,
) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    faults.unless(observation.at <= now + Duration::minutes(10), "/at", || {
        format!("is in the future (now it is {now}); check the clock of the device")
    });
    if let Some(t) = observation.temperature_c {
        faults.unless((30.0..=44.0).contains(&t), "/temperature_c", || {
            let celsius = (t - 32.0) / 1.8;
            if (30.0..=44.0).contains(&celsius) {
                format!("must be Celsius; {t} Fahrenheit is {celsius:.1}")
            } else {
                "must be 30 to 44 degrees Celsius".to_owned()
            }
        });
    }
    faults.into_result()
}

/// How the dam is at `now`, by what was seen of her in the last day (discharge: since whelping).
///
/// Thresholds: table `dam_after_birth` of the rules; each caution names its source.
pub fn dam_health(dam: &DamAfterBirth, now: DateTime<Utc>, rules: &Rules) -> DamHealth {
    let mut seen: Vec<&DamObservation> =
        dam.observations.iter().filter(|o| o.at <= now && o.at >= dam.last_pup_at).collect();
    seen.sort_by_key(|o| o.at);
    let recent: Vec<&DamObservation> =
        seen.iter().filter(|o| now - o.at <= Duration::hours(24)).copied().collect();
    let hours = (now - dam.last_pup_at).num_minutes() as f64 / 60.0;
    let early = hours <= rules.value("dam_after_birth.first_days_hours");
    let fever_rule =
        if early { "dam_after_birth.fever_c" } else { "dam_after_birth.fever_later_c" };
    let temperature = recent.iter().rev().find_map(|o| o.temperature_c);
    let fever = temperature.is_some_and(|t| t >= rules.value(fever_rule));
    let view = View { dam, seen: &seen, recent: &recent, hours, temperature, fever, rules };
    let mut cautions: Vec<Caution> = [
        view.fever(fever_rule),
        view.low_calcium(),
        view.glands(),
        view.womb(),
        view.placenta(),
        view.discharge_too_long(),
        view.appetite(),
        view.collapse(),
    ]
    .into_iter()
    .flatten()
    .collect();
    cautions.sort_by_key(|caution| std::cmp::Reverse(caution.level));
    let mut lacks = Vec::new();
    if temperature.is_none() {
        lacks.push("her temperature in the last day".to_owned());
    }
    if !recent.iter().any(|o| o.glands.is_some()) {
        lacks.push("a look at her glands in the last day".to_owned());
    }
    if !recent.iter().any(|o| o.eats.is_some()) {
        lacks.push("whether she eats".to_owned());
    }
    DamHealth {
        as_of: now,
        days_after_birth: (now - dam.last_pup_at).num_days(),
        last_temperature_c: temperature,
        fever_limit_c: rules.value(fever_rule),
        cautions,
        lacks,
    }
}

struct View<'a> {
    dam: &'a DamAfterBirth,
    seen: &'a [&'a DamObservation],
    recent: &'a [&'a DamObservation],
    hours: f64,
    temperature: Option<f64>,
    fever: bool,
    rules: &'a Rules,
}

impl View<'_> {
    fn sign(&self, sign: DamSign) -> bool {
        self.recent.iter().any(|o| o.signs.contains(&sign))
    }

    fn caution(
        &self,
        level: Level,
        what: &str,
        why: String,
        rule: &'static str,
    ) -> Option<Caution> {
        Some(Caution::new(level, what, why, self.rules.get(rule).source.clone()))
    }

    fn fever(&self, rule: &'static str) -> Option<Caution> {
        let t = self.temperature?;
        let limit = self.rules.value(rule);
        let why =
            format!("{t:.1} degrees, {:.0} h after the last pup; limit {limit:.1}.", self.hours);
        if t >= self.rules.value("dam_after_birth.very_high_c") {
            let what = "Call the vet now: very high temperature.";
            return self.caution(Level::Emergency, what, why, "dam_after_birth.very_high_c");
        }
        if self.fever {
            let what = "She has a fever: call the vet today, look at glands and discharge.";
            return self.caution(Level::Act, what, why, rule);
        }
        if t < self.rules.value("dam_after_birth.low_c") {
            let what = "She is colder than usual: take it again, and call the vet if she is dull.";
            let why = format!("{t:.1} degrees.");
            return self.caution(Level::Act, what, why, "dam_after_birth.low_c");
        }
        None
    }

    /// Restless, panting, stiff, trembling, fits: low calcium of a nursing dam.
    fn low_calcium(&self) -> Option<Caution> {
        let rule = "dam_after_birth.low_calcium_to_day";
        let grave = [DamSign::Fits, DamSign::Tremor, DamSign::StiffGait];
        let mild = [DamSign::Restless, DamSign::Panting];
        let grave_seen = grave.iter().filter(|s| self.sign(**s)).count();
        let mild_seen = mild.iter().filter(|s| self.sign(**s)).count();
        let day = self.hours / 24.0;
        let usual = if day <= self.rules.value(rule) {
            "the usual time for it"
        } else {
            "later than usual for it"
        };
        let risk = match (self.dam.pups, self.dam.first_litter) {
            (pups, Some(true)) => format!("{pups} pups, her first litter (a risk)"),
            (pups, _) => format!("{pups} pups"),
        };
        let why = format!("Day {day:.0} after whelping, {usual}; {risk}.");
        if grave_seen > 0 {
            let what = "Call the vet now: stiffness, trembling or fits of a nursing dam may be low calcium. Take the pups away from her.";
            return self.caution(Level::Emergency, what, why, rule);
        }
        (mild_seen == mild.len()).then(|| {
            let what = "Restless and panting: this can be the beginning of low calcium. Call the vet today and watch for stiffness or trembling.";
            Caution::new(Level::Act, what, why, self.rules.get(rule).source.clone())
        })
    }

    fn glands(&self) -> Option<Caution> {
        let state = self.recent.iter().rev().find_map(|o| o.glands)?;
        let rule = "dam_after_birth.metritis_days";
        match state {
            GlandState::Normal => None,
            GlandState::Engorged => self.caution(
                Level::Note,
                "Her glands are full: see that the pups empty them all, look again today.",
                "Full and firm, not painful.".to_owned(),
                rule,
            ),
            GlandState::HotPainfulHard | GlandState::BadMilk => {
                let level =
                    if self.fever || self.sign(DamSign::Dull) || state == GlandState::BadMilk {
                        Level::Emergency
                    } else {
                        Level::Act
                    };
                let what = if level == Level::Emergency {
                    "Call the vet now: inflamed glands (mastitis) with fever, dullness or bad milk."
                } else {
                    "A gland is hot, painful or hard, which is how mastitis begins: call the vet today."
                };
                let why = match self.temperature {
                    Some(t) => format!("Glands seen in the last day; temperature {t:.1} degrees."),
                    None => "Glands seen in the last day; temperature not known.".to_owned(),
                };
                self.caution(level, what, why, rule)
            }
        }
    }

    /// Foul discharge, with fever or dullness or not: infection of the womb.
    fn womb(&self) -> Option<Caution> {
        let rule = "dam_after_birth.metritis_days";
        let foul = self.recent.iter().any(|o| o.discharge == Some(DischargeColour::Foul));
        let blood = self.recent.iter().any(|o| o.discharge == Some(DischargeColour::BrightRed));
        let unwell = self.fever
            || self.sign(DamSign::Dull)
            || self.sign(DamSign::NeglectsPups)
            || self.recent.iter().any(|o| o.pups_cry == Some(true));
        let day = self.hours / 24.0;
        if foul {
            let level = if unwell { Level::Emergency } else { Level::Act };
            let what = if unwell {
                "Call the vet now: foul discharge and an unwell dam, perhaps an infected womb."
            } else {
                "Foul discharge: call the vet today, it may be an infection of the womb."
            };
            let why = format!("Day {day:.0} after whelping; typical within two weeks.");
            return self.caution(level, what, why, rule);
        }
        blood
            .then(|| {
                self.caution(
                    Level::Act,
                    "Fresh blood after whelping: call the vet today, now if it is much.",
                    format!("Day {day:.0} after whelping."),
                    rule,
                )
            })
            .flatten()
    }

    /// Green or black discharge that goes on.
    fn placenta(&self) -> Option<Caution> {
        let rule = "dam_after_birth.green_hours";
        let limit = self.rules.value(rule);
        let green = self.recent.iter().any(|o| {
            o.discharge == Some(DischargeColour::GreenBlack)
                && (o.at - self.dam.last_pup_at).num_minutes() as f64 > limit * 60.0
        });
        let missing = self.dam.placentas_missing.unwrap_or(0);
        let counted = match self.dam.placentas_missing {
            Some(0) => "all placentas were counted, but counts deceive".to_owned(),
            Some(n) => format!("{n} placentas were not seen"),
            None => "placentas were not counted".to_owned(),
        };
        if green {
            let what =
                "Call the vet today: green or black discharge goes on, a placenta may have stayed.";
            let level = if self.fever { Level::Emergency } else { Level::Act };
            let why =
                format!("{:.0} h after the last pup, limit {limit:.0} h; {counted}.", self.hours);
            return self.caution(level, what, why, rule);
        }
        (missing > 0 && self.fever)
            .then(|| {
                self.caution(
                    Level::Emergency,
                    "Call the vet now: fever with placentas missing.",
                    counted,
                    rule,
                )
            })
            .flatten()
    }

    fn discharge_too_long(&self) -> Option<Caution> {
        let last = self.seen.iter().rev().find_map(|o| o.discharge.map(|_| o.at))?;
        let day = (last - self.dam.last_pup_at).num_days() as f64;
        let (usual, long) = ("dam_after_birth.lochia_days", "dam_after_birth.lochia_long_days");
        let why = format!("Seen on day {day:.0}.");
        if day > self.rules.value(long) {
            return self.caution(Level::Act, "Discharge goes on too long: see the vet.", why, long);
        }
        (day > self.rules.value(usual))
            .then(|| {
                self.caution(
                    Level::Note,
                    "Discharge lasts longer than three weeks: mention it to the vet.",
                    why,
                    usual,
                )
            })
            .flatten()
    }

    /// She has not eaten for a day.
    fn appetite(&self) -> Option<Caution> {
        let rule = "dam_after_birth.appetite_hours";
        let limit = self.rules.value(rule);
        let mut refused_since = None;
        for observation in self.seen {
            match observation.eats {
                Some(false) => refused_since = refused_since.or(Some(observation.at)),
                Some(true) => refused_since = None,
                None => {}
            }
        }
        let since = refused_since?;
        let last = self.seen.iter().rev().find(|o| o.eats.is_some())?.at;
        let hours = (last - since).num_minutes() as f64 / 60.0;
        if hours >= limit {
            let what = "She has not eaten for a day: call the vet.";
            return self.caution(Level::Act, what, format!("No food for {hours:.0} h."), rule);
        }
        let what = "She does not eat: offer tasty food at the box, take her temperature.";
        self.caution(Level::Note, what, format!("No food for {hours:.0} h."), rule)
    }

    fn collapse(&self) -> Option<Caution> {
        self.sign(DamSign::Collapse)
            .then(|| {
                self.caution(
                    Level::Emergency,
                    "Call the vet now: she has collapsed.",
                    "Seen in the last day.".to_owned(),
                    "whelping.alarm_minutes",
                )
            })
            .flatten()
    }
}

#[cfg(test)]
mod tests;
