//! A hot standby answers reports, prints, archives and booklets, and never what is older than what was known.

use crate::common::{
    cluster::{Pair, pair},
    *,
};
use chrono::{Duration as Days, NaiveDate};
use std::{collections::BTreeSet, sync::Arc};
use tokio::{net::TcpListener, sync::MutexGuard};
use tokio_postgres::config::{Config, Host};

/// Who holds the one standby back must not do it to another test.
static STANDBY: tokio::sync::Mutex<()> = tokio::sync::Mutex::const_new(());

/// A kennel whose service has a standby, for one test at a time.
struct Followed {
    kennel: Kennel,
    pair: &'static Pair,
    _turn: MutexGuard<'static, ()>,
}

impl Followed {
    async fn new() -> Self {
        let turn = STANDBY.lock().await;
        let pair = tokio::task::spawn_blocking(pair).await.unwrap();
        let database = Database::migrated_on(&pair.primary).await;
        let replica = database.copy_at(&pair.standby);
        let service = Service::start_reading_from(&replica, database, settings());
        let kennel = Kennel::on(Arc::new(service)).await;
        Self { kennel, pair, _turn: turn }
    }

    /// Waits until the standby has all that was kept so far, also what the server has not written out yet.
    async fn caught_up(&self) {
        let (primary, standby) =
            (connect(&self.pair.primary).await, connect(&self.pair.standby_admin).await);
        let place = primary.query_one("SELECT pg_current_wal_insert_lsn()::text", &[]).await;
        let place: String = place.unwrap().get(0);
        let reached = "SELECT pg_last_wal_replay_lsn() >= $1::text::pg_lsn";
        let caught_up = async || {
            let reached: bool = standby.query_one(reached, &[&place]).await.unwrap().get(0);
            reached.then_some(())
        };
        until("the standby catches up", caught_up).await;
    }

    /// Holds the standby where it is, or lets it go on.
    async fn held_back(&self, held: bool) {
        let standby = connect(&self.pair.standby_admin).await;
        let word = if held { "pause" } else { "resume" };
        standby.batch_execute(&format!("SELECT pg_wal_replay_{word}()")).await.unwrap();
    }

    /// What the figures count: answered by the standby, since it was behind or had failed by the server.
    async fn counted(&self) -> [u64; 3] {
        let text = self.kennel.nobody().get("/metrics").await.expect(200).text();
        ["answered", "behind", "failed"].map(|outcome| {
            let line = format!("denwright_replica_questions_total{{outcome=\"{outcome}\"}} ");
            let count = text.lines().find_map(|told| told.strip_prefix(&line));
            count.unwrap_or_else(|| panic!("{line} is not in\n{text}")).parse().unwrap()
        })
    }

    /// Which of the three was counted while `work` was done, and how often.
    async fn counts<T>(&self, work: impl AsyncFnOnce() -> T) -> (T, [u64; 3]) {
        let before = self.counted().await;
        let done = work().await;
        let after = self.counted().await;
        (done, std::array::from_fn(|at| after[at] - before[at]))
    }
}

impl Drop for Followed {
    /// A test that failed must not hold the standby back for the next.
    fn drop(&mut self) {
        let admin = self.pair.standby_admin.clone();
        let resumed = std::thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
            runtime.unwrap().block_on(async {
                let resume = "SELECT pg_wal_replay_resume()";
                connect(&admin).await.batch_execute(resume).await.unwrap();
            });
        });
        assert!(resumed.join().is_ok() || std::thread::panicking());
    }
}

/// A litter of two, and a pup of it with some weights.
async fn litter(kennel: &Kennel) -> (Uuid, Uuid) {
    let (litter, pups) = kennel.born_litter(2, 50).await;
    for day in 1..5 {
        kennel.weight(pups[0], 24 * (50 - day), 400 + 40 * day).await;
    }
    (litter, pups[0])
}

#[tokio::test]
async fn reports_prints_archives_and_booklets_are_the_standbys_and_nothing_else_is() {
    let followed = Followed::new().await;
    let kennel = &followed.kennel;
    let (litter, pup) = litter(kennel).await;
    let link = kennel.post(&format!("/dogs/{pup}/booklet-links"), json!({})).await.created();
    let link = link["path"].as_str().unwrap().to_owned();
    let viewer = kennel.viewer().await;
    followed.caught_up().await;
    // The same database without a standby.
    let plain = kennel.service.beside(settings());
    let at_plain = |path: &str| {
        let request = reqwest::Client::new().get(format!("{}{}", plain.url, kennel.path(path)));
        request.bearer_auth(kennel.token.as_ref().unwrap()).send()
    };
    for (path, questions) in [
        (format!("/litters/{litter}/report"), 1),
        ("/reports/years/2026".to_owned(), 1),
        (format!("/dogs/{pup}/booklet.json"), 1),
        (link.clone(), 1),
    ] {
        let (answer, counts) = followed.counts(async || kennel.get(&path).await.ok()).await;
        assert_eq!(counts, [questions, 0, 0], "{path}");
        let same: Value = at_plain(&path).await.unwrap().json().await.unwrap();
        assert_eq!(answer, same, "{path}");
    }
    for (path, questions) in [
        // What it says, and its pictures.
        (format!("/dogs/{pup}/booklet.pdf"), 2),
        (format!("{link}/booklet.pdf"), 2),
        (format!("/litters/{litter}/labels.pdf"), 1),
        (format!("/litters/{litter}/whelping-sheet.pdf"), 1),
        ("/archive".to_owned(), 1),
    ] {
        let (answer, counts) = followed.counts(async || kennel.get(&path).await.expect(200)).await;
        assert_eq!(counts, [questions, 0, 0], "{path}");
        assert!(answer.bytes.len() > 1_000, "{path}");
    }
    // What is refused there is refused for the same reason.
    let (refused, counts) = followed
        .counts(async || {
            let unknown = format!("/litters/{}/report", Uuid::now_v7());
            (kennel.get(&unknown).await.status, viewer.get("/archive").await.status)
        })
        .await;
    assert_eq!((refused, counts), ((404, 403), [1, 0, 0]));
    for path in ["/today", "/dogs", "/alarms", &format!("/litters/{litter}/growth")] {
        let (_, counts) = followed.counts(async || kennel.get(path).await.ok()).await;
        assert_eq!(counts, [0, 0, 0], "{path}");
    }
}

#[tokio::test]
async fn who_has_just_written_reads_it() {
    let followed = Followed::new().await;
    let kennel = &followed.kennel;
    let (_, pup) = litter(kennel).await;
    let other = kennel.another().await;
    let (_, elsewhere) = litter(&other).await;
    followed.caught_up().await;
    followed.held_back(true).await;
    kennel.weight(pup, 24 * 45, 604).await;
    let path = format!("/dogs/{pup}/booklet.json");
    let read = async || {
        let booklet = kennel.get(&path).await.ok();
        let weights = booklet["weights"].as_array().unwrap();
        weights.iter().any(|weight| weight["weight_g"] == 604)
    };
    assert_eq!(followed.counts(&read).await, (true, [0, 1, 0]), "the server answers for it");
    // A kennel where nothing was written meanwhile is not held up by that.
    let path_elsewhere = format!("/dogs/{elsewhere}/booklet.json");
    let (_, counts) = followed.counts(async || other.get(&path_elsewhere).await.ok()).await;
    assert_eq!(counts, [1, 0, 0]);
    // A name of a person is no change of the kennel, and stands in its archive.
    let sql = kennel.sql().await;
    let rename = format!("UPDATE people SET name = 'Oda Lind' WHERE id = '{}'", other.person_id);
    assert_eq!(sql.execute(&rename, &[]).await.unwrap(), 1);
    let archive = async || other.get("/archive").await.expect(200).bytes;
    let (archive, counts) = followed.counts(archive).await;
    assert_eq!(counts, [0, 1, 0]);
    assert!(file_of(&archive, "people.csv").contains("Oda Lind"));
    followed.held_back(false).await;
    followed.caught_up().await;
    assert_eq!(followed.counts(&read).await, (true, [1, 0, 0]), "it has it now");
}

#[tokio::test]
async fn what_has_ended_is_ended_at_once() {
    let followed = Followed::new().await;
    let kennel = &followed.kennel;
    let (litter, pup) = litter(kennel).await;
    let links = format!("/dogs/{pup}/booklet-links");
    let link = kennel.post(&links, json!({})).await.created();
    let path = link["path"].as_str().unwrap().to_owned();
    let viewer = kennel.viewer().await;
    let report = format!("/litters/{litter}/report");
    followed.caught_up().await;
    assert_eq!(followed.counts(async || viewer.get(&report).await.status).await, (200, [1, 0, 0]));
    followed.held_back(true).await;

    let id = link["id"].as_str().unwrap();
    let withdrawn = kennel.request(reqwest::Method::DELETE, &format!("{links}/{id}"));
    withdrawn.send().await.no_content();
    viewer.post("/v1/auth/logout-everywhere", json!({})).await.no_content();
    // As the standby knows it, both are good.
    let standby = connect(&copy_of(&followed)).await;
    let good = format!(
        "SELECT (SELECT count(*) FROM booklet_links) AS links, \
         (SELECT count(*) FROM sessions WHERE person_id = '{}' AND ended_at IS NULL) AS sessions",
        viewer.person_id
    );
    let row = standby.query_one(&good, &[]).await.unwrap();
    assert_eq!((row.get::<_, i64>("links"), row.get::<_, i64>("sessions")), (1, 1));

    let ended = async || {
        let nobody = kennel.nobody();
        (nobody.get(&path).await.status, viewer.get(&report).await.status)
    };
    assert_eq!(followed.counts(ended).await, ((404, 401), [0, 0, 0]));
    // A session that the standby does not know yet is good.
    let token = session(&kennel.service, kennel.person_id).await;
    let begun = kennel.owner().with_token(token);
    let year = async || begun.get("/reports/years/2026").await.status;
    assert_eq!(followed.counts(year).await, (200, [0, 1, 0]));
}

/// A file of an archive.
fn file_of(archive: &[u8], name: &str) -> String {
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(archive)).unwrap();
    std::io::read_to_string(archive.by_name(name).unwrap()).unwrap()
}

/// The address of the service's database on the standby.
fn copy_of(followed: &Followed) -> String {
    let (_, database) = followed.kennel.service.database_url.rsplit_once('/').unwrap();
    let (server, _) = followed.pair.standby_admin.rsplit_once('/').unwrap();
    format!("{server}/{database}")
}

#[tokio::test]
async fn a_promise_that_is_over_is_not_shown_as_holding() {
    let followed = Followed::new().await;
    let kennel = &followed.kennel;
    let (_, pup) = litter(kennel).await;
    let buyer = kennel.buyer("Ottilie Marsh").await;
    let mut reservation = Kennel::reservation(pup, buyer);
    let last: NaiveDate = days_ago(0) + Days::days(3);
    reservation["reservation_ends_on"] = json!(last);
    kennel.post("/placements", reservation).await.created();
    followed.caught_up().await;
    let stage = async || {
        let archive = kennel.get("/archive").await.expect(200);
        let text = file_of(&archive.bytes, "placements.csv");
        ["reserved", "lapsed"]
            .into_iter()
            .find(|stage| text.contains(&format!(",{stage},")))
            .unwrap()
    };
    kennel.set_moment(now() + Days::days(3));
    assert_eq!(followed.counts(&stage).await, ("reserved", [1, 0, 0]), "on its last day");
    followed.held_back(true).await;
    kennel.set_moment(now() + Days::days(4));
    assert_eq!(followed.counts(&stage).await, ("lapsed", [0, 1, 0]), "the server has ended it");
    followed.held_back(false).await;
    followed.caught_up().await;
    assert_eq!(followed.counts(&stage).await, ("lapsed", [1, 0, 0]));
}

#[tokio::test]
async fn a_standby_that_is_away_is_told_of_and_not_waited_for() {
    let port = TcpListener::bind("127.0.0.1:0").await.unwrap().local_addr().unwrap().port();
    let pair = tokio::task::spawn_blocking(pair).await.unwrap();
    let way = Way::to(&pair.standby);
    let database = Database::migrated_on(&pair.primary).await;
    let turn = STANDBY.lock().await;
    let replica = database.copy_at(&format!("postgres://denwright@127.0.0.1:{port}/denwright"));
    let service = Service::start_reading_from(&replica, database, settings());
    let kennel = Kennel::on(Arc::new(service)).await;
    let followed = Followed { kennel, pair, _turn: turn };
    let kennel = &followed.kennel;
    let (litter, _) = litter(kennel).await;
    let report = format!("/litters/{litter}/report");
    let ask = async || kennel.get(&report).await.status;
    assert_eq!(followed.counts(&ask).await, (200, [0, 0, 1]), "the server answers");
    assert_eq!(told(&followed).await, (json!("away"), false));
    kennel.get("/health/ready").await.ok();

    let open = tokio::spawn(way.clone().open(port));
    until("the standby answers", async || {
        (told(&followed).await == (json!("ok"), true)).then_some(())
    })
    .await;
    followed.caught_up().await;
    assert_eq!(followed.counts(&ask).await, (200, [1, 0, 0]), "it is taken up again");
    open.abort();
    let _ = open.await;
    until("the standby is away", async || {
        (told(&followed).await == (json!("away"), false)).then_some(())
    })
    .await;
    assert_eq!(followed.counts(&ask).await, (200, [0, 0, 1]), "and left again");
}

/// Whether the answer to a supervisor says that it is there, and the figures tell a lag. What is asked twice may change
/// between: the figures count where the answer is the same before and after.
async fn told(followed: &Followed) -> (Value, bool) {
    let nobody = followed.kennel.nobody();
    let ready = async || nobody.get("/health/ready").await.ok()["replica"].clone();
    loop {
        let before = ready().await;
        let text = nobody.get("/metrics").await.expect(200).text();
        if ready().await["status"] != before["status"] {
            continue;
        }
        let has = |start: &str| text.lines().any(|line| line.starts_with(start));
        let lag = has("denwright_replica_lag_bytes ") && has("denwright_replica_lag_seconds ");
        assert_eq!(has("denwright_replica_up 1"), lag, "{text}");
        assert_eq!(before["lag_bytes"].is_u64(), lag, "{before}");
        return (before["status"].clone(), lag);
    }
}

/// A way to a server that is opened and shut by the test.
#[derive(Clone)]
struct Way {
    socket: std::path::PathBuf,
}

impl Way {
    fn to(url: &str) -> Self {
        let config: Config = url.parse().unwrap();
        match config.get_hosts().first().unwrap() {
            Host::Unix(folder) => Self { socket: folder.join(".s.PGSQL.5432") },
            Host::Tcp(_) => panic!("the pair is reached by sockets"),
        }
    }

    /// Passes on what comes to this port, until it is dropped.
    async fn open(self, port: u16) {
        let listener = TcpListener::bind(("127.0.0.1", port)).await.unwrap();
        let mut open = tokio::task::JoinSet::new();
        while let Ok((mut client, _)) = listener.accept().await {
            let socket = self.socket.clone();
            open.spawn(async move {
                let mut server = tokio::net::UnixStream::connect(socket).await?;
                tokio::io::copy_bidirectional(&mut client, &mut server).await
            });
        }
    }
}

#[tokio::test]
async fn the_lag_is_told() {
    let followed = Followed::new().await;
    let kennel = &followed.kennel;
    followed.caught_up().await;
    let lag = async || {
        let ready = kennel.nobody().get("/health/ready").await.ok();
        let told = ready["replica"].clone();
        (told["lag_bytes"].as_u64(), told["lag_seconds"].as_f64())
    };
    until("it has everything", async || (lag().await == (Some(0), Some(0.0))).then_some(())).await;
    followed.held_back(true).await;
    kennel.dam("Juno").await;
    until("it is behind", async || {
        matches!(lag().await, (Some(1..), Some(seconds)) if seconds > 0.0).then_some(())
    })
    .await;
    followed.held_back(false).await;
    until("it has everything", async || (lag().await == (Some(0), Some(0.0))).then_some(())).await;
}

/// Nothing of it shows where none is set.
#[tokio::test]
async fn without_a_standby_nothing_is_told_of_one() {
    let kennel = Kennel::among_others().await;
    assert_eq!(kennel.nobody().get("/health/ready").await.ok()["replica"], json!(null));
    let text = kennel.nobody().get("/metrics").await.expect(200).text();
    assert!(!text.contains("replica"), "{text}");
}

/// The kennel's newest change tells whether the standby has all of it: so what is written of a kennel is in the log,
/// but for what no report, print, archive or booklet reads, or what the server proves each time.
#[tokio::test]
async fn whatever_a_standby_reads_of_a_kennel_is_in_its_log() {
    let kennel = Kennel::among_others().await;
    let sql = kennel.sql().await;
    let unlogged = "SELECT c.relname::text FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid \
         WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r' AND a.attname = 'kennel_id' \
           AND NOT EXISTS (SELECT FROM pg_trigger t JOIN pg_proc p ON p.oid = t.tgfoid \
                           WHERE t.tgrelid = c.oid AND p.proname IN ('log_created', 'log_changed')) ORDER BY 1";
    let rows = sql.query(unlogged, &[]).await.unwrap();
    let found: BTreeSet<&str> = rows.iter().map(|row| row.get(0)).collect();
    let known = [
        // The log itself, and what it says of pedigrees.
        &["changes", "change_heads", "pedigree_heads"][..],
        // What is worked out, and read by nothing of these: their pedigrees are read from the dogs, or by the server.
        &["inbreeding_coefficients", "inbreeding_heads", "studbooks", "studbook_parts"],
        // Rings, letters and webhooks.
        &["alarm_states", "letters", "push_devices", "ring_choices", "ring_watches", "rings"],
        &["webhook_deliveries", "webhook_standing"],
        // Files that are not whole yet; the end of a kennel.
        &["uploads", "kennel_ends"],
        // Who was ever a member: a row comes with a membership, which is in the log.
        &["kennel_people"],
    ];
    assert_eq!(found, known.concat().into_iter().collect());
}
