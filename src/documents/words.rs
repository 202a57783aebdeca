//! Words of the trade's fixed sets, as prints have them, and figures by themselves.

use catalogue::{Text, Value, figure, said};
use domain::{
    record::{HealthKind, Sex},
    whelping::collar_colours,
};

/// What is not known, where a thing that is would stand.
pub(crate) fn or_unknown(text: Option<impl ToString>) -> String {
    text.map_or_else(|| said!("print-unknown").to_string(), |text| text.to_string())
}

/// A number by itself.
pub(crate) fn number(value: f64, digits: u8) -> String {
    said!("print-figure", figure = figure(value, digits)).to_string()
}

/// A sex.
pub(crate) fn sex(sex: Sex) -> Text {
    match sex {
        Sex::Female => said!("print-sex-female"),
        Sex::Male => said!("print-sex-male"),
    }
}

/// What was given or found.
pub fn health_kind(kind: HealthKind) -> Text {
    match kind {
        HealthKind::Worming => said!("print-health-worming"),
        HealthKind::Vaccination => said!("print-health-vaccination"),
        HealthKind::Microchip => said!("print-health-microchip"),
        HealthKind::Examination => said!("print-health-examination"),
        HealthKind::Test => said!("print-health-test"),
        HealthKind::Illness => said!("print-health-illness"),
        HealthKind::Treatment => said!("print-health-treatment"),
        HealthKind::Other => said!("print-health-other"),
    }
}

/// A collar by its name: its colours' names where they are standard ones, and else as the kennel wrote it.
pub(crate) fn collar(name: &str) -> Text {
    if collar_colours(name).is_empty() {
        return Text::verbatim(name);
    }
    let band = |band: &str| Text::keyed("print-collar", &band.trim().to_lowercase(), band);
    said!("print-collar", colours = Value::all(name.split(" and ").map(band)))
}
