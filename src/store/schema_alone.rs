//! Tables that no query joins with others, as the migrations leave them.

#![allow(missing_docs, reason = "the columns speak for themselves; the migrations say why")]

diesel::table! {
    use crate::columns::sql::*;
    webhooks (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        url -> Text,
        events -> Shape,
        active -> Bool,
        note -> Nullable<Text>,
        secret -> Bytea,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    webhook_deliveries (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        webhook_id -> Uuid,
        sequence -> BigInt,
        event -> Text,
        status -> Word,
        attempts -> Integer,
        next_at -> Timestamptz,
        queued_at -> Timestamptz,
        last_status -> Nullable<Integer>,
        last_error -> Nullable<Text>,
        delivered_at -> Nullable<Timestamptz>,
        created_at -> Timestamptz,
    }
}

diesel::table! {
    webhook_standing (kennel_id, webhook_id) {
        kennel_id -> Uuid,
        webhook_id -> Uuid,
        failing_since -> Nullable<Timestamptz>,
        switched_off_at -> Nullable<Timestamptz>,
    }
}

diesel::table! {
    idempotency_keys (person_id, key) {
        person_id -> Uuid,
        key -> Text,
        fingerprint -> Bytea,
        status -> Nullable<SmallInt>,
        headers -> Jsonb,
        body -> Nullable<Jsonb>,
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    alarms_seen (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        alarm_id -> Uuid,
        code -> Text,
        level -> Word,
        litter_id -> Nullable<Uuid>,
        dog_id -> Nullable<Uuid>,
        seen_at -> Timestamptz,
        person_id -> Uuid,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}
