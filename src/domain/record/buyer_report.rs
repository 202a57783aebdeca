//! What a new owner tells of a dog by its booklet's link, and what the kennel makes of it.

use super::{Dog, HealthEvent, HealthKind, Record, Weight, check_past_day, words::words};
use crate::{
    admission::{Admission, Refusal},
    fault::Faults,
    moment::Moment,
};
use catalogue::said;
use chrono::{DateTime, Duration, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

words! {
    /// What kind of news of a dog's health a new owner tells.
    ToldKind {
        /// An illness.
        Illness = "illness",
        /// The result of a test: hips, elbows, eyes, heart, genes.
        Test = "test",
        /// What a veterinarian found.
        Examination = "examination",
        /// A treatment on a veterinarian's advice.
        Treatment = "treatment",
        /// A vaccine.
        Vaccination = "vaccination",
        /// That the dog died, of what the finding says.
        Death = "death",
        /// Anything else.
        Other = "other",
    }
}

impl ToldKind {
    fn as_health_kind(self) -> HealthKind {
        match self {
            Self::Illness => HealthKind::Illness,
            Self::Test => HealthKind::Test,
            Self::Examination => HealthKind::Examination,
            Self::Treatment => HealthKind::Treatment,
            Self::Vaccination => HealthKind::Vaccination,
            // The day is the dog's own; what it died of stands among the news of its health.
            Self::Death | Self::Other => HealthKind::Other,
        }
    }
}

words! {
    /// How far a report has come.
    ReportStatus {
        /// Nobody of the kennel has decided: nothing of it is on record.
        Waiting = "waiting",
        /// Somebody of the kennel took it into the record.
        Accepted = "accepted",
        /// Somebody of the kennel refused it, and said why.
        Refused = "refused",
    }
}

words! {
    /// A part of a report that the kennel may leave out of the record.
    ReportPart {
        /// The weight, as a weighing.
        Weight = "weight",
        /// The weight as that of the grown dog.
        AdultWeight = "adult_weight",
        /// The coat colour.
        Colour = "colour",
        /// The markings.
        Markings = "markings",
        /// The news of its health.
        Health = "health",
    }
}

/// One thing that happened to a dog's health.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ToldHealth {
    /// What kind of thing.
    pub kind: ToldKind,
    /// The day.
    #[schema(example = "2026-10-02")]
    pub happened_on: NaiveDate,
    /// What it was, or what came of it.
    #[schema(example = "hips A, by radiograph", min_length = 1, max_length = 200)]
    pub finding: String,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 2000, format = "several-lines")]
    pub note: Option<String>,
}

/// What a new owner tells of the dog. At least one thing is told.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct BuyerNews {
    /// The day of weight, coat and temperament; the day of the report when null.
    #[schema(example = "2026-11-28")]
    pub observed_on: Option<NaiveDate>,
    /// Its weight in grams.
    #[schema(example = 27500, minimum = 100, maximum = 150000)]
    pub weight_g: Option<i32>,
    /// Whether it is full-grown, so that this is its adult weight.
    pub full_grown: bool,
    /// Coat colour as it is now.
    #[schema(example = "yellow", min_length = 1, max_length = 100)]
    pub colour: Option<String>,
    /// Markings.
    #[schema(min_length = 1, max_length = 500, format = "several-lines")]
    pub markings: Option<String>,
    /// How it behaves: with people, other dogs, alone, at work.
    #[schema(
        example = "Calm with children, shy of thunder.",
        min_length = 1,
        max_length = 2000,
        format = "several-lines"
    )]
    pub temperament: Option<String>,
    /// What happened to its health.
    #[schema(max_items = 10)]
    pub health: Vec<ToldHealth>,
    /// Anything else to the kennel.
    #[schema(min_length = 1, max_length = 2000, format = "several-lines")]
    pub message: Option<String>,
}

impl Record for BuyerNews {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        let texts = [&self.colour, &self.markings, &self.temperament, &self.message];
        let tells = self.weight_g.is_some()
            || !self.health.is_empty()
            || texts.iter().any(|text| text.is_some());
        faults.unless(tells, "", || said!("fault-missing-news"));
        faults.unless(!self.full_grown || self.weight_g.is_some(), "/weight_g", || {
            said!("fault-missing-adult-weight")
        });
        if let Some(day) = self.observed_on {
            check_past_day(day, now, "/observed_on", faults);
        }
        for (index, news) in self.health.iter().enumerate() {
            let at = format!("/health/{index}/happened_on");
            check_past_day(news.happened_on, now, &at, faults);
        }
    }
}

/// A report of a new owner, and what the kennel made of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BuyerReport {
    /// The dog.
    pub dog_id: Uuid,
    /// To whom it went when this was told; null where no placement says so.
    #[serde(default)]
    pub buyer_id: Option<Uuid>,
    /// The booklet's link by which it was told.
    #[serde(default)]
    pub link_id: Option<Uuid>,
    /// What was told.
    pub news: BuyerNews,
    /// How far it has come.
    pub status: ReportStatus,
    /// Why it was refused: the new owner reads it.
    #[serde(default)]
    #[schema(min_length = 1, max_length = 1000, format = "several-lines")]
    pub refusal_reason: Option<String>,
    /// The day of the decision.
    #[serde(default)]
    pub decided_on: Option<NaiveDate>,
}

impl Record for BuyerReport {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        self.news.check(now, faults);
    }
}

/// What a report brings into the record.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct TakenNews {
    /// A weighing.
    pub weight: Option<Weight>,
    /// What happened to its health.
    pub health: Vec<HealthEvent>,
    /// The dog with what is new of it.
    pub dog: Option<Dog>,
}

impl BuyerReport {
    /// Refuses to decide once more.
    ///
    /// # Errors
    /// [`Refusal::Conflict`].
    fn admit_decision(&self) -> Admission {
        match self.status {
            ReportStatus::Waiting => Ok(()),
            _ => Err(Refusal::Conflict(said!("problem-conflict-report-decided"))),
        }
    }

    /// The report as it stands once it is taken into the record.
    ///
    /// # Errors
    /// [`Refusal::Conflict`] when it was decided already.
    pub fn accepted_on(&self, today: NaiveDate) -> Result<Self, Refusal> {
        self.admit_decision()?;
        Ok(Self { status: ReportStatus::Accepted, decided_on: Some(today), ..self.clone() })
    }

    /// The report as it stands once it is refused.
    ///
    /// # Errors
    /// [`Refusal::Conflict`] when it was decided already.
    pub fn refused_on(&self, today: NaiveDate, reason: &str) -> Result<Self, Refusal> {
        self.admit_decision()?;
        Ok(Self {
            status: ReportStatus::Refused,
            decided_on: Some(today),
            refusal_reason: Some(reason.to_owned()),
            ..self.clone()
        })
    }

    /// What it brings into the record of its dog, but for the parts left out. A day without an hour stands at its
    /// noon; who accepts it answers for what looks unlikely. Temperament and message stay with the report.
    pub fn taken(
        &self,
        told_on: NaiveDate,
        left_out: &[ReportPart],
        dog: &Dog,
        moment: &Moment,
    ) -> TakenNews {
        let takes = |part| !left_out.contains(&part);
        let noon = |day| (moment.midnight(day) + Duration::hours(12)).min(moment.now);
        let news = &self.news;
        let weight_g = |part| news.weight_g.filter(|_| takes(part));
        let weight = weight_g(ReportPart::Weight).map(|weight_g| Weight {
            dog_id: self.dog_id,
            measured_at: noon(news.observed_on.unwrap_or(told_on)),
            weight_g,
            confirmed: true,
            at_birth: false,
            note: None,
        });
        let event = |told: &ToldHealth| HealthEvent {
            dog_id: self.dog_id,
            kind: told.kind.as_health_kind(),
            given_at: noon(told.happened_on),
            series: None,
            step: None,
            also_series: Vec::new(),
            result: None,
            protective: None,
            product: Some(told.finding.clone()),
            batch: None,
            expires_on: None,
            given_by: None,
            site: None,
            reaction: None,
            buyer_id: self.buyer_id,
            note: told.note.clone(),
            confirmed: true,
        };
        let health = news.health.iter().filter(|_| takes(ReportPart::Health)).map(event).collect();
        let text = |part, new: &Option<String>, old: &Option<String>| {
            new.clone().filter(|_| takes(part)).or_else(|| old.clone())
        };
        let adult = weight_g(ReportPart::AdultWeight).filter(|_| news.full_grown);
        let died_on = || {
            let told = news.health.iter().filter(|_| takes(ReportPart::Health));
            told.filter(|told| told.kind == ToldKind::Death).map(|told| told.happened_on).min()
        };
        let known = Dog {
            colour: text(ReportPart::Colour, &news.colour, &dog.colour),
            markings: text(ReportPart::Markings, &news.markings, &dog.markings),
            adult_weight_g: adult.or(dog.adult_weight_g),
            died_on: dog.died_on.or_else(died_on),
            ..dog.clone()
        };
        TakenNews { weight, health, dog: (known != *dog).then_some(known) }
    }
}

/// Which reports to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct BuyerReportFilter {
    /// Only of this dog.
    pub dog_id: Option<Uuid>,
    /// Only by this buyer.
    pub buyer_id: Option<Uuid>,
    /// Only those that have come so far.
    pub status: Option<ReportStatus>,
    /// Only of offspring of this dam or sire.
    pub parent_id: Option<Uuid>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};

    fn at(text: &str) -> Moment {
        Moment::by_standard_rules(text.parse().unwrap(), chrono_tz::Europe::Berlin)
    }

    fn report(news: Value) -> BuyerReport {
        BuyerReport {
            dog_id: Uuid::from_u128(1),
            buyer_id: Some(Uuid::from_u128(2)),
            link_id: None,
            news: serde_json::from_value(news).unwrap(),
            status: ReportStatus::Waiting,
            refusal_reason: None,
            decided_on: None,
        }
    }

    fn dog() -> Dog {
        serde_json::from_value(
            json!({ "name": "Fern", "colour": "black", "residence": "elsewhere" }),
        )
        .unwrap()
    }

    fn places(news: Value) -> Vec<String> {
        let mut faults = Faults::new();
        let now = "2026-11-30T10:00:00Z".parse().unwrap();
        report(news).news.check(now, &mut faults);
        let found = faults.into_result().err().unwrap_or_default();
        found.into_iter().map(|fault| fault.pointer).collect()
    }

    #[test]
    fn a_report_tells_something_that_has_been() {
        assert_eq!(places(json!({ "message": "All is well" })), [""; 0]);
        assert_eq!(places(json!({})), [""]);
        assert_eq!(places(json!({ "full_grown": true, "message": "big" })), ["/weight_g"]);
        let told = |day| json!({ "health": [{ "kind": "illness", "happened_on": day, "finding": "ear" }] });
        assert_eq!(places(told("2026-11-30")), [""; 0]);
        assert_eq!(places(told("2026-12-02")), ["/health/0/happened_on"]);
        assert_eq!(
            places(json!({ "observed_on": "2026-12-02", "weight_g": 9000 })),
            ["/observed_on"]
        );
    }

    #[test]
    fn what_is_taken_is_what_was_told_and_not_left_out() {
        let moment = at("2026-11-30T08:00:00Z");
        let today = moment.today();
        let told = report(json!({
            "observed_on": "2026-11-20", "weight_g": 27_500, "full_grown": true, "colour": "grey",
            "temperament": "calm",
            "health": [{ "kind": "test", "happened_on": "2026-11-30", "finding": "hips A" }],
        }));
        let taken = told.taken(today, &[], &dog(), &moment);
        let weight = taken.weight.unwrap();
        assert_eq!(
            (weight.weight_g, weight.measured_at),
            (27_500, "2026-11-20T11:00:00Z".parse().unwrap())
        );
        // Noon of today is still to come.
        assert_eq!(taken.health[0].given_at, moment.now);
        assert_eq!(
            (taken.health[0].kind, taken.health[0].buyer_id),
            (HealthKind::Test, told.buyer_id)
        );
        let grown = taken.dog.unwrap();
        assert_eq!((grown.adult_weight_g, grown.colour.as_deref()), (Some(27_500), Some("grey")));
        let nothing = told.taken(today, ReportPart::ALL, &dog(), &moment);
        assert_eq!(nothing, TakenNews::default());
        let young = report(json!({ "weight_g": 9_000 })).taken(today, &[], &dog(), &moment);
        assert_eq!((young.weight.unwrap().measured_at, young.dog), (moment.now, None));
    }

    /// A death is the day of the dog, where none is known, and what it died of is news of its health.
    #[test]
    fn a_death_is_the_dogs_day() {
        let moment = at("2026-11-30T08:00:00Z");
        let today = moment.today();
        let told = report(json!({ "health": [
            { "kind": "death", "happened_on": "2026-11-28", "finding": "its heart" },
        ]}));
        let taken = told.taken(today, &[], &dog(), &moment);
        assert_eq!(taken.dog.unwrap().died_on, Some("2026-11-28".parse().unwrap()));
        assert_eq!(taken.health[0].kind, HealthKind::Other);
        assert_eq!(taken.health[0].product.as_deref(), Some("its heart"));
        let known = Dog { died_on: Some("2026-11-27".parse().unwrap()), ..dog() };
        assert_eq!(told.taken(today, &[], &known, &moment).dog, None);
        assert_eq!(told.taken(today, &[ReportPart::Health], &dog(), &moment).dog, None);
    }

    #[test]
    fn a_report_is_decided_once() {
        let today = at("2026-11-30T08:00:00Z").today();
        let told = report(json!({ "message": "All is well" }));
        let accepted = told.accepted_on(today).unwrap();
        assert_eq!((accepted.status, accepted.decided_on), (ReportStatus::Accepted, Some(today)));
        let refused = told.refused_on(today, "Another dog").unwrap();
        assert_eq!(refused.refusal_reason.as_deref(), Some("Another dog"));
        for decided in [accepted, refused] {
            assert!(matches!(decided.accepted_on(today), Err(Refusal::Conflict(_))));
            assert!(matches!(decided.refused_on(today, "no"), Err(Refusal::Conflict(_))));
        }
    }
}
