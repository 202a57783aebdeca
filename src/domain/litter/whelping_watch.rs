//! The night of whelping, and how the dam is after it.

use super::{Core, LitterOfDam, Pregnancy, Weights};
use crate::{
    alarms::Alarm,
    dam_after_birth::{
        DamAfterBirth, DamInMilk, DamObservation, EarlierSigns, Puerperium, low_calcium_after,
        puerperium, usual_weight,
    },
    expected_pups::usual_of_size,
    moment::Moment,
    pregnancy::Pregnancy as Reading,
    record::{Birth, BirthOutcome, DamCheck, Kept, Placenta, Temperature, WhelpingLine},
    rules::Rules,
    whelping::{
        DayCount, PupOut, VitalityScore, WhelpingCase, WhelpingEntry, WhelpingEvent,
        WhelpingStatus, course::Course, vitality_score, where_it_stands,
    },
};
use chrono::{DateTime, Duration, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// The log of a whelping, and what was seen of the dam before and after it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WhelpingWatch {
    /// The log, in order of time.
    pub log: Vec<Kept<WhelpingLine>>,
    /// The dam's temperatures since the pregnancy, in order of time.
    pub dam_temperatures: Vec<Kept<Temperature>>,
    /// Checks of the dam after whelping, in order of time.
    pub dam_checks: Vec<Kept<DamCheck>>,
}

impl WhelpingWatch {
    /// The lines of the log, without anything added for the reckoning.
    pub fn entries(&self) -> Vec<WhelpingEntry> {
        let entry = |line: &Kept<WhelpingLine>| WhelpingEntry {
            at: line.record.at,
            event: line.record.event.clone(),
        };
        self.log.iter().map(entry).collect()
    }

    /// The dam's temperatures from a time on, in degrees Celsius.
    pub(crate) fn temperatures_since(
        &self,
        since: DateTime<Utc>,
    ) -> impl Iterator<Item = (DateTime<Utc>, f64)> {
        let all = self.dam_temperatures.iter().map(|kept| &kept.record);
        all.filter(move |taken| taken.measured_at >= since)
            .map(|taken| (taken.measured_at, taken.temperature_c))
    }
}

/// A whelping as its log and its births tell it.
///
/// Until a pup comes, the dam's temperatures since the mating, or since the log begins, stand among its
/// entries.
fn whelping_case(core: &Core, night: &WhelpingWatch, moment: &Moment) -> WhelpingCase {
    let mut entries = night.entries();
    let unborn = core.last_birth().is_none();
    let begins = || entries.iter().map(|entry| entry.at).min();
    if let Some(since) = core.mated_at.or_else(begins).filter(|_| unborn) {
        entries.extend(night.temperatures_since(since).map(|(at, temperature_c)| WhelpingEntry {
            at,
            event: WhelpingEvent::Temperature { temperature_c },
        }));
    }
    case_of(core, entries, moment)
}

fn case_of(core: &Core, mut entries: Vec<WhelpingEntry>, moment: &Moment) -> WhelpingCase {
    let births: Vec<&Birth> = core.births().map(|birth| &birth.record).collect();
    entries.extend(silent_end(&births, &entries, moment));
    WhelpingCase {
        entries,
        births: births.iter().map(|birth| pup_out(birth)).collect(),
        expected: None,
        counted: None,
        time_zone: moment.zone,
    }
}

fn pup_out(birth: &Birth) -> PupOut {
    PupOut {
        born_at: birth.born_at,
        alive: birth.outcome == BirthOutcome::Alive,
        placenta_seen: birth.placenta == Placenta::Passed,
        marks: Some(birth.marks()),
    }
}

/// A log that fell silent long after the last pup was finished by somebody who forgot to write it.
fn silent_end(
    births: &[&Birth],
    entries: &[WhelpingEntry],
    moment: &Moment,
) -> Option<WhelpingEntry> {
    let last_pup = births.iter().map(|birth| birth.born_at).max()?;
    let strained = |event: &WhelpingEvent| {
        matches!(event, WhelpingEvent::Contractions { .. } | WhelpingEvent::Alarm { .. })
    };
    let last_straining = entries.iter().filter(|e| strained(&e.event)).map(|entry| entry.at).max();
    let last = last_straining.map_or(last_pup, |at| at.max(last_pup));
    let silent = moment.rules.span("whelping.silent_hours");
    (moment.now - last > silent)
        .then_some(WhelpingEntry { at: last, event: WhelpingEvent::Finished {} })
}

/// Whether pups may still come, by the log and the births: some are out, and it is not over.
pub(super) fn is_whelping(core: &Core, log: &[WhelpingEntry], moment: &Moment) -> bool {
    let case = case_of(core, log.to_vec(), moment);
    let course = Course::of(&case, moment.now, &moment.rules);
    !course.births.is_empty() && !course.is_over()
}

/// The same, with what the pregnancy tells: what its days are counted from, and how many pups there are.
pub(crate) fn night_case(
    core: &Core,
    night: &WhelpingWatch,
    pregnancy: Option<&Reading>,
    moment: &Moment,
) -> WhelpingCase {
    let window = pregnancy.and_then(|pregnancy| pregnancy.window.as_ref());
    let counted = window.and_then(|window| {
        Some(DayCount { from: window.counted_from?, on: window.counted_from_on? })
    });
    let expected = pregnancy.and_then(|pregnancy| pregnancy.pups.clone());
    WhelpingCase { counted, expected, ..whelping_case(core, night, moment) }
}

/// Where the whelping of a litter stands, with those of its `alarms` that are about the pregnancy and the
/// night.
pub fn whelping_status(
    core: &Core,
    night: &WhelpingWatch,
    pregnancy: &Pregnancy,
    alarms: &[Alarm],
    moment: &Moment,
) -> WhelpingStatus {
    let reading = pregnancy.read(core, moment).map(|(_, reading)| reading);
    let case = night_case(core, night, reading.as_ref(), moment);
    let of_night: Vec<Alarm> = alarms.iter().filter(|alarm| alarm.is_of_night()).cloned().collect();
    where_it_stands(&case, &of_night, moment.now, &moment.rules)
}

/// A pup that came, in short.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PupOfNight {
    /// Its number in the litter.
    #[schema(example = 3)]
    pub ordinal: i32,
    /// Its birth.
    pub birth_id: Uuid,
    /// Its dog.
    pub dog_id: Uuid,
    /// Its collar.
    #[schema(example = "green")]
    pub collar: Option<String>,
    /// Whether it lived when it was born.
    pub outcome: BirthOutcome,
    /// The score of its vitality; null when no sign was looked at.
    pub vitality: Option<VitalityScore>,
}

/// The pups that came, in their order, with those of the litter's `alarms` that are about how each thrives.
pub fn pups_of_night(core: &Core, alarms: &[Alarm], rules: &Rules) -> Vec<PupOfNight> {
    core.births().map(|birth| pup_of_night(birth, alarms, rules)).collect()
}

fn pup_of_night(birth: &Kept<Birth>, alarms: &[Alarm], rules: &Rules) -> PupOfNight {
    let Birth { ordinal, dog_id, outcome, vitality_minutes, .. } = birth.record;
    let of_pup = |alarm: &&Alarm| alarm.about.dog_id == Some(dog_id) && alarm.is_of_growth();
    let vitality = birth.record.vitality.as_ref().map(|signs| VitalityScore {
        cautions: alarms.iter().filter(of_pup).map(Alarm::caution).collect(),
        ..vitality_score(signs, vitality_minutes.unwrap_or(0).into(), rules)
    });
    let collar = birth.record.collar.clone();
    PupOfNight { ordinal, birth_id: birth.id, dog_id, collar, outcome, vitality }
}

/// The dam after whelping, as she was seen; `None` when no pup is born yet.
pub fn dam_after_whelping(
    core: &Core,
    night: &WhelpingWatch,
    moment: &Moment,
) -> Option<DamAfterBirth> {
    let last_pup_at = core.last_birth()?;
    let case = whelping_case(core, night, moment);
    let mut observations: Vec<DamObservation> =
        night.dam_checks.iter().map(|check| check.record.observation()).collect();
    observations.extend(night.temperatures_since(last_pup_at).map(|(at, temperature_c)| {
        DamObservation { temperature_c: Some(temperature_c), ..DamObservation::at(at) }
    }));
    observations.extend(night.entries().iter().filter_map(DamObservation::of_log));
    let seen = case.births.iter().filter(|birth| birth.placenta_seen).count();
    let apart = |entry: &WhelpingEntry| match entry.event {
        WhelpingEvent::Placentas { count } => count as usize,
        _ => 0,
    };
    let seen = seen + case.entries.iter().map(apart).sum::<usize>();
    let missing = u32::try_from(case.births.len().saturating_sub(seen)).unwrap_or(u32::MAX);
    Some(DamAfterBirth {
        last_pup_at,
        pups: core.count_here(moment),
        first_litter: Some(!core.dam_whelped_before()),
        // Where nobody counted, it is not known.
        placentas_missing: (seen > 0).then_some(missing),
        observations,
    })
}

/// The signs that were written down of a dam after each of her litters, by the checks of her.
pub fn signs_of_dam(litters: &[LitterOfDam], checks: &[Kept<DamCheck>]) -> Vec<EarlierSigns> {
    let of = |litter: &LitterOfDam| {
        let after = checks.iter().filter(|check| check.record.litter_id == litter.litter_id);
        Some(EarlierSigns {
            litter_id: litter.litter_id,
            whelped_on: litter.whelped_on?,
            signs: after.flat_map(|check| check.record.signs.clone()).collect(),
        })
    };
    litters.iter().filter_map(of).collect()
}

/// The weeks of the dam after this whelping; `None` when no pup is born yet. `signs` are those after all her litters.
pub fn puerperium_of_dam(
    core: &Core,
    weights: &Weights,
    night: &WhelpingWatch,
    signs: &[EarlierSigns],
    moment: &Moment,
) -> Option<Puerperium> {
    let dam = dam_after_whelping(core, night, moment)?;
    let whelped_on = core.whelped_on()?;
    let weighings = core.dam_id().map(|id| weights.weighings.of(id)).unwrap_or_default();
    let written = core.dam.as_ref().and_then(|dam| dam.adult_weight_g).map(f64::from);
    let mated_at = core.mated_at.unwrap_or(dam.last_pup_at - Duration::days(63));
    let usual_g = written.or_else(|| usual_weight(weighings, mated_at));
    let earlier = signs.iter().filter(|it| it.whelped_on < whelped_on).cloned();
    let in_milk = DamInMilk {
        whelped_on,
        last_pup_at: dam.last_pup_at,
        nursing: if core.weaned_on().is_none() { dam.pups } else { 0 },
        first_litter: dam.first_litter == Some(true),
        usual_g,
        usual_pups: usual_g.map(|grams| usual_of_size(grams, &moment.rules)),
        observations: &dam.observations,
        weighings,
        low_calcium_before: low_calcium_after(&earlier.collect::<Vec<_>>()),
    };
    Some(puerperium(&in_milk, (moment.now, moment.today()), &moment.rules))
}
