//! What has to hold between answers about the same litters at the same moment.
//!
//! The laws read the answers as a client does, so that they hold the domain's and the service's alike.
//! Each gives a line for every breach that it finds.

use super::book::{LitterFacts, PupFact};
use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// All answers at one moment.
pub struct Answers {
    /// The moment.
    pub now: DateTime<Utc>,
    /// The kennel's time zone.
    pub zone: Tz,
    /// What is asked of the kennel, by name.
    pub kennel: Value,
    /// What is asked of the litter, by name.
    pub litter: Value,
    /// What is asked of each pup, by name.
    pub pups: BTreeMap<Uuid, Value>,
}

/// Every breach of a law; `others` are the other litters of the kennel.
pub fn breaches(answers: &Answers, facts: &LitterFacts, others: &[LitterFacts]) -> Vec<String> {
    let laws = Laws { answers, facts, others };
    let mut found = laws.cautions_are_the_alarms();
    found.extend(laws.nothing_grave_is_said_elsewhere_alone());
    found.extend(laws.today_holds_all());
    found.extend(laws.tasks_say_what_alarms_say());
    found.extend(laws.who_is_not_here_is_nowhere());
    found.extend(laws.who_is_here_is_everywhere());
    found.extend(laws.counts_are_equal());
    found.extend(laws.days_are_equal());
    found.extend(laws.weights_are_equal());
    found.extend(laws.going_home_is_equal());
    found
}

struct Laws<'a> {
    answers: &'a Answers,
    facts: &'a LitterFacts,
    others: &'a [LitterFacts],
}

/// Families of codes that the answers about pregnancy and night show.
const NIGHT: [&str; 4] = ["whelping", "overdue", "dating", "pregnancy"];

fn items(value: &Value) -> &[Value] {
    value.as_array().map(Vec::as_slice).unwrap_or_default()
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

fn family(caution: &Value) -> &str {
    text(&caution["code"]).split('.').next().unwrap_or_default()
}

/// A caution or an alarm, word for word.
fn words(caution: &Value) -> String {
    ["code", "level", "what", "why", "source"].map(|key| text(&caution[key])).join("|")
}

fn all_words<'v>(cautions: impl IntoIterator<Item = &'v Value>) -> Vec<String> {
    cautions.into_iter().map(words).collect()
}

fn differ<T: PartialEq + std::fmt::Debug>(what: &str, one: T, other: T) -> Option<String> {
    (one != other).then(|| format!("{what}: {one:?} and {other:?}"))
}

/// Everything in an answer that is shaped like a caution.
fn cautions_in<'v>(answer: &'v Value, found: &mut Vec<&'v Value>) {
    match answer {
        Value::Object(fields) => {
            if fields.contains_key("code") && fields.contains_key("level") {
                found.push(answer);
            }
            fields.values().for_each(|field| cautions_in(field, found));
        }
        Value::Array(all) => all.iter().for_each(|one| cautions_in(one, found)),
        _ => {}
    }
}

impl Laws<'_> {
    fn of_litter(&self, name: &str) -> &Value {
        &self.answers.litter[name]
    }

    fn of_kennel(&self, name: &str) -> &Value {
        &self.answers.kennel[name]
    }

    fn today(&self) -> NaiveDate {
        self.day_of(self.answers.now)
    }

    fn day_of(&self, at: DateTime<Utc>) -> NaiveDate {
        at.with_timezone(&self.answers.zone).date_naive()
    }

    fn alarms(&self) -> &[Value] {
        items(self.of_litter("alarms"))
    }

    fn alarms_about(&self, dog_id: &Value) -> impl Iterator<Item = &Value> {
        self.alarms().iter().filter(move |alarm| alarm["about"]["dog_id"] == *dog_id)
    }

    /// The litter on the wall screen.
    fn on_board(&self) -> Option<&Value> {
        let id = json!(self.facts.litter_id);
        items(&self.of_kennel("today")["litters"]).iter().find(|one| one["litter_id"] == id)
    }

    fn planned(&self) -> Option<&Value> {
        let key = json!(format!("litter:{}", self.facts.litter_id));
        items(&self.of_kennel("planner")["litters"]).iter().find(|one| one["key"] == key)
    }

    /// Cautions of each answer are a filter of the alarms, word for word and in their order.
    fn cautions_are_the_alarms(&self) -> Vec<String> {
        let of = |families: &[&str]| {
            all_words(self.alarms().iter().filter(|alarm| families.contains(&family(alarm))))
        };
        let said = |name: &str| all_words(items(&self.of_litter(name)["cautions"]));
        let mut found: Vec<String> = ["status", "window"]
            .into_iter()
            .filter_map(|name| differ(&format!("cautions of {name}"), said(name), of(&NIGHT)))
            .collect();
        if !self.of_litter("dam_health").is_null() {
            found.extend(differ("cautions of the dam", said("dam_health"), of(&["dam"])));
        }
        let growth = ["growth", "newborn"];
        let about = |dog_id: &Value| {
            let own = self.alarms_about(dog_id);
            all_words(own.filter(|alarm| growth.contains(&family(alarm))))
        };
        found.extend(differ("cautions of growth", said("growth"), about(&Value::Null)));
        for pup in items(&self.of_litter("growth")["pups"]) {
            let own = all_words(items(&pup["cautions"]));
            found.extend(differ("cautions of a pup's growth", own, about(&pup["dog_id"])));
        }
        let dogs: Vec<Value> =
            self.facts.pups.iter().map(|pup| pup.dog_id).map(|id| json!(id)).collect();
        for due in items(&self.of_kennel("due")["cautions"]) {
            if dogs.contains(&due["dog_id"]) {
                let own = self.alarms_about(&due["dog_id"]);
                let own = all_words(own.filter(|alarm| family(alarm) == "health"));
                let said = all_words(items(&due["cautions"]));
                found.extend(differ("cautions of what is due", said, own));
            }
        }
        let dam = json!(self.facts.dam_id);
        let of_dam =
            self.alarms().iter().filter(|a| NIGHT.contains(&family(a)) || family(a) == "dam");
        let strange = of_dam.filter(|alarm| alarm["about"]["dog_id"] != dam);
        found.extend(strange.map(|alarm| format!("not about the dam: {}", words(alarm))));
        found.extend(self.words_are_known());
        found
    }

    /// Whatever is said with a level anywhere stands among the alarms or their grounds. What judges a
    /// question, such as the ration that was asked for, is no alarm.
    fn words_are_known(&self) -> Vec<String> {
        let alarms = self.alarms().iter().chain(items(self.of_kennel("alarms")));
        let grounds = alarms.clone().flat_map(|alarm| items(&alarm["grounds"]));
        let known: BTreeSet<String> = alarms.clone().chain(grounds).map(words).collect();
        let mut said = Vec::new();
        cautions_in(&self.answers.litter, &mut said);
        cautions_in(&self.answers.kennel, &mut said);
        for pup in self.answers.pups.values() {
            let next = &pup["feeding"]["next"];
            [&pup["readiness"], &pup["schedule"], next]
                .into_iter()
                .for_each(|told| cautions_in(told, &mut said));
        }
        // The law and the rules by which a pup may go home are no alarms.
        said.retain(|caution| family(caution) != "go_home" || !caution["alarm"].is_null());
        let strange = said.into_iter().map(words).filter(|words| !known.contains(words));
        let strange: BTreeSet<String> = strange.collect();
        strange.into_iter().map(|words| format!("said and no alarm: {words}")).collect()
    }

    /// A ration says nothing graver than the list of alarms.
    fn nothing_grave_is_said_elsewhere_alone(&self) -> Vec<String> {
        let mut found = Vec::new();
        for (dog_id, pup) in &self.answers.pups {
            let mut said = Vec::new();
            cautions_in(&pup["feeding"]["ration"], &mut said);
            let emergency = |alarm: &Value| alarm["level"] == "emergency";
            let rings = self.alarms_about(&json!(dog_id)).any(emergency);
            let alone = said.into_iter().filter(|caution| emergency(caution) && !rings);
            found.extend(alone.map(|caution| format!("a ration alone says {}", words(caution))));
        }
        found
    }

    /// The wall screen shows all alarms, and the list of one litter is its part of the kennel's.
    fn today_holds_all(&self) -> Vec<String> {
        let wrong = items(&self.of_kennel("today")["wrong"]);
        let all = items(self.of_kennel("alarms"));
        let ids = |alarms: &[Value]| -> Vec<Value> {
            alarms.iter().map(|alarm| alarm["id"].clone()).collect()
        };
        let mut found: Vec<String> = differ("today.wrong and alarms", ids(wrong), ids(all))
            .into_iter()
            .chain(differ("words of today.wrong", all_words(wrong), all_words(all)))
            .collect();
        let litter = json!(self.facts.litter_id);
        let own = all.iter().filter(|alarm| alarm["about"]["litter_id"] == litter);
        let own: Vec<Value> = own.cloned().collect();
        found.extend(differ("alarms of the litter", ids(&own), ids(self.alarms())));
        let unique: BTreeSet<String> = ids(all).iter().map(Value::to_string).collect();
        found.extend(differ("ids of alarms", unique.len(), all.len()));
        found
    }

    /// Somebody is sent to a pup with the words of its alarm, and to each whose weights call for it.
    fn tasks_say_what_alarms_say(&self) -> Vec<String> {
        let sent: BTreeMap<String, &str> = items(self.of_kennel("tasks"))
            .iter()
            .filter(|task| text(&task["key"]).contains(":growth:look:"))
            .map(|task| (text(&task["dog_id"]).to_owned(), text(&task["title"])))
            .collect();
        let calls = |pup: &PupFact| {
            let dog_id = json!(pup.dog_id);
            let own = |alarm: &&Value| {
                alarm["about"]["dog_id"] == dog_id
                    && ["growth", "newborn"].contains(&family(alarm))
                    && alarm["level"] != "note"
            };
            self.alarms().iter().find(own).map(|alarm| text(&alarm["what"]))
        };
        self.facts
            .pups
            .iter()
            .filter_map(|pup| {
                let told = sent.get(&pup.dog_id.to_string()).copied();
                differ("task and alarm of a pup", told, calls(pup))
            })
            .collect()
    }

    /// Nobody dead, gone or born dead is shown as present, ranked, due, fed, or waited for.
    fn who_is_not_here_is_nowhere(&self) -> Vec<String> {
        let mut found = Vec::new();
        let everybody = self.others.iter().chain([self.facts]).flat_map(|litter| &litter.pups);
        let told: Vec<(&str, String)> = ["today", "due", "tasks", "alarms"]
            .into_iter()
            .map(|name| (name, self.without_farewells(name)))
            .collect();
        for pup in everybody.filter(|pup| !pup.here) {
            let id = pup.dog_id.to_string();
            let names = told.iter().filter(|(_, said)| said.contains(&id));
            found.extend(names.map(|(name, _)| format!("{name} shows {id}, which is not here")));
        }
        let growth = self.of_litter("growth");
        for pup in self.facts.pups.iter().filter(|pup| !pup.here) {
            let id = json!(pup.dog_id);
            for name in ["risks", "swaps", "losing", "standing_still"] {
                if growth[name].to_string().contains(&pup.dog_id.to_string()) {
                    found.push(format!("growth.{name} holds {id}, which is not here"));
                }
            }
            for shown in items(&growth["pups"]).iter().filter(|one| one["dog_id"] == id) {
                if shown["present"] != false || !shown["position"].is_null() || !pup.born_alive {
                    found.push(format!("growth shows {id} as present: {shown}"));
                }
                if !items(&shown["cautions"]).is_empty() {
                    found.push(format!("growth asks something of {id}, which is not here"));
                }
            }
            let of_pup = &self.answers.pups[&pup.dog_id];
            if of_pup["readiness"]["ready"] != false || !of_pup["readiness"]["ready_on"].is_null() {
                found.push(format!("{id} is not here and ready to go"));
            }
            found.extend((!of_pup["feeding"].is_null()).then(|| format!("{id} is fed")));
            if items(&self.of_litter("readiness")["pups"]).iter().any(|one| one["dog_id"] == id) {
                found.push(format!("readiness of the litter holds {id}, which is not here"));
            }
        }
        found
    }

    /// An answer of the kennel, without what is said of a pup that died to its buyer.
    fn without_farewells(&self, name: &str) -> String {
        let farewell = |one: &Value| {
            text(&one["key"]).contains(":tell-of-death")
                || text(&one["key"]).contains(":follow-up:")
                || family(one) == "go_home"
        };
        let kept = |list: &Value| -> Vec<Value> {
            let all = items(list).iter().filter(|one| !farewell(one));
            all.map(|one| {
                let mut one = one.clone();
                if let Some(parts) = one["parts"].as_array_mut() {
                    parts.retain(|part| !farewell(part));
                }
                one
            })
            .collect()
        };
        let mut answer = self.of_kennel(name).clone();
        match answer {
            Value::Array(_) => json!(kept(&answer)).to_string(),
            _ => {
                answer["wrong"] = json!(kept(&answer["wrong"]));
                answer.to_string()
            }
        }
    }

    /// Whoever is here is in each list of those who are.
    fn who_is_here_is_everywhere(&self) -> Vec<String> {
        let here: Vec<Value> = self.facts.here().map(|pup| json!(pup.dog_id)).collect();
        let of = |list: &Value| -> Vec<Value> {
            items(list).iter().map(|pup| pup["dog_id"].clone()).collect()
        };
        let growth = items(&self.of_litter("growth")["pups"]).iter();
        let present = growth.filter(|pup| pup["present"] == true);
        let present: Vec<Value> = present.map(|pup| pup["dog_id"].clone()).collect();
        let ready = of(&self.of_litter("readiness")["pups"]);
        let mut found: Vec<String> = differ("here and growth", here.clone(), present)
            .into_iter()
            .chain(differ("here and readiness", here.clone(), ready))
            .collect();
        let in_order = |dogs: &[Value]| {
            let mut ids: Vec<String> = dogs.iter().map(Value::to_string).collect();
            ids.sort();
            ids
        };
        let round = of(&self.of_litter("newborns")["pups"]);
        found.extend(differ("here and the round", in_order(&here), in_order(&round)));
        if let Some(board) = self.on_board() {
            found.extend(differ("here and today", here.clone(), of(&board["pups"])));
        }
        let worn: BTreeSet<&str> = items(self.of_kennel("collars")).iter().map(text).collect();
        let month = self.answers.now - chrono::Duration::days(20);
        let young = self.facts.here().filter(|pup| pup.born_at >= month);
        let bare = young.filter_map(|pup| pup.collar.as_deref()).filter(|c| !worn.contains(c));
        if !self.of_kennel("collars").is_null() {
            found.extend(bare.map(|collar| format!("{collar} is worn and offered")));
        }
        found
    }

    fn counts_are_equal(&self) -> Vec<String> {
        let count = |wanted: &dyn Fn(&PupFact) -> bool| {
            self.facts.pups.iter().filter(|pup| wanted(pup)).count() as u64
        };
        let (born, here) = (count(&|_| true), count(&|pup| pup.here));
        let (alive, dead) = (count(&|pup| pup.born_alive), count(&|pup| !pup.born_alive));
        let living = count(&|pup| pup.born_alive && !pup.dead);
        let status = self.of_litter("status");
        let mut rows = vec![
            ("status.pups_out", &status["pups_out"], born),
            ("status.born_alive", &status["born_alive"], alive),
            ("status.stillborn", &status["stillborn"], dead),
            ("expected_pups.born", &self.of_litter("expected_pups")["born"], born),
        ];
        let report = self.of_litter("report");
        if !report.is_null() {
            rows.push(("report.born", &report["born"], born));
            rows.push(("report.born_alive", &report["born_alive"], alive));
            rows.push(("report.stillborn", &report["stillborn"], dead));
            rows.push(("report.alive", &report["alive"], living));
        }
        let fed = self.of_litter("feeding");
        if fed["stage"] == "lactating" {
            rows.push(("pups that the dam is fed for", &fed["pups"], here));
        }
        // As long as more may come it is what is foretold, then it is those that are here.
        let forecast = &self.of_litter("expected_pups")["forecast"];
        let preparation = self.of_litter("preparation");
        if self.facts.whelped_on.is_some() && !preparation["earliest_on"].is_null() {
            let pups = forecast["most"].as_u64().unwrap_or(here);
            rows.push(("preparation.pups", &preparation["pups"], pups));
        }
        for place in items(&self.of_litter("growth")["pups"]).iter().map(|pup| &pup["position"]) {
            if place["pups_ranked"].as_u64() > Some(here) {
                rows.push(("pups ranked", &place["pups_ranked"], here));
            }
        }
        let sheet = self.of_litter("sheet");
        let mut found: Vec<String> = rows
            .into_iter()
            .filter_map(|(name, said, is)| differ(name, said.as_u64(), Some(is)))
            .collect();
        if !sheet.is_null() {
            let (asked, printed) = (&status["expected"], &sheet["expected"]);
            found.extend(differ("pups expected, status and sheet", asked, printed));
            found.extend(differ("sheet.pups", items(&sheet["pups"]).len() as u64, born));
        }
        if let Some(planned) = self.planned().filter(|_| self.facts.whelped_on.is_some()) {
            let free = planned["pups_mean"].as_f64().unwrap_or_default();
            let most = forecast["mean"].as_f64().unwrap_or(here as f64);
            found.extend((free > most).then(|| format!("planner: {free} free of {most}")));
        }
        found
    }

    /// Ages, days of pregnancy, windows and days of birth.
    fn days_are_equal(&self) -> Vec<String> {
        let window = self.of_litter("window");
        let born = json!(self.facts.whelped_on);
        let mut found = Vec::new();
        found.extend(differ("window.whelped_on", &window["whelped_on"], &born));
        let report = self.of_litter("report");
        found.extend(differ("report and birth", report.is_null(), born.is_null()));
        if !report.is_null() {
            found.extend(differ("report.whelped_on", &report["whelped_on"], &born));
        }
        if let Some(board) = self.on_board() {
            found.extend(differ("today.whelped_on", &board["whelped_on"], &born));
            let age = self.facts.whelped_on.map(|on| (self.today() - on).num_days());
            found.extend(differ("today.age_days", &board["age_days"], &json!(age)));
            let expected = &board["expected"];
            for key in ["earliest_on", "likely_on", "latest_on", "day_of_pregnancy"] {
                if born.is_null() {
                    let name = format!("today and window: {key}");
                    found.extend(differ(&name, &expected[key], &window[key]));
                }
            }
        } else if self.facts.here().next().is_some() || born.is_null() {
            found.extend(self.young().then(|| "the litter is not on the board".to_owned()));
        }
        for pup in items(&self.of_litter("growth")["pups"]) {
            let own = self.facts.pups.iter().find(|one| json!(one.dog_id) == pup["dog_id"]);
            let age = own.map(|own| (self.today() - self.day_of(own.born_at)).num_days());
            found.extend(differ("growth.age_days", &pup["age_days"], &json!(age)));
        }
        let fed = self.of_litter("feeding");
        if fed["stage"] == "pregnant" {
            let day = &window["day_of_pregnancy"];
            found.extend(differ("day of pregnancy, fed and window", &fed["day"], day));
        }
        let sheet = self.of_litter("sheet");
        let of_window = json!([window["earliest_on"], window["likely_on"], window["latest_on"]]);
        if !(sheet.is_null() || sheet["due"].is_null() && window["likely_on"].is_null()) {
            found.extend(differ("sheet.due and window", &sheet["due"], &of_window));
        }
        found.extend(self.windows_of_others(window, &born));
        found
    }

    fn young(&self) -> bool {
        self.facts.whelped_on.is_none_or(|on| (self.today() - on).num_days() < 56)
    }

    /// The planner and the preparation count on the same days.
    fn windows_of_others(&self, window: &Value, born: &Value) -> Vec<String> {
        let mut found = Vec::new();
        let is_born = !born.is_null();
        let day = |key: &str| if is_born { born.clone() } else { window[key].clone() };
        let preparation = self.of_litter("preparation");
        for key in ["earliest_on", "likely_on", "latest_on"] {
            if !preparation["likely_on"].is_null() {
                let name = format!("preparation and window: {key}");
                found.extend(differ(&name, preparation[key].clone(), day(key)));
            }
        }
        // Once the window has passed, the planner speaks of the days that are left.
        if let Some(planned) = self.planned().filter(|_| is_born || window["passed"] == false) {
            let birth = &planned["birth"];
            found.extend(differ("planner.likely", planned["likely_on"].clone(), day("likely_on")));
            found.extend(differ(
                "planner.birth.from",
                birth["first_on"].clone(),
                day("earliest_on"),
            ));
            found.extend(differ("planner.birth.to", birth["last_on"].clone(), day("latest_on")));
        }
        found
    }

    fn weights_are_equal(&self) -> Vec<String> {
        let growth = self.of_litter("growth");
        let mut found = Vec::new();
        let mut present = Vec::new();
        for pup in items(&growth["pups"]) {
            let dog_id = &pup["dog_id"];
            let shown = self.on_board().and_then(|board| {
                items(&board["pups"]).iter().find(|one| one["dog_id"] == *dog_id)
            });
            if let Some(shown) = shown {
                found.extend(differ("last weight of today", &shown["last"], &pup["last"]));
                let rank = &pup["position"]["rank"];
                found.extend(differ("rank of today", &shown["rank"], rank));
                found.extend(differ("label of today", &shown["label"], &pup["label"]));
            }
            if pup["present"] == true {
                present.extend(pup["last"]["weight_g"].as_f64());
                let id = dog_id.as_str().and_then(|id| id.parse().ok()).unwrap_or_default();
                let fed = &self.answers.pups[&id]["weight_g"];
                found.extend(differ("weight fed by", fed, &pup["last"]["weight_g"]));
            }
        }
        let total = growth["total_weight_g"].as_f64().unwrap_or_default();
        let sum: f64 = present.iter().sum();
        let equal = (total - sum).abs() < 1e-6;
        found.extend((!equal).then(|| format!("total weight {total} of pups of {sum}")));
        found
    }

    /// The litter goes when its pups go, and each pup says the same by itself.
    fn going_home_is_equal(&self) -> Vec<String> {
        let litter = self.of_litter("readiness");
        let mut found = Vec::new();
        for pup in items(&litter["pups"]) {
            let id = pup["dog_id"].as_str().and_then(|id| id.parse().ok()).unwrap_or_default();
            let Some(alone) = self.answers.pups.get(&id).map(|pup| &pup["readiness"]) else {
                continue;
            };
            for key in ["ready", "ready_on", "checks", "cautions"] {
                found.extend(differ(&format!("readiness.{key}"), &pup[key], &alone[key]));
            }
        }
        let days: Vec<&str> = items(&litter["pups"]).iter().map(|p| text(&p["ready_on"])).collect();
        let known = !days.is_empty() && days.iter().all(|day| !day.is_empty());
        let last = known.then(|| days.iter().max().copied()).flatten();
        found.extend(differ("readiness.ready_on", litter["ready_on"].as_str(), last));
        if let (Some(planned), Some(born)) = (self.planned(), self.facts.whelped_on) {
            let from = &planned["go_home"]["first_on"];
            let early = from.as_str().and_then(|on| on.parse::<NaiveDate>().ok());
            let week_eight = early.map(|on| (on - born).num_days());
            found.extend(differ("planner: age at go-home", week_eight, Some(56)));
        }
        found
    }
}
