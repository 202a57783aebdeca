//! Dogs and shares.

use super::resource::prelude::*;
use domain::record::{Dog, DogFilter, FormerShare, FormerShareFilter, Share, ShareFilter};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(create_dog)
        .service(list_dogs)
        .service(read_dog)
        .service(change_dog)
        .service(delete_dog)
        .service(create_share)
        .service(list_shares)
        .service(read_share)
        .service(change_share)
        .service(delete_share)
        .service(create_former_share)
        .service(list_former_shares)
        .service(read_former_share)
        .service(change_former_share)
        .service(delete_former_share);
}

resource!(Dog, tag "dogs", one "a dog", many "dogs",
    at "/v1/kennels/{kennel_id}/dogs", "/v1/kennels/{kennel_id}/dogs/{dog_id}";
    create_dog, list_dogs, read_dog, change_dog, delete_dog);

resource!(Share, tag "dogs", one "a share in a dog", many "the shares in a dog",
    at "/v1/kennels/{kennel_id}/dogs/{dog_id}/shares",
       "/v1/kennels/{kennel_id}/dogs/{dog_id}/shares/{share_id}", under dog_id;
    create_share, list_shares, read_share, change_share, delete_share);

resource!(FormerShare, tag "dogs", one "a share in a dog as it was held before", many "the former shares in a dog",
    at "/v1/kennels/{kennel_id}/dogs/{dog_id}/former-shares",
       "/v1/kennels/{kennel_id}/dogs/{dog_id}/former-shares/{former_share_id}", under dog_id;
    create_former_share, list_former_shares, read_former_share, change_former_share, delete_former_share);
