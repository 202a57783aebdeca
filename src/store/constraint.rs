//! The database's last word, in words: what each named constraint means to a client.

use super::StoreError;
use diesel::result::{DatabaseErrorInformation, DatabaseErrorKind, Error};
use domain::fault::{Fault, unquoted};

/// Why the database lets nobody enter a kennel, in its own words.
const SESSION_ENDED: &str = "this session was ended; log in again";
const TOKEN_DEAD: &str = "the access token is unknown, expired or withdrawn";
const NOT_THERE: [&str; 2] = ["no kennel that this person belongs to", "no such link"];

/// What a violated constraint means.
enum Meaning {
    /// Taken or in use.
    Conflict(&'static str),
    /// Wrong input at a place of the body.
    Refused(&'static str, &'static str),
}

/// Foreign keys are violated from both sides: by a row that names nothing, and by deleting what is named.
fn meaning(constraint: &str) -> Option<Meaning> {
    use Meaning::{Conflict, Refused};
    Some(match constraint {
        "people_email_taken" => Conflict("a person with this email address exists already"),
        "kennels_pkey" => Conflict(
            "this kennel is in this database already; take the archive in as a copy (?copy=true)",
        ),
        "memberships_person_taken" => Conflict("this person is a member already"),
        "memberships_last_owner" => {
            Conflict("a kennel keeps at least one owner; make somebody else owner first")
        }
        "memberships_person_id_fkey" => {
            Refused("/person_id", "names nobody; give the id of a person who has a login")
        }
        "shares_person" => Refused(
            "/person_id",
            "names no member of this kennel; invite the person first, as a co-owner",
        ),
        "task_marks_assignee" => Refused("/assignee_id", "names no member of this kennel"),
        "task_marks_done_by" => Refused("/done_by", "names nobody who was ever a member"),
        "task_marks_litter" => Refused("", "names a litter that is not there any more"),
        "task_marks_dog" => Refused("", "names a dog that is not there any more"),
        "litter_plans_litter" | "births_litter" | "whelping_lines_litter" | "dam_checks_litter" => {
            Refused("/litter_id", "names no litter of this kennel")
        }
        "feeds_dog" => Refused("/dog_id", "names no dog of this kennel"),
        "heat_readings_heat" => Refused("/heat_id", "names no heat of this kennel"),
        "pregnancy_checks_mating" => Refused("/mating_id", "names no mating of this kennel"),
        "payments_placement" | "follow_ups_placement" => {
            Refused("/placement_id", "names no placement of this kennel")
        }
        "rule_overrides_key_taken" => {
            Conflict("this rule has a value of the kennel's own already; change that one")
        }
        "webhooks_at_most" => {
            Conflict("this kennel has 20 webhooks, which is the most; delete one first")
        }
        "dogs_chip_taken" => Conflict("another dog has this chip_number"),
        "dogs_imported_id_taken" => Conflict("another dog has this imported_id"),
        "dogs_sire" => Refused(
            "/sire_id",
            "names no male dog of this kennel's list; give a dog whose sex is male",
        ),
        "dogs_dam" => Refused(
            "/dam_id",
            "names no female dog of this kennel's list; give a dog whose sex is female",
        ),
        "dogs_not_own_parent" | "dogs_own_ancestor" => {
            Refused("/sire_id", "would make the dog its own ancestor; correct sire_id or dam_id")
        }
        "dogs_sire_older" => Refused(
            "/sire_id",
            "names a sire that is not older than the dog; correct a birth date or the sire",
        ),
        "dogs_dam_older" => Refused(
            "/dam_id",
            "names a dam that is not older than the dog; correct a birth date or the dam",
        ),
        "dogs_offspring_younger" => {
            Refused("/born_on", "is not before the birth of the dog's own offspring")
        }
        "shares_holder_taken" => {
            Conflict("this person has a share in this dog already; change that one")
        }
        "shares_sum_at_most_one" => {
            Refused("/numerator", "makes the shares in this dog sum to more than one")
        }
        "shares_dog"
        | "weights_dog"
        | "temperatures_dog"
        | "health_events_dog"
        | "placements_dog"
        | "heats_dog"
        | "papers_dog"
        | "readiness_overrides_dog"
        | "booklet_links_dog" => {
            Refused("/dog_id", "names no dog of this kennel that fits (a heat needs a female)")
        }
        "genotype_tests_dog" => Refused("/dog_id", "names no dog of this kennel"),
        "genotype_tests_marker_taken" => {
            Conflict("this dog has a result of this marker already; change that one")
        }
        "heats_began_taken" => Conflict("this dam has a heat that began on that day already"),
        "matings_dam" | "litters_dam" => {
            Refused("/dam_id", "names no female dog of this kennel's list")
        }
        "matings_sire" | "litters_sire" => {
            Refused("/sire_id", "names no male dog of this kennel's list")
        }
        "matings_heat" => Refused("/heat_id", "names no heat of this dam"),
        "litters_place" => Refused("/place_id", "names no place of this kennel's list"),
        "litters_mating" => Refused("/mating_id", "names no mating of this dam"),
        "litters_mating_taken" => Conflict("this mating has a litter already"),
        "health_plans_key_taken" => Conflict("a health plan has this key already; change that one"),
        "health_plan_versions_number_taken" => {
            Conflict("somebody else changed this plan at the same moment; try again")
        }
        "litter_plans_plan_taken" => Conflict("the litter follows this plan already"),
        "papers_paper_taken" => Conflict("this paper of the pup is recorded already; change that"),
        "follow_ups_key_taken" => Conflict("this follow-up is done already"),
        "health_events_buyer" => Refused("/buyer_id", "names no buyer of this kennel"),
        "costs_litter" => Refused("/litter_id", "names no litter of this kennel"),
        "placements_buyer" => Refused("/buyer_id", "names no buyer of this kennel"),
        "placements_dog_taken" => Conflict("this pup is reserved or handed over already"),
        "births_ordinal_taken" => Conflict("this ordinal is taken in the litter"),
        "dogs_pkey" => Conflict("a dog has this id already"),
        "births_pkey" => Conflict("a birth has this id already"),
        "weights_at_birth" => Conflict("the pup has a weight at birth already; change that one"),
        "births_dog_taken" => Conflict("this dog has a birth already"),
        "places_name_taken" => Conflict("a place has this name already"),
        "absences_person" => Refused("/person_id", "names no member of this kennel"),
        "supplies_key_taken" => Conflict("this supply is counted already; change that entry"),
        "preparation_templates_one" | "planner_settings_one" | "task_marks_key_taken" => {
            Conflict("somebody else wrote it at the same moment; read it again")
        }
        "own_tasks_litter" => Refused("/litter_id", "names no litter of this kennel"),
        "own_tasks_dog" => Refused("/dog_id", "names no dog of this kennel"),
        "pregnancy_checks_due" => Refused("/due_on", "is before the day of the check"),
        _ => return None,
    })
}

/// Turns a database error into what it means for the client, or for us.
pub fn explain(error: Error) -> StoreError {
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
pub fn explain_row(error: Error) -> Result<Fault, StoreError> {
    let Error::DatabaseError(kind, info) = error else { return Err(explain(error)) };
    let place = |detail: String| Fault { pointer: String::new(), detail };
    match kind {
        DatabaseErrorKind::NotNullViolation => {
            let column = info.column_name().unwrap_or_default();
            let detail = "is missing; it must be given".to_owned();
            Ok(Fault { pointer: format!("/{column}"), detail })
        }
        DatabaseErrorKind::UniqueViolation
        | DatabaseErrorKind::ForeignKeyViolation
        | DatabaseErrorKind::CheckViolation => {
            let constraint = info.constraint_name().unwrap_or_default();
            let names_a_row = matches!(kind, DatabaseErrorKind::ForeignKeyViolation);
            Ok(match meaning(constraint) {
                Some(Meaning::Conflict(text)) => {
                    place(format!("stands against another row: {text}"))
                }
                Some(Meaning::Refused(pointer, text)) => {
                    Fault { pointer: pointer.to_owned(), detail: text.to_owned() }
                }
                None if constraint.ends_with("_pkey") => {
                    place("has an id that a row before has".to_owned())
                }
                None if names_a_row => {
                    place(format!("refers to a row that is not there ({constraint})"))
                }
                None => place(format!("breaks the rule {constraint}")),
            })
        }
        _ if passing(info.message()).is_some() => Err(explain(Error::DatabaseError(kind, info))),
        DatabaseErrorKind::Unknown => {
            tracing::info!(
                cause = unquoted(&told(info.as_ref())),
                "a row of an archive was refused"
            );
            Ok(place("cannot be kept; a value is out of range".to_owned()))
        }
        _ => Err(explain(Error::DatabaseError(kind, info))),
    }
}

fn database_error(kind: DatabaseErrorKind, info: &dyn DatabaseErrorInformation) -> StoreError {
    let message = info.message();
    let still_referenced = message.starts_with("update or delete on table");
    match kind {
        DatabaseErrorKind::ForeignKeyViolation if still_referenced => {
            let by = info.table_name().unwrap_or("another table").replace('_', " ");
            StoreError::Conflict(format!(
                "is in use by {by}; remove or change what refers to it first"
            ))
        }
        DatabaseErrorKind::UniqueViolation
        | DatabaseErrorKind::ForeignKeyViolation
        | DatabaseErrorKind::CheckViolation => match info.constraint_name().and_then(meaning) {
            Some(Meaning::Conflict(text)) => StoreError::Conflict(text.to_owned()),
            Some(Meaning::Refused(pointer, text)) => StoreError::refused(pointer, text),
            None => StoreError::Internal(told(info)),
        },
        // A server that became a standby takes no writes.
        DatabaseErrorKind::ClosedConnection
        | DatabaseErrorKind::UnableToSendCommand
        | DatabaseErrorKind::ReadOnlyTransaction => StoreError::Unavailable(message.to_owned()),
        DatabaseErrorKind::SerializationFailure => StoreError::Busy(message.to_owned()),
        _ if message == SESSION_ENDED => StoreError::Login(SESSION_ENDED),
        _ if message == TOKEN_DEAD => StoreError::Login(TOKEN_DEAD),
        _ if NOT_THERE.contains(&message) => StoreError::NotFound,
        _ if message.contains("row-level security") => StoreError::refused(
            "",
            "refers to a dog that is not in this kennel, or in which you hold no share",
        ),
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
