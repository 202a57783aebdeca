//! Matings and pregnancy checks.

use super::{pairs::OfPair, resource::prelude::*};
use domain::record::{Mating, MatingFilter, PregnancyCheck, PregnancyCheckFilter};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(create_mating)
        .service(list_matings)
        .service(read_mating)
        .service(change_mating)
        .service(delete_mating)
        .service(create_pregnancy_check)
        .service(list_pregnancy_checks)
        .service(read_pregnancy_check)
        .service(change_pregnancy_check)
        .service(delete_pregnancy_check);
}

resource!(Mating as OfPair, tag "matings", one "a mating (planned or done)", many "matings",
    at "/v1/kennels/{kennel_id}/matings", "/v1/kennels/{kennel_id}/matings/{mating_id}";
    create_mating, list_matings, read_mating, change_mating, delete_mating);

resource!(PregnancyCheck, tag "matings", one "a pregnancy check", many "the pregnancy checks of a mating",
    at "/v1/kennels/{kennel_id}/matings/{mating_id}/pregnancy-checks",
       "/v1/kennels/{kennel_id}/matings/{mating_id}/pregnancy-checks/{check_id}", under mating_id;
    create_pregnancy_check, list_pregnancy_checks, read_pregnancy_check, change_pregnancy_check,
    delete_pregnancy_check);
