//! A test that showed no protection: the dose for which it might have stood is due.

use super::due::{DueList, DueState};
use catalogue::said;
use chrono::NaiveDate;

/// A test of antibodies against what a series protects from, which showed that they do not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct UnshownTest {
    /// The series.
    pub series: String,
    /// The day of the blood sample.
    pub tested_on: NaiveDate,
}

/// Brings forward what a test showed to be missing: the first open dose of its series for which a test may
/// stand is due from the day of the test, unless one was given since.
pub(crate) fn due_after(list: &mut DueList, tests: &[UnshownTest], today: NaiveDate) {
    for test in tests.iter().filter(|test| test.tested_on <= today) {
        let of_series = |series: &str| series == test.series;
        let since = list.steps.iter().filter(|step| of_series(&step.series));
        if since.filter_map(|step| step.given_on).any(|on| on >= test.tested_on) {
            continue;
        }
        let open = |state| {
            matches!(
                state,
                DueState::Late | DueState::Due | DueState::Upcoming | DueState::TooEarly
            )
        };
        let first = list
            .steps
            .iter_mut()
            .filter(|step| step.or_test && of_series(&step.series) && open(step.state))
            .min_by_key(|step| step.ideal_on);
        let Some(step) = first else { continue };
        step.earliest_on = step.earliest_on.map(|on| on.min(test.tested_on));
        step.ideal_on = step.ideal_on.map(|on| on.min(test.tested_on));
        if step.state != DueState::Late {
            step.state = DueState::Due;
        }
        step.not_counted = Some(said!("schedule-test-shows-none", tested_on = test.tested_on));
    }
}
