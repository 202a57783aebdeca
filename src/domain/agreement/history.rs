//! Random histories of litters, as what people write down and when: from heat to go-home, with deaths,
//! corrections, restores, repeats and entries out of order.
//!
//! A write is a request with names in place of ids (`@pup2`), so that the same history is told to the
//! domain and, over HTTP, to the service.

// Named, since the tests over HTTP take this file in by its path.
#[path = "history/pups.rs"]
mod pups;

use super::dice::Dice;
use chrono::{DateTime, Duration, NaiveDate, Utc};
use chrono_tz::Tz;
use serde_json::{Value, json};

/// What a write does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verb {
    /// Adds a row to the collection at its path.
    Add,
    /// Sends the same again, as a device does that got no answer.
    Again,
    /// Changes fields of the row.
    Change,
    /// Takes the row away.
    Remove,
    /// Brings it back.
    Restore,
}

/// One write.
#[derive(Debug, Clone)]
pub struct Write {
    /// The name of the row.
    pub name: String,
    /// What is done.
    pub verb: Verb,
    /// The collection, with names.
    pub path: String,
    /// The fields, with names.
    pub body: Value,
}

/// A moment at which every answer is asked, and what was written since the one before.
#[derive(Debug, Clone)]
pub struct Step {
    /// The moment.
    pub now: DateTime<Utc>,
    /// What was written before it, in that order.
    pub writes: Vec<Write>,
}

/// All that is written of one litter.
#[derive(Debug, Clone)]
pub struct History {
    /// The kennel's time zone.
    pub zone: Tz,
    /// The steps, in order of time.
    pub steps: Vec<Step>,
}

impl History {
    /// The history of a seed, looked at so many times, of a litter with at most so many pups.
    pub fn grow(seed: u64, zone: Tz, looks: usize, most_pups: u64) -> Self {
        let mut dice = Dice::new(seed);
        let begins: DateTime<Utc> = "2026-01-01T00:00:00Z".parse().unwrap_or_default();
        let begins = begins + Duration::days(dice.below(365) as i64);
        let mut teller = Teller { dice, zone, begins, told: Vec::new(), rows: 0 };
        let moments = teller.tell(looks, most_pups);
        let mut told = teller.told;
        // What was written at the same minute stays in order.
        told.sort_by_key(|(at, _)| *at);
        let mut told = told.into_iter().peekable();
        let steps = moments.into_iter().map(|now| {
            let mut writes = Vec::new();
            while let Some((_, write)) = told.next_if(|(at, _)| *at <= now) {
                writes.push(write);
            }
            Step { now, writes }
        });
        Self { zone, steps: steps.collect() }
    }
}

/// A kind of dog: name of the breed, weight of the dam in grams, of a pup at birth.
const BREEDS: [(Option<&str>, f64, f64); 3] = [
    (Some("Labrador Retriever"), 28_000.0, 410.0),
    (Some("Chihuahua"), 2_600.0, 125.0),
    (None, 14_000.0, 280.0),
];

const COLLARS: [&str; 7] = ["red", "blue", "green", "yellow", "white", "black", "pink"];

struct Teller {
    dice: Dice,
    zone: Tz,
    begins: DateTime<Utc>,
    told: Vec<(DateTime<Utc>, Write)>,
    rows: u32,
}

impl Teller {
    fn at(&self, day: f64) -> DateTime<Utc> {
        self.begins + Duration::minutes((day * 1440.0) as i64)
    }

    fn day_of(&self, at: DateTime<Utc>) -> NaiveDate {
        at.with_timezone(&self.zone).date_naive()
    }

    fn write(&mut self, at: DateTime<Utc>, verb: Verb, name: &str, path: &str, body: Value) {
        let write = Write { name: name.to_owned(), verb, path: path.to_owned(), body };
        self.told.push((at, write));
    }

    fn add(&mut self, at: DateTime<Utc>, name: &str, path: &str, body: Value) {
        self.write(at, Verb::Add, name, path, body.clone());
        if self.dice.chance(0.04) {
            self.write(at + Duration::minutes(1), Verb::Again, name, path, body);
        }
    }

    /// A row that nothing hangs on, seen at a time: mostly written at once, at times hours later, wrong
    /// and set right, or taken away and brought back. `wrong` is a field and what it says by mistake.
    fn seen(&mut self, at: DateTime<Utc>, path: &str, body: Value, wrong: (&str, Value)) {
        self.rows += 1;
        let name = format!("row{}", self.rows);
        let late = if self.dice.chance(0.1) { 20 + self.dice.below(900) as i64 } else { 1 };
        let written = at + Duration::minutes(late);
        let after = written + Duration::minutes(5 + self.dice.below(2_000) as i64);
        match self.dice.share() {
            s if s < 0.05 => {
                let mut slip = body.clone();
                slip[wrong.0] = wrong.1;
                self.add(written, &name, path, slip);
                let right = json!({ wrong.0: body[wrong.0] });
                self.write(after, Verb::Change, &name, path, right);
            }
            s if s < 0.09 => {
                self.add(written, &name, path, body);
                self.write(after, Verb::Remove, &name, path, Value::Null);
                if self.dice.chance(0.6) {
                    let again = after + Duration::minutes(30);
                    self.write(again, Verb::Restore, &name, path, Value::Null);
                }
            }
            _ => self.add(written, &name, path, body),
        }
    }

    /// Tells the whole history; gives the moments to look at.
    fn tell(&mut self, looks: usize, most_pups: u64) -> Vec<DateTime<Utc>> {
        let (breed, dam_g, birth_g) = *self.dice.pick(&BREEDS);
        self.parents(breed, dam_g);
        // Many a litter is written down with its first pup.
        let from_heat = self.dice.chance(0.3);
        let mated = if from_heat { self.pregnancy() } else { 12.0 };
        // Mostly in time, at times a week early or late.
        let length = if self.dice.chance(0.15) {
            self.dice.between(56.0, 71.0)
        } else {
            self.dice.between(61.0, 65.5)
        };
        let labour = mated + length;
        if from_heat {
            self.near_term(labour, dam_g);
        } else {
            let litter = json!({ "dam_id": "@dam", "sire_id": "@sire", "name": "K litter" });
            self.write(self.at(labour - 0.1), Verb::Add, "litter", "/litters", litter);
        }
        let born = self.night(labour);
        self.dam_after(born);
        let most = if self.dice.chance(0.25) { most_pups } else { most_pups.min(4) };
        let count = 1 + self.dice.below(most);
        let mut last = born;
        for number in 1..=count {
            last = self.pup(number, last, birth_g);
        }
        if self.dice.chance(0.7) {
            let day = last + self.dice.between(38.0, 52.0);
            let on = self.at(day);
            let day = self.day_of(on).to_string();
            self.write(on, Verb::Change, "litter", "/litters", json!({ "weaned_on": day }));
        }
        self.moments(looks, from_heat.then_some(mated), (born, last))
    }

    /// Some of the times at which answers turn: in pregnancy, near term, in the night, while the pups
    /// nurse, and until they go.
    fn moments(
        &mut self,
        looks: usize,
        mated: Option<f64>,
        (born, last): (f64, f64),
    ) -> Vec<DateTime<Utc>> {
        let mut spans = vec![
            (born - 0.05, last + 0.2),
            (born, last + 1.0),
            (last, last + 4.0),
            (last + 1.0, last + 14.0),
            (last + 14.0, last + 45.0),
            (last + 45.0, last + 75.0),
        ];
        if let Some(mated) = mated {
            spans.extend([(mated + 1.0, mated + 57.0), (mated + 57.0, born)]);
        }
        let mut moments = Vec::new();
        for _ in 0..looks {
            let (from, to) = *self.dice.pick(&spans);
            let day = self.dice.between(from, to.max(from + 0.01));
            moments.push(self.at(day));
        }
        moments.sort_unstable();
        moments.dedup();
        moments
    }

    fn parents(&mut self, breed: Option<&str>, dam_g: f64) {
        let start = self.at(-1.0);
        let dog = |name: &str, sex: &str, weight_g: f64, here: &str| {
            json!({
                "name": name, "sex": sex, "breed": breed, "adult_weight_g": weight_g as i64,
                "born_on": "2022-03-04", "for_breeding": true, "residence": here,
            })
        };
        self.write(start, Verb::Add, "dam", "/dogs", dog("Juno", "female", dam_g, "here"));
        let sire = dog("Castor", "male", dam_g * 1.2, "elsewhere");
        self.write(start, Verb::Add, "sire", "/dogs", sire);
        let joined = self.day_of(start).to_string();
        let buyer = json!({ "name": "Wendel", "joined_on": joined });
        self.write(start, Verb::Add, "buyer", "/buyers", buyer);
        if self.dice.chance(0.25) {
            let on = self.day_of(self.at(-260.0)).to_string();
            let before = json!({
                "dam_id": "@dam", "sire_id": "@sire", "name": "earlier", "whelped_on": on,
                "confirmed": true,
            });
            self.write(start, Verb::Add, "litter0", "/litters", before);
        }
    }

    /// Heat, readings, ties and checks; gives the day of the first tie.
    fn pregnancy(&mut self) -> f64 {
        let began = self.day_of(self.at(0.3)).to_string();
        let heat = json!({ "dog_id": "@dam", "began_on": began, "confirmed": true });
        self.add(self.at(0.5), "heat", "/heats", heat);
        let ovulates = self.dice.between(8.0, 14.0);
        if self.dice.chance(0.6) {
            for day in [5.0, 7.0, 9.0, 11.0, 13.0] {
                let since: f64 = day - ovulates;
                let ng = if since < -2.0 { 0.8 } else { 2.2 + (since + 2.0) * 1.7 };
                let ng = (ng * self.dice.between(0.9, 1.1) * 10.0).round() / 10.0;
                let at = self.at(day + 0.4);
                let body = json!({
                    "kind": "progesterone", "taken_at": at, "value": ng, "unit": "ng_per_ml",
                    "confirmed": true,
                });
                self.seen(at, "/heats/@heat/readings", body, ("value", json!(ng * 3.0)));
            }
        }
        let mated = ovulates + self.dice.between(0.5, 3.0);
        let mut ties = vec![json!({ "happened_at": self.at(mated) })];
        if self.dice.chance(0.5) {
            ties.push(json!({ "happened_at": self.at(mated + 2.0) }));
        }
        let mating = json!({
            "dam_id": "@dam", "sire_id": "@sire", "heat_id": "@heat", "status": "done",
            "method": *self.dice.pick(&["natural", "natural", "fresh", "chilled"]), "ties": ties,
        });
        let written = self.at(mated + 2.1);
        self.write(written, Verb::Add, "mating", "/matings", mating);
        let litter = json!({
            "dam_id": "@dam", "sire_id": "@sire", "mating_id": "@mating", "name": "K litter",
            "confirmed": true,
        });
        self.write(written + Duration::minutes(1), Verb::Add, "litter", "/litters", litter);
        for (share, day, method) in [(0.7, 28.0, "ultrasound"), (0.5, 57.0, "xray")] {
            if self.dice.chance(share) {
                let off = self.dice.between(-2.0, 2.0);
                self.check(mated + day + off, method);
            }
        }
        mated
    }

    fn check(&mut self, day: f64, method: &str) {
        let at = self.at(day);
        let empty = method == "ultrasound" && self.dice.chance(0.1);
        let least = 1 + self.dice.below(5);
        let body = if empty {
            json!({ "checked_at": at, "method": method, "result": "not_pregnant" })
        } else {
            json!({
                "checked_at": at, "method": method, "result": "pregnant", "count_at_least": least,
                "count_at_most": if self.dice.chance(0.5) { json!(least + 1) } else { Value::Null },
            })
        };
        self.seen(at, "/matings/@mating/pregnancy-checks", body, ("result", json!("unclear")));
    }

    /// Her temperature before the birth, with its fall, and her weight.
    fn near_term(&mut self, labour: f64, dam_g: f64) {
        if self.dice.chance(0.3) {
            return;
        }
        for half in 0..8 {
            let day = labour - 4.2 + f64::from(half) / 2.0;
            if self.dice.chance(0.2) {
                continue;
            }
            let fallen = (0.3..1.2).contains(&(labour - day));
            let usual = if fallen { 36.8 } else { 37.9 };
            let t = ((usual + self.dice.between(-0.3, 0.3)) * 10.0_f64).round() / 10.0;
            let at = self.at(day);
            let body = json!({ "measured_at": at, "temperature_c": t });
            self.seen(at, "/dogs/@dam/temperatures", body, ("temperature_c", json!(39.9)));
        }
        let at = self.at(labour - 5.0);
        let weight = json!({
            "measured_at": at, "weight_g": (dam_g * 1.2) as i64, "confirmed": true,
        });
        self.seen(at, "/dogs/@dam/weights", weight, ("weight_g", json!((dam_g * 1.1) as i64)));
    }

    /// The log of the night; gives when the first pup comes.
    fn night(&mut self, labour: f64) -> f64 {
        let born = labour + self.dice.between(0.1, 0.5);
        let lines = [
            (0.5, labour, json!({ "kind": "sign", "sign": "panting" })),
            (0.4, born - 0.02, json!({ "kind": "contractions", "strength": "strong" })),
            (0.2, born - 0.01, json!({ "kind": "waters" })),
            (0.15, born - 0.03, json!({ "kind": "discharge", "colour": "green_black" })),
            (0.1, born + 0.05, json!({ "kind": "contractions", "strength": "weak" })),
            (0.05, born + 0.06, json!({ "kind": "alarm", "alarm": "pup_stuck" })),
            (0.03, born + 0.06, json!({ "kind": "caesarean" })),
            (0.1, born + 0.1, json!({ "kind": "placentas", "count": 1 })),
            (0.4, born + 0.35, json!({ "kind": "finished" })),
        ];
        for (share, day, event) in lines {
            if self.dice.chance(share) {
                let at = self.at(day);
                let body = json!({ "happened_at": at, "event": event });
                let wrong = json!({ "kind": "note", "text": "she rests" });
                self.seen(at, "/litters/@litter/whelping", body, ("event", wrong));
            }
        }
        born
    }

    fn dam_after(&mut self, born: f64) {
        for day in [0.6, 1.2, 2.1, 3.4, 6.0, 12.0] {
            if self.dice.chance(0.5) {
                continue;
            }
            let at = self.at(born + day);
            let t = (self.dice.between(38.3, 39.3) * 10.0).round() / 10.0;
            let mut body = json!({ "checked_at": at, "temperature_c": t, "eats": true });
            match self.dice.below(9) {
                0 => body["temperature_c"] = json!(39.8),
                1 => body["signs"] = json!(["panting", "restless"]),
                2 => body["signs"] = json!(["tremor"]),
                3 => body["discharge"] = json!("foul"),
                4 => body["glands"] = json!("hot_painful_hard"),
                _ => {}
            }
            let path = "/litters/@litter/dam-checks";
            self.seen(at, path, body, ("temperature_c", json!(38.9)));
        }
        if self.dice.chance(0.3) {
            let day = born + self.dice.between(5.0, 20.0);
            let at = self.at(day);
            let body = json!({
                "dog_id": "@dam", "kind": "worming", "given_at": at, "product": "wormer tablet",
                "confirmed": true,
            });
            self.seen(at, "/health-events", body, ("product", json!("wormer paste")));
        }
    }
}
