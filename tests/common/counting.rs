//! Counts what a service asks of Postgres within a kennel.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use tokio::io::{AsyncRead, AsyncReadExt as _, AsyncWrite, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream, UnixStream};
use tokio_postgres::config::{Config, Host};

/// Stands between a service and its database, and counts the statements of its kennels' transactions:
/// beginning and end are one each. What logins and workers ask outside of those is not counted.
pub struct Counting {
    /// The address under which the service finds its database.
    pub url: String,
    statements: Arc<AtomicUsize>,
    all: Arc<AtomicUsize>,
}

impl Counting {
    /// Stands before the database at this address.
    pub fn before(url: &str) -> Self {
        let config: Config = url.parse().expect("an address of Postgres");
        let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a port is free");
        listener.set_nonblocking(true).expect("it can be waited for");
        let port = listener.local_addr().expect("it has a port").port();
        let user = config.get_user().expect("a user");
        let secret = config.get_password().map(|word| String::from_utf8_lossy(word).into_owned());
        let secret = secret.map(|word| format!(":{word}")).unwrap_or_default();
        let database = config.get_dbname().expect("a database");
        let url = format!("postgres://{user}{secret}@127.0.0.1:{port}/{database}?sslmode=disable");
        let statements = Arc::new(AtomicUsize::new(0));
        let all = Arc::new(AtomicUsize::new(0));
        let counts = [Arc::clone(&statements), Arc::clone(&all)];
        // On a thread of its own: a test's is blocked while its service starts.
        std::thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
            runtime.expect("a runtime starts").block_on(async move {
                let listener = TcpListener::from_std(listener).expect("it listens");
                while let Ok((client, _)) = listener.accept().await {
                    tokio::spawn(stand_between(client, config.clone(), counts.clone()));
                }
            });
        });
        Self { url, statements, all }
    }

    /// Waits until what goes on beside requests is over: nothing is asked for a tenth of a second.
    pub async fn quiet(&self) {
        while self.taken() > 0 {
            tokio::time::sleep(std::time::Duration::from_millis(100)).await;
        }
    }

    /// Statements since this was last asked.
    pub fn taken(&self) -> usize {
        self.statements.swap(0, Ordering::SeqCst)
    }

    /// Statements of anybody since this was last asked, logins and workers too.
    pub fn all_taken(&self) -> usize {
        self.all.swap(0, Ordering::SeqCst)
    }
}

/// Statements within kennels, and all.
type Counts = [Arc<AtomicUsize>; 2];

async fn stand_between(client: TcpStream, config: Config, counts: Counts) {
    let port = config.get_ports().first().copied().unwrap_or(5432);
    // Answers go in small pieces, of which each would wait for a sign of the one before.
    client.set_nodelay(true).expect("it is open");
    let (from_client, to_client) = client.into_split();
    match config.get_hosts().first().expect("a host") {
        Host::Tcp(name) => {
            let server = TcpStream::connect((name.as_str(), port)).await.expect("Postgres answers");
            server.set_nodelay(true).expect("it is open");
            let (from_server, to_server) = server.into_split();
            pass_on(from_client, to_server, from_server, to_client, counts).await;
        }
        Host::Unix(folder) => {
            let socket = folder.join(format!(".s.PGSQL.{port}"));
            let server = UnixStream::connect(socket).await.expect("Postgres answers");
            let (from_server, to_server) = server.into_split();
            pass_on(from_client, to_server, from_server, to_client, counts).await;
        }
    }
}

async fn pass_on(
    from_client: impl AsyncRead + Unpin,
    to_server: impl AsyncWrite + Unpin,
    mut from_server: impl AsyncRead + Unpin,
    mut to_client: impl AsyncWrite + Unpin,
    counts: Counts,
) {
    let up = asked(from_client, to_server, &counts);
    let down = tokio::io::copy(&mut from_server, &mut to_client);
    tokio::select! {
        _ = up => {}
        _ = down => {}
    }
}

/// Passes on message after message: the first has no letter, each other a letter and its length.
async fn asked(
    mut from: impl AsyncRead + Unpin,
    mut to: impl AsyncWrite + Unpin,
    [statements, all]: &Counts,
) -> std::io::Result<()> {
    let mut begun = false;
    let mut in_kennel = false;
    loop {
        let mut message = Vec::new();
        if begun {
            message.push(from.read_u8().await?);
        }
        let length = from.read_u32().await?;
        message.extend(length.to_be_bytes());
        let head = message.len();
        message.resize(head + length as usize - 4, 0);
        from.read_exact(&mut message[head..]).await?;
        if begun {
            let text = String::from_utf8_lossy(&message[head..]);
            let query = message[0] == b'Q';
            in_kennel |= query && text.contains("enter_kennel(");
            if query || message[0] == b'E' {
                all.fetch_add(1, Ordering::SeqCst);
                statements.fetch_add(usize::from(in_kennel), Ordering::SeqCst);
            }
            in_kennel &= !(query && (text.starts_with("COMMIT") || text.starts_with("ROLLBACK")));
        }
        begun = true;
        to.write_all(&message).await?;
        to.flush().await?;
    }
}
