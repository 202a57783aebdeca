//! Measures a kennel that holds a whole studbook, over HTTP against the release binary.
//!
//! Everything as a client sees it: the file sent, questions asked one after another on one
//! connection, each of other dogs. Memory is that of the service, without Postgres.

mod breed;
#[path = "../../src/domain/agreement/dice.rs"]
mod dice;
mod served;

use reqwest::Client;
use serde_json::{Value, json};
use served::Served;
use std::{error::Error, fmt::Write as _, time::Instant};

type Outcome<T> = Result<T, Box<dyn Error>>;

/// Questions of one kind.
const ASKED: usize = 300;
/// Dams, and sires, of the grid.
const GRID: usize = 200;
/// 4,000 pairs are answered at once.
const DAMS_AT_ONCE: usize = 20;

#[tokio::main(flavor = "current_thread")]
async fn main() -> Outcome<()> {
    let mut arguments = std::env::args().skip(1).filter(|argument| argument != "--bench");
    let sizes = arguments.next().unwrap_or_else(|| "100000,1000000".to_owned());
    println!("{:>9}  {:<44} {:>12}", "dogs", "what", "figure");
    for size in sizes.split(',') {
        measure(size.trim().parse()?).await?;
    }
    Ok(())
}

fn line(dogs: usize, what: &str, figure: String) {
    println!("{dogs:>9}  {what:<44} {figure:>12}");
}

async fn measure(size: usize) -> Outcome<()> {
    let served = Served::start().await?;
    let kennel = Kennel::found(&served.url).await?;
    line(size, "memory, idle", served.memory()?);
    let (file, dams, sires) = studbook(size);
    let megabytes = file.len() / 1_000_000;
    let start = Instant::now();
    kennel.import(file).await?;
    line(size, &format!("import of {megabytes} MB"), seconds(start));
    line(size, "memory, after the import", served.memory()?);

    let (dams, sires) = (kennel.ids(&dams).await?, kennel.ids(&sires).await?);
    let start = Instant::now();
    kennel.pair(&dams[0], &sires[0]).await?;
    line(size, "first question: coefficients of all", seconds(start));
    line(size, "memory, with the pedigree", served.memory()?);
    pairs(size, "one trial mating", &kennel, &dams, &sires).await?;
    grid(size, &kennel, &dams, &sires).await?;

    // A litter is added: what was computed stays.
    let start = Instant::now();
    for pup in 0..8 {
        let body = json!({ "name": format!("new {pup}"), "sire_id": sires[0], "dam_id": dams[0] });
        kennel.post("/dogs", &body).await?;
    }
    line(size, "eight dogs added, each", millis(start.elapsed().as_secs_f64() / 8.0));
    let start = Instant::now();
    kennel.pair(&dams[1], &sires[1]).await?;
    line(size, "next trial mating", millis(start.elapsed().as_secs_f64()));
    let peak = served.peak()?;

    // Coefficients are kept: a new process reads them.
    let served = served.restarted().await?;
    let start = Instant::now();
    kennel.at(&served.url).pair(&dams[0], &sires[0]).await?;
    line(size, "first trial mating after a restart", seconds(start));
    line(size, "memory, most at any time", peak);
    served.stop().await
}

fn seconds(start: Instant) -> String {
    format!("{:.3} s", start.elapsed().as_secs_f64())
}

fn millis(seconds: f64) -> String {
    format!("{:.2} ms", seconds * 1000.0)
}

/// The time of each of many trial matings, no pair twice.
async fn pairs(
    size: usize,
    what: &str,
    kennel: &Kennel,
    dams: &[String],
    sires: &[String],
) -> Outcome<()> {
    let mut times = Vec::with_capacity(ASKED);
    for asked in 0..ASKED {
        let (dam, sire) = (&dams[asked % dams.len()], &sires[asked * 7 % sires.len()]);
        let start = Instant::now();
        kennel.pair(dam, sire).await?;
        times.push(start.elapsed().as_secs_f64());
    }
    times.sort_by(f64::total_cmp);
    line(size, &format!("{what}, median"), millis(times[ASKED / 2]));
    line(size, &format!("{what}, p99"), millis(times[ASKED * 99 / 100]));
    Ok(())
}

async fn grid(size: usize, kennel: &Kennel, dams: &[String], sires: &[String]) -> Outcome<()> {
    let mut best = f64::INFINITY;
    for _ in 0..5 {
        let start = Instant::now();
        let mut pairs = 0;
        for dams in dams[..GRID].chunks(DAMS_AT_ONCE) {
            let body = json!({ "dams": dams, "sires": &sires[..GRID] });
            let answer = kennel.post("/trial-matings", &body).await?;
            pairs += answer["pairs"].as_array().map_or(0, Vec::len);
        }
        best = best.min(start.elapsed().as_secs_f64());
        assert_eq!(pairs, GRID * GRID);
    }
    line(size, "grid of 200 x 200, in ten parts", millis(best));
    Ok(())
}

/// A breed as a file, and the numbers in it of late dams and sires.
fn studbook(size: usize) -> (String, Vec<usize>, Vec<usize>) {
    let parents = breed::breed(size, 1);
    let mut role = vec![' '; size];
    for [sire, dam] in &parents {
        if let (Some(sire), Some(dam)) = (sire, dam) {
            (role[*sire as usize], role[*dam as usize]) = ('M', 'F');
        }
    }
    let mut file = String::from("id,name,sex,sire,dam\n");
    for (dog, [sire, dam]) in parents.iter().enumerate() {
        let sex = match role[dog] {
            ' ' if dog % 2 == 0 => 'F',
            ' ' => 'M',
            known => known,
        };
        let id = |parent: &Option<u32>| parent.map(|n| format!("SB{n}")).unwrap_or_default();
        let _ = writeln!(file, "SB{dog},Dog {dog} of Larkfell,{sex},{},{}", id(sire), id(dam));
    }
    let late = |sex: char| {
        let own = (0..size).rev().filter(|dog| role[*dog] == sex);
        own.take(ASKED.max(GRID)).collect::<Vec<_>>()
    };
    let (dams, sires) = (late('F'), late('M'));
    (file, dams, sires)
}

/// A kennel and the login of its owner.
#[derive(Clone)]
struct Kennel {
    client: Client,
    url: String,
    path: String,
    token: String,
}

impl Kennel {
    async fn found(url: &str) -> Outcome<Self> {
        let client = Client::new();
        let login = json!({ "email": "owner@example.org", "password": "a long enough password" });
        let mut person = login.clone();
        person["name"] = json!("Owner");
        let new = Self { client, url: url.to_owned(), path: String::new(), token: String::new() };
        new.post("/v1/people", &person).await?;
        let session = new.post("/v1/auth/login", &login).await?;
        let token = session["access_token"].as_str().unwrap_or_default().to_owned();
        let new = Self { token, ..new };
        let kennel = json!({ "name": "Larkfell", "time_zone": "Europe/Berlin", "currency": "EUR" });
        let founded = new.post("/v1/kennels", &kennel).await?;
        let path = format!("/v1/kennels/{}", founded["id"].as_str().unwrap_or_default());
        Ok(Self { path, ..new })
    }

    fn at(&self, url: &str) -> Self {
        Self { url: url.to_owned(), ..self.clone() }
    }

    async fn send(&self, request: reqwest::RequestBuilder) -> Outcome<Value> {
        let answer = request.bearer_auth(&self.token).send().await?;
        let (status, text) = (answer.status(), answer.text().await?);
        if !status.is_success() {
            return Err(format!("{status}: {text}").into());
        }
        Ok(serde_json::from_str(&text)?)
    }

    async fn post(&self, path: &str, body: &Value) -> Outcome<Value> {
        let url = format!("{}{}{path}", self.url, self.path);
        self.send(self.client.post(url).json(body)).await
    }

    async fn import(&self, file: String) -> Outcome<()> {
        let url = format!("{}{}/imports/dogs", self.url, self.path);
        let request = self.client.post(url).header("Content-Type", "text/csv").body(file);
        self.send(request).await.map(drop)
    }

    /// The ids that dogs of the file have here.
    async fn ids(&self, dogs: &[usize]) -> Outcome<Vec<String>> {
        let mut ids = Vec::with_capacity(dogs.len());
        for dog in dogs {
            let url = format!("{}{}/dogs?imported_id=SB{dog}", self.url, self.path);
            let found = self.send(self.client.get(url)).await?;
            ids.push(found["items"][0]["id"].as_str().ok_or("a dog is missing")?.to_owned());
        }
        Ok(ids)
    }

    async fn pair(&self, dam: &str, sire: &str) -> Outcome<Value> {
        self.post("/trial-matings", &json!({ "dams": [dam], "sires": [sire] })).await
    }
}
