//! The service over real HTTP on real Postgres, a module a topic.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test tells of a fault by a panic"
)]

#[path = "../common/mod.rs"]
mod common;

mod accounts;
mod agreement;
mod alarms;
mod archives;
mod asked_by_everybody;
mod attachments;
mod backup;
mod batches;
mod before_birth;
mod births;
mod booklets;
mod breeding_cautions;
mod buyer_privacy;
mod buyer_reports;
mod calendar;
mod changes;
mod co_owners;
mod conditional;
mod contract;
mod demo_wall;
mod doors;
mod every_operation;
mod feeding;
mod first_litter;
mod go_home;
mod growth;
mod health;
mod history;
mod imports;
mod indexes;
mod instances;
mod invitations;
mod kennel_ends;
mod language;
mod leaving;
mod letters;
mod lists;
mod logins;
mod mating_plans;
mod memberships;
mod money;
mod monitoring;
mod newborns;
mod one_voice;
mod outlook;
mod own_lines;
mod page_sessions;
mod parents;
mod pedigrees;
mod placements;
mod presence;
mod printed;
mod problems;
mod repeats;
mod replicas;
mod reports;
mod resources;
mod rings;
mod rings_speed;
mod schedules;
mod screening;
mod slips;
mod statements;
mod statements_of_holders;
mod task_rings;
mod tasks;
mod tenancy;
mod today;
mod undo;
mod units;
mod upgrade;
mod walls;
mod webhooks;
mod whelping;
mod when;
