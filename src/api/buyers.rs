//! Buyers on the waiting list.

use super::resource::prelude::*;
use crate::domain::record::{Buyer, BuyerFilter};

/// The operations of this file.
pub fn configure(config: &mut utoipa_actix_web::service_config::ServiceConfig<'_>) {
    config
        .service(create_buyer)
        .service(list_buyers)
        .service(read_buyer)
        .service(change_buyer)
        .service(delete_buyer);
}

resource!(Buyer, tag "buyers", one "a buyer", many "buyers, in the order in which they were entered",
    at "/v1/kennels/{kennel_id}/buyers", "/v1/kennels/{kennel_id}/buyers/{buyer_id}";
    create_buyer, list_buyers, read_buyer, change_buyer, delete_buyer);
