//! A host of many invented kennels: the cluster, the service on it, and a login to each kennel.

use super::{
    client::Outcome,
    machine,
    pgbench::{self, Pgbench},
    served::Served,
    statements::LOG_PREFIX,
};
use cluster::{Cluster, DATABASE};
use security::credentials::{Signer, Subject};
use std::{
    fs,
    net::SocketAddr,
    path::{Path, PathBuf},
    process::Command,
};
use uuid::Uuid;

/// One kennel's dog, and the login of its owner.
pub struct Place {
    /// The kennel.
    pub kennel: Uuid,
    /// A dog there.
    pub dog: Uuid,
    token: String,
}

impl Place {
    /// A request by the kennel's owner, below the kennel's path.
    pub fn request(&self, method: &str, path: &str, body: Option<&str>) -> Vec<u8> {
        match body {
            Some(body) => self.send(method, path, "Content-Type: application/json", body),
            None => self.send(method, path, "Accept: application/json", ""),
        }
    }

    /// The same with a header of its own.
    pub fn send(&self, method: &str, path: &str, header: &str, body: &str) -> Vec<u8> {
        let Self { kennel, token, .. } = self;
        let length = match body.len() {
            0 => String::new(),
            length => format!("Content-Length: {length}\r\n"),
        };
        format!(
            "{method} /v1/kennels/{kennel}{path} HTTP/1.1\r\nHost: bench\r\nAuthorization: Bearer {token}\r\n\
             {header}\r\n{length}\r\n{body}"
        )
        .into_bytes()
    }
}

/// The host.
pub struct Host {
    data: PathBuf,
    cluster: Cluster,
    served: Served,
    /// Where the service listens.
    pub address: SocketAddr,
    /// Memory of the service before the first request, in MiB.
    pub idle_mib: f64,
    /// The busy kennel first.
    pub places: Vec<Place>,
}

impl Host {
    /// A host of so many kennels; the service and pgbench get so many connections.
    pub async fn start(kennels: usize, connections: usize) -> Outcome<Self> {
        let data = std::env::temp_dir().join(format!("denwright-host-{}", std::process::id()));
        let _ = fs::remove_dir_all(&data);
        let cluster = Cluster::start(&data, true)?;
        // Terse, as the cluster is started, the log leaves out the parameters, which pgbench needs.
        run_psql(
            &cluster,
            &data,
            &["--command", "ALTER ROLE ALL SET log_error_verbosity = 'default'"],
        )?;
        let settings = vec![
            ("DATABASE_URL", cluster.service_url()),
            ("DENWRIGHT_MIGRATE_URL", cluster.database_url()),
            ("DENWRIGHT_POOL_SIZE", connections.to_string()),
        ];
        let served = Served::start_with(settings).await.map_err(|error| error.to_string())?;
        let idle_mib = machine::memory_mib(served.pid())?;
        let address = served.url.trim_start_matches("http://").parse()?;
        let mut host = Self { data, cluster, served, address, idle_mib, places: Vec::new() };
        host.seed("seed.sql", &[("kennels", kennels)])?;
        host.places = host.log_in(kennels)?;
        Ok(host)
    }

    /// Signs for every kennel's owner what a login would have given.
    fn log_in(&self, kennels: usize) -> Outcome<Vec<Place>> {
        self.signed(&format!(
            "SELECT md5('kennel' || k)::uuid, md5('dog' || k || '/3')::uuid, md5('person' || k)::uuid, \
                    md5('session' || k)::uuid \
             FROM generate_series(1, {kennels}) k"
        ))
    }

    /// Logins of whom a query names: kennel, dog, person and session.
    pub fn signed(&self, query: &str) -> Outcome<Vec<Place>> {
        let key =
            self.psql(&["--command", "SELECT id, encode(secret, 'hex') FROM signing_keys"])?;
        let (id, secret) = key.trim().split_once('|').ok_or("no signing key")?;
        let secret =
            (0..secret.len() / 2).map(|at| u8::from_str_radix(&secret[2 * at..2 * at + 2], 16));
        let keys = vec![(id.parse()?, secret.collect::<Result<_, _>>()?)];
        let signer = Signer::new(keys, chrono::Duration::hours(6));
        let now = chrono::Utc::now();
        let rows = self.psql(&["--command", query])?;
        rows.lines()
            .map(|row| {
                let ids = row.split('|').map(str::parse).collect::<Result<Vec<Uuid>, _>>()?;
                let [kennel, dog, person_id, session_id] = ids[..] else {
                    return Err("not four ids".into());
                };
                let token = signer.sign(Subject { person_id, session_id }, now)?;
                Ok(Place { kennel, dog, token })
            })
            .collect()
    }

    /// Runs a file of SQL that stands beside this one, with values for its variables.
    pub fn seed(&self, file: &str, values: &[(&str, usize)]) -> Outcome<()> {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bench/http").join(file);
        let values: Vec<String> =
            values.iter().map(|(name, value)| format!("--set={name}={value}")).collect();
        let mut arguments: Vec<&str> = values.iter().map(String::as_str).collect();
        let path = path.to_string_lossy();
        arguments.extend(["--file", &path]);
        self.psql(&arguments).map(drop)
    }

    /// Runs psql as superuser; returns what it told.
    pub fn psql(&self, arguments: &[&str]) -> Outcome<String> {
        run_psql(&self.cluster, &self.data, arguments)
    }

    /// Has Postgres log every statement, or none.
    pub fn log_statements(&self, on: bool) -> Outcome<()> {
        let (level, prefix) = if on { ("all", LOG_PREFIX) } else { ("none", "%m ") };
        for (name, value) in [("log_statement", level), ("log_line_prefix", prefix)] {
            self.psql(&["--command", &format!("ALTER SYSTEM SET {name} = '{value}'")])?;
        }
        self.psql(&["--command", "SELECT pg_reload_conf()"])?;
        // Each server process takes the settings up before its next statement.
        std::thread::sleep(std::time::Duration::from_millis(300));
        Ok(())
    }

    /// Takes away what the measuring wrote.
    pub fn forget_written(&self) -> Outcome<()> {
        self.psql(&[
            "--command",
            "SET session_replication_role = replica; DELETE FROM weights WHERE note = 'measured'; DELETE FROM changes",
        ])?;
        self.psql(&["--command", "VACUUM ANALYZE weights, changes, change_heads"])?;
        Ok(())
    }

    /// Where a run may put a file.
    pub fn scratch(&self, name: &str) -> PathBuf {
        self.data.join(name)
    }

    /// Postgres's log.
    pub fn log(&self) -> PathBuf {
        self.data.join("cluster/postgres.log")
    }

    /// pgbench on so many connections, working as the owner of the tables.
    pub fn pgbench_past_the_walls(&self, connections: usize) -> Outcome<Pgbench> {
        Ok(Pgbench { url: self.cluster.database_url(), ..self.pgbench(connections)? })
    }

    /// pgbench on so many connections, working as the service does.
    pub fn pgbench(&self, connections: usize) -> Outcome<Pgbench> {
        Ok(Pgbench {
            program: Cluster::program(&self.data, "pgbench")?,
            url: self.cluster.service_url(),
            folder: pgbench::folder(&self.data)?,
            connections,
        })
    }

    /// Memory of the service, in MiB.
    pub fn memory_mib(&self) -> Outcome<f64> {
        machine::memory_mib(self.served.pid())
    }

    /// The most memory that the service ever held, in MiB.
    pub fn peak_mib(&self) -> Outcome<f64> {
        machine::peak_mib(self.served.pid())
    }

    /// Processor time so far: the service's, and the database's, in seconds.
    pub fn processor_seconds(&self) -> Outcome<(f64, f64)> {
        let pid_file = self.data.join("cluster/pgdata/postmaster.pid");
        let postmaster =
            fs::read_to_string(pid_file)?.lines().next().ok_or("no server")?.parse()?;
        Ok((
            machine::processor_seconds_of_family(self.served.pid())?,
            machine::processor_seconds_of_family(postmaster)?,
        ))
    }

    /// Ends it and takes its data away.
    pub async fn stop(self) -> Outcome<()> {
        self.served.stop().await.map_err(|error| error.to_string())?;
        self.cluster.stop_and_delete()?;
        fs::remove_dir_all(&self.data).or_else(|error| match error.kind() {
            std::io::ErrorKind::NotFound => Ok(()),
            _ => Err(error.into()),
        })
    }
}

fn run_psql(cluster: &Cluster, data: &Path, arguments: &[&str]) -> Outcome<String> {
    let url = cluster.admin_url();
    let server = url.rsplit_once('/').ok_or("an address without a database")?.0;
    let output = Command::new(Cluster::program(data, "psql")?)
        .args(["--no-psqlrc", "--quiet", "--tuples-only", "--no-align", "--dbname"])
        .arg(format!("{server}/{DATABASE}"))
        .args(arguments)
        .output()?;
    if !output.status.success() {
        return Err(String::from_utf8_lossy(&output.stderr).into());
    }
    Ok(String::from_utf8(output.stdout)?)
}
