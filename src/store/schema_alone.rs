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
    use crate::columns::sql::*;
    duty_rosters (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        turns -> Shape,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    ring_choices (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        person_id -> Uuid,
        choices -> Shape,
        version -> BigInt,
    }
}

diesel::table! {
    letters (kennel_id, membership_id) {
        kennel_id -> Uuid,
        membership_id -> Uuid,
        person_id -> Uuid,
        next_at -> Timestamptz,
    }
}

diesel::table! {
    push_devices (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        person_id -> Uuid,
        name -> Text,
        host -> Text,
        token_hash -> Bytea,
        secret -> Bytea,
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    rings (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        alarm_id -> Uuid,
        turn -> Integer,
        way -> Word,
        device_id -> Nullable<Uuid>,
        due_at -> Timestamptz,
        content -> Jsonb,
        patient -> Bool,
        invitation_id -> Nullable<Uuid>,
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

diesel::table! {
    use crate::columns::sql::*;
    attachments (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        upload_id -> Uuid,
        dog_id -> Nullable<Uuid>,
        litter_id -> Nullable<Uuid>,
        placement_id -> Nullable<Uuid>,
        kind -> Word,
        taken_on -> Nullable<Date>,
        caption -> Nullable<Text>,
        shown_to_buyer -> Bool,
        sha256 -> Text,
        media_type -> Word,
        size_bytes -> BigInt,
        width_px -> Nullable<Integer>,
        height_px -> Nullable<Integer>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    uploads (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        announced_bytes -> BigInt,
        announced_type -> Nullable<Text>,
        received_bytes -> BigInt,
        parts -> Array<Text>,
        sha256 -> Nullable<Text>,
        media_type -> Nullable<Word>,
        size_bytes -> Nullable<BigInt>,
        width_px -> Nullable<Integer>,
        height_px -> Nullable<Integer>,
        taken_on -> Nullable<Date>,
        expires_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    breed_tests (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        breed -> Nullable<Text>,
        series -> Text,
        name -> Nullable<Text>,
        of -> Word,
        needed -> Bool,
        valid_days -> Nullable<Integer>,
        source -> Text,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    free_tests (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        name -> Text,
        result -> Text,
        kind -> Nullable<Word>,
        gene -> Nullable<Text>,
        variant -> Nullable<Text>,
        inheritance -> Nullable<Word>,
        copies -> Nullable<Integer>,
        laboratory -> Nullable<Text>,
        tested_on -> Nullable<Date>,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    genomic_inbreedings (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        inbreeding -> Double,
        method -> Word,
        shortest_run_mb -> Nullable<Double>,
        laboratory -> Nullable<Text>,
        tested_on -> Nullable<Date>,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    screening_results (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        scheme -> Text,
        condition -> Nullable<Text>,
        result -> Nullable<Text>,
        left_side -> Nullable<Text>,
        right_side -> Nullable<Text>,
        examined_on -> Nullable<Date>,
        examiner -> Nullable<Text>,
        certificate -> Nullable<Text>,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    genotype_tests (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        marker -> Text,
        alleles -> Shape,
        laboratory -> Nullable<Text>,
        tested_on -> Nullable<Date>,
        omia -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    former_shares (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        person_id -> Uuid,
        numerator -> Integer,
        denominator -> Integer,
        held_from -> Nullable<Date>,
        held_until -> Date,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    costs (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        litter_id -> Nullable<Uuid>,
        what -> Text,
        amount_minor -> BigInt,
        currency -> Text,
        paid_on -> Date,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    follow_ups (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        placement_id -> Uuid,
        key -> Text,
        done_on -> Date,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}
