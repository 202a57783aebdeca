//! What a dam or a pup needs, when the next feed is due, and what was fed by hand.

use super::{inbreeding::current_book, now, problem::Kind, query::Query, resource::prelude::*};
use crate::{
    domain::{
        advice::STANDING_LINE,
        fault::Fault,
        feeding::{
            DamEnergy, DamStage, GrowingEnergy, HandFedPup, NextFeed, PupRation, WeaningPlan,
            dam_energy, dam_energy_weeks, growing_energy, next_feed, pup_ration, weaning_plan,
        },
        pregnancy::{KennelTime, day_of_pregnancy},
        record::{Feed, FeedFilter},
        rules::Rules,
    },
    store::{
        kennels,
        people::{Right, Scope},
        whelping::{self as store, FedDog},
    },
};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_feeding)
        .service(create_feed)
        .service(list_feeds)
        .service(read_feed)
        .service(change_feed)
        .service(delete_feed);
}

resource!(Feed, tag "feeding", one "a feed by hand", many "what a pup was fed by hand",
    at "/v1/kennels/{kennel_id}/dogs/{dog_id}/feeds",
       "/v1/kennels/{kennel_id}/dogs/{dog_id}/feeds/{feed_id}", under dog_id;
    create_feed, list_feeds, read_feed, change_feed, delete_feed);

/// How a pup is fed by hand.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct FeedingQuery {
    /// Share of its need that the pup gets by hand, 0 to 1; 1 (an orphan) when left out.
    #[param(minimum = 0, maximum = 1)]
    share: Option<f64>,
    /// Energy of the milk replacer as mixed, from its label.
    replacer_kcal_per_ml: Option<f64>,
}

/// The dam's need now and week by week.
#[derive(Serialize, ToSchema)]
pub struct DamFeeding {
    /// Now.
    now: DamEnergy,
    /// Through pregnancy and lactation with the pups that she has, or none while they are not born.
    weeks: Vec<DamEnergy>,
}

/// A pup fed by hand.
#[derive(Serialize, ToSchema)]
pub struct PupFeeding {
    /// What it gets.
    ration: PupRation,
    /// The next feed, by what it took.
    next: NextFeed,
}

/// What a dog needs: as a dam, as a pup on supplement, or as a growing dog.
#[derive(Serialize, ToSchema)]
pub struct FeedingAnswer {
    /// The dog.
    dog_id: Uuid,
    /// The moment it was looked at.
    as_of: DateTime<Utc>,
    /// Its weight in grams that the figures rest on.
    #[schema(example = 28400.0)]
    weight_g: Option<f64>,
    /// As a dam that carries or nurses; null when she does neither.
    dam: Option<DamFeeding>,
    /// As a pup fed by hand; null after weaning.
    pup: Option<PupFeeding>,
    /// The steps from milk to food; null for a dog of which the day of birth is unknown or long past.
    weaning: Option<WeaningPlan>,
    /// As a weaned, growing dog; null before and when its adult weight is not known.
    growing: Option<GrowingEnergy>,
    /// What was not known and would be needed.
    lacks: Vec<String>,
    /// What stands beside every piece of advice.
    advice: &'static str,
}

/// Read what a dam or a pup needs, and when the next feed is due.
#[utoipa::path(tag = "feeding", params(FeedingQuery),
    responses((status = 200, description = "Every figure with its source.", body = FeedingAnswer)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/feeding")]
pub async fn read_feeding(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<FeedingQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let book = current_book(&app, &scope.0).await?;
    let (fed, rules) = app
        .db
        .within(&scope.0, async |tx| {
            Ok((store::fed_dog(tx, &book, id, now()).await?, kennels::rules(tx).await?))
        })
        .await?;
    Ok(HttpResponse::Ok().json(feeding(&scope.0, id, &fed, &query.0, &rules)?))
}

fn feeding(
    scope: &Scope,
    dog_id: Uuid,
    fed: &FedDog,
    query: &FeedingQuery,
    rules: &Rules,
) -> Result<FeedingAnswer, Problem> {
    let now = now();
    let today = scope.day_of(now);
    let refused = |faults: Vec<Fault>| Problem::faults(Kind::NotAcceptable, in_query(faults));
    let mut lacks = Vec::new();
    let adult_g = fed.dog.adult_weight_g.map(f64::from);
    let weight_g = fed.weight.map(|(_, weight)| weight);
    if weight_g.is_none() {
        lacks.push("a weight of this dog".to_owned());
    }
    let stage = stage_of(scope, fed, now, rules);
    let dam = match (stage, weight_g.or(adult_g)) {
        (Some(stage), Some(weight)) => Some(DamFeeding {
            now: dam_energy(weight, stage, rules).map_err(refused)?,
            weeks: dam_energy_weeks(weight, pups_of(stage), rules).map_err(refused)?,
        }),
        _ => None,
    };
    let born_on = fed.born_at.map(|at| scope.day_of(at));
    let weaned = rules.value("feeding.weaned_by_day") as i64;
    let unweaned = born_on.filter(|born| (today - *born).num_days() <= weaned);
    let pup = match (unweaned.and(fed.born_at), weight_g) {
        (Some(born_at), Some(weight_g)) => {
            Some(by_hand(fed, born_at, weight_g, query, rules, now).map_err(refused)?)
        }
        _ => None,
    };
    let grows = born_on.is_some()
        && unweaned.is_none()
        && weight_g.zip(adult_g).is_some_and(|(w, a)| w < a);
    let growing = match weight_g.zip(adult_g) {
        Some((weight, adult)) if grows => {
            Some(growing_energy(weight, adult, rules).map_err(refused)?)
        }
        _ => None,
    };
    Ok(FeedingAnswer {
        dog_id,
        as_of: now,
        weight_g,
        dam,
        pup,
        weaning: unweaned.map(|born_on| weaning_plan(born_on, today, rules)),
        growing,
        lacks,
        advice: STANDING_LINE,
    })
}

/// Whether she nurses or carries, by her litters; nothing when both are too long ago.
fn stage_of(scope: &Scope, fed: &FedDog, now: DateTime<Utc>, rules: &Rules) -> Option<DamStage> {
    let days = |at: DateTime<Utc>| (scope.day_of(now) - scope.day_of(at)).num_days();
    let nursing = fed.nursing.map(|(at, pups)| DamStage::Lactating { day: days(at), pups });
    let time = KennelTime { now, tz: scope.tz() };
    let carrying = fed.carrying.as_ref().and_then(|(litters, dam)| {
        let mut days = litters.iter().map(|litter| day_of_pregnancy(dam, *litter, time, rules));
        days.find_map(|day| day).map(|day| DamStage::Pregnant { day })
    });
    let asked = |stage: &DamStage| match stage {
        DamStage::Lactating { day, pups } => (0..=70).contains(day) && *pups > 0,
        DamStage::Pregnant { day } => (0..=75).contains(day),
    };
    nursing.filter(asked).or_else(|| carrying.filter(asked))
}

fn pups_of(stage: DamStage) -> u32 {
    match stage {
        DamStage::Lactating { pups, .. } => pups,
        DamStage::Pregnant { .. } => 0,
    }
}

fn by_hand(
    fed: &FedDog,
    born_at: DateTime<Utc>,
    weight_g: f64,
    query: &FeedingQuery,
    rules: &Rules,
    now: DateTime<Utc>,
) -> Result<PupFeeding, Vec<Fault>> {
    let hand_fed = HandFedPup {
        weight_g,
        born_at,
        started_at: fed.feeds.iter().map(|feed| feed.at).min(),
        replacer_kcal_per_ml: query.replacer_kcal_per_ml,
        share: query.share.unwrap_or(1.0),
        // An old temperature says nothing of now.
        temperature_c: fed
            .temperature
            .filter(|(at, _)| (now - *at).num_hours() < 24)
            .map(|(_, temperature)| temperature),
    };
    let ration = pup_ration(&hand_fed, now, rules)?;
    let next = next_feed(&fed.feeds, &ration, now, rules);
    Ok(PupFeeding { ration, next })
}

/// What is asked stands in the query.
fn in_query(faults: Vec<Fault>) -> Vec<Fault> {
    faults
        .into_iter()
        .map(|fault| Fault {
            pointer: format!("#query/{}", fault.pointer.trim_start_matches('/')),
            ..fault
        })
        .collect()
}
