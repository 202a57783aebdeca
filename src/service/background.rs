//! What an instance does beside answering: webhooks, new keys, and clearing away.

use crate::service::server::Settings;
use actix_web::web;
use api::App;
use outgoing::webhooks;
use security::credentials;
use std::time::{Duration, SystemTime};
use store::{StoreResult, upkeep};

/// How often keys are read anew; far less than the time for which an old one still verifies.
const KEYS_EVERY: Duration = Duration::from_secs(60);
/// How often old keys are replaced and what is over is deleted.
const UPKEEP_EVERY: Duration = Duration::from_secs(3600);

/// Begins the work; it goes on for as long as the runtime.
pub fn begin(app: &web::Data<App>, settings: &Settings) {
    let (db, manner, mailer) = (app.db.clone(), settings.webhooks.clone(), settings.mailer.clone());
    tokio::spawn(webhooks::work(db, manner, mailer));
    let (app, days) = (app.clone(), settings.key_days);
    tokio::spawn(async move {
        let mut last_upkeep = None::<tokio::time::Instant>;
        loop {
            tokio::time::sleep(KEYS_EVERY).await;
            if last_upkeep.is_none_or(|last| last.elapsed() >= UPKEEP_EVERY) {
                last_upkeep = Some(tokio::time::Instant::now());
                if let Err(error) = keep_up(&app, days).await {
                    tracing::debug!(%error, "upkeep is put off");
                }
                if let Err(error) = app.mailer.clear_away(SystemTime::now()).await {
                    tracing::warn!(%error, "old mails stay in the folder");
                }
            }
            if let Err(error) = app.keys.renew().await {
                tracing::debug!(%error, "keys are not read anew");
            }
        }
    });
}

async fn keep_up(app: &App, days: i64) -> StoreResult<()> {
    if let Some(key) = upkeep::rotate_old_keys(&app.db, days, &credentials::random_key()).await? {
        tracing::info!(%key, "a new key signs from now on");
    }
    upkeep::clear_away(&app.db).await
}
