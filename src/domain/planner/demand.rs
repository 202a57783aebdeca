//! Pups going home against buyers waiting, month by month.

use super::{PlannerInput, PlannerLitter, Reckoned, whole};
use crate::{day_chances::shift, record::Sex, rules::Rules};
use catalogue::{Language, Text, speaking};
use chrono::{Datelike, NaiveDate};
use serde::Serialize;
use std::{cmp::Ordering, collections::BTreeMap};
use utoipa::ToSchema;
use uuid::Uuid;

/// A buyer who waits, and for what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BuyerWish {
    /// Buyer.
    pub buyer_id: Uuid,
    /// Day of joining the list; the earlier is served first.
    pub joined_on: NaiveDate,
    /// Sex wished, if it matters.
    pub sex: Option<Sex>,
    /// Colour wished, if it matters.
    pub colour: Option<String>,
}

/// Pups of one sex and colour.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PupSupply {
    /// Sex.
    pub sex: Sex,
    /// Colour; `None` if the litter's colours are unknown.
    #[schema(value_type = Option<String>)]
    pub colour: Option<Text>,
    /// Pups expected (a mean, so a fraction).
    #[schema(example = 2.7)]
    pub pups: f64,
}

/// One month's pups and buyers.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct MonthDemand {
    /// First day of the month in which the pups may go home.
    #[schema(example = "2024-05-01")]
    #[serde(rename = "month_begins_on")]
    pub month: NaiveDate,
    /// Pups expected to go home.
    #[schema(example = 5.4)]
    pub pups: f64,
    /// By sex and colour.
    pub supply: Vec<PupSupply>,
    /// Buyers that these pups suit, longest waiting first, counting leftovers of earlier months.
    pub buyers_served: Vec<Uuid>,
    /// Buyers still waiting after this month.
    pub buyers_waiting: Vec<Uuid>,
    /// Pups expected without a buyer so far.
    #[schema(example = 1.4)]
    pub pups_without_buyer: f64,
}

/// A living pup that nobody is promised.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FreePup {
    /// Sex, once known.
    pub sex: Option<Sex>,
    /// Colour, once written down.
    pub colour: Option<String>,
}

type Kind = (Sex, Option<Colour>);

/// A colour, told apart by its words in small letters in each language: a buyer's wish may be written in
/// any of them.
#[derive(Debug, Clone)]
struct Colour {
    said: Text,
    words: Vec<String>,
}

impl Colour {
    fn of(said: Text) -> Self {
        let words = |language| speaking(language, || said.to_string().to_lowercase());
        Self { words: Language::ALL.map(words).to_vec(), said }
    }

    fn is_wished(&self, wish: &str) -> bool {
        self.words.contains(&wish.to_lowercase())
    }
}

impl PartialEq for Colour {
    fn eq(&self, other: &Self) -> bool {
        self.words == other.words
    }
}

impl Eq for Colour {}

impl PartialOrd for Colour {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Colour {
    fn cmp(&self, other: &Self) -> Ordering {
        self.words.cmp(&other.words)
    }
}

/// Pups and buyers for each month of the span in which pups are expected to go home.
///
/// A buyer is served when at least one pup that suits is expected among those left; the pup is
/// taken from all kinds that suit in proportion, so nobody's wish is used up by one without wishes
/// more than chance would.
pub(super) fn by_month(
    input: &PlannerInput,
    litters: &[Reckoned<'_>],
    rules: &Rules,
) -> Vec<MonthDemand> {
    let mut left: BTreeMap<Kind, f64> = BTreeMap::new();
    let mut waiting: Vec<_> = input.buyers.iter().collect();
    waiting.sort_by_key(|b| (b.joined_on, b.buyer_id));
    supply(input, litters, rules)
        .into_iter()
        .map(|(month, kinds)| {
            for (kind, pups) in &kinds {
                *left.entry(kind.clone()).or_default() += pups;
            }
            let (mut served, mut still) = (Vec::new(), Vec::new());
            for buyer in waiting.drain(..) {
                if take(&mut left, buyer) {
                    served.push(buyer.buyer_id);
                } else {
                    still.push(buyer);
                }
            }
            let buyers_waiting = still.iter().map(|b| b.buyer_id).collect();
            waiting = still;
            MonthDemand {
                month,
                pups: kinds.values().sum(),
                supply: kinds
                    .into_iter()
                    .map(|((sex, colour), pups)| PupSupply {
                        sex,
                        colour: colour.map(|colour| colour.said),
                        pups,
                    })
                    .collect(),
                buyers_served: served,
                buyers_waiting,
                pups_without_buyer: left.values().sum(),
            }
        })
        .collect()
}

/// Takes one pup that suits the buyer, if one is expected.
fn take(left: &mut BTreeMap<Kind, f64>, buyer: &BuyerWish) -> bool {
    let suits = |(sex, colour): &Kind| {
        buyer.sex.is_none_or(|wished| wished == *sex)
            && buyer
                .colour
                .as_ref()
                .is_none_or(|wished| colour.as_ref().is_some_and(|colour| colour.is_wished(wished)))
    };
    let total: f64 = left.iter().filter(|(kind, _)| suits(kind)).map(|(_, n)| n).sum();
    if total < 1.0 - 1e-9 {
        return false;
    }
    for (_, pups) in left.iter_mut().filter(|(kind, _)| suits(kind)) {
        *pups -= *pups / total;
    }
    true
}

/// Pups expected by month of going home, sex and colour.
fn supply(
    input: &PlannerInput,
    litters: &[Reckoned<'_>],
    rules: &Rules,
) -> BTreeMap<NaiveDate, BTreeMap<Kind, f64>> {
    let mut months: BTreeMap<NaiveDate, BTreeMap<Kind, f64>> = BTreeMap::new();
    for r in litters {
        let litter = r.litter;
        let pups = pups_by_kind(litter, rules.value("planner.female_share"));
        let age =
            litter.go_home_days.map_or_else(|| whole(rules, "planner.go_home_days"), i64::from);
        for (day, chance) in r.chances.iter() {
            let home = shift(day, age);
            if !input.span.holds(home) || chance <= 0.0 || pups.is_empty() {
                continue;
            }
            let kinds = months.entry(home.with_day(1).unwrap_or(home)).or_default();
            for (kind, pups) in &pups {
                *kinds.entry(kind.clone()).or_default() += litter.chance_of_litter * chance * pups;
            }
        }
    }
    months
}

/// Pups of a litter by sex and colour: the free ones once born, else those expected.
fn pups_by_kind(litter: &PlannerLitter, female: f64) -> BTreeMap<Kind, f64> {
    let sexes = [(Sex::Female, female), (Sex::Male, 1.0 - female)];
    let mut kinds = BTreeMap::new();
    let mut add = |sex, colour: &Option<Colour>, pups: f64| {
        if pups > 1e-9 {
            *kinds.entry((sex, colour.clone())).or_default() += pups;
        }
    };
    if let Some(free) = &litter.free {
        for pup in free {
            let colour = pup.colour.as_deref().map(|written| Colour::of(written.into()));
            match pup.sex {
                Some(sex) => add(sex, &colour, 1.0),
                None => sexes.iter().for_each(|(sex, share)| add(*sex, &colour, *share)),
            }
        }
        return kinds;
    }
    let mean = litter.pups.as_ref().map_or(0.0, |pups| pups.mean);
    let known: f64 = litter.colours.iter().map(|c| c.chance).sum();
    let colours: Vec<(Option<Colour>, f64)> = litter
        .colours
        .iter()
        .map(|colour| (Some(Colour::of(colour.colour.clone())), colour.chance))
        .collect();
    for (sex, share) in sexes {
        for (colour, chance) in &colours {
            add(sex, colour, mean * share * chance);
        }
        add(sex, &None, mean * share * (1.0 - known));
    }
    kinds
}
