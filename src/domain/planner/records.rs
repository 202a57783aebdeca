//! A plan out of a kennel's records: litters, planned matings, heats to come, and the limits.

use super::{
    BuyerWish, ColourChance, DateSpan, DraftTiming, PlannedMatingLimits, PlannerDam, PlannerInput,
    PlannerLitter, PlannerPerson, WhelpingPlace, chance_of_litter, draft_whelping,
    limits::{PairOnDay, limits, other_sires},
    whole,
};
use crate::{
    advice::standing_line,
    breeding_limits::RuleSet,
    cycle::coming_heats::{HeatHistory, heat_chances},
    day_chances::{DayChances, shift},
    fault::{Fault, Faults},
    litter::{LitterOfDam, Presence},
    partial_date::PartialDate,
    pregnancy::{
        DamRecords, KennelTime, LitterOnRecord, PregnancyRecords, forecast_for_dam, read_pregnancy,
    },
    record::{Dog, Kept, Mating, MatingMethod, MatingStatus, PregnancyResult, Sex},
    rules::Rules,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;
use uuid::Uuid;

/// The records that a plan is made of.
#[derive(Debug, Clone)]
pub struct PlannerRecords {
    /// Dams, with all that is on record of them.
    pub dams: Vec<DamRecords>,
    /// Sires of planned matings that the asker may see.
    pub sires: BTreeMap<Uuid, Dog>,
    /// The kennel's places.
    pub places: Vec<WhelpingPlace>,
    /// The people.
    pub people: Vec<PlannerPerson>,
    /// Buyers waiting.
    pub buyers: Vec<BuyerWish>,
    /// The limits on breeding that the kennel keeps.
    pub limits: Option<&'static RuleSet>,
    /// The line on the law beside them.
    pub law: Text,
    /// Colours of pups by dam and sire, where the family's tests tell of them.
    pub colours: BTreeMap<(Uuid, Uuid), Vec<ColourChance>>,
}

impl PlannerRecords {
    fn colours_of(&self, dam_id: Uuid, sire_id: Uuid) -> Vec<ColourChance> {
        self.colours.get(&(dam_id, sire_id)).cloned().unwrap_or_default()
    }

    /// Dams and sires whose pups are expected or planned, drafts included.
    pub fn pairs(&self, drafts: &[MatingDraft]) -> BTreeSet<(Uuid, Uuid)> {
        let of_dam = |dam: &DamRecords| {
            let born = |mating: &Kept<Mating>| {
                let own = |l: &&LitterOnRecord| l.litter.record.mating_id == Some(mating.id);
                dam.litters.iter().find(own).is_some_and(|l| l.litter.record.whelped_on.is_some())
            };
            let open = dam.litters.iter().filter(|l| l.litter.record.whelped_on.is_none());
            let matings = dam
                .matings
                .iter()
                .filter(|m| m.record.status != MatingStatus::CalledOff && !born(m));
            let sires: Vec<Uuid> = open
                .filter_map(|l| l.litter.record.sire_id)
                .chain(matings.map(|m| m.record.sire_id))
                .collect();
            let dam_id = dam.dam_id;
            sires.into_iter().map(move |sire| (dam_id, sire))
        };
        let drafted = drafts.iter().filter_map(|draft| Some((draft.dam_id, draft.sire_id?)));
        self.dams.iter().flat_map(of_dam).chain(drafted).collect()
    }
}

/// A mating thought of, not written anywhere.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MatingDraft {
    /// The dam.
    pub dam_id: Uuid,
    /// The sire, for the limits.
    #[serde(default)]
    pub sire_id: Option<Uuid>,
    /// What to call it in the answer.
    #[serde(default)]
    #[schema(example = "Juno with chilled semen", min_length = 1, max_length = 100)]
    pub name: Option<String>,
    /// Day of the mating; null for a heat to come.
    #[serde(default)]
    #[schema(example = "2026-09-10")]
    pub mated_on: Option<NaiveDate>,
    /// How; natural when left out.
    #[serde(default = "natural")]
    pub method: MatingMethod,
    /// Whether progesterone will show the day, so that the birth is told more closely.
    #[serde(default)]
    pub timed: bool,
    /// Which of her heats to come, 1 for the next, when no day is given.
    #[serde(default = "next")]
    #[schema(example = 1, minimum = 1, maximum = 6)]
    pub heat_number: u32,
}

fn natural() -> MatingMethod {
    MatingMethod::Natural
}

fn next() -> u32 {
    1
}

/// The plan's input, and what else there is to say.
#[derive(Debug, Clone)]
pub struct ReadPlan {
    /// What the plan is made of.
    pub input: PlannerInput,
    /// Limits of every planned mating.
    pub limits: Vec<PlannedMatingLimits>,
    /// What could not be planned, and why.
    pub notes: Vec<Text>,
}

/// Heats looked ahead.
const HEATS_AHEAD: u32 = 6;

/// Her heats to come, by day.
pub(crate) fn coming(dam: &DamRecords, today: NaiveDate, rules: &Rules) -> Vec<DayChances> {
    heat_chances(&heat_history(dam), HEATS_AHEAD, today, rules)
}

/// What is known of a dam's heats.
pub fn heat_history(dam: &DamRecords) -> HeatHistory {
    let born_on = dam.dog.as_ref().and_then(|dog| dog.born_on).map(PartialDate::earliest);
    let heats: Vec<NaiveDate> = dam
        .heats
        .iter()
        .map(|heat| heat.record.began_on)
        .filter(|began_on| born_on.is_none_or(|born| born <= *began_on))
        .collect();
    let last = heats.iter().max().copied();
    let after_last = |litter: &LitterOfDam| {
        last.is_some_and(|last| litter.whelped_on.is_none_or(|day| day > last))
    };
    let pregnant_since = dam.whelpings.iter().any(after_last);
    HeatHistory { heats, pregnant_since, born_on }
}

/// Whether the dam may come in heat here again.
fn bred_here(dam: &DamRecords, today: NaiveDate) -> bool {
    dam.dog.as_ref().is_some_and(|dog| {
        Presence::by_record(dog.died_on, dog.residence, today).is_here()
            && (dog.for_breeding || !dam.heats.is_empty())
    })
}

/// Reads the records and the drafts as a plan's input.
///
/// # Errors
/// Faults of the drafts (`/drafts/0/dam_id` …): an unknown dam, a heat that cannot be foretold, a
/// day before today.
pub fn read_plan(
    records: &PlannerRecords,
    drafts: &[MatingDraft],
    span: DateSpan,
    time: KennelTime,
    rules: &Rules,
) -> Result<ReadPlan, Vec<Fault>> {
    let mut plan = ReadPlan {
        input: PlannerInput {
            span,
            litters: Vec::new(),
            dams: Vec::new(),
            places: records.places.clone(),
            people: records.people.clone(),
            buyers: records.buyers.clone(),
        },
        limits: Vec::new(),
        notes: Vec::new(),
    };
    for dam in &records.dams {
        let heats = if bred_here(dam, time.today()) {
            coming(dam, time.today(), rules)
        } else {
            Vec::new()
        };
        let used = litters(&mut plan, records, dam, time, rules);
        matings(&mut plan, records, dam, &used, &heats, time, rules);
        plan.input.dams.push(PlannerDam {
            dam_id: dam.dam_id,
            name: dam.called().to_owned(),
            heats,
        });
    }
    let mut faults = Faults::new();
    for (index, draft) in drafts.iter().enumerate() {
        add_draft(&mut plan, records, (index, draft), time, rules, &mut faults);
    }
    faults.into_result()?;
    Ok(plan)
}

/// Adds a dam's litters; gives the matings that they come from.
fn litters(
    plan: &mut ReadPlan,
    planner: &PlannerRecords,
    dam: &DamRecords,
    time: KennelTime,
    rules: &Rules,
) -> BTreeSet<Uuid> {
    let colours = |sire| planner.colours_of(dam.dam_id, sire);
    let mut used = BTreeSet::new();
    let stay = whole(rules, "planner.go_home_days") + whole(rules, "planner.go_home_span_days");
    for on_record in &dam.litters {
        let litter = &on_record.litter;
        let Some(records) = PregnancyRecords::of(dam, litter.id, time, rules) else { continue };
        used.extend(records.matings.iter().map(|mating| mating.id));
        let unnamed = || said!("planner-litter-of", dam = dam.called());
        let name = litter.record.name.as_deref().map_or_else(unnamed, Text::from);
        let mut planned = PlannerLitter {
            key: format!("litter:{}", litter.id),
            dam_id: dam.dam_id,
            name: name.clone(),
            draft: false,
            chance_of_litter: 1.0,
            whelping: Vec::new(),
            pups: None,
            free: None,
            colours: Vec::new(),
            place_id: litter.record.place_id,
            go_home_days: None,
            heat: None,
        };
        let whelped_on = litter.record.whelped_on;
        // While pups come, all of them are foretold: what is there is not yet the litter.
        if let Some(born) = whelped_on.filter(|_| on_record.whelping) {
            planned.whelping = DayChances::certain(born).to_list(0.0);
            planned.pups = read_pregnancy(&records, time, rules).pups;
            planned.colours = records.sire_id().map_or_else(Vec::new, colours);
        } else if let Some(born) = whelped_on {
            if shift(born, stay) < plan.input.span.from {
                continue;
            }
            planned.whelping = DayChances::certain(born).to_list(0.0);
            planned.free = Some(on_record.free.clone());
        } else {
            let pregnancy = read_pregnancy(&records, time, rules);
            let Some(chances) = pregnancy.window.as_ref().and_then(|w| w.chances()) else {
                let note = |why| said!("about", label = &name, what = why);
                plan.notes.extend(pregnancy.lacking.iter().map(note));
                continue;
            };
            planned.chance_of_litter = match pregnancy.checked {
                Some(PregnancyResult::NotPregnant | PregnancyResult::Lost) => 0.0,
                Some(PregnancyResult::Pregnant) => chance_of_litter(false, true, rules),
                _ => chance_of_litter(false, false, rules),
            };
            planned.whelping = chances.to_list(0.0);
            planned.pups = pregnancy.pups;
            planned.colours = records.sire_id().map_or_else(Vec::new, colours);
        }
        plan.input.litters.push(planned);
    }
    used
}

/// Adds the matings of a dam that have no litter yet: planned ones, and done ones still open.
fn matings(
    plan: &mut ReadPlan,
    records: &PlannerRecords,
    dam: &DamRecords,
    used: &BTreeSet<Uuid>,
    heats: &[DayChances],
    time: KennelTime,
    rules: &Rules,
) {
    let mut taken: BTreeSet<(Option<Uuid>, Uuid)> = BTreeSet::new();
    for mating in dam.matings.iter().filter(|mating| !used.contains(&mating.id)) {
        let Some((timing, mated_on)) = timing_of(mating, heats, time, rules) else {
            if mating.record.status == MatingStatus::Planned {
                plan.notes.push(said!("planner-mating-without-day", dam = dam.called()));
            }
            continue;
        };
        // Several matings of one heat make one litter.
        let heat = (mating.record.heat_id, mating.record.sire_id);
        if heat.0.is_some() && !taken.insert(heat) {
            continue;
        }
        let Ok(whelping) = draft_whelping(&timing, rules) else { continue };
        let (key, sire_id) = (format!("mating:{}", mating.id), mating.record.sire_id);
        if mating.record.status == MatingStatus::Planned {
            let thought = PairOnDay {
                sire_id: Some(sire_id),
                mated_on,
                other_sires: other_sires(dam, mating),
            };
            limits(plan, records, dam, &key, &thought);
        }
        plan.input.litters.push(PlannerLitter {
            key,
            dam_id: dam.dam_id,
            name: said!("planner-mating-of", dam = dam.called()),
            draft: false,
            chance_of_litter: chance_of_litter(false, false, rules),
            whelping: whelping.to_list(0.0),
            pups: forecast_for_dam(dam, Some(sire_id), Some(mating.record.method), rules),
            free: None,
            colours: records.colours_of(dam.dam_id, sire_id),
            place_id: None,
            go_home_days: None,
            heat: (mating.record.status == MatingStatus::Planned
                && mating.record.heat_id.is_none())
            .then(|| heat_of(mated_on, heats, rules))
            .flatten(),
        });
    }
}

/// The heat to come that a mating on a day falls in, when it begins as is likely; the next is 1.
fn heat_of(mated_on: NaiveDate, heats: &[DayChances], rules: &Rules) -> Option<u32> {
    let before = whole(rules, "dating.mating_before_heat_days");
    let after = whole(rules, "dating.mating_after_heat_days");
    let falls_in = |begins: &DayChances| {
        let likely = begins.median();
        (shift(likely, -before)..=shift(likely, after)).contains(&mated_on)
    };
    heats.iter().zip(1..).find(|(begins, _)| falls_in(begins)).map(|(_, number)| number)
}

/// When a mating without a litter is, or was; nothing for one called off or long past.
pub(super) fn timing_of(
    mating: &Kept<Mating>,
    heats: &[DayChances],
    time: KennelTime,
    rules: &Rules,
) -> Option<(DraftTiming, NaiveDate)> {
    let today = time.today();
    let method = mating.record.method;
    let open_from = shift(today, -whole(rules, "dating.overdue_mating_days"));
    let planned_from = shift(today, -whole(rules, "planner.plan_kept_days"));
    let on = match mating.record.status {
        MatingStatus::CalledOff => return None,
        MatingStatus::Done => mating.record.ties.iter().map(|tie| time.day_of(tie.at)).min(),
        MatingStatus::Planned => mating.record.planned_on,
    };
    match on {
        Some(on) if mating.record.status == MatingStatus::Done && on < open_from => None,
        // A day that has long gone by without a tie is no plan any more.
        Some(on) if mating.record.status == MatingStatus::Planned && on < planned_from => None,
        Some(on) => Some((DraftTiming::Day { on, method }, on)),
        None => {
            let begins = heats.first()?;
            Some((DraftTiming::Heat { begins: begins.to_list(0.0) }, begins.median()))
        }
    }
}

fn add_draft(
    plan: &mut ReadPlan,
    records: &PlannerRecords,
    (index, draft): (usize, &MatingDraft),
    time: KennelTime,
    rules: &Rules,
    faults: &mut Faults,
) {
    let place = |field: &str| format!("/drafts/{index}/{field}");
    let female = |dam: &&DamRecords| {
        dam.dam_id == draft.dam_id
            && dam.dog.as_ref().is_some_and(|dog| dog.sex == Some(Sex::Female))
    };
    let Some(dam) = records.dams.iter().find(female) else {
        faults.add(place("dam_id"), said!("fault-not-found-female"));
        return;
    };
    let seen = |id: Uuid| records.sires.get(&id).is_some_and(|dog| dog.sex == Some(Sex::Male));
    if draft.sire_id.is_some_and(|id| !seen(id)) {
        faults.add(place("sire_id"), said!("fault-not-found-male"));
        return;
    }
    let (timing, mated_on) = match (draft.mated_on, draft.timed) {
        (Some(on), _) if on < time.today() => {
            faults.add(place("mated_on"), said!("fault-too-early-today", today = time.today()));
            return;
        }
        (Some(on), true) => (DraftTiming::TimedDay { on }, on),
        (Some(on), false) => (DraftTiming::Day { on, method: draft.method }, on),
        (None, _) => {
            let heats = coming(dam, time.today(), rules);
            let number = usize::try_from(draft.heat_number).unwrap_or(1).saturating_sub(1);
            let Some(begins) = heats.get(number) else {
                faults.add(place("heat_number"), said!("fault-unknowable-heat"));
                return;
            };
            (DraftTiming::Heat { begins: begins.to_list(0.0) }, begins.median())
        }
    };
    let whelping = match draft_whelping(&timing, rules) {
        Ok(whelping) => whelping,
        Err(found) => {
            let at = |fault| Fault { pointer: place("mated_on"), ..fault };
            faults.extend(found.into_iter().map(at).collect());
            return;
        }
    };
    let key = format!("draft:{}", index + 1);
    let thought = PairOnDay { sire_id: draft.sire_id, mated_on, other_sires: None };
    limits(plan, records, dam, &key, &thought);
    plan.input.litters.push(PlannerLitter {
        key,
        dam_id: dam.dam_id,
        name: draft
            .name
            .as_deref()
            .map_or_else(|| said!("planner-draft-for", dam = dam.called()), Text::from),
        draft: true,
        chance_of_litter: chance_of_litter(false, false, rules),
        whelping: whelping.to_list(0.0),
        pups: forecast_for_dam(dam, draft.sire_id, Some(draft.method), rules),
        free: None,
        colours: draft.sire_id.map_or_else(Vec::new, |sire| records.colours_of(dam.dam_id, sire)),
        place_id: None,
        go_home_days: None,
        heat: heat_of(mated_on, &coming(dam, time.today(), rules), rules),
    });
}

/// The kennel's calendar, with limits and remarks.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PlannerReport {
    /// The calendar.
    #[serde(flatten)]
    pub plan: super::KennelPlan,
    /// The kennel's set of limits on breeding.
    #[schema(example = "careful")]
    pub breeding_rules: Option<String>,
    /// Those limits held against every planned mating.
    pub limits: Vec<PlannedMatingLimits>,
    /// The line that stands beside them: local law decides.
    #[schema(value_type = String)]
    pub limits_note: Text,
    /// What could not be planned, and why.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Text>,
    /// The line that stands beside every piece of advice.
    #[schema(value_type = String)]
    pub standing_line: Text,
}

/// Lays out the calendar of a kennel's records and drafts.
///
/// # Errors
/// As [`read_plan`] and [`plan`](super::plan).
pub fn report_plan(
    records: &PlannerRecords,
    read: ReadPlan,
    rules: &Rules,
) -> Result<PlannerReport, Vec<Fault>> {
    Ok(PlannerReport {
        plan: super::plan(&read.input, rules)?,
        breeding_rules: records.limits.map(|set| set.name.clone()),
        limits: read.limits,
        limits_note: records.law.clone(),
        notes: read.notes,
        standing_line: standing_line(),
    })
}
