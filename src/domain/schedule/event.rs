//! What a kennel writes down of one thing given or done.

use super::{age::kennel_day, plan::HealthKind};
use crate::domain::{
    advice::{Caution, Level},
    fault::{Fault, Faults},
};
use chrono::{DateTime, FixedOffset, NaiveDate, Utc};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What was given or done, by whom, and how it went; the same for one dog or a whole litter.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HealthEventDetail {
    /// What was done.
    pub kind: HealthKind,
    /// When it was done.
    pub given_at: DateTime<FixedOffset>,
    /// The series it belongs to.
    #[serde(default)]
    #[schema(example = "core")]
    pub series: Option<String>,
    /// The step of a plan it was given for.
    #[serde(default)]
    #[schema(example = "core-first")]
    pub step: Option<String>,
    /// Name of the product.
    #[serde(default)]
    pub product: Option<String>,
    /// Batch number printed on the product.
    #[serde(default)]
    #[schema(example = "A123B45")]
    pub batch: Option<String>,
    /// Day after which the product must not be used.
    #[serde(default)]
    pub expires_on: Option<NaiveDate>,
    /// Who gave it.
    #[serde(default)]
    #[schema(example = "Dr. Example")]
    pub given_by: Option<String>,
    /// Where on the body.
    #[serde(default)]
    #[schema(example = "left shoulder")]
    pub site: Option<String>,
    /// What was seen afterwards.
    #[serde(default)]
    #[schema(example = "none")]
    pub reaction: Option<String>,
    /// Anything else.
    #[serde(default)]
    pub note: Option<String>,
}

impl HealthEventDetail {
    /// The day on the kennel's calendar on which it was done.
    pub fn given_on(&self, zone: Tz) -> NaiveDate {
        kennel_day(self.given_at.to_utc(), zone)
    }

    /// Checks the record; `born_on` is the birth day of the youngest dog it is for.
    ///
    /// # Errors
    /// Every fault: a moment after `now` or a day before birth, an empty or overlong text.
    pub fn check(
        &self,
        born_on: Option<NaiveDate>,
        now: DateTime<Utc>,
        zone: Tz,
    ) -> Result<(), Vec<Fault>> {
        let mut faults = Faults::new();
        faults.unless(self.given_at <= now, "/given_at", || {
            format!("is after now ({}); give the time at which it was done", now.to_rfc3339())
        });
        if let Some(born_on) = born_on {
            faults.unless(self.given_on(zone) >= born_on, "/given_at", || {
                format!("is before the dog was born ({born_on})")
            });
        }
        let texts = [
            ("/series", &self.series, 60),
            ("/step", &self.step, 60),
            ("/product", &self.product, 200),
            ("/batch", &self.batch, 60),
            ("/given_by", &self.given_by, 200),
            ("/site", &self.site, 200),
            ("/reaction", &self.reaction, 2000),
            ("/note", &self.note, 2000),
        ];
        for (at, text, longest) in texts {
            let length = text.as_ref().map(|text| text.trim().chars().count());
            faults.unless(length.is_none_or(|n| (1..=longest).contains(&n)), at, || {
                format!("must be a text of 1 to {longest} characters, or null")
            });
        }
        faults.into_result()
    }

    /// What to know about this record: a product used after its expiry.
    pub fn cautions(&self, zone: Tz) -> Vec<Caution> {
        let given_on = self.given_on(zone);
        let expired = self.expires_on.filter(|expires_on| *expires_on < given_on);
        let caution = |expires_on: NaiveDate| {
            Caution::new(
                Level::Act,
                "The product was past its expiry when it was given: ask your veterinarian whether \
                 the dose counts.",
                format!("Given on {given_on}, expired on {expires_on}."),
                "expiry date printed on the product",
            )
        };
        expired.map(caution).into_iter().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn event() -> HealthEventDetail {
        HealthEventDetail {
            kind: HealthKind::Vaccination,
            given_at: "2026-03-01T10:00:00+01:00".parse().unwrap(),
            series: None,
            step: None,
            product: None,
            batch: None,
            expires_on: None,
            given_by: None,
            site: None,
            reaction: None,
            note: None,
        }
    }

    #[test]
    fn a_record_of_the_future_or_before_birth_is_refused() {
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        let now = |text: &str| text.parse::<DateTime<Utc>>().unwrap();
        let zone = chrono_tz::Europe::Berlin;
        let ten = now("2026-03-01T09:00:00Z");
        assert!(event().check(Some(day("2026-01-04")), ten, zone).is_ok());
        let early = now("2026-03-01T08:59:59Z");
        let faults = event().check(Some(day("2026-03-02")), early, zone).unwrap_err();
        assert_eq!(faults.len(), 2);
        let blank = HealthEventDetail { batch: Some("  ".into()), ..event() };
        assert_eq!(blank.check(None, ten, zone).unwrap_err()[0].pointer, "/batch");
    }

    #[test]
    fn a_product_past_its_expiry_is_named() {
        let zone = chrono_tz::Europe::Berlin;
        let cautions = |expires: &str| {
            let expires_on = Some(expires.parse().unwrap());
            HealthEventDetail { expires_on, ..event() }.cautions(zone).len()
        };
        assert!(event().cautions(zone).is_empty());
        assert_eq!(cautions("2026-03-01"), 0);
        assert_eq!(cautions("2026-02-28"), 1);
    }
}
