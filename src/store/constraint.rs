//! The database's last word, in words: what each named constraint means to a client.

use super::StoreError;
use catalogue::{Text, said};
use diesel::result::{DatabaseErrorInformation, DatabaseErrorKind, Error};
use domain::fault::{Fault, unquoted};

/// Why the database lets nobody enter a kennel, in its own words.
const SESSION_ENDED: &str = "this session was ended; log in again";
const TOKEN_DEAD: &str = "the access token is unknown, expired or withdrawn";
const NOT_THERE: [&str; 2] = ["no kennel that this person belongs to", "no such link"];

/// What a violated constraint means.
enum Meaning {
    /// Taken or in use.
    Conflict(Text),
    /// Wrong input at a place of the body.
    Refused(&'static str, Text),
}

/// Foreign keys are violated from both sides: by a row that names nothing, and by deleting what is named.
fn meaning(constraint: &str) -> Option<Meaning> {
    taken(constraint)
        .map(Meaning::Conflict)
        .or_else(|| refused(constraint).map(|(pointer, detail)| Meaning::Refused(pointer, detail)))
}

/// What is there already, or must stay.
fn taken(constraint: &str) -> Option<Text> {
    Some(match constraint {
        "people_email_taken" => said!("problem-conflict-email"),
        "kennels_pkey" => said!("problem-conflict-kennel-here"),
        "memberships_person_taken" => said!("problem-conflict-member"),
        "memberships_last_owner" => said!("problem-conflict-last-owner"),
        "rule_overrides_key_taken" => said!("problem-conflict-rule"),
        "webhooks_at_most" => said!("problem-conflict-webhooks"),
        "dogs_chip_taken" => said!("problem-conflict-chip"),
        "dogs_imported_id_taken" => said!("problem-conflict-imported-id"),
        "shares_holder_taken" => said!("problem-conflict-share"),
        "buyer_reports_at_most" => said!("problem-conflict-reports-wait"),
        "former_shares_held_once" => said!("problem-conflict-former-share"),
        "genotype_tests_marker_taken" => said!("problem-conflict-marker"),
        "breed_tests_series_taken" => said!("problem-conflict-breed-test"),
        "free_tests_name_taken" => said!("problem-conflict-free-test"),
        "heats_began_taken" => said!("problem-conflict-heat"),
        "litters_mating_taken" => said!("problem-conflict-litter-of-mating"),
        "health_plans_key_taken" => said!("problem-conflict-plan-key"),
        "health_plan_versions_number_taken" => said!("problem-conflict-plan-moment"),
        "litter_plans_plan_taken" => said!("problem-conflict-litter-plan"),
        "attachments_upload_taken" => said!("problem-conflict-upload-used"),
        "papers_paper_taken" => said!("problem-conflict-paper"),
        "follow_ups_key_taken" => said!("problem-conflict-follow-up"),
        "placements_dog_taken" => said!("problem-conflict-pup-placed"),
        "births_ordinal_taken" => said!("problem-conflict-ordinal"),
        "dogs_pkey" => said!("problem-conflict-dog-id"),
        "births_pkey" => said!("problem-conflict-birth-id"),
        "weights_at_birth" => said!("problem-conflict-birth-weight"),
        "births_dog_taken" => said!("problem-conflict-birth-of-dog"),
        "places_name_taken" => said!("problem-conflict-place-name"),
        "supplies_key_taken" => said!("problem-conflict-supply"),
        "preparation_templates_one"
        | "planner_settings_one"
        | "duty_rosters_one"
        | "ring_choices_one"
        | "push_devices_one"
        | "task_marks_key_taken" => {
            said!("problem-conflict-moment")
        }
        _ => return None,
    })
}

/// What is wrong, and at which field of the body.
fn refused(constraint: &str) -> Option<(&'static str, Text)> {
    Some(match constraint {
        "memberships_person_id_fkey" => ("/person_id", said!("fault-not-found-person")),
        "shares_person" => ("/person_id", said!("fault-not-found-member-to-invite")),
        "former_shares_person" => ("/person_id", said!("fault-not-found-member-ever")),
        "task_marks_assignee" => ("/assignee_id", said!("fault-not-found-member")),
        "absences_person" => ("/person_id", said!("fault-not-found-member")),
        "task_marks_done_by" => ("/done_by", said!("fault-not-found-member-ever")),
        "task_marks_litter" => ("", said!("fault-not-found-litter-any-more")),
        "task_marks_dog" => ("", said!("fault-not-found-dog-any-more")),
        "dogs_sire" => ("/sire_id", said!("fault-not-found-sire-of-dog")),
        "dogs_dam" => ("/dam_id", said!("fault-not-found-dam-of-dog")),
        "dogs_not_own_parent" | "dogs_own_ancestor" => {
            ("/sire_id", said!("fault-own-ancestor-dog"))
        }
        "dogs_sire_older" => ("/sire_id", said!("fault-too-young-sire-of-dog")),
        "dogs_dam_older" => ("/dam_id", said!("fault-too-young-dam-of-dog")),
        "dogs_offspring_younger" => ("/born_on", said!("fault-too-late-before-offspring")),
        "shares_sum_at_most_one" => ("/numerator", said!("fault-out-of-range-shares-sum")),
        "heats_dog" => ("/dog_id", said!("fault-not-found-dog-that-fits")),
        "matings_heat" => ("/heat_id", said!("fault-not-found-heat-of-dam")),
        "litters_mating" => ("/mating_id", said!("fault-not-found-mating-of-dam")),
        "pregnancy_checks_due" => ("/due_on", said!("fault-too-early-due")),
        _ => return names_no_row(constraint),
    })
}

/// A reference is called by its table and by what it names (`feeds_dog`, `costs_litter`).
fn names_no_row(constraint: &str) -> Option<(&'static str, Text)> {
    let (_, named) = constraint.rsplit_once('_')?;
    Some(match named {
        "dog" => ("/dog_id", said!("fault-not-found-dog-here")),
        "dam" => ("/dam_id", said!("fault-not-found-dam-here")),
        "sire" => ("/sire_id", said!("fault-not-found-sire-here")),
        "litter" => ("/litter_id", said!("fault-not-found-litter-here")),
        "heat" => ("/heat_id", said!("fault-not-found-heat-here")),
        "mating" => ("/mating_id", said!("fault-not-found-mating-here")),
        "placement" => ("/placement_id", said!("fault-not-found-placement-here")),
        "place" => ("/place_id", said!("fault-not-found-place-here")),
        "buyer" => ("/buyer_id", said!("fault-not-found-buyer-here")),
        _ => return None,
    })
}

/// Turns a database error into what it means for the client, or for us.
pub(crate) fn explain(error: Error) -> StoreError {
    match error {
        Error::NotFound => StoreError::NotFound,
        Error::DatabaseError(kind, info) => database_error(kind, info.as_ref()),
        Error::BrokenTransactionManager => StoreError::Unavailable("connection lost".to_owned()),
        other => StoreError::Internal(other.to_string()),
    }
}

/// What is wrong with a row of a file that was to be written, or why it could not be.
///
/// # Errors
/// When it is not the row's fault.
pub(crate) fn explain_row(error: Error) -> Result<Fault, StoreError> {
    let Error::DatabaseError(kind, info) = error else { return Err(explain(error)) };
    let place = |detail: Text| Fault::new("", detail);
    match kind {
        DatabaseErrorKind::NotNullViolation => {
            let column = info.column_name().unwrap_or_default();
            Ok(Fault::new(format!("/{column}"), said!("fault-missing-field")))
        }
        DatabaseErrorKind::UniqueViolation
        | DatabaseErrorKind::ForeignKeyViolation
        | DatabaseErrorKind::CheckViolation => {
            let constraint = info.constraint_name().unwrap_or_default();
            let names_a_row = matches!(kind, DatabaseErrorKind::ForeignKeyViolation);
            Ok(match meaning(constraint) {
                Some(Meaning::Conflict(text)) => {
                    place(said!("fault-taken-another-row", why = text))
                }
                Some(Meaning::Refused(pointer, text)) => Fault::new(pointer, text),
                None if constraint.ends_with("_pkey") => place(said!("fault-twice-row-before")),
                None if names_a_row => {
                    place(said!("fault-not-found-row-of-constraint", constraint = constraint))
                }
                None => place(said!("fault-malformed-constraint", constraint = constraint)),
            })
        }
        _ if passing(info.message()).is_some() => Err(explain(Error::DatabaseError(kind, info))),
        DatabaseErrorKind::Unknown => {
            tracing::info!(
                cause = unquoted(&told(info.as_ref())),
                "a row of an archive was refused"
            );
            Ok(place(said!("fault-out-of-range-row")))
        }
        _ => Err(explain(Error::DatabaseError(kind, info))),
    }
}

fn database_error(kind: DatabaseErrorKind, info: &dyn DatabaseErrorInformation) -> StoreError {
    let message = info.message();
    let still_referenced = message.starts_with("update or delete on table");
    match kind {
        DatabaseErrorKind::ForeignKeyViolation if still_referenced => {
            let by = info.table_name().unwrap_or("another_table");
            let by = Text::keyed("table", &by.replace('_', "-"), by.replace('_', " "));
            StoreError::Conflict(said!("problem-conflict-in-use", by = by))
        }
        DatabaseErrorKind::UniqueViolation
        | DatabaseErrorKind::ForeignKeyViolation
        | DatabaseErrorKind::CheckViolation => match info.constraint_name().and_then(meaning) {
            Some(Meaning::Conflict(text)) => StoreError::Conflict(text),
            Some(Meaning::Refused(pointer, text)) => StoreError::refused(pointer, text),
            None => StoreError::Internal(told(info)),
        },
        // A server that became a standby takes no writes.
        DatabaseErrorKind::ClosedConnection
        | DatabaseErrorKind::UnableToSendCommand
        | DatabaseErrorKind::ReadOnlyTransaction => StoreError::Unavailable(message.to_owned()),
        DatabaseErrorKind::SerializationFailure => StoreError::Busy(message.to_owned()),
        _ if message == SESSION_ENDED => StoreError::Login(said!("problem-login-session-ended")),
        _ if message == TOKEN_DEAD => StoreError::Login(said!("problem-login-token-dead")),
        _ if NOT_THERE.contains(&message) => StoreError::NotFound,
        _ if message.contains("row-level security") => {
            StoreError::refused("", said!("fault-not-found-dog-or-share"))
        }
        _ => passing(message).unwrap_or_else(|| StoreError::Internal(told(info))),
    }
}

/// What the database said and of what, for the log.
fn told(info: &dyn DatabaseErrorInformation) -> String {
    let names = [info.table_name(), info.column_name(), info.constraint_name()];
    let names: Vec<&str> = names.into_iter().flatten().collect();
    format!("{} ({})", info.message(), names.join(", "))
}

/// Errors that pass: a server that goes away or starts, has no room, or others who hold what is
/// needed.
fn passing(message: &str) -> Option<StoreError> {
    const AWAY: [&str; 5] = [
        "terminating connection",
        "the database system is",
        "connection closed",
        "too many clients",
        "remaining connection slots",
    ];
    const FULL: [&str; 2] = ["could not extend file", "No space left"];
    const BUSY: [&str; 3] = ["deadlock detected", "canceling statement due to", "out of memory"];
    let is_one_of = |signs: &[&str]| signs.iter().any(|sign| message.contains(sign));
    if is_one_of(&AWAY) {
        Some(StoreError::Unavailable(message.to_owned()))
    } else if is_one_of(&FULL) {
        Some(StoreError::Full(message.to_owned()))
    } else if is_one_of(&BUSY) {
        Some(StoreError::Busy(message.to_owned()))
    } else {
        None
    }
}
