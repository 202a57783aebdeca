//! Tables that no query joins with others, as the migrations leave them.

#![allow(missing_docs, reason = "the columns speak for themselves; the migrations say why")]

diesel::table! {
    recovery_codes (person_id, code_hash) {
        person_id -> Uuid,
        code_hash -> Bytea,
    }
}

diesel::table! {
    password_resets (person_id) {
        person_id -> Uuid,
        code_hash -> Bytea,
        tries_left -> SmallInt,
        expires_at -> Timestamptz,
    }
}

diesel::table! {
    webhooks (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        url -> Text,
        events -> Jsonb,
        active -> Bool,
        note -> Nullable<Text>,
        secret -> Bytea,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    webhook_deliveries (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        webhook_id -> Uuid,
        sequence -> BigInt,
        event -> Text,
        status -> Text,
        attempts -> Integer,
        next_at -> Timestamptz,
        last_status -> Nullable<Integer>,
        last_error -> Nullable<Text>,
        delivered_at -> Nullable<Timestamptz>,
        created_at -> Timestamptz,
    }
}
