//! The statement of a holder over a span of days: what came in, was paid back and was spent, and the pups.

use super::{Holder, Holding, Holdings, division::whole_parts, holdings::Parts};
use crate::{
    fault::Fault,
    markers::ratio,
    placement::{Currency, Money},
    record::words::words,
};
use catalogue::said;
use chrono::{Datelike as _, NaiveDate};
use num_rational::BigRational;
use num_traits::ToPrimitive as _;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;
use uuid::Uuid;

words! {
    /// What an entry of a statement is.
    MoneyEntryKind {
        /// A deposit or payment received for a pup.
        Income = "income",
        /// Paid back to a buyer.
        Refund = "refund",
        /// Spent, for a litter or for the kennel.
        Cost = "cost",
    }
}

/// The days of a statement, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StatementSpan {
    /// First day.
    pub first_on: NaiveDate,
    /// Last day.
    pub last_on: NaiveDate,
}

impl StatementSpan {
    /// The span asked for: from the first day of the last day's year, to today, where it is not said.
    ///
    /// # Errors
    /// A fault at `#query/last_on` for one that ends before it begins.
    pub fn asked(
        first_on: Option<NaiveDate>,
        last_on: Option<NaiveDate>,
        today: NaiveDate,
    ) -> Result<Self, Fault> {
        let last_on = last_on.unwrap_or(today);
        let new_year = NaiveDate::from_ymd_opt(last_on.year(), 1, 1).unwrap_or(last_on);
        let first_on = first_on.unwrap_or(new_year);
        if last_on < first_on {
            let detail = said!("fault-too-early-last-on", first_on = first_on);
            return Err(Fault::new("#query/last_on", detail));
        }
        Ok(Self { first_on, last_on })
    }

    fn holds(&self, day: NaiveDate) -> bool {
        (self.first_on..=self.last_on).contains(&day)
    }
}

/// Money that was received, paid back or spent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MoneyEntry {
    /// The payment or the cost.
    pub id: Uuid,
    /// What it is.
    pub kind: MoneyEntryKind,
    /// The day of it.
    pub on: NaiveDate,
    /// The sum, above 0 for every kind.
    pub amount: Money,
    /// The placement that it was paid for.
    pub placement_id: Option<Uuid>,
    /// The litter of the pup, or that of the cost.
    pub litter_id: Option<Uuid>,
    /// The pup.
    pub dog_id: Option<Uuid>,
    /// The dam of the litter.
    pub dam_id: Option<Uuid>,
    /// What the pup is called, or what the money was spent on.
    pub about: Option<String>,
}

/// A pup that was born alive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BornPup {
    /// The dog.
    pub dog_id: Uuid,
    /// Whether it lives, or went to its new home before it died: only such a pup is divided.
    pub is_divided: bool,
}

/// A litter as its pups are divided.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BornLitter {
    /// The litter.
    pub litter_id: Uuid,
    /// Its name.
    pub name: Option<String>,
    /// Its dam.
    pub dam_id: Uuid,
    /// The day of the first birth, on the kennel's calendar.
    pub whelped_on: NaiveDate,
    /// Those born alive.
    pub pups: Vec<BornPup>,
}

/// All that statements are made of.
#[derive(Debug, Clone, Default)]
pub struct CoOwnership {
    /// Shares, now and before.
    pub holdings: Vec<Holding>,
    /// Money, in the order in which it was recorded; of a placement also what lies before the span, since what is
    /// paid back goes by what was received.
    pub entries: Vec<MoneyEntry>,
    /// The litters whelped.
    pub litters: Vec<BornLitter>,
}

/// A part of a whole, as an exact fraction in lowest terms.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ShareHeld {
    /// Parts held.
    #[schema(example = 1)]
    pub numerator: i64,
    /// Parts in all.
    #[schema(example = 2)]
    pub denominator: i64,
}

impl ShareHeld {
    /// `None` for a fraction that does not fit, as the rest of dozens of unlike shares.
    fn of(part: &BigRational) -> Option<Self> {
        Some(Self { numerator: part.numer().to_i64()?, denominator: part.denom().to_i64()? })
    }
}

/// A holder's part of one sum of money.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct StatementLine {
    /// The payment or the cost that it rests on.
    pub entry_id: Uuid,
    /// What it is.
    pub kind: MoneyEntryKind,
    /// The day of it: the shares held on this day divide it. What is paid back goes by what was received.
    pub booked_on: NaiveDate,
    /// The placement that it was paid for; null for a cost.
    pub placement_id: Option<Uuid>,
    /// The litter; null for a dog that was not born here and for a cost of the kennel as a whole.
    pub litter_id: Option<Uuid>,
    /// The pup; null for a cost.
    pub dog_id: Option<Uuid>,
    /// What the pup is called, or what the money was spent on.
    #[schema(example = "X-ray before whelping")]
    pub about: Option<String>,
    /// The currency, ISO 4217.
    pub currency: Currency,
    /// The whole sum in minor units (cents): below 0 what was paid back or spent.
    #[schema(example = 150_000)]
    pub amount_minor: i64,
    /// The part held, in lowest terms; null for one that cannot be written so.
    pub share: Option<ShareHeld>,
    /// This holder's part in minor units. All parts of a sum add up to it, always.
    #[schema(example = 75_000)]
    pub part_minor: i64,
}

/// What the parts of a holder add up to, in one currency; currencies are never added to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct StatementSums {
    /// The currency, ISO 4217.
    pub currency: Currency,
    /// Parts of what was received, in minor units.
    #[schema(example = 75_000)]
    pub income_minor: i64,
    /// Parts of what was paid back to buyers.
    #[schema(example = 0)]
    pub refunded_minor: i64,
    /// Parts of what was spent.
    #[schema(example = 4_250)]
    pub costs_minor: i64,
    /// Income less what was paid back and spent.
    #[schema(example = 70_750)]
    pub balance_minor: i64,
    /// How many sums it rests on.
    #[schema(example = 2)]
    pub lines: usize,
}

/// The sums of one holder in one currency.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct HolderSums {
    /// The person; the kennel's own id for what nobody holds by name.
    pub holder_id: Uuid,
    /// What their parts add up to.
    #[serde(flatten)]
    pub sums: StatementSums,
}

/// A holder's part of the pups of one litter that go by the shares in its dam, or of one pup that has shares of its own.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct StatementLitter {
    /// The litter.
    pub litter_id: Uuid,
    /// A pup that had shares of its own on that day; null for all others of the litter together.
    pub dog_id: Option<Uuid>,
    /// The litter's name; null beside a single pup.
    #[schema(example = "Juno's spring litter")]
    pub name: Option<String>,
    /// The litter's day: the shares held on it divide the pups.
    pub whelped_on: NaiveDate,
    /// Those of these pups that were born alive.
    #[schema(example = 7)]
    pub born_alive: usize,
    /// Those of them that live, or lived when they were handed over: these are divided.
    #[schema(example = 7)]
    pub divided: usize,
    /// How many pups the share comes to, exactly; null where it cannot be written so.
    pub entitled: Option<ShareHeld>,
    /// Whole pups: those of all holders add up to the pups divided.
    #[schema(example = 4)]
    pub whole_pups: i64,
}

/// The statement of a holder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Statement {
    /// By currency.
    pub sums: Vec<StatementSums>,
    /// The litters whelped within the span.
    pub litters: Vec<StatementLitter>,
    /// By day, those of a day as they were recorded.
    pub lines: Vec<StatementLine>,
}

/// A sum that is divided: the part held and the minor units, by holder.
type Divided = BTreeMap<Holder, (BigRational, i64)>;

fn divide(amount_minor: i64, parts: Parts, turn: Uuid) -> Divided {
    let whole = ratio(amount_minor, 1);
    let quotas: Vec<BigRational> = parts.values().map(|part| part * &whole).collect();
    let units = whole_parts(&quotas, turn.as_u128());
    parts.into_iter().zip(units).map(|((holder, part), units)| (holder, (part, units))).collect()
}

/// The parts by which money of a placement is paid back: those in which what is still there was received.
fn as_received(received: &BTreeMap<Holder, i64>) -> Option<Parts> {
    let whole: i64 = received.values().sum();
    let is_sound = whole > 0 && received.values().all(|units| *units >= 0);
    is_sound.then(|| {
        let held = received.iter().filter(|(_, units)| **units > 0);
        held.map(|(holder, units)| (*holder, ratio(*units, whole))).collect()
    })
}

/// Each entry of the span with its parts, in the order in which they were recorded.
fn divided(known: &CoOwnership, span: StatementSpan) -> Result<Vec<(&MoneyEntry, Divided)>, Fault> {
    let holdings: Holdings = known.holdings.iter().cloned().collect();
    let mut received: BTreeMap<Uuid, BTreeMap<Holder, i64>> = BTreeMap::new();
    let mut found = Vec::new();
    for entry in &known.entries {
        let so_far = entry.placement_id.and_then(|placement| received.get(&placement));
        let goes_back = (entry.kind == MoneyEntryKind::Refund).then_some(so_far).flatten();
        let parts = match goes_back.and_then(as_received) {
            Some(parts) => parts,
            None => holdings.on(entry.dog_id, entry.dam_id, entry.on)?,
        };
        let divided = divide(entry.amount.amount_minor, parts, entry.id);
        if let Some(placement) = entry.placement_id {
            let account = received.entry(placement).or_default();
            for (holder, (_, units)) in &divided {
                *account.entry(*holder).or_default() += signed(entry.kind, *units);
            }
        }
        if span.holds(entry.on) {
            found.push((entry, divided));
        }
    }
    Ok(found)
}

/// As it changes what a holder has: what is paid back or spent is less than nothing.
fn signed(kind: MoneyEntryKind, units: i64) -> i64 {
    match kind {
        MoneyEntryKind::Income => units,
        MoneyEntryKind::Refund | MoneyEntryKind::Cost => -units,
    }
}

fn line(entry: &MoneyEntry, (part, units): &(BigRational, i64)) -> StatementLine {
    StatementLine {
        entry_id: entry.id,
        kind: entry.kind,
        booked_on: entry.on,
        placement_id: entry.placement_id,
        litter_id: entry.litter_id,
        dog_id: entry.dog_id,
        about: entry.about.clone(),
        currency: entry.amount.currency,
        amount_minor: signed(entry.kind, entry.amount.amount_minor),
        share: ShareHeld::of(part),
        part_minor: signed(entry.kind, *units),
    }
}

fn add_up<'l>(lines: impl IntoIterator<Item = &'l StatementLine>) -> Vec<StatementSums> {
    let mut sums: BTreeMap<Currency, StatementSums> = BTreeMap::new();
    for line in lines {
        let empty = StatementSums {
            currency: line.currency,
            income_minor: 0,
            refunded_minor: 0,
            costs_minor: 0,
            balance_minor: 0,
            lines: 0,
        };
        let sums = sums.entry(line.currency).or_insert(empty);
        let side = match line.kind {
            MoneyEntryKind::Income => &mut sums.income_minor,
            MoneyEntryKind::Refund => &mut sums.refunded_minor,
            MoneyEntryKind::Cost => &mut sums.costs_minor,
        };
        *side += line.part_minor.abs();
        sums.balance_minor += line.part_minor;
        sums.lines += 1;
    }
    sums.into_values().collect()
}

/// Pups of a litter that are divided by the same shares.
struct PupsDivided<'l> {
    /// The pup with shares of its own; none where the dam's shares divide.
    dog_id: Option<Uuid>,
    pups: Vec<&'l BornPup>,
}

/// The pups of a litter that are divided together, and each that is divided by itself.
fn pups_divided<'l>(
    litter: &'l BornLitter,
    holdings: &Holdings,
) -> Result<Vec<PupsDivided<'l>>, Fault> {
    let (mut apart, mut together) = (Vec::new(), Vec::new());
    for pup in &litter.pups {
        match holdings.are_in(pup.dog_id, litter.whelped_on)? {
            true => apart.push(PupsDivided { dog_id: Some(pup.dog_id), pups: vec![pup] }),
            false => together.push(pup),
        }
    }
    if !together.is_empty() {
        apart.insert(0, PupsDivided { dog_id: None, pups: together });
    }
    Ok(apart)
}

/// What a holder has of the pups of a litter.
fn pups_of(
    litter: &BornLitter,
    holder: Holder,
    holdings: &Holdings,
) -> Result<Vec<StatementLitter>, Fault> {
    let mut rows = Vec::new();
    for PupsDivided { dog_id, pups } in pups_divided(litter, holdings)? {
        let divided = pups.iter().filter(|pup| pup.is_divided).count();
        let count = ratio(i64::try_from(divided).unwrap_or_default(), 1);
        let parts = holdings.on(dog_id, Some(litter.dam_id), litter.whelped_on)?;
        let exact: Vec<BigRational> = parts.values().map(|part| part * &count).collect();
        let whole = whole_parts(&exact, dog_id.unwrap_or(litter.litter_id).as_u128());
        let own = parts.keys().position(|other| *other == holder);
        let Some((quota, whole_pups)) = own.and_then(|at| exact.get(at).zip(whole.get(at))) else {
            continue;
        };
        rows.push(StatementLitter {
            litter_id: litter.litter_id,
            dog_id,
            name: litter.name.clone().filter(|_| dog_id.is_none()),
            whelped_on: litter.whelped_on,
            born_alive: pups.len(),
            divided,
            entitled: ShareHeld::of(quota),
            whole_pups: *whole_pups,
        });
    }
    Ok(rows)
}

/// The statement of a holder over a span of days.
///
/// Each sum is divided by the shares held on its own day: a pup's money by the shares in the pup where somebody
/// holds one, else by those in its dam; a litter's cost by those in the dam; a cost of the kennel as a whole is the
/// kennel's. So a change of shares divides what comes from its first day on, and leaves what was before as it is.
/// What is paid back to a buyer goes by what was received of them, so that a sale that is undone leaves nobody with
/// more or less. Pups are divided by the shares held on the day of the litter's first birth, those with shares of
/// their own one by one. What nobody holds by
/// name is the kennel's. Minor units that cannot be divided go by [`whole_parts`].
///
/// # Errors
/// A fault when the shares in a dog make more than the whole on one of these days.
pub fn statement(
    known: &CoOwnership,
    holder: Holder,
    span: StatementSpan,
) -> Result<Statement, Fault> {
    let mut lines: Vec<StatementLine> = divided(known, span)?
        .iter()
        .filter_map(|(entry, parts)| Some(line(entry, parts.get(&holder)?)))
        .collect();
    lines.sort_by_key(|line| line.booked_on);
    let holdings: Holdings = known.holdings.iter().cloned().collect();
    let mut litters = Vec::new();
    for litter in known.litters.iter().filter(|litter| span.holds(litter.whelped_on)) {
        litters.extend(pups_of(litter, holder, &holdings)?);
    }
    Ok(Statement { sums: add_up(&lines), litters, lines })
}

/// What the parts of each holder add up to, by currency: those of all holders add up to the whole. The kennel comes
/// first, under its own id.
///
/// # Errors
/// As [`statement`].
pub fn sums_by_holder(
    known: &CoOwnership,
    kennel_id: Uuid,
    span: StatementSpan,
) -> Result<Vec<HolderSums>, Fault> {
    let divided = divided(known, span)?;
    let holders: BTreeSet<Holder> =
        divided.iter().flat_map(|(_, parts)| parts.keys().copied()).collect();
    let mut all = Vec::new();
    for holder in holders {
        let lines: Vec<StatementLine> = divided
            .iter()
            .filter_map(|(entry, parts)| Some(line(entry, parts.get(&holder)?)))
            .collect();
        let holder_id = match holder {
            Holder::Kennel => kennel_id,
            Holder::Person(id) => id,
        };
        all.extend(add_up(&lines).into_iter().map(|sums| HolderSums { holder_id, sums }));
    }
    Ok(all)
}
