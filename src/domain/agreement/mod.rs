//! One litter, one voice: random histories, of which every answer is asked at every step.
//!
//! [`history`] tells what people write, [`book`] keeps it plainly, [`record`] makes of it what the store
//! loads, [`answers`] asks every view, and [`laws`] holds the answers against one another and against the
//! book. `tests/http/agreement.rs` tells the same histories to the service.
//!
//! A seed that breaks a law is printed; `AGREEMENT_SEED=… cargo test -p domain agreement` tells its history
//! alone, `AGREEMENT_HISTORIES=…` as many as one likes.

mod answers;
mod book;
pub(crate) mod dice;
mod history;
mod laws;
mod record;

use crate::{
    growth::GrowthMemory,
    moment::Moment,
    readiness::{KennelReadinessRules, ReadinessRuleSet},
    rules::Rules,
    schedule::PlanBook,
};
use book::Book;
use chrono_tz::Tz;
use history::{History, Verb};
use rayon::iter::{IntoParallelIterator as _, ParallelIterator as _};
use uuid::Uuid;

/// Histories in a run.
const HISTORIES: u64 = 400;

/// Looks at one of ten; at the others one, since a look asks all.
const LOOKS: usize = 4;

/// Zones whose clocks change on other days, or never.
const ZONES: [Tz; 4] =
    [Tz::Europe__Berlin, Tz::America__New_York, Tz::Asia__Tokyo, Tz::Australia__Sydney];

fn plays(seed: u64) -> (usize, Vec<String>) {
    let zone = ZONES[(seed % ZONES.len() as u64) as usize];
    let looks = if seed.is_multiple_of(10) { LOOKS } else { 1 };
    let history = History::grow(seed, zone, looks, 7);
    let set = ReadinessRuleSet::for_kennel("", &KennelReadinessRules::default()).unwrap();
    let mut book = Book::new(history.zone);
    let mut rows = 0_u128;
    // As a service remembers from one look to the next.
    let growth = GrowthMemory::default();
    let (mut looked, mut found) = (0, Vec::new());
    for step in &history.steps {
        for write in &step.writes {
            rows += u128::from(write.verb == Verb::Add);
            book.take(write, [rows, rows + (1 << 64)].map(Uuid::from_u128), step.now);
        }
        let now = step.now;
        let (rules, plans, growth) = (Rules::standard(), PlanBook::default(), growth.clone());
        let moment = Moment { now, zone, rules, plans, growth };
        let Some(records) = record::read(&book, &moment) else { continue };
        let Some(facts) = book.facts(now) else { continue };
        let answers = answers::ask(&records, &set, &moment);
        looked += 1;
        let broken = laws::breaches(&answers, &facts, &[]);
        found.extend(broken.into_iter().map(|breach| {
            format!("seed {seed} at {now}: {breach} ({})", answers::in_short(&records.core))
        }));
    }
    (looked, found)
}

#[test]
fn every_answer_about_a_litter_says_the_same() {
    let set = |name: &str| std::env::var(name).ok().and_then(|number| number.parse().ok());
    let seeds = match set("AGREEMENT_SEED") {
        Some(seed) => seed..seed + 1,
        None => 0..set("AGREEMENT_HISTORIES").unwrap_or(HISTORIES),
    };
    let played: Vec<(usize, Vec<String>)> = seeds.into_par_iter().map(plays).collect();
    let looked: usize = played.iter().map(|(looked, _)| looked).sum();
    let found: Vec<String> = played.into_iter().flat_map(|(_, found)| found).collect();
    println!("{looked} looks");
    let first: Vec<&String> = found.iter().take(30).collect();
    assert!(found.is_empty(), "{} breaches: {first:#?}", found.len());
}
