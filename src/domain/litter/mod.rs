//! All that is recorded of a litter: one record, of which every answer about it is a view.
//!
//! A [`Core`] is always there: the litter, its dam and sire, its dates, its births and pups, and who of
//! them is present. The rest comes in parts ([`Pregnancy`], [`WhelpingWatch`], [`Weights`],
//! [`Nursing`], [`Health`], [`Homes`]) that are loaded where a question names them. A view is a function over the core and the
//! parts that it needs, so that what was not loaded cannot be read.

mod by_dog;
mod core;
mod dog_growth;
mod doses;
mod feeding;
#[cfg(test)]
pub(crate) mod feeding_limits_tests;
mod growing;
mod health;
mod home;
mod homes;
#[cfg(test)]
pub(crate) mod limits_tests;
mod nursing;
mod pregnancy;
mod presence;
mod ration;
#[cfg(test)]
mod ration_tests;
mod told;
mod weights;
mod whelping_watch;

pub use self::by_dog::ByDog;
pub use self::core::{Core, LitterOfDam, Pup, called};
pub(crate) use dog_growth::adult_weight_of;
pub use dog_growth::{
    DogGrowthAnswer, LinesOfDog, PicturedEvent, born_litter, dog_growth, lines_of_dog,
    pictured_events, usually_weaned_on,
};
pub use doses::{DogCautions, Dosed, DueWalk, Schedules, due_walk, told_schedule};
pub(crate) use doses::{
    Walked, due_walk_of, followed, followed_schedule, followed_schedules, walked,
    whole_schedule_of_dam,
};
pub use feeding::feed_of_pup;
pub(crate) use feeding::{dam_stage, hand_fed};
pub use growing::{growth_litter, litter_to_weigh, pictured_until};
pub use health::{Health, HeatSign};
pub(crate) use home::bereft_buyers;
pub use home::{dog_readiness, pups_readiness};
pub use homes::Homes;
pub use nursing::Nursing;
pub use pregnancy::Pregnancy;
pub use presence::{Placed, Presence, collars_worn};
pub use ration::{DamFeeding, FeedingAnswer, HandFeeding, PupFeeding, orphan_plan, ration};
pub use told::{ToldOfDog, told_of_dog};
pub use weights::Weights;
pub(crate) use whelping_watch::night_case;
pub use whelping_watch::{
    PupOfNight, WhelpingWatch, dam_after_whelping, puerperium_of_dam, pups_of_night, signs_of_dam,
    whelping_status,
};
