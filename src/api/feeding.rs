//! What a dam or a pup needs, when the next feed is due, and what was fed by hand.

use super::{inbreeding::current_book, problem::Kind, query::Query, resource::prelude::*};
use chrono::{DateTime, Utc};
use domain::{
    advice::STANDING_LINE,
    alarms::{Sights, cautions, of_feeding},
    fault::Fault,
    feeding::{
        DamEnergy, GrowingEnergy, NextFeed, PupRation, WeaningPlan, dam_energy, dam_energy_weeks,
        growing_energy, next_feed, pup_ration, weaned_by, weaning_plan,
    },
    litter::{Core, Nursing, Pregnancy, Weights, dam_stage, hand_fed},
    moment::Moment,
    record::{Feed, FeedFilter},
};
use serde::{Deserialize, Serialize};
use store::{
    litters::{self, Which},
    scope::Right,
};
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
    /// Whether the pup is weak: it is fed as often as a toy pup then.
    weak: Option<bool>,
}

/// The dam's need now and week by week.
#[derive(Serialize, ToSchema)]
pub struct DamFeeding {
    /// Now.
    now: DamEnergy,
    /// Through pregnancy and lactation with the pups that she has, or the likeliest number of those that
    /// she carries.
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
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let book = current_book(&app, &scope.0).await?;
    let (own, mut litters, moment) = app
        .db
        .within(&scope.0, async |tx| {
            let own = litters::of_dog::<(Weights, Nursing, Sights)>(tx, id).await?;
            let litters = litters::load::<Pregnancy>(tx, Which::OfDams(vec![id])).await?;
            Ok((own, litters, tx.moment().await?))
        })
        .await?;
    let answer = move || {
        litters.iter_mut().for_each(|(_, pregnancy)| pregnancy.look_up_inbreeding(&book));
        feeding(id, &own, &litters, &query.0, &moment)
    };
    seat.answer(answer).await
}

/// The record that a dog was born into, with what feeding asks of it.
type Own = (Core, (Weights, Nursing, Sights));

fn feeding(
    dog_id: Uuid,
    (core, (weights, nursing, sights)): &Own,
    litters: &[(Core, Pregnancy)],
    query: &FeedingQuery,
    moment: &Moment,
) -> Result<FeedingAnswer, Problem> {
    let (today, rules) = (moment.today(), &moment.rules);
    let refused = |faults: Vec<Fault>| Problem::faults(Kind::NotAcceptable, in_query(faults));
    let dog = core.pup(dog_id).ok_or_else(Problem::not_found)?;
    let mut lacks = Vec::new();
    let adult_g = dog.dog.as_ref().and_then(|dog| dog.adult_weight_g).map(f64::from);
    let weight_g = weights.last(dog_id, moment.now).map(|(_, weight)| weight);
    if weight_g.is_none() {
        lacks.push("a weight of this dog".to_owned());
    }
    let dam = match (dam_stage(litters, moment), weight_g.or(adult_g)) {
        (Some((stage, pups)), Some(weight)) => Some(DamFeeding {
            now: dam_energy(weight, stage, rules).map_err(refused)?,
            weeks: dam_energy_weeks(weight, pups, rules).map_err(refused)?,
        }),
        _ => None,
    };
    let born_on = dog.birth.as_ref().and_then(|_| dog.born_on(moment));
    let unweaned = born_on.filter(|born| today <= weaned_by(*born, rules));
    let share = query.share.unwrap_or(1.0);
    // One that died, left or was born dead is fed by nobody here.
    let here = dog.presence(moment).is_here();
    let hand_fed = unweaned.filter(|_| here).and_then(|_| {
        let parts = (weights, nursing);
        hand_fed(
            core,
            parts,
            dog_id,
            share,
            query.replacer_kcal_per_ml,
            query.weak.unwrap_or(false),
            moment,
        )
    });
    let pup = match hand_fed {
        Some(hand_fed) => {
            let ration = pup_ration(&hand_fed, moment.now, rules).map_err(refused)?;
            let next = next_feed(&nursing.feeds_taken(dog_id), &ration, moment.now, rules);
            // What was asked is judged by the ration; how it is fed comes from the one list.
            let alarms = of_feeding(core, (weights, nursing, sights), dog, moment);
            Some(PupFeeding { ration, next: NextFeed { cautions: cautions(&alarms), ..next } })
        }
        None => None,
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
        as_of: moment.now,
        weight_g,
        dam,
        pup,
        weaning: unweaned.filter(|_| here).map(|born_on| weaning_plan(born_on, today, rules)),
        growing,
        lacks,
        advice: STANDING_LINE,
    })
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
