//! What is written about each pup: its birth, its fate, its promises, weights, feeds and doses.

use super::{COLLARS, Teller, Verb};
use chrono::Duration;
use serde_json::{Value, json};

impl Teller {
    /// A pup from its birth to its new home; gives when it was born.
    pub(super) fn pup(&mut self, number: u64, after: f64, usual_g: f64) -> f64 {
        let born = if number == 1 { after } else { after + self.dice.between(0.01, 0.1) };
        let stillborn = self.dice.chance(0.08);
        let birth_g = (usual_g * self.dice.between(0.75, 1.2)).round();
        let weighed = self.dice.chance(0.85);
        let at = self.at(born);
        let body = json!({
            "ordinal": number, "born_at": at, "sex": *self.dice.pick(&["female", "male"]),
            "collar": if self.dice.chance(0.9) { json!(COLLARS[number as usize - 1]) } else { Value::Null },
            "weight_g": if weighed { json!(birth_g as i64) } else { Value::Null },
            "outcome": if stillborn { "stillborn" } else { "alive" },
            "placenta": *self.dice.pick(&["passed", "not_seen"]),
            "presentation": "head_first", "confirmed": true,
        });
        let mut body = body;
        if self.dice.chance(0.3) && !stillborn {
            let heart = *self.dice.pick(&[230, 190, 90]);
            body["vitality"] = json!({ "heart_per_min": heart, "cry": "weak", "gums": "pink" });
            body["vitality_minutes"] = json!(5);
        }
        let name = format!("birth{number}");
        let written = at + Duration::minutes(if self.dice.chance(0.1) { 120 } else { 3 });
        self.add(written, &name, "/litters/@litter/births", body.clone());
        if self.dice.chance(0.04) && !stillborn {
            // Written twice by two people, and taken away again.
            let (twice, at) = (format!("birth{number}b"), at + Duration::minutes(2));
            let mut double = body;
            double["born_at"] = json!(at);
            double["ordinal"] = json!(number + 10);
            double["collar"] = Value::Null;
            let path = "/litters/@litter/births";
            self.write(written, Verb::Add, &twice, path, double);
            self.write(at + Duration::minutes(400), Verb::Remove, &twice, path, Value::Null);
        }
        if stillborn {
            return born;
        }
        let ends = self.fate(number, born);
        let until = ends.unwrap_or(70.0);
        self.weights(number, born, birth_g, until);
        self.nursed(number, born, until);
        self.given(number, born, until);
        born
    }

    /// When it dies, if it does, in days of age; and whether somebody takes that back.
    fn fate(&mut self, number: u64, born: f64) -> Option<f64> {
        let name = format!("pup{number}");
        if !self.dice.chance(0.2) {
            self.placed(number, born, None);
            return None;
        }
        let age = if self.dice.chance(0.6) {
            self.dice.between(0.2, 9.0)
        } else {
            self.dice.between(9.0, 60.0)
        };
        let at = self.at(born + age);
        let died = json!({ "died_on": self.day_of(at).to_string(), "died_of": "fading" });
        self.write(at, Verb::Change, &name, "/dogs", died);
        if self.dice.chance(0.15) {
            // The wrong pup was meant: it lives.
            let lives = json!({ "died_on": null, "died_of": null });
            self.write(at + Duration::minutes(700), Verb::Change, &name, "/dogs", lives);
            return None;
        }
        self.placed(number, born, Some(age));
        Some(age)
    }

    /// Offered, reserved, confirmed, gone, and at times back again.
    fn placed(&mut self, number: u64, born: f64, dies: Option<f64>) {
        if self.dice.chance(0.35) {
            return;
        }
        let (name, pup) = (format!("placement{number}"), format!("@pup{number}"));
        let path = "/placements";
        let from = self.dice.between(2.0, 50.0);
        let lives = |age: f64| dies.is_none_or(|dies| age < dies);
        if !lives(from) {
            return;
        }
        let until = self.day_of(self.at(born + 90.0)).to_string();
        let kind = *self.dice.pick(&["sale", "sale", "sale", "kept", "family"]);
        let body = json!({
            "dog_id": pup, "buyer_id": "@buyer", "kind": kind, "stage": "reserved",
            "reservation_ends_on": until,
        });
        self.add(self.at(born + from), &name, path, body);
        let mut age = from;
        for (share, wait, change) in [
            (0.6, 3.0, json!({ "stage": "confirmed" })),
            (0.75, (56.0 - from).max(4.0), json!({ "stage": "handed_over" })),
            (0.3, 6.0, json!({ "stage": "returned" })),
        ] {
            age += wait;
            if !self.dice.chance(share) || !lives(age) || (kind == "kept" && age > 56.0) {
                return;
            }
            self.write(self.at(born + age), Verb::Change, &name, path, change);
        }
    }

    fn weights(&mut self, number: u64, born: f64, birth_g: f64, until: f64) {
        let fails = until < 60.0;
        let rate = self.dice.between(0.055, 0.085);
        let path = format!("/dogs/@pup{number}/weights");
        let mut age = self.dice.between(0.4, 1.1);
        while age < until.min(62.0) {
            let grown = if age < 20.0 {
                birth_g * (rate * (age - 0.5)).exp()
            } else {
                birth_g * (rate * 19.5).exp() * (1.0 + 0.045 * (age - 20.0))
            };
            let lost =
                if fails && age > until - 3.0 { 1.0 - 0.06 * (age - until + 3.0) } else { 1.0 };
            let weight_g = (grown * lost * self.dice.between(0.985, 1.015)).round();
            let at = self.at(born + age);
            let body = json!({ "measured_at": at, "weight_g": weight_g as i64, "confirmed": true });
            let slip = *self.dice.pick(&[0.1, 10.0, 0.5, 1.3]);
            let slip = ((weight_g * slip) as i64).clamp(20, 20_000);
            self.seen(at, &path, body, ("weight_g", json!(slip)));
            age += match age {
                a if a < 5.0 => self.dice.between(0.5, 1.6),
                a if a < 21.0 => self.dice.between(1.5, 5.0),
                _ => self.dice.between(6.0, 15.0),
            };
        }
    }

    /// Temperatures, looks and feeds of the first days.
    fn nursed(&mut self, number: u64, born: f64, until: f64) {
        for age in [0.1, 0.5, 1.0, 2.0, 4.0] {
            if age > until || self.dice.chance(0.6) {
                continue;
            }
            let at = self.at(born + age);
            let t = if self.dice.chance(0.12) { 33.1 } else { self.dice.between(35.6, 37.2) };
            let body = json!({ "measured_at": at, "temperature_c": (t * 10.0).round() / 10.0 });
            let path = format!("/dogs/@pup{number}/temperatures");
            self.seen(at, &path, body, ("temperature_c", json!(31.0)));
        }
        if self.dice.chance(0.3) {
            let day = born + self.dice.between(0.2, until.min(8.0));
            let at = self.at(day);
            let sign = *self.dice.pick(&["crying", "limp", "bloated", "not_sucking"]);
            let nurses = *self.dice.pick(&[Some(true), Some(false), None]);
            let body = json!({ "checked_at": at, "signs": [sign], "nurses": nurses });
            let path = format!("/dogs/@pup{number}/pup-checks");
            self.seen(at, &path, body, ("signs", json!(["weak"])));
        }
        if self.dice.chance(0.3) {
            let first = self.dice.between(0.01, 0.3);
            let at = self.at(born + first);
            let palate = *self.dice.pick(&["normal", "normal", "abnormal", "seen_by_vet"]);
            let exam = json!({ "palate": palate, "anus": "normal", "limbs": "normal" });
            let body = json!({ "checked_at": at, "exam": exam });
            let path = format!("/dogs/@pup{number}/pup-checks");
            self.seen(at, &path, body, ("exam", json!({ "palate": "normal" })));
        }
        if self.dice.chance(0.12) {
            let first = self.dice.between(0.2, 6.0);
            for feed in 0..8 {
                let age = first + f64::from(feed) * 0.125;
                if age < until && !self.dice.chance(0.15) {
                    let at = self.at(born + age);
                    let body = json!({ "fed_at": at, "volume_ml": 6.0, "confirmed": true });
                    let path = format!("/dogs/@pup{number}/feeds");
                    self.seen(at, &path, body, ("volume_ml", json!(16.0)));
                }
            }
        }
    }

    /// Doses by the plans: in time, too early, past their expiry.
    fn given(&mut self, number: u64, born: f64, until: f64) {
        let pup = format!("@pup{number}");
        for (age, kind) in
            [(14.0, "worming"), (28.0, "worming"), (44.0, "vaccination"), (50.0, "microchip")]
        {
            let age = age + self.dice.between(-6.0, 4.0);
            if age > until || self.dice.chance(0.4) {
                continue;
            }
            let at = self.at(born + age);
            let mut body = json!({
                "dog_id": pup, "kind": kind, "given_at": at, "product": "as agreed",
                "confirmed": true,
            });
            if self.dice.chance(0.1) {
                body["expires_on"] = json!(self.day_of(at - Duration::days(9)).to_string());
            }
            self.seen(at, "/health-events", body, ("product", json!("another")));
        }
    }
}
