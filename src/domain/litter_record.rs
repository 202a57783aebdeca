//! All that is recorded of a litter, its dam and its pups, and what follows from it together.
//!
//! The questions themselves are answered by [`schedule`](super::schedule),
//! [`growth`](super::growth) and [`readiness`](super::readiness); here each gets its facts.

use super::{
    advice::{Caution, Level},
    growth::{
        GrowthLitter, GrowthModel, GrowthPup, Weighing, summary::since_yesterday, weight_reached_on,
    },
    readiness::{
        BalanceFact, DayRange, LitterReadiness, PaperDone, PupReadiness, Readiness, ReadinessFacts,
        ReadinessOverride, ReadinessRule, ReadinessRuleSet, WeightFact, litter_readiness,
        readiness,
    },
    rules::Rules,
    schedule::{
        DueList, DueState, DueStep, GivenEvent, PlanBook, PlanStep, PlanSubject, ScheduleDates,
        WalkEntry, WalkStop, due, due_for_life, plus, rule_days, walk,
    },
};
use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// A health event as the schedule sees it, with what the pack said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordedEvent {
    /// What was given.
    pub given: GivenEvent,
    /// Day after which the product must not be used.
    pub expires_on: Option<NaiveDate>,
}

/// A dog whose health is followed: the dam, a pup, or a dog of no litter.
#[derive(Debug, Clone, PartialEq)]
pub struct DogRecord {
    /// The dog.
    pub dog_id: Uuid,
    /// Its name, call name or collar.
    pub label: String,
    /// Place in the litter, for a pup.
    pub ordinal: Option<u32>,
    /// Day of birth.
    pub born_on: Option<NaiveDate>,
    /// Female, male or not known.
    pub is_female: Option<bool>,
    /// Whether it is alive and lives in the kennel.
    pub here: bool,
    /// When it was born, to the minute where known; for growth.
    pub born_at: Option<DateTime<Utc>>,
    /// Weight at birth in grams.
    pub birth_weight_g: Option<f64>,
    /// Its weighings.
    pub weighings: Vec<Weighing>,
    /// Chip number.
    pub chip_number: Option<String>,
    /// What was given to it.
    pub events: Vec<RecordedEvent>,
    /// Papers that are there.
    pub papers: Vec<PaperDone>,
    /// The account of its sale.
    pub balance: BalanceFact,
    /// Rules set aside for it.
    pub set_aside: Vec<ReadinessOverride>,
}

/// A litter with its dam and pups; without a litter, dogs that are followed by themselves.
#[derive(Debug, Clone, PartialEq)]
pub struct LitterRecord {
    /// The litter.
    pub litter_id: Option<Uuid>,
    /// Its name.
    pub name: Option<String>,
    /// Room or box.
    pub place: Option<String>,
    /// Day of the mating.
    pub mated_on: Option<NaiveDate>,
    /// Day of the whelping.
    pub whelped_on: Option<NaiveDate>,
    /// Day of weaning.
    pub weaned_on: Option<NaiveDate>,
    /// Breed of the pups.
    pub breed: Option<String>,
    /// Adult weight expected of the pups in grams.
    pub adult_weight_g: Option<f64>,
    /// Weight of the dam in grams.
    pub dam_weight_g: Option<f64>,
    /// The dam, when her schedule is still followed for this litter.
    pub dam: Option<DogRecord>,
    /// The pups.
    pub pups: Vec<DogRecord>,
}

/// What everything is asked by: the plans, the rules and the moment.
#[derive(Debug, Clone, Copy)]
pub struct AskedOn<'a> {
    /// The kennel's plans.
    pub book: &'a PlanBook,
    /// The rules in force.
    pub rules: &'a Rules,
    /// The moment.
    pub now: DateTime<Utc>,
    /// The kennel's time zone.
    pub zone: Tz,
}

impl AskedOn<'_> {
    /// The day on the kennel's calendar.
    pub fn today(&self) -> NaiveDate {
        self.now.with_timezone(&self.zone).date_naive()
    }
}

/// Cautions about what was given to one dog.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct DogCautions {
    /// The dog.
    pub dog_id: Uuid,
    /// Its name or collar.
    #[schema(example = "Red collar")]
    pub dog_name: String,
    /// What to know.
    pub cautions: Vec<Caution>,
}

/// What is open today, as one walks through the kennel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct DueWalk {
    /// The day on the kennel's calendar.
    pub today: NaiveDate,
    /// The stops: by place and litter, the dam first, then the pups in order of birth.
    pub stops: Vec<WalkStop>,
    /// What was wrong with what was given.
    pub cautions: Vec<DogCautions>,
}

impl LitterRecord {
    /// The days on which steps are anchored, for the dam or for a dog born on `born_on`.
    fn dates(&self, born_on: Option<NaiveDate>) -> ScheduleDates {
        ScheduleDates {
            born_on,
            mated_on: self.mated_on,
            whelped_on: self.whelped_on,
            weaned_on: self.weaned_on,
        }
    }

    /// The steps a pup follows; the day of its birth chooses the version of a plan.
    fn pup_steps(&self, pup: &DogRecord, ask: AskedOn<'_>) -> Vec<PlanStep> {
        let on = pup.born_on.or(self.whelped_on).unwrap_or(ask.today());
        ask.book.steps(PlanSubject::Pup, self.litter_id, on)
    }

    /// The schedule of one pup: every dose given, due and to come.
    pub fn pup_schedule(&self, pup: &DogRecord, ask: AskedOn<'_>) -> DueList {
        let steps = self.pup_steps(pup, ask);
        let born_on = pup.born_on.or(self.whelped_on);
        scheduled(&steps, self.dates(born_on), &pup.events, ask)
    }

    /// What is done about one dog: a pup's schedule, and from `schedule.grown_from` days of age on
    /// the doses it was given and the steps that are repeated for life, by the plans of today.
    pub fn followed_schedule(&self, dog: &DogRecord, ask: AskedOn<'_>) -> DueList {
        let all = self.pup_schedule(dog, ask);
        if !self.is_grown(dog, ask) {
            return all;
        }
        let mut steps = all.steps;
        steps.retain(|step| step.state == DueState::Done);
        steps.extend(self.for_life(dog, ask));
        let cautions = dog.events.iter().filter_map(past_expiry).collect();
        DueList { steps, not_counted: Vec::new(), cautions }
    }

    /// A dog whose day of birth nobody knows is no pup of ours.
    fn is_grown(&self, dog: &DogRecord, ask: AskedOn<'_>) -> bool {
        let from = rule_days(ask.rules, "schedule.grown_from");
        let born_on = dog.born_on.or(self.whelped_on);
        born_on.is_none_or(|born_on| plus(born_on, from) <= ask.today())
    }

    /// What is done about the dam: for this litter, and what is repeated for life.
    pub fn dam_steps(&self, dam: &DogRecord, ask: AskedOn<'_>) -> Vec<DueStep> {
        let mut steps = self.dam_schedule(dam, ask).steps;
        steps.extend(self.for_life(dam, ask));
        steps
    }

    fn for_life(&self, dog: &DogRecord, ask: AskedOn<'_>) -> Vec<DueStep> {
        let steps = ask.book.steps(PlanSubject::Pup, self.litter_id, ask.today());
        let given: Vec<GivenEvent> = dog.events.iter().map(|event| event.given.clone()).collect();
        due_for_life(&steps, &given, ask.today())
    }

    /// The schedule of the dam for this litter: events since its mating, or its whelping.
    pub fn dam_schedule(&self, dam: &DogRecord, ask: AskedOn<'_>) -> DueList {
        let on = self.whelped_on.unwrap_or(ask.today());
        let steps = ask.book.steps(PlanSubject::Dam, self.litter_id, on);
        let since = self.mated_on.or(self.whelped_on);
        let of_litter = |event: &&RecordedEvent| since.is_some_and(|on| event.given.given_on >= on);
        let events: Vec<RecordedEvent> = dam.events.iter().filter(of_litter).cloned().collect();
        scheduled(&steps, self.dates(None), &events, ask)
    }

    /// Whether the dam's schedule is still followed: `schedule.dam_followed` days after whelping.
    pub fn follows_dam(
        whelped_on: Option<NaiveDate>,
        weaned_on: Option<NaiveDate>,
        today: NaiveDate,
        rules: &Rules,
    ) -> bool {
        let followed = rule_days(rules, "schedule.dam_followed");
        let last = whelped_on.map(|on| plus(on, followed).max(weaned_on.unwrap_or(on)));
        last.is_none_or(|last| today <= last)
    }

    /// The litter as the growth questions see it.
    pub fn growth_litter(&self, zone: Tz) -> Option<GrowthLitter> {
        Some(GrowthLitter {
            litter_id: self.litter_id?,
            breed: self.breed.clone(),
            adult_weight_g: self.adult_weight_g,
            dam_weight_g: self.dam_weight_g,
            time_zone: zone,
            pups: self.pups.iter().filter_map(DogRecord::growth_pup).collect(),
        })
    }

    /// Whether one pup may go home.
    pub fn pup_readiness(
        &self,
        pup: &DogRecord,
        set: &ReadinessRuleSet,
        ask: AskedOn<'_>,
    ) -> Readiness {
        let facts = self.facts(pup, set, self.model(set, ask).as_ref(), ask);
        readiness(set, &facts, &pup.set_aside, ask.today(), ask.rules)
    }

    /// Whether the pups that are alive and still here may go home.
    pub fn readiness(&self, set: &ReadinessRuleSet, ask: AskedOn<'_>) -> LitterReadiness {
        let model = self.model(set, ask);
        let of_pup = |pup: &DogRecord| {
            let facts = self.facts(pup, set, model.as_ref(), ask);
            let readiness = readiness(set, &facts, &pup.set_aside, ask.today(), ask.rules);
            PupReadiness::new(pup.dog_id, pup.label.clone(), readiness)
        };
        litter_readiness(self.pups.iter().filter(|pup| pup.here).map(of_pup).collect())
    }

    /// The growth of the litter, fitted only when a weight is asked for: it is the dear part.
    fn model(&self, set: &ReadinessRuleSet, ask: AskedOn<'_>) -> Option<GrowthModel> {
        set.get(ReadinessRule::WeightReached)?;
        GrowthModel::fit(&self.growth_litter(ask.zone)?, ask.now, ask.rules)
    }

    fn facts(
        &self,
        pup: &DogRecord,
        set: &ReadinessRuleSet,
        model: Option<&GrowthModel>,
        ask: AskedOn<'_>,
    ) -> ReadinessFacts {
        let points = pup.growth_pup().map(|pup| pup.points(ask.zone, ask.now)).unwrap_or_default();
        let least_g = set.get(ReadinessRule::WeightReached).and_then(|row| row.minimum_weight_g);
        let weight_forecast = least_g.zip(model).and_then(|(least_g, model)| {
            let litter = self.growth_litter(ask.zone)?;
            let reached = weight_reached_on(&litter, model, pup.dog_id, least_g, ask.now)?;
            let likely = reached.likely_on?;
            Some(DayRange {
                earliest: reached.earliest_on.unwrap_or(likely),
                likely,
                latest: reached.latest_on?,
            })
        });
        ReadinessFacts {
            born_on: pup.born_on.or(self.whelped_on),
            weaned_on: self.weaned_on,
            last_weight: points
                .last()
                .map(|point| WeightFact { weight_g: point.weight_g, measured_on: point.day }),
            gaining: since_yesterday(&points, ask.rules).map(|change| change.gain_g > 0.0),
            weight_forecast,
            health_steps: self.pup_schedule(pup, ask).steps,
            chip_number: pup.chip_number.clone(),
            papers: pup.papers.clone(),
            balance: pup.balance,
        }
    }
}

impl DogRecord {
    fn growth_pup(&self) -> Option<GrowthPup> {
        Some(GrowthPup {
            dog_id: self.dog_id,
            label: self.label.clone(),
            born_at: self.born_at?,
            birth_weight_g: self.birth_weight_g,
            is_female: self.is_female,
            left_at: None,
            weighings: self.weighings.clone(),
        })
    }
}

fn scheduled(
    steps: &[PlanStep],
    dates: ScheduleDates,
    events: &[RecordedEvent],
    ask: AskedOn<'_>,
) -> DueList {
    let given: Vec<GivenEvent> = events.iter().map(|event| event.given.clone()).collect();
    let mut list = due(steps, dates, &given, ask.today(), ask.rules);
    list.cautions.extend(events.iter().filter_map(past_expiry));
    list
}

/// A product that was past its expiry when it was given.
fn past_expiry(event: &RecordedEvent) -> Option<Caution> {
    let given_on = event.given.given_on;
    let expires_on = event.expires_on.filter(|on| *on < given_on)?;
    Some(Caution::new(
        Level::Act,
        "The product was past its expiry when it was given: ask your veterinarian whether the \
         dose counts.",
        format!("Given on {given_on}, expired on {expires_on}."),
        "expiry date printed on the product",
    ))
}

/// What is open today in all litters, grouped as one would walk the kennel.
pub fn due_walk(litters: &[LitterRecord], ask: AskedOn<'_>) -> DueWalk {
    let mut entries = Vec::new();
    let mut cautions = Vec::new();
    for litter in litters {
        let of_pup = |pup| (pup, litter.followed_schedule(pup, ask));
        let of_dam = |dam| {
            let list = litter.dam_schedule(dam, ask);
            (dam, DueList { steps: litter.dam_steps(dam, ask), ..list })
        };
        let pups = litter.pups.iter().filter(|pup| pup.here).map(of_pup);
        for (dog, list) in litter.dam.iter().map(of_dam).chain(pups) {
            if !list.cautions.is_empty() {
                cautions.push(DogCautions {
                    dog_id: dog.dog_id,
                    dog_name: dog.label.clone(),
                    cautions: list.cautions,
                });
            }
            entries.push(WalkEntry {
                dog_id: dog.dog_id,
                dog_name: dog.label.clone(),
                ordinal: dog.ordinal,
                place: litter.place.clone(),
                litter_id: litter.litter_id,
                litter_name: litter.name.clone(),
                steps: list.steps,
            });
        }
    }
    DueWalk { today: ask.today(), stops: walk(entries), cautions }
}
