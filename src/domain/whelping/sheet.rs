//! What stands on the sheet that lies by the whelping box, to write on when the power fails.

use super::log::{Contractions, WhelpingEntry, WhelpingEvent};
use super::status::{WhelpingStage, WhelpingStatus};
use super::vitality::vitality_score;
use crate::alarms::of_night;
use crate::expected_pups::PupForecast;
use crate::litter::{Core, Pregnancy, WhelpingWatch, whelping_status};
use crate::moment::Moment;
use crate::record::{Birth, BirthOutcome, Placenta, Presentation};
use crate::rules::Rules;
use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
use serde::Serialize;

/// A pup that stands on the sheet; what was not written down is empty.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SheetPup {
    /// Its number.
    pub ordinal: i32,
    /// When it was born.
    pub born_at: DateTime<Utc>,
    /// Sex.
    pub sex: Option<String>,
    /// Collar.
    pub collar: Option<String>,
    /// Colour and markings.
    pub looks: Option<String>,
    /// Weight in grams.
    pub weight_g: Option<i32>,
    /// How it came.
    pub presentation: Option<String>,
    /// Whether its placenta was seen.
    pub placenta_seen: bool,
    /// Its vitality in points, or a range of them.
    pub vitality: Option<String>,
    /// Anything else: stillborn, helped to breathe, a note.
    pub remarks: String,
}

/// The sheet of one whelping.
#[derive(Debug, Clone, PartialEq)]
pub struct WhelpingSheet {
    /// The kennel.
    pub kennel: String,
    /// What the litter is called.
    pub litter: String,
    /// The dam.
    pub dam: String,
    /// The sire.
    pub sire: Option<String>,
    /// First, likeliest and last day on which it is due.
    pub due: Option<[NaiveDate; 3]>,
    /// Pups expected, until all are out.
    pub expected: Option<PupForecast>,
    /// The pups, by number.
    pub pups: Vec<SheetPup>,
    /// The log, without what was added for the reckoning.
    pub log: Vec<WhelpingEntry>,
    /// Where it stands.
    pub status: WhelpingStatus,
    /// The kennel's time zone.
    pub time_zone: Tz,
    /// When it is printed.
    pub printed_at: DateTime<Utc>,
}

impl WhelpingSheet {
    /// Rows left empty for pups: as many as may still come and a margin; none once all are out.
    ///
    /// Rules `whelping.sheet_spare_rows`, and `whelping.sheet_rows` where counts contradict one another.
    pub fn empty_rows(&self, rules: &Rules) -> usize {
        if self.status.stage == WhelpingStage::AllOut {
            return 0;
        }
        let rows = |key| rules.value(key).max(0.0) as usize;
        match &self.expected {
            Some(expected) => {
                let to_come = (expected.at_most as usize).saturating_sub(self.pups.len());
                to_come + rows("whelping.sheet_spare_rows")
            }
            None => rows("whelping.sheet_rows").saturating_sub(self.pups.len()),
        }
    }
}

/// The sheet of a whelping in the kennel of this name, as it would be printed at `moment`.
pub fn whelping_sheet(
    kennel: &str,
    core: &Core,
    night: &WhelpingWatch,
    pregnancy: &Pregnancy,
    moment: &Moment,
) -> WhelpingSheet {
    let window = pregnancy.read(core, moment).and_then(|(_, reading)| reading.window);
    let alarms = of_night(core, night, pregnancy, moment);
    let status = whelping_status(core, night, pregnancy, &alarms, moment);
    let sire = core.sire.as_ref();
    WhelpingSheet {
        kennel: kennel.to_owned(),
        litter: core.title(),
        dam: pregnancy.dam.called().to_owned(),
        sire: sire.and_then(|sire| sire.name.clone().or_else(|| sire.call_name.clone())),
        due: window.map(|window| [window.earliest, window.likely, window.latest]),
        expected: status.expected.clone(),
        status,
        pups: core.births().map(|birth| sheet_pup(&birth.record, &moment.rules)).collect(),
        log: night.entries(),
        time_zone: moment.zone,
        printed_at: moment.now,
    }
}

fn sheet_pup(birth: &Birth, rules: &Rules) -> SheetPup {
    let vitality = birth.vitality.as_ref().map(|signs| {
        let minutes = birth.vitality_minutes.unwrap_or(0).into();
        let score = vitality_score(signs, minutes, rules);
        match score.points {
            Some(points) => points.to_string(),
            None => format!("{} to {}", score.points_at_least, score.points_at_most),
        }
    });
    let stillborn = (birth.outcome == BirthOutcome::Stillborn).then(|| "stillborn".to_owned());
    let helped = birth
        .resuscitation_minutes
        .filter(|minutes| *minutes > 0)
        .map(|minutes| format!("helped to breathe for {minutes} min"));
    let remarks: Vec<String> =
        [stillborn, helped, birth.note.clone()].into_iter().flatten().collect();
    let looks: Vec<&str> =
        [&birth.colour, &birth.markings].into_iter().flatten().map(String::as_str).collect();
    let presentation = match birth.presentation {
        Presentation::HeadFirst => Some("head first"),
        Presentation::TailFirst => Some("tail first"),
        Presentation::Unknown => None,
    };
    SheetPup {
        ordinal: birth.ordinal,
        born_at: birth.born_at,
        sex: birth.sex.map(|sex| sex.to_string()),
        collar: birth.collar.clone(),
        looks: (!looks.is_empty()).then(|| looks.join(", ")),
        weight_g: birth.weight_g,
        presentation: presentation.map(str::to_owned),
        placenta_seen: birth.placenta == Placenta::Passed,
        vitality,
        remarks: remarks.join("; "),
    }
}

/// A word as it is written in JSON, with blanks.
fn word(value: &impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word.replace('_', " "),
        _ => String::new(),
    }
}

/// What happened, in words.
pub fn event_in_words(event: &WhelpingEvent) -> String {
    let with = |text: &str, more: &Option<String>| match more {
        Some(more) => format!("{text}: {more}"),
        None => text.to_owned(),
    };
    match event {
        WhelpingEvent::Temperature { temperature_c } => {
            format!("temperature {temperature_c:.1} °C")
        }
        WhelpingEvent::Sign { sign } => word(sign),
        WhelpingEvent::Contractions { strength: Contractions::Resting } => "rests".to_owned(),
        WhelpingEvent::Contractions { strength } => format!("{} contractions", word(strength)),
        WhelpingEvent::Waters {} => "waters".to_owned(),
        WhelpingEvent::Discharge { colour, amount } => {
            let much = amount.map(|amount| format!(", {}", word(&amount))).unwrap_or_default();
            format!("{} discharge{much}", word(colour))
        }
        WhelpingEvent::Given { what, amount, advised_by } => {
            let amount = amount.as_ref().map(|amount| format!(", {amount}")).unwrap_or_default();
            let by =
                advised_by.as_ref().map(|by| format!(" (advised by {by})")).unwrap_or_default();
            format!("given {what}{amount}{by}")
        }
        WhelpingEvent::Placentas { count } => format!("placentas: {count}"),
        WhelpingEvent::Resuscitation { ordinal, minutes, breathed } => {
            let pup = ordinal.map(|n| format!(" pup {n}")).unwrap_or_default();
            let minutes = minutes.map(|n| format!(" for {n} min")).unwrap_or_default();
            let outcome = match breathed {
                Some(true) => ", it breathed",
                Some(false) => ", it did not breathe",
                None => "",
            };
            format!("helped{pup} to breathe{minutes}{outcome}")
        }
        WhelpingEvent::Alarm { alarm } => format!("ALARM: {}", word(alarm)),
        WhelpingEvent::VetCalled { advice } => with("vet called", advice),
        WhelpingEvent::Caesarean {} => "caesarean".to_owned(),
        WhelpingEvent::Finished {} => "all pups are out".to_owned(),
        WhelpingEvent::Note { text } => text.clone(),
    }
}

/// The rules by which to call, in the order in which a night meets them.
pub const CALL_RULES: [&str; 6] = [
    "whelping.strong_straining_minutes",
    "whelping.weak_contractions_hours",
    "whelping.gap_hours",
    "whelping.green_before_first_minutes",
    "whelping.fluid_without_pup_hours",
    "whelping.alarm_minutes",
];

#[cfg(test)]
mod tests {
    use super::super::{log::WhelpingCase, status::where_it_stands};
    use super::*;

    fn sheet(expected: Option<PupForecast>, pups: usize, finished: bool) -> WhelpingSheet {
        let now: DateTime<Utc> = "2026-05-15T03:00:00Z".parse().unwrap();
        let end = WhelpingEntry { at: now, event: WhelpingEvent::Finished {} };
        let log: Vec<_> = finished.then_some(end).into_iter().collect();
        let case = WhelpingCase {
            entries: log.clone(),
            births: Vec::new(),
            expected: expected.clone(),
            counted: None,
            time_zone: Tz::UTC,
        };
        WhelpingSheet {
            kennel: "Larkfell".to_owned(),
            litter: "F litter".to_owned(),
            dam: "Juno".to_owned(),
            sire: None,
            due: None,
            expected,
            pups: vec![SheetPup::default(); pups],
            log,
            status: where_it_stands(&case, &[], now, &Rules::standard()),
            time_zone: Tz::UTC,
            printed_at: now,
        }
    }

    #[test]
    fn as_many_rows_as_may_come_and_a_margin() {
        let rules = Rules::standard();
        let spare = rules.value("whelping.sheet_spare_rows") as usize;
        let counted = || Some(PupForecast::counted(5, 7));
        assert_eq!(sheet(counted(), 0, false).empty_rows(&rules), 7 + spare);
        assert_eq!(sheet(counted(), 6, false).empty_rows(&rules), 1 + spare);
        assert_eq!(sheet(counted(), 9, false).empty_rows(&rules), spare, "more came than counted");
        assert_eq!(sheet(counted(), 6, true).empty_rows(&rules), 0);
        let unknown = rules.value("whelping.sheet_rows") as usize;
        assert_eq!(sheet(None, 2, false).empty_rows(&rules), unknown - 2);
    }

    #[test]
    fn events_read_as_people_say_them() {
        let said = |json: serde_json::Value| event_in_words(&serde_json::from_value(json).unwrap());
        let given = serde_json::json!({
            "kind": "given", "what": "calcium", "amount": "as told", "advised_by": "our vet"
        });
        assert_eq!(said(given), "given calcium, as told (advised by our vet)");
        let discharge = serde_json::json!({ "kind": "discharge", "colour": "green_black" });
        assert_eq!(said(discharge), "green black discharge");
        let helped = serde_json::json!({
            "kind": "resuscitation", "ordinal": 3, "minutes": 4, "breathed": true
        });
        assert_eq!(said(helped), "helped pup 3 to breathe for 4 min, it breathed");
    }

    #[test]
    fn every_rule_to_call_by_is_a_rule() {
        let rules = Rules::standard();
        for key in CALL_RULES {
            assert!(!rules.get(key).source.is_empty(), "{key}");
        }
    }
}
