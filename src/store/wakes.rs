//! Wake-ups: Postgres tells every instance which kennel has changed.

use super::address::Address;
use std::time::Duration;
use tokio::sync::broadcast;
use tokio_postgres::AsyncMessage;
use uuid::Uuid;

/// Wake-ups that may wait before a slow stream has to look by itself.
const BACKLOG: usize = 1024;

/// How long to wait before listening again after the connection was lost.
const RETRY: Duration = Duration::from_secs(1);

/// Listens for changes at `url` until the last receiver and sender are gone.
pub fn listen(url: &str) -> broadcast::Sender<Uuid> {
    let (sender, _) = broadcast::channel(BACKLOG);
    let (wakes, url) = (sender.clone(), url.to_owned());
    tokio::spawn(async move {
        loop {
            if let Err(error) = follow(&url, &wakes).await {
                tracing::debug!(%error, "not listening for changes; trying again");
            }
            // Whatever was missed meanwhile: every stream looks by itself.
            let _ = wakes.send(Uuid::nil());
            tokio::time::sleep(RETRY).await;
        }
    });
    sender
}

async fn follow(url: &str, wakes: &broadcast::Sender<Uuid>) -> Result<(), String> {
    let address: Address = url.parse()?;
    let (client, mut messages) = address.listen().await?;
    client.batch_execute("LISTEN denwright_changes").await.map_err(|error| error.to_string())?;
    while let Some(message) = messages.recv().await {
        if let AsyncMessage::Notification(note) = message.map_err(|error| error.to_string())?
            && let Ok(kennel_id) = note.payload().parse()
        {
            // No receiver: nobody follows the stream just now.
            let _ = wakes.send(kennel_id);
        }
    }
    Ok(())
}
