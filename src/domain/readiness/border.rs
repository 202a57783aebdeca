//! May a pup that goes to live abroad cross the border, and from which day?

use super::{
    ReadinessCheck, ReadinessFacts, ReadinessResult, ReadinessRule,
    cautions::note,
    check::{months_after, weeks_and_days},
};
use crate::{
    advice::{Caution, CautionCode, STANDING_SOURCE},
    law::{self, Country},
    listing::semicolons,
    rules::Status,
    schedule::{HealthKind, plus},
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::Deserialize;
use std::{collections::BTreeMap, sync::LazyLock};

/// The series of the health plans that a border asks for.
const RABIES: &str = "rabies";

/// The first dose that counts, and how long to wait after it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
struct RabiesRule {
    from_age_days: u32,
    wait_days: u32,
}

/// What a border asks.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Border {
    into: Vec<String>,
    #[serde(default)]
    from: Vec<String>,
    name: Text,
    #[serde(default)]
    least_age_days: Option<u32>,
    #[serde(default)]
    least_age_months: Option<u32>,
    #[serde(default)]
    rabies: Option<RabiesRule>,
    #[serde(rename = "confirmation")]
    status: Status,
    checked_on: NaiveDate,
    source: String,
    note: Text,
}

/// A country whose rules were looked for.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct NothingFound {
    into: Vec<String>,
    looked_on: NaiveDate,
    looked_at: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    groups: BTreeMap<String, Vec<Country>>,
    border: Vec<Border>,
    nothing_found: Vec<NothingFound>,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static TABLE: LazyLock<Table> = LazyLock::new(|| {
    let table: Table =
        toml::from_str(include_str!("../rules/borders.toml")).expect("embedded border rules");
    table.of_rows()
});

impl Table {
    /// The table with each text by the countries of its row.
    fn of_rows(mut self) -> Self {
        for border in &mut self.border {
            let key = [border.into.join("-"), border.from.join("-")].join("-");
            let key = key.trim_end_matches('-').to_lowercase();
            border.name = Text::keyed("border-name", &key, border.name.to_string());
            border.note = Text::keyed("border-note", &key, border.note.to_string());
        }
        for found in &mut self.nothing_found {
            let key = found.into.join("-").to_lowercase();
            found.looked_at = Text::keyed("border-looked-at", &key, found.looked_at.to_string());
        }
        self
    }

    /// Whether a country is in a list of countries and groups.
    fn lists(&self, names: &[String], country: Country) -> bool {
        let code = country.to_string();
        names.iter().any(|name| match self.groups.get(name) {
            Some(group) => group.contains(&country),
            None => *name == code,
        })
    }
}

/// The way of a pup to where it will live.
pub(super) enum Crossing {
    /// It stays in the kennel's country.
    Within,
    /// It crosses a border whose rules are listed.
    Ruled(Country, &'static Border),
    /// Its rules were looked for and not found.
    NotFound(Country, &'static NothingFound),
    /// It crosses one of which nothing is listed, or the kennel's country is not known.
    Unlisted(Country),
}

impl Crossing {
    /// The way from a kennel's jurisdiction into a country.
    pub(super) fn of(jurisdiction: &str, to: Country) -> Self {
        let home = Country::of_jurisdiction(jurisdiction);
        if home == Some(to) {
            return Self::Within;
        }
        let leads = |border: &&Border| {
            let from = home.is_some_and(|home| TABLE.lists(&border.from, home));
            TABLE.lists(&border.into, to) && (from || border.from.is_empty())
        };
        let sought = |found: &&NothingFound| TABLE.lists(&found.into, to);
        match (home, TABLE.border.iter().find(leads), TABLE.nothing_found.iter().find(sought)) {
            (Some(_), Some(border), _) => Self::Ruled(to, border),
            (Some(_), None, Some(found)) => Self::NotFound(to, found),
            _ => Self::Unlisted(to),
        }
    }

    /// The border held against a pup; `None` where no age and no vaccination is listed.
    pub(super) fn check(&self, facts: &ReadinessFacts, today: NaiveDate) -> Option<ReadinessCheck> {
        let Self::Ruled(to, border) = self else { return None };
        let asked = border.asked()?;
        let (result, detail, met_on) = match facts.born_on {
            None => (ReadinessResult::Unknown, said!("readiness-no-birth"), None),
            Some(born_on) => {
                let (given, on) = border.first_day(born_on, facts, today);
                let is_met = given && today >= on;
                let way = said!("border-crossed", country = to.to_string(), asked = asked, on = on);
                let missing = (!given).then(|| said!("border-no-dose"));
                let rest = (!is_met).then(|| border.note.clone());
                let detail = Text::sentences([Some(way), missing, rest].into_iter().flatten());
                let result = if is_met { ReadinessResult::Met } else { ReadinessResult::Unmet };
                (result, detail, Some(on))
            }
        };
        Some(ReadinessCheck {
            rule: ReadinessRule::Border,
            result,
            detail,
            met_on,
            source: border.source.clone(),
            checked_on: Some(border.checked_on),
            overridden: None,
        })
    }

    /// What to know before a day is promised.
    pub(super) fn cautions(&self, today: NaiveDate) -> Vec<Caution> {
        let ask = |to: &Country| said!("border-ask", country = to.to_string());
        let code = CautionCode::GoHomeBorder;
        match self {
            Self::Within => Vec::new(),
            Self::Ruled(to, border) => {
                let listed = said!(
                    "border-listed",
                    border = &border.name,
                    checked_on = border.checked_on,
                    note = &border.note
                );
                let unsure =
                    (border.status == Status::FromMemory).then(|| said!("border-unconfirmed"));
                let why = Text::sentences(std::iter::once(listed).chain(unsure));
                let read = (said!("border-called", border = &border.name), border.checked_on);
                let told = note(code, ask(to), why, &border.source);
                std::iter::once(told).chain(law::dated([read], today)).collect()
            }
            Self::NotFound(to, found) => {
                let NothingFound { looked_on, looked_at, .. } = found;
                let why = said!("border-not-found", looked_on = *looked_on, looked_at = looked_at);
                vec![note(code, ask(to), why, STANDING_SOURCE)]
            }
            Self::Unlisted(to) => {
                vec![note(code, ask(to), said!("border-unlisted"), STANDING_SOURCE)]
            }
        }
    }
}

impl Border {
    /// What is asked, in words; `None` when it is no age and no vaccination.
    fn asked(&self) -> Option<Text> {
        let age = match (self.least_age_months, self.least_age_days) {
            (Some(months), _) => Some(said!("border-asks-months", months = months)),
            (None, Some(days)) => {
                Some(said!("border-asks-age", age = weeks_and_days(i64::from(days))))
            }
            (None, None) => None,
        };
        let vaccination = self.rabies.map(|rabies| {
            let (days, wait) = (rabies.from_age_days, rabies.wait_days);
            match days % 7 {
                0 => said!("border-asks-rabies-weeks", weeks = days / 7, wait_days = wait),
                _ => said!("border-asks-rabies-days", days = days, wait_days = wait),
            }
        });
        let parts = semicolons(age.into_iter().chain(vaccination));
        (!parts.is_empty()).then_some(parts)
    }

    /// Whether the vaccination that is asked for was given, and the first day on which the pup may cross:
    /// as things stand, or, without a dose that counts, when one is given as early as can be.
    fn first_day(
        &self,
        born_on: NaiveDate,
        facts: &ReadinessFacts,
        today: NaiveDate,
    ) -> (bool, NaiveDate) {
        let of_days = plus(born_on, i64::from(self.least_age_days.unwrap_or_default()));
        let old_enough =
            of_days.max(months_after(born_on, self.least_age_months.unwrap_or_default()));
        let Some(rabies) = self.rabies else { return (true, old_enough) };
        let counts_from = plus(born_on, i64::from(rabies.from_age_days));
        let given = facts
            .health_steps
            .iter()
            .filter(|step| step.kind == HealthKind::Vaccination && step.series == RABIES)
            .filter_map(|step| step.given_on)
            .filter(|on| *on >= counts_from && *on <= today)
            .min();
        let dose = given.unwrap_or_else(|| counts_from.max(today));
        (given.is_some(), old_enough.max(plus(dose, i64::from(rabies.wait_days))))
    }
}

#[cfg(test)]
pub(super) mod table {
    //! What the tests look at in the table itself.

    use super::*;

    /// Each row: name, source, note and whether all its names are countries or groups.
    pub fn rows() -> Vec<(&'static Text, &'static str, bool)> {
        let known =
            |name: &String| TABLE.groups.contains_key(name) || name.parse::<Country>().is_ok();
        let row = |border: &'static Border| {
            let names = border.into.iter().chain(&border.from).all(known);
            (&border.name, border.source.as_str(), names && !border.note.is_empty())
        };
        TABLE.border.iter().map(row).collect()
    }
}
