//! What a booklet tells of a dog out of the record of its litter.

use super::{Core, Health, Pup, Weights, followed_schedule};
use crate::{
    booklet::{BookletBirth, BookletDog, BookletEvent, BookletWeight},
    moment::Moment,
    record::{Dog, HealthEvent, Kept},
    schedule::DueStep,
};
use uuid::Uuid;

/// What is told of one dog.
#[derive(Debug, Clone, PartialEq)]
pub struct ToldOfDog {
    /// Who it is.
    pub dog: BookletDog,
    /// How it was born.
    pub birth: Option<BookletBirth>,
    /// Its weights, in order of time.
    pub weights: Vec<BookletWeight>,
    /// Everything given and found; the kennel's private notes and who told it are left out.
    pub given: Vec<BookletEvent>,
    /// What is done about it.
    pub schedule: Vec<DueStep>,
}

/// What is told of a dog of this record; `None` for one that is not of it or may not be seen.
pub fn told_of_dog(
    core: &Core,
    weights: &Weights,
    health: &Health,
    dog_id: Uuid,
    moment: &Moment,
) -> Option<ToldOfDog> {
    let pup = core.pup(dog_id)?;
    let weighed = weights.weighings.of(dog_id).iter();
    Some(ToldOfDog {
        dog: dog(dog_id, pup.dog.as_ref()?),
        birth: birth(core, pup),
        weights: weighed
            .map(|w| BookletWeight {
                on: moment.day_of(w.measured_at),
                weight_g: w.weight_g as i32,
            })
            .collect(),
        given: health.events.of(dog_id).iter().map(|event| given(event, moment)).collect(),
        schedule: followed_schedule(core, health, pup, moment).steps,
    })
}

fn dog(dog_id: Uuid, dog: &Dog) -> BookletDog {
    BookletDog {
        dog_id,
        name: dog.name.clone(),
        call_name: dog.call_name.clone(),
        sex: dog.sex,
        breed: dog.breed.clone(),
        colour: dog.colour.clone(),
        markings: dog.markings.clone(),
        born_on: dog.born_on,
        chip_number: dog.chip_number.clone(),
        registrations: dog.registrations.clone(),
    }
}

fn birth(core: &Core, pup: &Pup) -> Option<BookletBirth> {
    // How many they were is not known where the litter is not seen.
    core.litter.as_ref()?;
    let birth = &pup.birth.as_ref()?.record;
    Some(BookletBirth {
        born_at: birth.born_at,
        ordinal: birth.ordinal,
        litter_size: core.births().count(),
        litter_name: core.called(),
        weight_g: birth.weight_g,
        collar: birth.collar.clone(),
    })
}

fn given(event: &Kept<HealthEvent>, moment: &Moment) -> BookletEvent {
    let event = &event.record;
    BookletEvent {
        on: moment.day_of(event.given_at),
        kind: event.kind,
        product: event.product.clone(),
        batch: event.batch.clone(),
        expires_on: event.expires_on,
        given_by: event.given_by.clone(),
        site: event.site.clone(),
        reaction: event.reaction.clone(),
    }
}
