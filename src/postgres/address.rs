//! Connections to Postgres, with TLS where the address asks for it.

use diesel::ConnectionError;
use diesel_async::AsyncPgConnection;
use rustls::{
    ClientConfig, RootCertStore,
    crypto::ring,
    pki_types::{CertificateDer, pem::PemObject as _},
};
use std::{path::PathBuf, str::FromStr, sync::Arc, time::Duration};
use tokio::{
    io::{AsyncRead, AsyncWrite},
    sync::mpsc::{UnboundedReceiver, unbounded_channel},
};
use tokio_postgres::{AsyncMessage, Client, Config, Connection, Error, NoTls, config::SslMode};
use tokio_postgres_rustls::MakeRustlsConnect;

/// How long the way to one of several servers may take; a little less than a request waits for a connection.
const WAY: Duration = Duration::from_secs(4);
/// How long what was sent to one of several servers may be unacknowledged, and a silent connection unasked.
const SILENCE: Duration = Duration::from_secs(10);

/// The address of a database: what Postgres's own library reads, of its TLS settings `sslmode` and
/// `sslrootcert`.
///
/// With `sslmode` of `require`, `verify-ca` or `verify-full` the connection is encrypted, and the
/// server's certificate and name are always verified: by the authorities in the file `sslrootcert`,
/// or by those that browsers trust. Otherwise there is no TLS, as on a socket of this machine.
///
/// With several servers each has its part of [`WAY`], unless `connect_timeout` says otherwise, and a connection on
/// which nobody answers any more ends soon: else one that is gone without a word would be waited for, and not left
/// for the next.
pub struct Address {
    config: Config,
    tls: Option<MakeRustlsConnect>,
}

impl FromStr for Address {
    type Err = String;

    fn from_str(url: &str) -> Result<Self, String> {
        let (base, query) = url.split_once('?').unwrap_or((url, ""));
        let (mut kept, mut encrypted, mut roots) = (Vec::new(), false, None);
        for pair in query.split('&').filter(|pair| !pair.is_empty()) {
            let value =
                || form_urlencoded::parse(pair.as_bytes()).next().map(|(_, v)| v.into_owned());
            match pair.split_once('=') {
                Some(("sslmode", "require" | "verify-ca" | "verify-full")) => encrypted = true,
                Some(("sslmode", _)) => {}
                Some(("sslrootcert", _)) => roots = value().map(PathBuf::from),
                _ => kept.push(pair),
            }
        }
        let query = if kept.is_empty() { String::new() } else { format!("?{}", kept.join("&")) };
        let mut config: Config =
            format!("{base}{query}").parse().map_err(|error: Error| error.to_string())?;
        config.ssl_mode(if encrypted { SslMode::Require } else { SslMode::Disable });
        leave_soon(&mut config);
        let tls = if encrypted { Some(connector(roots)?) } else { None };
        Ok(Self { config, tls })
    }
}

/// Has the next of several servers tried soon.
fn leave_soon(config: &mut Config) {
    let servers = u32::try_from(config.get_hosts().len()).unwrap_or(u32::MAX);
    if servers < 2 {
        return;
    }
    if config.get_connect_timeout().is_none() {
        config.connect_timeout(WAY / servers);
    }
    if config.get_tcp_user_timeout().is_none() {
        config.tcp_user_timeout(SILENCE);
    }
    config.keepalives_idle(SILENCE).keepalives_interval(SILENCE / 2).keepalives_retries(2);
}

fn connector(roots: Option<PathBuf>) -> Result<MakeRustlsConnect, String> {
    let mut trusted = RootCertStore::empty();
    match roots {
        Some(file) => {
            let unreadable =
                |error: &dyn std::fmt::Display| format!("sslrootcert {}: {error}", file.display());
            let read = CertificateDer::pem_file_iter(&file).map_err(|error| unreadable(&error))?;
            for certificate in read {
                let certificate = certificate.map_err(|error| unreadable(&error))?;
                trusted.add(certificate).map_err(|error| unreadable(&error))?;
            }
        }
        None => trusted.extend(webpki_roots::TLS_SERVER_ROOTS.iter().cloned()),
    }
    let config = ClientConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_safe_default_protocol_versions()
        .map_err(|error| error.to_string())?
        .with_root_certificates(trusted)
        .with_no_client_auth();
    Ok(MakeRustlsConnect::new(config))
}

impl Address {
    /// A connection whose notices and notifications come through the receiver.
    ///
    /// # Errors
    /// Why there is none.
    pub async fn listen(
        &self,
    ) -> Result<(Client, UnboundedReceiver<Result<AsyncMessage, Error>>), String> {
        Ok(match &self.tls {
            Some(tls) => {
                let connected = self.config.connect(tls.clone()).await;
                let (client, connection) = connected.map_err(|error| told(&error))?;
                (client, forwarded(connection))
            }
            None => {
                let connected = self.config.connect(NoTls).await;
                let (client, connection) = connected.map_err(|error| told(&error))?;
                (client, forwarded(connection))
            }
        })
    }
}

/// An error with its cause, which the driver keeps to itself.
fn told(error: &Error) -> String {
    match std::error::Error::source(error) {
        Some(cause) => format!("{error}: {cause}"),
        None => error.to_string(),
    }
}

fn forwarded<S, T>(
    mut connection: Connection<S, T>,
) -> UnboundedReceiver<Result<AsyncMessage, Error>>
where
    S: AsyncRead + AsyncWrite + Unpin + Send + 'static,
    T: AsyncRead + AsyncWrite + Unpin + Send + 'static,
{
    let (send, receive) = unbounded_channel();
    tokio::spawn(async move {
        // Polled to its end also when nobody listens any more: it is what moves the client on.
        while let Some(message) =
            std::future::poll_fn(|context| connection.poll_message(context)).await
        {
            let is_error = message.is_err();
            let _ = send.send(message);
            if is_error {
                break;
            }
        }
    });
    receive
}

/// The role that the service works as.
const SERVICE_ROLE: &str = "denwright_service";

/// Whether an address logs in as the role that the service works as.
///
/// # Errors
/// Why it cannot be read.
pub fn is_of_service(url: &str) -> Result<bool, String> {
    let address: Address = url.parse()?;
    Ok(address.config.get_user() == Some(SERVICE_ROLE))
}

/// The password of an address that logs in as the service; `None` without one, or for another role.
///
/// # Errors
/// Why it cannot be read.
pub fn password_of_service(url: &str) -> Result<Option<String>, String> {
    let address: Address = url.parse()?;
    let password =
        address.config.get_password().filter(|_| address.config.get_user() == Some(SERVICE_ROLE));
    Ok(password.map(|password| String::from_utf8_lossy(password).into_owned()))
}

/// A connection for the query builder.
///
/// # Errors
/// Why there is none.
pub async fn establish(url: &str) -> Result<AsyncPgConnection, ConnectionError> {
    let bad = ConnectionError::BadConnection;
    let address: Address = url.parse().map_err(bad)?;
    match &address.tls {
        Some(tls) => {
            let connected = address.config.connect(tls.clone()).await;
            let (client, connection) =
                connected.map_err(|error| ConnectionError::BadConnection(told(&error)))?;
            AsyncPgConnection::try_from_client_and_connection(client, connection).await
        }
        None => {
            let connected = address.config.connect(NoTls).await;
            let (client, connection) =
                connected.map_err(|error| ConnectionError::BadConnection(told(&error)))?;
            AsyncPgConnection::try_from_client_and_connection(client, connection).await
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tokio_postgres::config::TargetSessionAttrs;

    #[test]
    fn tls_is_asked_for_by_the_address() {
        let tls = |url: &str| url.parse::<Address>().map(|address| address.tls.is_some());
        assert_eq!(tls("postgres://kennel@db.example/dogs"), Ok(false));
        assert_eq!(tls("postgres://kennel@db.example/dogs?sslmode=disable"), Ok(false));
        assert_eq!(tls("postgres://kennel@db.example/dogs?sslmode=require"), Ok(true));
        let full = "postgres://k@db.example/dogs?connect_timeout=5&sslmode=verify-full";
        assert_eq!(tls(full), Ok(true));
        let missing = format!("{full}&sslrootcert=/nowhere/ca.pem");
        assert!(tls(&missing).unwrap_err().contains("/nowhere/ca.pem"));
    }

    #[test]
    fn one_of_several_servers_is_left_soon() {
        let config = |url: &str| url.parse::<Address>().unwrap().config;
        let one = config("postgres://kennel@one.example/dogs");
        assert_eq!((one.get_connect_timeout(), one.get_tcp_user_timeout()), (None, None));
        let both =
            "postgres://kennel@one.example,two.example:6432/dogs?target_session_attrs=read-write";
        let two = config(both);
        assert_eq!((two.get_hosts().len(), two.get_ports()), (2, &[5432, 6432][..]));
        assert_eq!(two.get_target_session_attrs(), TargetSessionAttrs::ReadWrite);
        assert_eq!(two.get_connect_timeout(), Some(&Duration::from_secs(2)));
        assert_eq!(two.get_tcp_user_timeout(), Some(&Duration::from_secs(10)));
        let chosen = config(&format!("{both}&connect_timeout=7"));
        assert_eq!(chosen.get_connect_timeout(), Some(&Duration::from_secs(7)));
        assert_eq!(is_of_service(&both.replace("kennel@", "denwright_service@")), Ok(true));
    }
}
