//! What was given and found.

use super::ByDog;
use crate::{
    advice::{Caution, CautionCode, Level},
    moment::Moment,
    record::{HealthEvent, Kept},
    schedule::{
        DueList, DueState, DueStep, GivenEvent, HealthKind, UnshownTest, due_after, keep_apart,
    },
};
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use uuid::Uuid;

/// Health events of the pups and the dam.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Health {
    /// Events by dog, in order of time.
    pub events: ByDog<Kept<HealthEvent>>,
    /// Signs after the beginning of a heat that were seen lately, in order of time.
    pub heat_signs: ByDog<HeatSign>,
}

/// A sign that was seen of a dog after a heat of hers began: a reading of kind `sign`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeatSign {
    /// The dog.
    pub dog_id: Uuid,
    /// First day of the heat.
    pub heat_began_on: NaiveDate,
    /// When it was seen.
    pub seen_at: DateTime<Utc>,
    /// What, as it was written.
    pub finding: String,
}

/// An event as the schedule sees it: itself, and once more for each further series that it is a dose of, or
/// as the test that may stand for one.
fn given(event: &Kept<HealthEvent>, moment: &Moment) -> impl Iterator<Item = GivenEvent> {
    let HealthEvent { kind, series, step, given_at, also_series, protective, .. } = &event.record;
    let own = GivenEvent {
        id: Some(event.id),
        kind: *kind,
        series: series.clone(),
        step: step.clone(),
        given_on: moment.day_of(*given_at),
        by_test: false,
    };
    let of =
        |series: &String| GivenEvent { series: Some(series.clone()), step: None, ..own.clone() };
    let mut further: Vec<GivenEvent> = also_series.iter().map(of).collect();
    if *protective == Some(true) {
        let stands =
            |series| GivenEvent { kind: HealthKind::Vaccination, by_test: true, ..of(series) };
        further.extend(series.iter().chain(also_series).map(stands));
    }
    std::iter::once(own).chain(further)
}

/// What a test showed not to be protected from.
fn unshown(event: &Kept<HealthEvent>, moment: &Moment) -> Vec<UnshownTest> {
    let HealthEvent { series, also_series, protective, given_at, .. } = &event.record;
    let tested_on = moment.day_of(*given_at);
    let of = |series: &String| UnshownTest { series: series.clone(), tested_on };
    match protective {
        Some(false) => series.iter().chain(also_series).map(of).collect(),
        _ => Vec::new(),
    }
}

/// A product that was past its expiry when it was given.
fn past_expiry(event: &HealthEvent, moment: &Moment) -> Option<Caution> {
    let given_on = moment.day_of(event.given_at);
    let expires_on = event.expires_on.filter(|on| *on < given_on)?;
    let caution = Caution::new(
        CautionCode::HealthExpired,
        Level::Act,
        said!("litter-expired"),
        said!("litter-expired-why", given_on = given_on, expires_on = expires_on),
        "expiry date printed on the product",
    );
    Some(caution.with("given_on", given_on.to_string()).with("expires_on", expires_on.to_string()))
}

/// Lays the events of a dog against its plans by `lay`, without those whose product was past its expiry,
/// confirmed or not: the step that such a dose would have taken is open, and says why.
pub(super) fn laid_out(
    events: &[&Kept<HealthEvent>],
    moment: &Moment,
    lay: impl Fn(&[GivenEvent]) -> DueList,
) -> DueList {
    let (mut fresh, mut expired, mut cautions) = (Vec::new(), Vec::new(), Vec::new());
    for event in events {
        match past_expiry(&event.record, moment) {
            Some(caution) => {
                cautions.push(caution);
                expired.push(*event);
            }
            None => fresh.extend(given(event, moment)),
        }
    }
    let today = moment.today();
    let mut list = lay(&fresh);
    let tests: Vec<UnshownTest> = events.iter().flat_map(|event| unshown(event, moment)).collect();
    due_after(&mut list, &tests, today);
    keep_apart(&mut list, &fresh, today, &moment.rules);
    if expired.is_empty() {
        return list;
    }
    let all: Vec<GivenEvent> = events.iter().flat_map(|event| given(event, moment)).collect();
    let taken = lay(&all).steps;
    for event in expired {
        let by_it = |dose: &&DueStep| dose.event_id == Some(event.id);
        for dose in taken.iter().filter(by_it) {
            let same = |step: &&mut DueStep| {
                step.step == dose.step
                    && step.occurrence == dose.occurrence
                    && step.state != DueState::Done
            };
            let why = event.record.expires_on.map(|expired_on| {
                let given_on = moment.day_of(event.record.given_at);
                said!("litter-expired-not-counted", given_on = given_on, expired_on = expired_on)
            });
            list.steps.iter_mut().filter(same).for_each(|step| step.not_counted.clone_from(&why));
        }
        list.not_counted.extend(given(event, moment).take(1));
    }
    list.cautions.extend(cautions);
    list
}
