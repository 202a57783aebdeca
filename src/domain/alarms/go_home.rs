//! Before a pup goes home: a step that is missing when its day has come, a buyer who waits for one that died.

use super::Finding;
use crate::{
    advice::{Caution, CautionCode, Level},
    litter::Pup,
    moment::Moment,
    placement::PlacementStage,
    sayings::{amount, semicolons},
    schedule::{DueState, DueStep, plus, rule_days},
};
use catalogue::said;
use chrono::NaiveDate;

/// What the kennel itself wrote down.
const RECORD: &str = "the kennel's own record";

/// A promised pup that is old enough to leave (`planner.go_home_days`) lacks steps that must be done before;
/// a note in the last days (`go_home.noted_days`) before it is.
///
/// Of a pup that nobody waits for, its schedule and its tasks tell.
pub(crate) fn hindered(
    pup: &Pup,
    born_on: Option<NaiveDate>,
    steps: &[DueStep],
    moment: &Moment,
) -> Option<Finding> {
    pup.promised().filter(|placed| {
        placed.kind.leaves_kennel() && placed.stage != PlacementStage::HandedOver
    })?;
    let (rules, today) = (&moment.rules, moment.today());
    let goes_on = plus(born_on?, rule_days(rules, "planner.go_home_days"));
    if today < plus(goes_on, -rule_days(rules, "go_home.noted_days")) {
        return None;
    }
    // What nobody knows is asked about, and hinders nobody by itself.
    let missing: Vec<&DueStep> = steps
        .iter()
        .filter(|step| step.state != DueState::Unknown && step.hinders_go_home(today.max(goes_on)))
        .collect();
    if missing.is_empty() {
        return None;
    }
    let told = semicolons(missing.iter().map(|step| match &step.not_counted {
        Some(why) => said!("alarm-go-home-step-not-counted", step = &step.name, why = why),
        None => step.name.clone(),
    }));
    let keys: Vec<&str> = missing.iter().map(|step| step.step.as_str()).collect();
    let reached = today >= goes_on;
    let (level, what) = if reached {
        (Level::Act, said!("alarm-go-home-missing", pup = pup.label(), missing = told))
    } else {
        let what = said!(
            "alarm-go-home-still-missing",
            pup = pup.label(),
            goes_on = goes_on,
            missing = told
        );
        (Level::Note, what)
    };
    let rule = rules.get("planner.go_home_days");
    let why = said!("alarm-go-home-why", age = amount(rule), goes_on = goes_on);
    let caution = Caution::new(CautionCode::GoHomeHindered, level, what, why, rule.source.clone())
        .with("goes_on", goes_on.to_string())
        .with("missing", keys);
    let limit = moment.midnight(goes_on);
    // From a given day on, so that what was seen of it holds.
    let noted = moment.midnight(plus(goes_on, -rule_days(rules, "go_home.noted_days")));
    let since = if reached { limit } else { noted };
    Some(
        Finding::new("go_home_hindered", since, caution)
            .began(noted)
            .until((!reached).then_some(limit)),
    )
}

/// A pup died while somebody waits for it.
pub(crate) fn bereft(pup: &Pup, on: NaiveDate, moment: &Moment) -> Finding {
    let what = said!("alarm-go-home-died", pup = pup.label());
    let why = said!("alarm-go-home-died-why", died_on = on);
    let caution = Caution::new(CautionCode::GoHomeDied, Level::Act, what, why, RECORD)
        .with("died_on", on.to_string());
    Finding::new("go_home_died", moment.midnight(on), caution)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{litter::Placed, placement::PlacementKind, readiness::rules_in_force, record::Dog};
    use serde_json::json;
    use uuid::Uuid;

    fn promised(kind: PlacementKind, stage: PlacementStage) -> Pup {
        let dog: Dog = serde_json::from_value(json!({ "call_name": "Moss" })).unwrap();
        let dog_id = Uuid::from_u128(3);
        let placement_id = Uuid::from_u128(4);
        let (buyer_id, handed_over_on, country) = (None, None, None);
        let placed =
            Placed { placement_id, dog_id, kind, stage, buyer_id, handed_over_on, country };
        Pup { dog_id, dog: Some(dog), birth: None, placements: vec![placed], litters: vec![] }
    }

    fn step(state: &str, before_go_home: &str, optional: bool) -> DueStep {
        serde_json::from_value(json!({
            "step": "core-first", "occurrence": 1, "name": "Core vaccination", "kind": "vaccination",
            "series": "core", "status": state, "ideal_on": "2026-05-20", "forecast": false,
            "or_test": false, "by_test": false, "optional": optional, "before_go_home": before_go_home, "source": "test",
        }))
        .unwrap()
    }

    /// Born on the first of April: old enough at 56 days, on 27 May; noted from 20 May on.
    fn level(pup: &Pup, step: DueStep, today: &str) -> Option<(Level, bool)> {
        level_in("", pup, step, today)
    }

    /// The same in a jurisdiction.
    fn level_in(code: &str, pup: &Pup, step: DueStep, today: &str) -> Option<(Level, bool)> {
        let now = format!("{today}T09:00:00Z").parse().unwrap();
        let rules = rules_in_force(code, &[]);
        let moment = Moment { rules, ..Moment::by_standard_rules(now, chrono_tz::Tz::UTC) };
        let born_on = "2026-04-01".parse().ok();
        let found = hindered(pup, born_on, &[step], &moment)?;
        Some((found.caution.level, found.next_limit_at.is_some()))
    }

    #[test]
    fn a_missing_step_is_noted_in_the_last_days_and_calls_when_the_pup_is_old_enough() {
        let pup = promised(PlacementKind::Sale, PlacementStage::Reserved);
        let at = |today| level(&pup, step("due", "done", false), today);
        assert_eq!(at("2026-05-19"), None);
        assert_eq!(at("2026-05-20"), Some((Level::Note, true)));
        assert_eq!(at("2026-05-26"), Some((Level::Note, true)));
        assert_eq!(at("2026-05-27"), Some((Level::Act, false)));
        assert_eq!(at("2026-05-28"), Some((Level::Act, false)));
    }

    /// German law lets pups go when they are older than eight weeks: on the 57th day, a day later.
    #[test]
    fn the_days_are_counted_from_the_age_that_the_law_asks_for() {
        let pup = promised(PlacementKind::Sale, PlacementStage::Reserved);
        let at = |today| level_in("DE", &pup, step("due", "done", false), today);
        assert_eq!(at("2026-05-20"), None);
        assert_eq!(at("2026-05-21"), Some((Level::Note, true)));
        assert_eq!(at("2026-05-27"), Some((Level::Note, true)));
        assert_eq!(at("2026-05-28"), Some((Level::Act, false)));
        assert_eq!(at("2026-05-29"), Some((Level::Act, false)));
    }

    #[test]
    fn only_what_is_asked_of_a_pup_that_somebody_waits_for() {
        let today = "2026-05-28";
        let pup = promised(PlacementKind::Sale, PlacementStage::Confirmed);
        for quiet in [
            step("done", "done", false),
            step("due", "nothing", false),
            step("due", "done", true),
            step("unknown", "done", false),
        ] {
            assert_eq!(level(&pup, quiet, today), None);
        }
        for (kind, stage) in [
            (PlacementKind::Kept, PlacementStage::Reserved),
            (PlacementKind::Sale, PlacementStage::Offered),
            (PlacementKind::Sale, PlacementStage::HandedOver),
        ] {
            let pup = promised(kind, stage);
            assert_eq!(level(&pup, step("late", "done", false), today), None, "{kind:?} {stage:?}");
        }
    }
}
