//! Litters and births.

use super::{pairs::OfPair, resource::prelude::*};
use domain::record::{Birth, BirthFilter, Litter, LitterFilter};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(create_litter)
        .service(list_litters)
        .service(read_litter)
        .service(change_litter)
        .service(delete_litter)
        .service(create_birth)
        .service(list_births)
        .service(read_birth)
        .service(change_birth)
        .service(delete_birth);
}

resource!(Litter as OfPair, tag "litters", one "a litter (expected or born)", many "litters",
    at "/v1/kennels/{kennel_id}/litters", "/v1/kennels/{kennel_id}/litters/{litter_id}";
    create_litter, list_litters, read_litter, change_litter, delete_litter);

resource!(Birth, tag "litters", one "a birth; it makes the pup's dog", many "the births of a litter",
    at "/v1/kennels/{kennel_id}/litters/{litter_id}/births",
       "/v1/kennels/{kennel_id}/litters/{litter_id}/births/{birth_id}", under litter_id;
    create_birth, list_births, read_birth, change_birth, delete_birth);
