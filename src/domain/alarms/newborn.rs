//! A pup as it is: its vitality at birth, its temperature, whether it was fed, and signs of illness.

use super::{
    Finding, PUP,
    record::{NewbornFacts, PupCheckFact},
};
use crate::advice::{Caution, CautionCode, Level};
use crate::call_signs::{PupSign, pup_sign};
use crate::growth::PupRisk;
use crate::newborn::{
    ExamFinding, ExamLine, FadingGround, exam_of, exam_row, fading_score, not_looked_at,
    takes_little,
};
use crate::rules::Rules;
use crate::sayings::ago;
use crate::vital_signs::{Warmth, pup_temperature};
use crate::whelping::vitality_score;
use catalogue::{Text, Value, figure, said};
use chrono::{DateTime, Duration, Utc};
use std::collections::{BTreeMap, BTreeSet};

/// What is found of one pup at `now`; `fed_in_litter` says whether feeds are written down in its litter.
pub(crate) fn findings(
    pup: &NewbornFacts,
    fed_in_litter: bool,
    now: DateTime<Utc>,
    rules: &Rules,
) -> Vec<Finding> {
    if !pup.present || pup.born_at > now {
        return Vec::new();
    }
    let look = Look { pup, now, rules };
    let mut found = look.vitality();
    found.extend(look.revival());
    found.extend(look.warmth());
    found.extend(look.signs());
    found.extend(look.exam());
    found.extend(look.unfed(fed_in_litter));
    found.into_iter().map(|one| one.began(pup.born_at)).collect()
}

/// That nobody wrote down whether the pups of a litter sucked, while first milk counts.
pub(crate) fn first_milk(
    pups: &[NewbornFacts],
    fed_in_litter: bool,
    now: DateTime<Utc>,
    rules: &Rules,
) -> Option<Finding> {
    let ends = rules.get("newborn.first_milk_ends_hours");
    let span = rules.span("newborn.first_milk_ends_hours");
    let young = pups.iter().filter(|pup| pup.present && pup.born_at <= now);
    let last = young.map(|pup| pup.born_at).max()?;
    if fed_in_litter || now - last >= span {
        return None;
    }
    let unfed = rules.get("newborn.unfed_hours");
    let caution = Caution::new(
        CautionCode::FeedingFirstMilk,
        Level::Note,
        said!("alarm-first-milk"),
        said!(
            "alarm-first-milk-why",
            hours = figure(unfed.value, 0),
            ends_hours = figure(ends.value, 0)
        ),
        unfed.source.clone(),
    );
    Some(Finding::new("first_milk", last, caution))
}

/// That newborns of a litter were not looked over from head to tail, in the hours in which it matters most.
pub(crate) fn unexamined(
    pups: &[NewbornFacts],
    now: DateTime<Utc>,
    rules: &Rules,
) -> Option<Finding> {
    let asked = rules.span("newborn.exam_asked_hours");
    let young = pups.iter().filter(|pup| pup.present && pup.born_at <= now);
    let young = young.filter(|pup| now - pup.born_at < asked);
    let left: Vec<&NewbornFacts> =
        young.filter(|pup| !not_looked_at(pup, now).is_empty()).collect();
    let since = left.iter().map(|pup| pup.born_at).min()?;
    let places: BTreeSet<_> = left.iter().flat_map(|pup| not_looked_at(pup, now)).collect();
    let caution = Caution::new(
        CautionCode::NewbornUnexamined,
        Level::Note,
        said!(
            "alarm-newborn-unexamined",
            pups = Value::all(left.iter().map(|pup| pup.label.clone()))
        ),
        said!(
            "alarm-newborn-unexamined-why",
            places = Value::all(places.iter().map(|item| item.word()))
        ),
        rules.get("newborn.exam_asked_hours").source.clone(),
    )
    .with("pups", left.len());
    Some(Finding::new("unexamined", since, caution))
}

/// That a pup fades, by weights, temperature, feeding and signs together. One kind of evidence speaks for itself
/// elsewhere: it takes two to call today, and three to call now.
pub(crate) fn fades(
    pup: &NewbornFacts,
    risk: Option<&PupRisk>,
    feeds: &[Finding],
    now: DateTime<Utc>,
    rules: &Rules,
) -> Option<Finding> {
    if !pup.present {
        return None;
    }
    let score = fading_score(pup, risk, takes_little(feeds), now, rules)?;
    let against: Vec<&FadingGround> = score.grounds.iter().filter(|it| it.speaks()).collect();
    if against.len() < 2 {
        return None;
    }
    let reached = |rule| score.probability >= rules.value(rule);
    let label = &pup.label;
    let (level, what, rule) = if against.len() >= 3 && reached("newborn.fading_emergency") {
        let rule = "newborn.fading_emergency";
        (Level::Emergency, said!("alarm-newborn-fades-now", pup = label), rule)
    } else if reached("newborn.fading_act") {
        (Level::Act, said!("alarm-newborn-fades-today", pup = label), "newborn.fading_act")
    } else {
        return None;
    };
    let why = said!(
        "alarm-newborn-fades-why",
        percent = figure(score.probability * 100.0, 0),
        grounds = Value::all(against.iter().map(|ground| ground.why.clone()))
    );
    let source = rules.get(rule).source.clone();
    let caution = Caution::new(CautionCode::NewbornFading, level, what, why, source)
        .with("probability", (score.probability * 100.0).round() / 100.0);
    let since = against.iter().filter_map(|ground| ground.seen_at).max();
    let since = since.unwrap_or(pup.born_at);
    Some(Finding::new(PUP, since, caution).began(pup.born_at))
}

struct Look<'a> {
    pup: &'a NewbornFacts,
    now: DateTime<Utc>,
    rules: &'a Rules,
}

fn lower(level: Level) -> Option<Level> {
    match level {
        Level::Emergency => Some(Level::Act),
        Level::Act => Some(Level::Note),
        Level::Note => None,
    }
}

impl Look<'_> {
    fn hours(&self, rule: &'static str) -> Duration {
        self.rules.span(rule)
    }

    fn age(&self) -> Duration {
        self.now - self.pup.born_at
    }

    /// A low score at birth, for as long as it foretells.
    fn vitality(&self) -> Vec<Finding> {
        let Some(signs) = &self.pup.vitality else { return Vec::new() };
        if self.age() >= self.hours("newborn.vitality_watched_hours") {
            return Vec::new();
        }
        let minutes = self.pup.vitality_minutes;
        let at = self.pup.born_at + Duration::minutes(minutes);
        let score = vitality_score(signs, minutes, self.rules);
        let named = |caution: Caution| {
            let what = said!("about", label = &self.pup.label, what = &caution.what);
            Finding::new(PUP, at.min(self.now), Caution { what, ..caution })
        };
        score.cautions.into_iter().map(named).collect()
    }

    /// It was helped to breathe and did not.
    fn revival(&self) -> Option<Finding> {
        let last =
            self.pup.revived.iter().filter(|one| one.at <= self.now).max_by_key(|one| one.at)?;
        let past = self.now - last.at;
        let watched = self.age() < self.hours("newborn.vitality_watched_hours");
        if last.breathed != Some(false) || !watched {
            return None;
        }
        let rule = self.rules.get("newborn.revival_now_hours");
        let pup = &self.pup.label;
        let (level, what) = if past < self.hours("newborn.revival_now_hours") {
            (Level::Emergency, said!("alarm-newborn-not-breathed-now", pup = pup))
        } else {
            (Level::Act, said!("alarm-newborn-not-breathed", pup = pup))
        };
        let why = said!("alarm-newborn-not-breathed-why", minutes = past.num_minutes());
        let caution = Caution::new(CautionCode::NewbornWeak, level, what, why, rule.source.clone())
            .with("minutes_ago", past.num_minutes());
        Some(Finding::new(PUP, last.at, caution))
    }

    /// The last temperature; and one before it that was worse, which a reading back to usual does not
    /// undo at once.
    fn warmth(&self) -> Vec<Finding> {
        let recent = self.hours("newborn.reading_hours");
        let mut readings: Vec<(DateTime<Utc>, f64)> = self
            .pup
            .temperatures
            .iter()
            .copied()
            .filter(|(at, _)| *at <= self.now && *at >= self.pup.born_at && self.now - *at < recent)
            .collect();
        readings.sort_by_key(|reading| reading.0);
        let Some(last) = readings.pop() else { return Vec::new() };
        let judged = |(at, t): (DateTime<Utc>, f64)| {
            let age_days = (at - self.pup.born_at).num_days();
            pup_temperature(t, age_days, self.rules).ok().flatten().map(|warmth| (at, t, warmth))
        };
        let now = judged(last);
        let level = now.as_ref().map(|(_, _, warmth)| warmth.level);
        let watched = self.hours("newborn.warmed_hours");
        let worse = readings
            .into_iter()
            .filter(|(at, _)| last.0 - *at < watched && self.now - *at < recent)
            .filter_map(judged)
            .filter(|(_, _, warmth)| Some(warmth.level) > level)
            .max_by_key(|(at, _, warmth)| (warmth.level, *at));
        let mut found: Vec<Finding> = now.map(|now| self.warmth_now(now)).into_iter().collect();
        found.extend(worse.and_then(|worse| self.warmth_before(worse, last)));
        found
    }

    fn warmth_now(&self, (at, t, warmth): (DateTime<Utc>, f64, Warmth)) -> Finding {
        let what = warmth.state.said_of(&self.pup.label);
        let caution = Caution::new(warmth.code, warmth.level, what, warmth.why, warmth.source)
            .with("temperature_c", t)
            .with("limit_c", warmth.limit_c);
        Finding::new(PUP, at, caution)
    }

    fn warmth_before(
        &self,
        (at, t, warmth): (DateTime<Utc>, f64, Warmth),
        (_, last): (DateTime<Utc>, f64),
    ) -> Option<Finding> {
        let level = lower(warmth.level)?;
        let what = said!("warmth-before", pup = &self.pup.label);
        let now = said!("warmth-now", temperature_c = figure(last, 1));
        let why = Text::sentences([warmth.why, now]);
        let caution = Caution::new(warmth.code, level, what, why, warmth.source)
            .with("temperature_c", t)
            .with("limit_c", warmth.limit_c);
        Some(Finding::new(PUP, at, caution))
    }

    /// Signs of the last day. A look that found none since makes them less grave and does not undo them.
    fn signs(&self) -> Vec<Finding> {
        let recent = self.hours("newborn.reading_hours");
        let checks = || {
            self.pup
                .checks
                .iter()
                .filter(|check| check.at <= self.now && self.now - check.at < recent)
        };
        let mut first: BTreeMap<PupSign, (DateTime<Utc>, DateTime<Utc>)> = BTreeMap::new();
        for check in checks() {
            for sign in &check.signs {
                let seen = first.entry(*sign).or_insert((check.at, check.at));
                *seen = (seen.0.min(check.at), seen.1.max(check.at));
            }
        }
        let well = checks().filter(|check| check.signs.is_empty() && check.looked());
        let well_at = well.map(|check| check.at).max();
        let over = |last: DateTime<Utc>| well_at.is_some_and(|at| at > last);
        let mut found: Vec<Finding> = first
            .iter()
            .filter_map(|(sign, (since, last))| {
                let row = pup_sign(*sign)?;
                let level = if over(*last) { lower(row.level)? } else { row.level };
                let what = row.said_of(&self.pup.label);
                let why = said!("alarm-newborn-sign-why", ago = ago(self.now - *last));
                let caution = Caution::new(row.code, level, what, why, row.source.clone())
                    .with("sign", serde_json::json!(sign));
                Some(Finding::new(PUP, *since, caution))
            })
            .collect();
        let open: Vec<&PupSign> =
            first.iter().filter(|(_, (_, last))| !over(*last)).map(|(sign, _)| sign).collect();
        found.extend(self.fading(&open, first.values().map(|(since, _)| *since).max()));
        found
    }

    /// Several signs together in a young pup.
    fn fading(&self, open: &[&PupSign], since: Option<DateTime<Utc>>) -> Option<Finding> {
        let rule = self.rules.get("newborn.signs_together");
        let young = self.age().num_days() as f64 <= self.rules.value("newborn.signs_to_day");
        if !young || (open.len() as f64) < rule.value {
            return None;
        }
        let what = said!("alarm-newborn-fading", pup = &self.pup.label);
        let signs = Value::all(open.iter().map(|sign| sign.word()));
        let why = said!("alarm-newborn-fading-why", signs = signs);
        let caution = Caution::new(
            CautionCode::NewbornUnwell,
            Level::Emergency,
            what,
            why,
            rule.source.clone(),
        )
        .with("signs", serde_json::json!(open));
        Some(Finding::new(PUP, since?, caution))
    }

    /// What was found when it was looked over, until a vet has seen it or it is as it should be.
    fn exam(&self) -> Vec<Finding> {
        let told = self.hours("newborn.exam_told_days");
        if self.age() >= told {
            return Vec::new();
        }
        let found = |line: &ExamLine| {
            let row = exam_row(line.item).filter(|_| line.finding == ExamFinding::Abnormal)?;
            let hours = (self.now - line.seen_at).num_hours();
            let why = said!("alarm-newborn-sign-why", hours = hours);
            let what = row.said_of(&self.pup.label);
            let code = CautionCode::NewbornDefect;
            let caution = Caution::new(code, row.level, what, why, row.source.clone())
                .with("item", serde_json::json!(line.item));
            Some(Finding::new(PUP, line.seen_at, caution))
        };
        exam_of(self.pup, self.now).iter().filter_map(found).collect()
    }

    /// No feed by the time in which first milk counts, where feeds are written down or it was seen not
    /// to suck.
    fn unfed(&self, fed_in_litter: bool) -> Option<Finding> {
        let sucked = |check: &PupCheckFact| check.nurses == Some(true) && check.at <= self.now;
        let fed = self.pup.feeds.iter().any(|feed| feed.at <= self.now)
            || self.pup.checks.iter().any(sucked);
        let seen_not = self.pup.checks.iter().any(|check| {
            check.at <= self.now
                && (check.nurses == Some(false) || check.signs.contains(&PupSign::NotSucking))
        });
        if fed
            || !(seen_not || fed_in_litter)
            || self.age() >= self.hours("newborn.unfed_asked_hours")
        {
            return None;
        }
        let rule = self.rules.get("newborn.unfed_hours");
        let limit_at = self.pup.born_at + self.hours("newborn.unfed_hours");
        let reached = self.now >= limit_at;
        let pup = &self.pup.label;
        let (level, what) = if reached {
            (Level::Act, said!("alarm-newborn-unfed", pup = pup))
        } else {
            (Level::Note, said!("alarm-newborn-unfed-yet", pup = pup))
        };
        let hours = self.age().num_minutes() as f64 / 60.0;
        let why = said!(
            "alarm-newborn-unfed-why",
            age_hours = figure(hours, 0),
            hours = figure(rule.value, 0),
            ends_hours = figure(self.rules.value("newborn.first_milk_ends_hours"), 0)
        );
        let caution =
            Caution::new(CautionCode::NewbornUnfed, level, what, why, rule.source.clone())
                .with("age_hours", (hours * 10.0).round() / 10.0)
                .with("limit_hours", rule.value);
        let since = if reached { limit_at } else { self.pup.born_at };
        Some(Finding::new(PUP, since, caution).until((!reached).then_some(limit_at)))
    }
}
