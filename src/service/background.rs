//! What an instance does beside answering: webhooks, rings, new keys, the end of kennels, and clearing away.

use crate::service::{kennel_ends, server::Settings, sweep};
use actix_web::web;
use api::App;
use outgoing::{
    rings::{self, Bell},
    webhooks,
};
use security::credentials;
use std::{
    sync::Arc,
    time::{Duration, SystemTime},
};
use store::{StoreResult, upkeep};

/// How often keys are read anew; far less than the time for which an old one still verifies.
const KEYS_EVERY: Duration = Duration::from_secs(60);
/// How often old keys are replaced and what is over is deleted.
const UPKEEP_EVERY: Duration = Duration::from_secs(3600);

/// Begins the work; it goes on for as long as the runtime.
pub fn begin(app: &web::Data<App>, settings: &Settings) {
    let (db, manner, mailer) = (app.db.clone(), settings.webhooks.clone(), settings.mailer.clone());
    tokio::spawn(webhooks::work(db, manner, mailer));
    tokio::spawn(app.db.clone().watch_replica());
    if let Some(manner) = &settings.rings {
        tokio::spawn(rings::work(bell(app, settings, manner.clone())));
    }
    let (app, days) = (app.clone(), settings.key_days);
    tokio::spawn(async move {
        let mut last_upkeep = None::<tokio::time::Instant>;
        loop {
            tokio::time::sleep(KEYS_EVERY).await;
            if last_upkeep.is_none_or(|last| last.elapsed() >= UPKEEP_EVERY) {
                last_upkeep = Some(tokio::time::Instant::now());
                if let Err(error) = sweep::sweep(&app.db, &app.files, chrono::Utc::now()).await {
                    tracing::warn!(%error, "files that nothing refers to stay");
                }
                if let Err(error) = keep_up(&app, days).await {
                    tracing::debug!(%error, "upkeep is put off");
                }
                let link = app.page_of_kennel();
                let reminded = match app.mails_people {
                    true => kennel_ends::remind(&app.db, link.as_deref(), app.clock.now()).await,
                    false => Ok(0),
                };
                if let Err(error) = reminded {
                    tracing::warn!(%error, "owners are reminded later that their kennel ends");
                }
                if let Err(error) = app.mailer.clear_away(SystemTime::now()).await {
                    tracing::warn!(%error, "old mails stay in the folder");
                }
            }
            match kennel_ends::clear(&app.db, &app.files).await {
                Ok(0) => {}
                Ok(gone) => tracing::info!(gone, "kennels were deleted, as their owners had asked"),
                Err(error) => {
                    tracing::warn!(%error, "kennels that have ended are cleared away later")
                }
            }
            if let Err(error) = app.keys.renew().await {
                tracing::debug!(%error, "keys are not read anew");
            }
        }
    });
}

fn bell(app: &App, settings: &Settings, manner: rings::Manner) -> Bell {
    let clock = app.clock.clone();
    Bell {
        db: app.db.clone(),
        studbooks: Arc::clone(&app.studbooks),
        wakes: app.wakes.clone(),
        now: Arc::new(move || clock.now()),
        mailer: settings.mailer.clone(),
        own_origin: settings.own_origin.clone(),
        addresses: settings.webhooks.clone(),
        manner,
    }
}

async fn keep_up(app: &App, days: i64) -> StoreResult<()> {
    if let Some(key) = upkeep::rotate_old_keys(&app.db, days, &credentials::random_key()).await? {
        tracing::info!(%key, "a new key signs from now on");
    }
    upkeep::clear_away(&app.db).await
}
