//! The tables, as the migrations leave them. Generated columns are left out: nobody reads or writes them.

#![allow(missing_docs, reason = "the columns speak for themselves; the migrations say why")]

pub(crate) use super::schema_alone::{
    alarms_seen, duty_rosters, idempotency_keys, push_devices, ring_choices, webhook_deliveries,
    webhook_standing,
};
pub use super::schema_alone::{
    attachments, breed_tests, costs, follow_ups, former_shares, free_tests, genomic_inbreedings,
    genotype_tests, letters, rings, screening_results, uploads, webhooks,
};

diesel::table! {
    people (id) {
        id -> Uuid,
        name -> Text,
        email -> Text,
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    kennels (id) {
        id -> Uuid,
        name -> Text,
        time_zone -> Text,
        jurisdiction -> Nullable<Text>,
        currency -> Text,
        collars -> Shape,
        vet_phone -> Nullable<Text>,
        weight_unit -> Word,
        temperature_unit -> Word,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    change_heads (kennel_id) {
        kennel_id -> Uuid,
        sequence -> BigInt,
    }
}

diesel::table! {
    changes (kennel_id, sequence) {
        kennel_id -> Uuid,
        sequence -> BigInt,
        at -> Timestamptz,
        person_id -> Nullable<Uuid>,
        what -> Text,
        row_id -> Nullable<Uuid>,
        action -> Text,
        before -> Nullable<Jsonb>,
        after -> Nullable<Jsonb>,
        dog_ids -> Array<Uuid>,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    memberships (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        person_id -> Uuid,
        role -> Word,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    invitations (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        email -> Text,
        role -> Word,
        token_hash -> Bytea,
        expires_at -> Timestamptz,
        accepted_at -> Nullable<Timestamptz>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    access_tokens (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        person_id -> Uuid,
        name -> Text,
        token_hash -> Bytea,
        read_only -> Bool,
        areas -> Nullable<Array<Text>>,
        expires_at -> Nullable<Timestamptz>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    rule_overrides (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        key -> Text,
        value -> Double,
        source -> Text,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    dogs (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        name -> Nullable<Text>,
        call_name -> Nullable<Text>,
        sex -> Nullable<Word>,
        breed -> Nullable<Text>,
        colour -> Nullable<Text>,
        markings -> Nullable<Text>,
        born_on -> Nullable<Word>,
        died_on -> Nullable<Date>,
        died_of -> Nullable<Text>,
        sire_id -> Nullable<Uuid>,
        dam_id -> Nullable<Uuid>,
        chip_number -> Nullable<Text>,
        registrations -> Shape,
        adult_weight_g -> Nullable<Integer>,
        residence -> Word,
        came_on -> Nullable<Date>,
        for_breeding -> Bool,
        imported_id -> Nullable<Text>,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    shares (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        person_id -> Uuid,
        numerator -> Integer,
        denominator -> Integer,
        held_from -> Nullable<Date>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    heats (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        began_on -> Date,
        ended_on -> Nullable<Date>,
        note -> Nullable<Text>,
        confirmed -> Bool,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    heat_readings (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        heat_id -> Uuid,
        kind -> Word,
        taken_at -> Timestamptz,
        value -> Nullable<Double>,
        unit -> Nullable<Word>,
        finding -> Nullable<Text>,
        note -> Nullable<Text>,
        confirmed -> Bool,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    matings (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dam_id -> Uuid,
        sire_id -> Uuid,
        heat_id -> Nullable<Uuid>,
        status -> Word,
        method -> Word,
        planned_on -> Nullable<Date>,
        ties -> Shape,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    pregnancy_checks (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        mating_id -> Uuid,
        checked_at -> Timestamptz,
        method -> Word,
        result -> Word,
        count_at_least -> Nullable<Integer>,
        count_at_most -> Nullable<Integer>,
        heartbeats -> Nullable<Integer>,
        resorptions -> Nullable<Integer>,
        lost_how -> Nullable<Word>,
        measures -> Shape,
        due_on -> Nullable<Date>,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    litters (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dam_id -> Uuid,
        sire_id -> Nullable<Uuid>,
        mating_id -> Nullable<Uuid>,
        name -> Nullable<Text>,
        place_id -> Nullable<Uuid>,
        whelped_on -> Nullable<Date>,
        weaned_on -> Nullable<Date>,
        note -> Nullable<Text>,
        confirmed -> Bool,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    births (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        litter_id -> Uuid,
        dog_id -> Uuid,
        ordinal -> Integer,
        born_at -> Timestamptz,
        presentation -> Word,
        outcome -> Word,
        placenta -> Word,
        vitality -> Nullable<Shape>,
        vitality_minutes -> Nullable<Integer>,
        resuscitation_minutes -> Nullable<Integer>,
        collar -> Nullable<Text>,
        note -> Nullable<Text>,
        confirmed -> Bool,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    whelping_lines (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        litter_id -> Uuid,
        at -> Timestamptz,
        event -> Shape,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    dam_checks (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        litter_id -> Uuid,
        checked_at -> Timestamptz,
        temperature_c -> Nullable<Double>,
        discharge -> Nullable<Word>,
        discharge_amount -> Nullable<Word>,
        eats -> Nullable<Bool>,
        glands -> Nullable<Word>,
        signs -> Shape,
        pups_cry -> Nullable<Bool>,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    pup_checks (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        checked_at -> Timestamptz,
        signs -> Shape,
        nurses -> Nullable<Bool>,
        exam -> Nullable<Shape>,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    feeds (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        fed_at -> Timestamptz,
        volume_ml -> Double,
        food -> Nullable<Text>,
        note -> Nullable<Text>,
        confirmed -> Bool,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    weights (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        measured_at -> Timestamptz,
        weight_g -> Integer,
        confirmed -> Bool,
        at_birth -> Bool,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    temperatures (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        measured_at -> Timestamptz,
        temperature_c -> Double,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    health_plans (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        name -> Text,
        steps -> Shape,
        key -> Text,
        subject -> Word,
        by_default -> Bool,
        instead_of -> Nullable<Text>,
        source -> Text,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    health_events (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        kind -> Word,
        series -> Nullable<Text>,
        step -> Nullable<Text>,
        also_series -> Shape,
        result -> Nullable<Word>,
        protective -> Nullable<Bool>,
        given_at -> Timestamptz,
        product -> Nullable<Text>,
        batch -> Nullable<Text>,
        expires_on -> Nullable<Date>,
        given_by -> Nullable<Text>,
        site -> Nullable<Text>,
        reaction -> Nullable<Text>,
        buyer_id -> Nullable<Uuid>,
        note -> Nullable<Text>,
        confirmed -> Bool,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    buyers (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        name -> Text,
        email -> Nullable<Text>,
        phone -> Nullable<Text>,
        address -> Nullable<Text>,
        household -> Nullable<Text>,
        screening -> Nullable<Text>,
        wishes -> Shape,
        joined_on -> Date,
        waiting_order -> Nullable<Integer>,
        left_on -> Nullable<Date>,
        consented_on -> Nullable<Date>,
        consent_withdrawn_on -> Nullable<Date>,
        erased_on -> Nullable<Date>,
        note -> Nullable<Text>,
        created_by -> Nullable<Uuid>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    placements (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        buyer_id -> Nullable<Uuid>,
        kind -> Word,
        stage -> Word,
        reserved_until -> Nullable<Date>,
        handed_over_on -> Nullable<Date>,
        price_minor -> Nullable<BigInt>,
        currency -> Nullable<Text>,
        balance_due_on -> Nullable<Date>,
        country -> Nullable<Text>,
        terms -> Nullable<Text>,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    payments (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        placement_id -> Uuid,
        kind -> Word,
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
    use crate::columns::sql::*;
    health_plan_versions (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        plan_key -> Text,
        number -> Integer,
        in_force_from -> Date,
        plan -> Nullable<Shape>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    litter_plans (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        litter_id -> Uuid,
        plan_key -> Text,
        plan_version -> Nullable<Integer>,
        reason -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    papers (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        paper -> Text,
        done_on -> Date,
        note -> Nullable<Text>,
        confirmed -> Bool,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    readiness_overrides (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        rule -> Word,
        reason -> Text,
        by -> Nullable<Text>,
        on -> Nullable<Date>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    readiness_rules (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        own -> Shape,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    buyer_reports (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        buyer_id -> Nullable<Uuid>,
        link_id -> Nullable<Uuid>,
        news -> Shape,
        status -> Word,
        refusal_reason -> Nullable<Text>,
        decided_on -> Nullable<Date>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    booklet_texts (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        welcome -> Nullable<Text>,
        feeding -> Nullable<Text>,
        care -> Nullable<Text>,
        contact -> Nullable<Text>,
        logo_svg -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    booklet_links (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        dog_id -> Uuid,
        label -> Nullable<Text>,
        token_hash -> Bytea,
        expires_at -> Nullable<Timestamptz>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    places (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        name -> Text,
        kind -> Word,
        capacity -> Integer,
        closed -> Shape,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    absences (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        person_id -> Uuid,
        from_on -> Date,
        to_on -> Date,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    supplies (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        key -> Text,
        on_hand -> Double,
        counted_on -> Nullable<Date>,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    use crate::columns::sql::*;
    preparation_templates (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        tasks -> Shape,
        supplies -> Shape,
        without -> Shape,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    planner_settings (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        breeding_rules -> Text,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    own_tasks (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        title -> Text,
        from_on -> Nullable<Date>,
        due_on -> Date,
        litter_id -> Nullable<Uuid>,
        dog_id -> Nullable<Uuid>,
        note -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    task_marks (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        key -> Text,
        litter_id -> Nullable<Uuid>,
        dog_id -> Nullable<Uuid>,
        assignee_id -> Nullable<Uuid>,
        done_at -> Nullable<Timestamptz>,
        done_by -> Nullable<Uuid>,
        snoozed_until -> Nullable<Date>,
        snooze_reason -> Nullable<Text>,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
    }
}

diesel::table! {
    calendar_links (kennel_id, id) {
        kennel_id -> Uuid,
        id -> Uuid,
        person_id -> Uuid,
        name -> Text,
        token_hash -> Bytea,
        version -> BigInt,
        created_at -> Timestamptz,
        updated_at -> Timestamptz,
        kinds -> Array<Text>,
        alarms -> Bool,
    }
}

diesel::allow_tables_to_appear_in_same_query!(
    people,
    kennels,
    change_heads,
    changes,
    memberships,
    invitations,
    access_tokens,
    rule_overrides,
    dogs,
    shares,
    heats,
    heat_readings,
    matings,
    pregnancy_checks,
    litters,
    births,
    whelping_lines,
    dam_checks,
    pup_checks,
    feeds,
    weights,
    temperatures,
    health_plans,
    health_events,
    buyers,
    placements,
    payments,
    health_plan_versions,
    litter_plans,
    papers,
    readiness_overrides,
    readiness_rules,
    buyer_reports,
    booklet_texts,
    booklet_links,
    places,
    absences,
    supplies,
    preparation_templates,
    planner_settings,
    own_tasks,
    task_marks,
    calendar_links
);
