//! What each piece of evidence says about the day of whelping.

use super::{
    DatingEvidence, DatingInput, EvidenceKind, OverdueFrom, OvulationBasis,
    spread::Spread,
    ultrasound::{self, UltrasoundGroup},
};
use crate::{
    record::{MatingMethod, MeasureKind},
    rules::Rules,
    units::moment,
};
use catalogue::{Language, Text, figure, said, speaking};
use chrono::{NaiveDate, NaiveDateTime, Timelike};

/// Days since 1 January of year 1, noon being the whole number.
pub(super) fn day_number(day: NaiveDate) -> f64 {
    f64::from(chrono::Datelike::num_days_from_ce(&day))
}

/// The same for a time of day.
pub(super) fn time_number(at: NaiveDateTime) -> f64 {
    day_number(at.date()) + f64::from(at.num_seconds_from_midnight()) / 86_400.0 - 0.5
}

/// How the chance of the observation depends on the day of whelping.
#[derive(Debug, Clone)]
pub(super) enum Law {
    /// Whelping around a day, in day numbers, through the ovulation. A day that was `foretold` as
    /// such takes no shift for breed and litter.
    Around { due: f64, spread: Spread, foretold: bool },
    /// At least one mating must have met ripe oocytes: (day, latest days to whelping).
    Matings { days: Vec<(f64, f64)>, natural: Vec<f64> },
    /// Waiting time from `at` falls off exponentially with mean `mean_days`.
    Soon { at: f64, mean_days: f64 },
    /// Whelping within `days` of `at` happens only in `share` of cases.
    NotYet { at: f64, days: f64, share: f64 },
    /// Whelping a normal time after `at`, in `share` of cases; else no information.
    After { at: f64, mean_days: f64, sd_days: f64, share: f64 },
    /// No information on the day.
    Silent,
}

/// Methods that share their errors, since they rest on the same measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Family {
    Matings,
    Lh,
    Progesterone,
    Dioestrus,
    Ultrasound,
    Others,
    Term,
}

/// A piece of evidence, read.
#[derive(Debug, Clone)]
pub(super) struct Anchor {
    pub kind: EvidenceKind,
    pub family: Family,
    pub on: NaiveDate,
    pub law: Law,
    pub detail: Text,
    pub source: String,
}

/// Reads all evidence; the matings of a heat become one anchor. The order of the input does not
/// matter: anchors come sorted by day and kind.
pub(super) fn read(input: &DatingInput, rules: &Rules) -> Vec<Anchor> {
    let group = ultrasound::group_of(input.breed.as_deref(), input.adult_weight_g);
    let mut anchors: Vec<Anchor> =
        input.evidence.iter().filter_map(|item| one(item, group, rules)).collect();
    anchors.extend(matings(&input.evidence, rules));
    // By the words of one language, so that what comes out is the same in each.
    let words = |anchor: &Anchor| speaking(Language::English, || anchor.detail.to_string());
    anchors.sort_by_cached_key(|anchor| (anchor.on, anchor.kind, words(anchor)));
    anchors
}

fn matings(evidence: &[DatingEvidence], rules: &Rules) -> Option<Anchor> {
    let mut all: Vec<(NaiveDate, MatingMethod)> = evidence
        .iter()
        .filter_map(|item| match item {
            DatingEvidence::Mating { on, method } => Some((*on, *method)),
            _ => None,
        })
        .collect();
    all.sort();
    let (first, last) = (all.first()?.0, all.last()?.0);
    let ripe = rules.value("dating.ovulation_days") - rules.value("dating.oocyte_maturation_days");
    let latest = |method| match method {
        MatingMethod::Natural | MatingMethod::Fresh => rules.value("dating.mating_latest_days"),
        // Ripe oocytes must come while the semen lives; for fresh semen (11 days at most) the same
        // sum gives 71.5 days, next to the published 72.
        MatingMethod::Chilled => ripe + rules.value("dating.chilled_semen_life_days"),
        MatingMethod::Frozen => ripe + rules.value("dating.frozen_semen_life_days"),
    };
    let longest = all.iter().map(|(_, method)| latest(*method)).fold(0.0, f64::max);
    let earliest = rules.value("dating.mating_earliest_days");
    let detail = match all.len() {
        1 => said!("dating-one-mating", day = first, least_days = earliest, most_days = longest),
        count => said!(
            "dating-matings",
            count = count,
            first = first,
            last = last,
            least_days = earliest,
            most_days = longest
        ),
    };
    Some(Anchor {
        kind: EvidenceKind::Matings,
        family: Family::Matings,
        on: first,
        law: Law::Matings {
            days: all.iter().map(|(on, method)| (day_number(*on), latest(*method))).collect(),
            natural: all
                .iter()
                .filter(|(_, method)| *method == MatingMethod::Natural)
                .map(|(on, _)| day_number(*on))
                .collect(),
        },
        detail,
        source: rules.get("dating.mating_latest_days").source.clone(),
    })
}

fn one(item: &DatingEvidence, group: UltrasoundGroup, rules: &Rules) -> Option<Anchor> {
    let counted = |kind, family, on, days: f64, spread, from: OverdueFrom, source: &str| Anchor {
        kind,
        family,
        on,
        law: Law::Around { due: day_number(on) + days, spread, foretold: false },
        detail: said!("dating-days-from", days = days, from = from.text()),
        source: source.to_owned(),
    };
    let wide = rules.value("dating.wide_sd_days");
    match item {
        DatingEvidence::Mating { .. } => None,
        DatingEvidence::LhSurge { on } => Some(counted(
            EvidenceKind::LhSurge,
            Family::Lh,
            *on,
            rules.value("dating.lh_days"),
            Spread::from_share(rules.value("dating.lh_within_1")),
            OverdueFrom::LhSurge,
            &rules.get("dating.lh_days").source,
        )),
        DatingEvidence::ProgesteroneRise { on } => Some(counted(
            EvidenceKind::ProgesteroneRise,
            Family::Progesterone,
            *on,
            rules.value("dating.progesterone_rise_days"),
            Spread::from_shares(
                rules.value("dating.progesterone_rise_within_1"),
                rules.value("dating.progesterone_rise_within_2"),
                wide,
            ),
            OverdueFrom::ProgesteroneRise,
            &rules.get("dating.progesterone_rise_days").source,
        )),
        DatingEvidence::Dioestrus { on } => Some(counted(
            EvidenceKind::Dioestrus,
            Family::Dioestrus,
            *on,
            rules.value("dating.dioestrus_days"),
            Spread::from_shares(
                rules.value("dating.dioestrus_within_1"),
                rules.value("dating.dioestrus_within_2"),
                wide,
            ),
            OverdueFrom::Dioestrus,
            &rules.get("dating.dioestrus_within_1").source,
        )),
        DatingEvidence::Ovulation { on, basis, sd_days } => {
            Some(ovulation(*on, *basis, *sd_days, rules))
        }
        DatingEvidence::Ultrasound { on, measure, values_mm } => {
            Some(scan(*on, *measure, values_mm, group, rules))
        }
        DatingEvidence::Radiograph { on, due_on } => Some(foretold(
            EvidenceKind::Radiograph,
            (*on, *due_on),
            Spread::from_shares(
                rules.value("dating.radiograph_within_1"),
                rules.value("dating.radiograph_within_2"),
                wide,
            ),
            &rules.get("dating.radiograph_within_1").source,
        )),
        DatingEvidence::Forecast { on, due_on, sd_days } => Some(foretold(
            EvidenceKind::Forecast,
            (*on, *due_on),
            sd_days.map_or_else(|| mixed(rules), Spread::normal),
            sd_days.map_or(&rules.get("dating.ultrasound_mixed_within_1").source, |_| {
                &rules.get("dating.coverage").source
            }),
        )),
        DatingEvidence::PrewhelpingProgesterone { at, ng_per_ml } => {
            Some(progesterone_near_term(*at, *ng_per_ml, rules))
        }
        DatingEvidence::TemperatureFall { at } => Some(Anchor {
            kind: EvidenceKind::TemperatureFall,
            family: Family::Term,
            on: at.date(),
            law: Law::After {
                at: time_number(*at),
                mean_days: rules.value("dating.temperature_fall_mean_hours") / 24.0,
                sd_days: rules.value("dating.temperature_fall_sd_hours") / 24.0,
                share: rules.value("dating.temperature_fall_true_share"),
            },
            detail: said!("dating-temperature-fell", at = moment(*at)),
            source: rules.get("dating.temperature_fall_mean_hours").source.clone(),
        }),
    }
}

fn mixed(rules: &Rules) -> Spread {
    Spread::from_shares(
        rules.value("dating.ultrasound_mixed_within_1"),
        rules.value("dating.ultrasound_mixed_within_2"),
        rules.value("dating.wide_sd_days"),
    )
}

fn ovulation(on: NaiveDate, basis: OvulationBasis, sd_days: Option<f64>, rules: &Rules) -> Anchor {
    let (days, published, family, source) = match basis {
        OvulationBasis::Progesterone => (
            rules.value("dating.ovulation_by_progesterone_days"),
            rules.value("dating.ovulation_by_progesterone_sd_days"),
            Family::Progesterone,
            &rules.get("dating.ovulation_by_progesterone_sd_days").source,
        ),
        OvulationBasis::Other => (
            rules.value("dating.ovulation_days"),
            rules.value("dating.ovulation_sd_days"),
            Family::Others,
            &rules.get("dating.ovulation_days").source,
        ),
    };
    // An uncertain date adds to what pregnancies vary by; it never narrows the published spread
    // of a well-dated ovulation.
    let own = sd_days.map(|sd| sd.hypot(rules.value("dating.ovulation_sd_days")));
    Anchor {
        kind: EvidenceKind::Ovulation,
        family,
        on,
        law: Law::Around {
            due: day_number(on) + days,
            spread: Spread::normal(own.unwrap_or(published)),
            foretold: false,
        },
        detail: said!("dating-days-from", days = days, from = OverdueFrom::Ovulation.text()),
        source: source.clone(),
    }
}

fn foretold(
    kind: EvidenceKind,
    (on, due_on): (NaiveDate, NaiveDate),
    spread: Spread,
    source: &str,
) -> Anchor {
    Anchor {
        kind,
        family: Family::Others,
        on,
        law: Law::Around { due: day_number(due_on), spread, foretold: true },
        detail: said!("dating-foretold", day = due_on),
        source: source.to_owned(),
    }
}

fn scan(
    on: NaiveDate,
    measure: MeasureKind,
    values_mm: &[f64],
    group: UltrasoundGroup,
    rules: &Rules,
) -> Anchor {
    let formula = ultrasound::formula(group, measure);
    let count = f64::from(u32::try_from(values_mm.len()).unwrap_or(u32::MAX)).max(1.0);
    let mean = values_mm.iter().sum::<f64>() / count;
    let before = formula.days_before_whelping(mean);
    let (spread, accuracy) = scan_spread(group, measure, before, rules);
    let (mean_mm, before_days) = (figure(mean, 1), figure(before, 1));
    let detail = match measure {
        MeasureKind::Icc => {
            said!("dating-scan-icc", mean_mm = mean_mm, before_days = before_days)
        }
        MeasureKind::Bp => said!("dating-scan-bp", mean_mm = mean_mm, before_days = before_days),
    };
    Anchor {
        kind: EvidenceKind::Ultrasound,
        family: Family::Ultrasound,
        on,
        law: Law::Around {
            due: day_number(on) + before,
            spread,
            // A breed's own formula holds the breed's length of pregnancy already.
            foretold: group == UltrasoundGroup::GermanShepherd,
        },
        detail,
        source: format!("{}; accuracy: {accuracy}", formula.source),
    }
}

/// Published accuracy by formula and by week of pregnancy.
fn scan_spread(
    group: UltrasoundGroup,
    measure: MeasureKind,
    days_before: f64,
    rules: &Rules,
) -> (Spread, &str) {
    let week = ((rules.value("dating.ovulation_days") - days_before) / 7.0).floor() + 1.0;
    let (one, two) = match (group, measure) {
        (UltrasoundGroup::GermanShepherd, MeasureKind::Icc) => {
            ("dating.ultrasound_gsd_icc_within_1", "dating.ultrasound_gsd_icc_within_2")
        }
        (UltrasoundGroup::GermanShepherd, MeasureKind::Bp) => {
            ("dating.ultrasound_gsd_bp_within_1", "dating.ultrasound_gsd_bp_within_2")
        }
        (UltrasoundGroup::Large | UltrasoundGroup::Giant, _) => {
            ("dating.ultrasound_mixed_within_1", "dating.ultrasound_mixed_within_2")
        }
        (_, MeasureKind::Icc) if week == 4.0 => {
            ("dating.ultrasound_icc_week4_within_1", "dating.ultrasound_icc_week4_within_2")
        }
        (_, MeasureKind::Icc) if week == 5.0 => {
            ("dating.ultrasound_icc_week5_within_1", "dating.ultrasound_icc_week5_within_2")
        }
        (_, MeasureKind::Bp) if week == 5.0 => {
            ("dating.ultrasound_bp_week5_within_1", "dating.ultrasound_bp_week5_within_2")
        }
        (_, MeasureKind::Bp) if (6.0..=8.0).contains(&week) => {
            ("dating.ultrasound_bp_week6_within_1", "dating.ultrasound_bp_week6_within_2")
        }
        (_, MeasureKind::Bp) if week > 8.0 => {
            ("dating.ultrasound_bp_week9_within_1", "dating.ultrasound_bp_week9_within_2")
        }
        _ => ("dating.ultrasound_mixed_within_1", "dating.ultrasound_mixed_within_2"),
    };
    let wide = rules.value("dating.wide_sd_days");
    let spread = Spread::from_shares(rules.value(one), rules.value(two).min(0.9999), wide);
    (spread, &rules.get(one).source)
}

#[cfg(test)]
mod tests;

fn progesterone_near_term(at: NaiveDateTime, ng_per_ml: f64, rules: &Rules) -> Anchor {
    let time = time_number(at);
    // The share whose cervix dilates within some hours, read as a constant chance by the hour; the
    // first pup follows within the same day, which is as fine as days are told here.
    let mean_days = |hours: f64, share: f64| -hours / 24.0 / (1.0 - share).ln();
    let (law, detail, key) = if ng_per_ml < rules.value("dating.low_progesterone_ng_per_ml") {
        let hours = rules.value("dating.low_progesterone_hours");
        let mean_days = mean_days(hours, rules.value("dating.low_progesterone_share"));
        (
            Law::Soon { at: time, mean_days },
            said!("dating-progesterone-24", ng_per_ml = ng_per_ml),
            "dating.low_progesterone_share",
        )
    } else if ng_per_ml < rules.value("dating.falling_progesterone_ng_per_ml") {
        let hours = rules.value("dating.falling_progesterone_hours");
        let mean_days = mean_days(hours, rules.value("dating.falling_progesterone_share"));
        (
            Law::Soon { at: time, mean_days },
            said!("dating-progesterone-48", ng_per_ml = ng_per_ml),
            "dating.falling_progesterone_share",
        )
    } else if ng_per_ml < rules.value("dating.high_progesterone_ng_per_ml") {
        (
            Law::Silent,
            said!("dating-progesterone-falling", ng_per_ml = ng_per_ml),
            "dating.high_progesterone_share",
        )
    } else {
        let days = rules.value("dating.high_progesterone_hours") / 24.0;
        let share = rules.value("dating.high_progesterone_share");
        (
            Law::NotYet { at: time, days, share },
            said!("dating-progesterone-high", ng_per_ml = ng_per_ml),
            "dating.high_progesterone_share",
        )
    };
    Anchor {
        kind: EvidenceKind::PrewhelpingProgesterone,
        family: Family::Term,
        on: at.date(),
        law,
        detail,
        source: rules.get(key).source.clone(),
    }
}
