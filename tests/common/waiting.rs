//! Waiting for what comes by itself.

use std::{
    fmt::Display,
    time::{Duration, Instant},
};

/// How long anything is waited for. It is no figure of speed, since the machine may have other things to do: only
/// what never comes takes as long.
const PATIENCE: Duration = Duration::from_secs(60);

/// Before what would come anyhow: a heartbeat is 15 seconds apart, and whoever hangs here hangs for 60.
pub const SOON: Duration = Duration::from_secs(10);

/// Looks again and again until it is there.
pub async fn until<T>(what: impl Display, mut look: impl AsyncFnMut() -> Option<T>) -> T {
    let began = Instant::now();
    loop {
        if let Some(there) = look().await {
            return there;
        }
        assert!(began.elapsed() < PATIENCE, "waited in vain: {what}");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}
