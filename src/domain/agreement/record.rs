//! The record of a litter as the store loads it, out of the rows of a [`Book`].

use super::book::{Book, Row};
use crate::{
    alarms::{Sights, Watched},
    growth::Weighing,
    litter::{
        ByDog, Core, Health, Homes, LitterOfDam, Nursing, Placed, Pregnancy, Pup, Weights,
        WhelpingWatch,
    },
    moment::Moment,
    pregnancy::{DamRecords, LitterOnRecord, sign_in_log},
    record::{
        Birth, Dog, HealthEvent, Kept, Litter, Mating, Placement, Temperature, Weight, WhelpingLine,
    },
    whelping::WhelpingEntry,
};
use chrono::{DateTime, Duration, Utc};
use serde::de::DeserializeOwned;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;
use uuid::Uuid;

fn kept<R: DeserializeOwned>(row: &Row, under: Option<&str>) -> Kept<R> {
    let mut body = row.body.clone();
    if let (Some(field), Some(id)) = (under, row.under()) {
        body[field] = json!(id);
    }
    let record = serde_json::from_value(body);
    let at = DateTime::UNIX_EPOCH;
    Kept {
        id: row.id,
        version: 1,
        created_at: at,
        updated_at: at,
        record: record.unwrap_or_else(|error| panic!("{}: {error}: {}", row.path, row.body)),
    }
}

/// The rows of a kind, in order of a time.
fn all<R: DeserializeOwned>(
    book: &Book,
    kind: &str,
    under: Option<&str>,
    at: impl Fn(&R) -> DateTime<Utc>,
) -> Vec<Kept<R>> {
    let mut rows: Vec<Kept<R>> = book.of(kind).map(|row| kept(row, under)).collect();
    rows.sort_by_key(|row| (at(&row.record), row.id));
    rows
}

/// All that is on record of one litter.
pub(super) struct Records {
    /// The litter.
    pub(super) core: Core,
    /// The parts that its alarms are made of.
    pub(super) parts: Watched,
    /// Where its pups go.
    pub(super) homes: Homes,
}

/// The record at a moment; `None` before the litter is written.
pub(super) fn read(book: &Book, moment: &Moment) -> Option<Records> {
    let litters: Vec<Kept<Litter>> = book.of("litters").map(|row| kept(row, None)).collect();
    let litter = litters.iter().find(|litter| Some(litter.id) == book.id("litter"))?;
    let core = core(book, litter, &litters);
    // As the store has it: readings of the eighty days before the birth, or from the mating on.
    let until = core.whelped_on().map_or(moment.now, |on| moment.midnight(on));
    let since = until - Duration::days(80);
    let since = core.mated_at.map_or(since, |mated| mated.min(since));
    let mut temperatures =
        all::<Temperature>(book, "temperatures", Some("dog_id"), |row| row.measured_at);
    temperatures.retain(|kept| kept.record.measured_at >= since);
    let log = all::<WhelpingLine>(book, "whelping", Some("litter_id"), |line| line.at);
    let night = night(book, litter, (&log, &temperatures));
    let pregnancy = pregnancy(book, &core, &litters, (&log, &temperatures), moment);
    let nursing = Nursing {
        temperatures: ByDog::group(temperatures, |row| row.record.dog_id),
        feeds: ByDog::group(all(book, "feeds", Some("dog_id"), fed_at), |row| row.record.dog_id),
        pup_checks: ByDog::group(
            all::<crate::record::PupCheck>(book, "pup-checks", Some("dog_id"), |c| c.checked_at),
            |row| row.record.dog_id,
        ),
    };
    let health = Health {
        events: ByDog::group(
            all::<HealthEvent>(book, "health-events", None, |event| event.given_at),
            |row| row.record.dog_id,
        ),
        ..Health::default()
    };
    let parts = (weights(book), nursing, health, night, pregnancy, Sights::default());
    Some(Records { core, parts, homes: Homes::default() })
}

fn fed_at(feed: &crate::record::Feed) -> DateTime<Utc> {
    feed.fed_at
}

fn core(book: &Book, litter: &Kept<Litter>, litters: &[Kept<Litter>]) -> Core {
    let dog = |name: &str| book.row(name).map(|row| kept::<Dog>(row, None).record);
    let placements: Vec<Kept<Placement>> =
        book.of("placements").map(|row| kept(row, None)).collect();
    let placed = |dog_id: Uuid| {
        let own = placements.iter().filter(|kept| kept.record.dog_id == dog_id);
        own.map(|kept| Placed {
            placement_id: kept.id,
            dog_id,
            kind: kept.record.kind,
            stage: kept.record.stage,
            buyer_id: kept.record.buyer_id,
            handed_over_on: kept.record.handed_over_on,
            country: kept.record.goes_to(),
        })
        .collect()
    };
    let pup = |row: &Row| {
        let mut birth: Kept<Birth> = kept(row, None);
        // These live on the pup's dog.
        (birth.record.sex, birth.record.colour) = (None, None);
        let dog_id = birth.record.dog_id;
        let dog = book.rows.iter().find(|row| row.id == dog_id);
        let dog = dog.map(|row| kept::<Dog>(row, None).record);
        Pup { dog_id, dog, placements: placed(dog_id), birth: Some(birth), litters: Vec::new() }
    };
    let mut pups: Vec<Pup> = book.of("births").map(pup).collect();
    pups.sort_by_key(Pup::ordinal);
    let mating = book.row("mating").map(|row| kept::<Mating>(row, None).record);
    let born_here = u32::try_from(pups.len()).unwrap();
    let mut of_dam: Vec<LitterOfDam> = litters
        .iter()
        .map(|kept| LitterOfDam {
            litter_id: kept.id,
            dam_id: kept.record.dam_id,
            whelped_on: kept.record.whelped_on,
            weaned_on: kept.record.weaned_on,
            born: if Some(kept.id) == book.id("litter") { born_here } else { 0 },
        })
        .collect();
    of_dam.sort_by_key(|one| (one.whelped_on.is_none(), one.whelped_on));
    Core {
        litter: Some(litter.clone()),
        place: None,
        mated_at: mating.and_then(|mating| mating.ties.iter().map(|tie| tie.at).min()),
        dam: dog("dam"),
        dam_born_here: false,
        sire: dog("sire"),
        of_dam,
        pups,
    }
}

fn weights(book: &Book) -> Weights {
    let mut by_dog: BTreeMap<Uuid, Vec<Weighing>> = BTreeMap::new();
    for row in all::<Weight>(book, "weights", Some("dog_id"), |weight| weight.measured_at) {
        let Weight { dog_id, measured_at, weight_g, .. } = row.record;
        let weight_g = f64::from(weight_g);
        let weighing = Weighing { id: Some(row.id), measured_at, weight_g, doubtful: false };
        by_dog.entry(dog_id).or_default().push(weighing);
    }
    Weights { weighings: by_dog.into() }
}

type Noted<'a> = (&'a [Kept<WhelpingLine>], &'a [Kept<Temperature>]);

fn night(book: &Book, litter: &Kept<Litter>, (log, temperatures): Noted<'_>) -> WhelpingWatch {
    let of_dam = |taken: &&Kept<Temperature>| taken.record.dog_id == litter.record.dam_id;
    WhelpingWatch {
        log: log.to_vec(),
        dam_temperatures: temperatures.iter().filter(of_dam).cloned().collect(),
        dam_checks: all::<crate::record::DamCheck>(book, "dam-checks", Some("litter_id"), |c| {
            c.checked_at
        }),
    }
}

fn pregnancy(
    book: &Book,
    core: &Core,
    litters: &[Kept<Litter>],
    (log, temperatures): Noted<'_>,
    moment: &Moment,
) -> Pregnancy {
    let recent = moment.now - Duration::days(2);
    let signs = log.iter().filter(|line| line.record.at >= recent);
    let entries: Vec<WhelpingEntry> = log.iter().map(|line| line.record.entry()).collect();
    let dam_id = core.dam_id().unwrap_or_default();
    let on_record = |litter: &Kept<Litter>| {
        if Some(litter.id) == core.id() {
            return LitterOnRecord::of(core, &entries, moment);
        }
        let other = Core { litter: Some(litter.clone()), pups: Vec::new(), ..core.clone() };
        LitterOnRecord::of(&other, &[], moment)
    };
    let of_dam = |taken: &&Kept<Temperature>| taken.record.dog_id == dam_id;
    Pregnancy {
        dam: DamRecords {
            dam_id,
            dog: core.dam.clone(),
            born_here: false,
            heats: book.of("heats").map(|row| kept(row, None)).collect(),
            readings: book.of("readings").map(|row| kept(row, Some("heat_id"))).collect(),
            matings: book.of("matings").map(|row| kept(row, None)).collect(),
            checks: book.of("pregnancy-checks").map(|row| kept(row, Some("mating_id"))).collect(),
            temperatures: temperatures.iter().filter(of_dam).cloned().collect(),
            signs: signs
                .filter_map(|line| Some((line.record.at, sign_in_log(&line.record.event)?)))
                .collect(),
            litters: litters.iter().filter_map(on_record).collect(),
            whelpings: core.of_dam.clone(),
            inbreeding: None,
            pups_inbreeding: BTreeMap::new(),
        },
    }
}

/// An object of named answers.
pub(super) fn object(fields: Vec<(&str, Value)>) -> Value {
    let fields = fields.into_iter().map(|(name, value)| (name.to_owned(), value));
    Value::Object(fields.collect::<Map<_, _>>())
}
