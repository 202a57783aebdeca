//! HTTP: extract, authorise, validate, call the store or the domain, answer.
//!
//! One file a resource: its handlers with their documentation. No SQL here, no arithmetic.

mod account;
mod alarms;
mod answer;
mod archives;
mod attachments;
mod batches;
mod body;
mod booklets;
mod buyer_reports;
mod buyers;
mod calendar;
mod care;
mod changes;
pub mod clock;
pub mod conditional;
mod cycle;
mod dogs;
pub mod endings;
mod feeding;
mod file_body;
mod files_limits;
mod genetics;
mod growth;
mod health;
mod health_plans;
mod heats;
mod imports;
mod inbreeding;
mod invitations;
mod kennels;
pub mod keyring;
mod labels;
pub mod language;
mod leaving;
pub mod limits;
mod litters;
mod live;
mod login;
mod mating_plans;
mod mating_tests;
mod matings;
mod microchips;
mod monitoring;
pub mod openapi;
pub mod operations;
mod page_sessions;
mod pairs;
mod pedigrees;
mod people;
mod placements;
mod planner;
mod pregnancies;
mod preparation;
pub mod problem;
mod query;
mod readiness;
mod recall;
mod reports;
mod resource;
mod rings;
mod screening;
mod statements;
mod table;
mod tasks;
mod texts;
mod today;
mod trial_matings;
pub mod uploads;
mod webhooks;
mod whelping;
pub mod words;
pub mod work;

pub use body::LargeBodies;
pub use files_limits::FilesLimits;

use chrono::{DateTime, Duration, Utc};
use domain::today::BoardMemory;
use files::Blobs;
use outgoing::mail::Mailer;
use postgres::wakes::Wakes;
use std::sync::Arc;
use store::{Db, studbooks::Studbooks};
use tokio::sync::watch;
use work::WorkRoom;

/// What every handler may use.
pub struct App {
    /// The database.
    pub db: Db,
    /// The pedigrees of the kennels that were asked for last.
    pub studbooks: Arc<Studbooks>,
    /// What the wall screens found of records of late.
    pub board: BoardMemory,
    /// Signs and verifies access tokens.
    pub keys: keyring::Keyring,
    /// What a request takes for now.
    pub clock: clock::Clock,
    /// Sends mail.
    pub mailer: Mailer,
    /// Whether what is written for people reaches them by mail.
    pub mails_people: bool,
    /// The origin at which others reach the service, where that was said (`https://kennel.example`).
    pub own_origin: Option<String>,
    /// How many proxies of one's own stand in front.
    pub proxies: usize,
    /// How long a refresh token is good.
    pub refresh_lifetime: Duration,
    /// Whether anybody may sign up.
    pub sign_up_open: bool,
    /// A hash that no password fits, for logins of unknown addresses.
    pub no_ones_hash: String,
    /// How often somebody may try to log in without a wait.
    pub free_tries: limits::FreeTries,
    /// Wakes the streams of a kennel that has changed.
    pub wakes: Wakes,
    /// Closes when the service stops, and the streams with it.
    pub ends: watch::Receiver<()>,
    /// Largest file, in bytes.
    pub body_limit: usize,
    /// Memory for large bodies.
    pub large_bodies: LargeBodies,
    /// Where large bodies are read and checked.
    pub reading: WorkRoom,
    /// Where passwords are hashed.
    pub hashing: WorkRoom,
    /// Where pictures are unpacked and drawn anew: each takes up to half a gigabyte while it is.
    pub drawing: WorkRoom,
    /// Where the bytes of pictures and papers lie.
    pub files: Blobs,
    /// How much people may bring.
    pub files_limits: FilesLimits,
    /// Where all else is computed and drawn.
    pub room: WorkRoom,
    /// How webhooks are delivered.
    pub webhooks: outgoing::webhooks::Manner,
}

/// The time by which sessions and secrets end. What is asked within a kennel is asked at its scope's.
fn now() -> DateTime<Utc> {
    clock::Clock::system().now()
}

/// The moment by which what begins now and is good for so long has ended.
fn end_of(span: Duration) -> DateTime<Utc> {
    now() + span
}

/// Every operation of the service, one line a resource.
pub fn configure(config: &mut operations::Operations) {
    config
        .service(people::sign_up)
        .service(people::log_in)
        .service(people::refresh_session)
        .service(people::log_out)
        .service(people::read_me)
        .service(people::accept_invitation)
        .configure(account::configure)
        .configure(page_sessions::configure)
        .configure(alarms::configure)
        .configure(rings::configure)
        .configure(kennels::configure)
        .configure(invitations::configure)
        .configure(leaving::configure)
        .configure(dogs::configure)
        .configure(heats::configure)
        .configure(matings::configure)
        .configure(litters::configure)
        .configure(pregnancies::configure)
        .configure(cycle::configure)
        .configure(planner::configure)
        .configure(preparation::configure)
        .configure(tasks::configure)
        .configure(calendar::configure)
        .configure(care::configure)
        .configure(growth::configure)
        .configure(batches::configure)
        .configure(whelping::configure)
        .configure(feeding::configure)
        .configure(health::configure)
        .configure(health_plans::configure)
        .configure(recall::configure)
        .configure(readiness::configure)
        .configure(microchips::configure)
        .configure(booklets::configure)
        .configure(buyer_reports::configure)
        .configure(labels::configure)
        .configure(reports::configure)
        .configure(statements::configure)
        .configure(archives::configure)
        .configure(attachments::configure)
        .configure(uploads::configure)
        .configure(buyers::configure)
        .configure(placements::configure)
        .configure(pedigrees::configure)
        .configure(imports::configure)
        .configure(inbreeding::configure)
        .configure(trial_matings::configure)
        .configure(genetics::configure)
        .configure(screening::configure)
        .configure(mating_plans::configure)
        .configure(mating_tests::configure)
        .service(today::read_today)
        .service(changes::list_changes)
        .service(changes::restore_change)
        .configure(webhooks::configure)
        .service(monitoring::live)
        .service(monitoring::ready)
        .service(monitoring::metrics)
        .service(openapi::published);
}
