//! Placements and payments.

use super::resource::prelude::*;
use crate::domain::record::{Payment, PaymentFilter, Placement, PlacementFilter};

/// The operations of this file.
pub fn configure(config: &mut utoipa_actix_web::service_config::ServiceConfig<'_>) {
    config
        .service(create_placement)
        .service(list_placements)
        .service(read_placement)
        .service(change_placement)
        .service(delete_placement)
        .service(create_payment)
        .service(list_payments)
        .service(read_payment)
        .service(change_payment)
        .service(delete_payment);
}

resource!(Placement, tag "placements", one "the placement of a pup", many "placements",
    at "/v1/kennels/{kennel_id}/placements", "/v1/kennels/{kennel_id}/placements/{placement_id}";
    create_placement, list_placements, read_placement, change_placement, delete_placement);

resource!(Payment, tag "placements", one "a payment", many "the payments of a placement",
    at "/v1/kennels/{kennel_id}/placements/{placement_id}/payments",
       "/v1/kennels/{kennel_id}/placements/{placement_id}/payments/{payment_id}", under placement_id;
    create_payment, list_payments, read_payment, change_payment, delete_payment);
