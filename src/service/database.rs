//! The database of the service: a server of one's own, or the private one.

use super::server::ServerError;
use crate::config::DatabaseConfig;
use cluster::Cluster;
use postgres::address;
use std::{io, time::Duration};
use store::{StoreError, migrate};

/// How often the private Postgres is looked after.
const SUPERVISION: Duration = Duration::from_secs(1);

/// A database that is there for as long as this value is.
pub struct Database {
    /// As the service works there.
    service: String,
    /// The same past a pooler, where that address is one's.
    direct: Option<String>,
    /// As the owner, who migrates; `None` when only the service's own role is known.
    owner: Option<String>,
    cluster: Option<Cluster>,
}

impl Database {
    /// The database that the settings name: a server of one's own, or the private one, started.
    ///
    /// # Errors
    /// When the private one does not start.
    pub async fn open(config: &DatabaseConfig) -> Result<Self, ServerError> {
        if let Some(url) = config.database_url().or(config.migrate_url()) {
            let is_service = address::is_of_service(url).map_err(StoreError::Unavailable)?;
            let owner = config.migrate_url().or(Some(url).filter(|_| !is_service));
            let owner = owner.map(str::to_owned);
            let direct = config.direct_url().map(str::to_owned);
            return Ok(Self { service: url.to_owned(), direct, owner, cluster: None });
        }
        let data = config.data.clone();
        let cluster = blocking(move || Cluster::start(&data, true)).await??;
        let (owner, service) = (Some(cluster.database_url()), cluster.service_url());
        Ok(Self { service, direct: None, owner, cluster: Some(cluster) })
    }

    /// The same, beside a service that uses the private one already.
    ///
    /// # Errors
    /// When the private one neither runs nor starts.
    pub async fn join(config: &DatabaseConfig) -> Result<Self, ServerError> {
        let given = config.database_url().or(config.migrate_url());
        match Cluster::addresses_of_running(&config.data).filter(|_| given.is_none()) {
            Some((owner, service)) => {
                Ok(Self { service, direct: None, owner: Some(owner), cluster: None })
            }
            None => Self::open(config).await,
        }
    }

    /// Its address as the service works there.
    pub fn service_url(&self) -> &str {
        &self.service
    }

    /// Its address as its owner.
    ///
    /// # Errors
    /// When only the service's own role is known.
    pub fn owner_url(&self) -> Result<&str, ServerError> {
        self.owner.as_deref().ok_or(ServerError::NoOwner)
    }

    /// Brings its schema to this edition's form and lets the service in by its own role. Where only that
    /// role is known, the schema must be of this edition already.
    ///
    /// # Errors
    /// When that cannot be done.
    pub async fn prepare(&self) -> Result<(), ServerError> {
        // Not by a pooler, which remembers a login that failed.
        let service = self.direct.as_ref().unwrap_or(&self.service);
        let Some(owner) = &self.owner else {
            return Ok(migrate::require_current(service).await?);
        };
        migrate::run(owner, migrate::Direction::Up).await?;
        if owner != service {
            migrate::let_service_in(owner, service).await?;
        }
        Ok(())
    }

    /// Whether the service logs in as the owner, and only works as its own role.
    pub(super) fn is_one_role(&self) -> bool {
        self.owner.as_ref() == Some(&self.service)
    }

    /// Stops the private Postgres, when it is that.
    ///
    /// # Errors
    /// When it does not end.
    pub async fn close(self) -> Result<(), ServerError> {
        match self.cluster {
            Some(cluster) => Ok(blocking(move || cluster.stop()).await??),
            None => Ok(()),
        }
    }

    /// Starts the private Postgres again whenever it has died by itself.
    pub(super) async fn supervise(&mut self) {
        loop {
            tokio::time::sleep(SUPERVISION).await;
            let Some(mut cluster) = self.cluster.take() else {
                std::future::pending::<()>().await;
                return;
            };
            let looked = blocking(move || {
                let result = cluster.ensure_running();
                (cluster, result)
            });
            match looked.await {
                Ok((cluster, result)) => {
                    self.cluster = Some(cluster);
                    if let Err(error) = result {
                        tracing::error!(%error, "Postgres does not start again");
                    }
                }
                Err(error) => {
                    tracing::error!(%error, "lost sight of Postgres");
                    return;
                }
            }
        }
    }
}

async fn blocking<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> io::Result<T> {
    tokio::task::spawn_blocking(work).await.map_err(io::Error::other)
}
