//! What stands on the sheet that lies by the whelping box, to write on when the power fails.

use super::log::{
    Contractions, DischargeAmount, DischargeColour, GivenTo, LabourSign, WhelpingAlarm,
    WhelpingEntry, WhelpingEvent,
};
use super::status::{WhelpingStage, WhelpingStatus};
use super::vitality::vitality_score;
use crate::alarms::of_night;
use crate::expected_pups::PupForecast;
use crate::litter::{Core, Pregnancy, WhelpingWatch, whelping_status};
use crate::moment::Moment;
use crate::record::{Birth, BirthOutcome, Placenta, Presentation, Sex};
use crate::rules::Rules;
use crate::sayings::semicolons;
use crate::units::{TemperatureUnit, WeightUnit, temperature_in_words};
use catalogue::{Text, said};
use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;

/// A pup that stands on the sheet; what was not written down is empty.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SheetPup {
    /// Its number.
    pub ordinal: i32,
    /// When it was born.
    pub born_at: DateTime<Utc>,
    /// Sex.
    pub sex: Option<Text>,
    /// Collar.
    pub collar: Option<String>,
    /// Colour and markings.
    pub looks: Option<String>,
    /// Weight in grams.
    pub weight_g: Option<i32>,
    /// How it came.
    pub presentation: Option<Text>,
    /// Whether its placenta was seen.
    pub placenta_seen: bool,
    /// Its vitality in points, or a range of them.
    pub vitality: Option<Text>,
    /// Anything else: stillborn, helped to breathe, a note.
    pub remarks: Text,
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
    /// In what the kennel reads weights.
    pub weight_unit: WeightUnit,
    /// In what it reads temperatures.
    pub temperature_unit: TemperatureUnit,
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
    (weight_unit, temperature_unit): (WeightUnit, TemperatureUnit),
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
        weight_unit,
        temperature_unit,
        time_zone: moment.zone,
        printed_at: moment.now,
    }
}

fn sheet_pup(birth: &Birth, rules: &Rules) -> SheetPup {
    let vitality = birth.vitality.as_ref().map(|signs| {
        let minutes = birth.vitality_minutes.unwrap_or(0).into();
        let score = vitality_score(signs, minutes, rules);
        match score.points {
            Some(points) => said!("whelping-pup-points", points = points),
            None => said!(
                "whelping-pup-points-range",
                least = score.points_at_least,
                most = score.points_at_most
            ),
        }
    });
    let stillborn =
        (birth.outcome == BirthOutcome::Stillborn).then(|| said!("whelping-pup-stillborn"));
    let helped = birth
        .resuscitation_minutes
        .filter(|minutes| *minutes > 0)
        .map(|minutes| said!("whelping-pup-helped", minutes = minutes));
    let note = birth.note.clone().map(Text::verbatim);
    let remarks = [stillborn, helped, note].into_iter().flatten();
    let looks: Vec<&str> =
        [&birth.colour, &birth.markings].into_iter().flatten().map(String::as_str).collect();
    let presentation = match birth.presentation {
        Presentation::HeadFirst => Some(said!("whelping-pup-head-first")),
        Presentation::TailFirst => Some(said!("whelping-pup-tail-first")),
        Presentation::Unknown => None,
    };
    SheetPup {
        ordinal: birth.ordinal,
        born_at: birth.born_at,
        sex: birth.sex.map(|sex| match sex {
            Sex::Female => said!("whelping-pup-female"),
            Sex::Male => said!("whelping-pup-male"),
        }),
        collar: birth.collar.clone(),
        looks: (!looks.is_empty()).then(|| looks.join(", ")),
        weight_g: birth.weight_g,
        presentation,
        placenta_seen: birth.placenta == Placenta::Passed,
        vitality,
        remarks: semicolons(remarks),
    }
}

/// What happened, in words.
pub fn event_in_words(event: &WhelpingEvent, unit: TemperatureUnit) -> Text {
    match event {
        WhelpingEvent::Temperature { temperature_c } => said!(
            "whelping-log-temperature",
            temperature = temperature_in_words(*temperature_c, unit)
        ),
        WhelpingEvent::Sign { sign } => sign_in_words(*sign),
        WhelpingEvent::Contractions { strength } => match strength {
            Contractions::Strong => said!("whelping-log-strong-contractions"),
            Contractions::Weak => said!("whelping-log-weak-contractions"),
            Contractions::Resting => said!("whelping-log-rests"),
        },
        WhelpingEvent::Waters {} => said!("whelping-log-waters"),
        WhelpingEvent::Discharge { colour, amount } => discharge_in_words(*colour, *amount),
        WhelpingEvent::Given { what, amount, advised_by, given_to, ordinal } => {
            let mut what = Text::verbatim(what);
            if let Some(amount) = amount {
                what = said!("whelping-log-given-amount", what = what, amount = amount);
            }
            if let Some(by) = advised_by {
                what = said!("whelping-log-given-by", what = what, by = by);
            }
            match (given_to, ordinal) {
                (Some(GivenTo::Pup), Some(pup)) => {
                    said!("whelping-log-given-pup", pup = *pup, what = what)
                }
                (Some(GivenTo::Pup), None) => said!("whelping-log-given-a-pup", what = what),
                (Some(GivenTo::Dam), _) => said!("whelping-log-given-dam", what = what),
                (None, _) => said!("whelping-log-given", what = what),
            }
        }
        WhelpingEvent::Placentas { count } => said!("whelping-log-placentas", count = *count),
        WhelpingEvent::Resuscitation { ordinal, minutes, breathed } => {
            let helped = helped_in_words(*ordinal, *minutes);
            match breathed {
                Some(true) => said!("whelping-log-breathed", helped = helped),
                Some(false) => said!("whelping-log-not-breathed", helped = helped),
                None => helped,
            }
        }
        WhelpingEvent::Alarm { alarm } => match alarm {
            WhelpingAlarm::PupStuck => said!("whelping-log-alarm-pup-stuck"),
            WhelpingAlarm::Collapse => said!("whelping-log-alarm-collapse"),
            WhelpingAlarm::SeverePain => said!("whelping-log-alarm-severe-pain"),
            WhelpingAlarm::HeavyBleeding => said!("whelping-log-alarm-heavy-bleeding"),
            WhelpingAlarm::Fits => said!("whelping-log-alarm-fits"),
        },
        WhelpingEvent::VetCalled { advice: Some(advice) } => {
            said!("whelping-log-vet-called-advice", advice = advice)
        }
        WhelpingEvent::VetCalled { advice: None } => said!("whelping-log-vet-called"),
        WhelpingEvent::Caesarean {} => said!("whelping-log-caesarean"),
        WhelpingEvent::Finished {} => said!("whelping-log-finished"),
        WhelpingEvent::Note { text } => Text::verbatim(text),
    }
}

fn sign_in_words(sign: LabourSign) -> Text {
    match sign {
        LabourSign::Nesting => said!("whelping-log-nesting"),
        LabourSign::Restless => said!("whelping-log-restless"),
        LabourSign::Panting => said!("whelping-log-panting"),
        LabourSign::Shivering => said!("whelping-log-shivering"),
        LabourSign::Vomiting => said!("whelping-log-vomiting"),
        LabourSign::RefusesFood => said!("whelping-log-refuses-food"),
        LabourSign::SeeksOrHides => said!("whelping-log-seeks-or-hides"),
    }
}

fn discharge_in_words(colour: DischargeColour, amount: Option<DischargeAmount>) -> Text {
    let seen = match colour {
        DischargeColour::Clear => said!("whelping-log-discharge-clear"),
        DischargeColour::GreenBlack => said!("whelping-log-discharge-green-black"),
        DischargeColour::RedBrown => said!("whelping-log-discharge-red-brown"),
        DischargeColour::BrightRed => said!("whelping-log-discharge-bright-red"),
        DischargeColour::Foul => said!("whelping-log-discharge-foul"),
    };
    match amount {
        Some(DischargeAmount::Spotting) => {
            said!("whelping-log-discharge-spotting", discharge = seen)
        }
        Some(DischargeAmount::More) => said!("whelping-log-discharge-more", discharge = seen),
        None => seen,
    }
}

fn helped_in_words(ordinal: Option<u32>, minutes: Option<u32>) -> Text {
    match (ordinal, minutes) {
        (Some(pup), Some(minutes)) => {
            said!("whelping-log-helped-pup-for", pup = pup, minutes = minutes)
        }
        (Some(pup), None) => said!("whelping-log-helped-pup", pup = pup),
        (None, Some(minutes)) => said!("whelping-log-helped-for", minutes = minutes),
        (None, None) => said!("whelping-log-helped"),
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
            weight_unit: WeightUnit::G,
            temperature_unit: TemperatureUnit::C,
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
        let said = |json: serde_json::Value| {
            event_in_words(&serde_json::from_value(json).unwrap(), TemperatureUnit::C)
        };
        let given = serde_json::json!({
            "kind": "given", "remedy": "calcium", "amount": "as told", "advised_by": "our vet"
        });
        assert_eq!(said(given), "given calcium, as told (advised by our vet)");
        assert_eq!(said(serde_json::json!({ "kind": "sign", "sign": "nesting" })), "nesting");
        let discharge = serde_json::json!({ "kind": "discharge", "colour": "green_black" });
        assert_eq!(said(discharge), "green black discharge");
        let helped = serde_json::json!({
            "kind": "resuscitation", "ordinal": 3, "minutes": 4, "breathed": true
        });
        assert_eq!(said(helped), "helped pup 3 to breathe for 4 min, it breathed");
    }

    #[test]
    fn a_birth_reads_as_it_was_written() {
        let pup = |more: serde_json::Value| {
            let at = "2026-05-15T03:00:00Z";
            let mut json = serde_json::json!({ "born_at": at, "ordinal": 4, "outcome": "alive" });
            json.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
            sheet_pup(&serde_json::from_value(json).unwrap(), &Rules::standard())
        };
        let plain = pup(serde_json::json!({}));
        assert_eq!((plain.ordinal, plain.looks, plain.placenta_seen), (4, None, false));
        assert!(plain.remarks.is_empty(), "{}", plain.remarks);
        let dead = pup(serde_json::json!({ "outcome": "stillborn", "placenta": "passed" }));
        assert!(dead.remarks.contains("stillborn") && dead.placenta_seen);
        let helped = |minutes: i32| {
            let remarks = pup(serde_json::json!({ "resuscitation_minutes": minutes })).remarks;
            remarks.contains("helped to breathe")
        };
        assert_eq!([0, 1, 2].map(helped), [false, true, true]);
        let looks = pup(serde_json::json!({ "colour": "black", "markings": "white toes" })).looks;
        assert_eq!(looks.as_deref(), Some("black, white toes"));
    }

    #[test]
    fn every_rule_to_call_by_is_a_rule() {
        let rules = Rules::standard();
        for key in CALL_RULES {
            assert!(!rules.get(key).source.is_empty(), "{key}");
        }
    }
}
