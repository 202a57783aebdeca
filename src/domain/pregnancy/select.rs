//! Which records of a dam belong to one litter.

use super::{DamRecords, KennelTime, LitterOnRecord};
use crate::{
    day_chances::shift,
    litter::LitterOfDam,
    record::{Heat, HeatReading, Kept, Mating, MatingStatus, PregnancyCheck},
    rules::Rules,
};
use chrono::NaiveDate;
use uuid::Uuid;

/// The records of one pregnancy, picked from those of the dam.
#[derive(Debug, Clone)]
pub struct PregnancyRecords<'r> {
    /// All of the dam.
    pub dam: &'r DamRecords,
    /// The litter.
    pub litter: &'r LitterOnRecord,
    /// The mating it comes from.
    pub mating: Option<&'r Kept<Mating>>,
    /// All matings that may have made it, the own one among them.
    pub matings: Vec<&'r Kept<Mating>>,
    /// The heat it comes from.
    pub heat: Option<&'r Kept<Heat>>,
    /// Readings of the heat.
    pub readings: Vec<&'r HeatReading>,
    /// Checks of the matings.
    pub checks: Vec<&'r PregnancyCheck>,
}

/// Days on which a mating happened, or is meant to.
pub(super) fn mating_days(mating: &Mating, time: KennelTime) -> Vec<NaiveDate> {
    match mating.status {
        MatingStatus::Done => mating.ties.iter().map(|tie| time.day_of(tie.at)).collect(),
        MatingStatus::Planned => mating.planned_on.into_iter().collect(),
        MatingStatus::CalledOff => Vec::new(),
    }
}

impl<'r> PregnancyRecords<'r> {
    /// The records of a litter; `None` when it is not this dam's.
    ///
    /// The heat is the mating's own, else the last one begun before the first tie. All matings of
    /// that heat with the litter's sire count, since any of them may have made it.
    pub fn of(
        dam: &'r DamRecords,
        litter_id: Uuid,
        time: KennelTime,
        rules: &Rules,
    ) -> Option<Self> {
        let litter = dam.litters.iter().find(|l| l.litter.id == litter_id)?;
        let record = &litter.litter.record;
        let mating = record.mating_id.and_then(|id| dam.matings.iter().find(|m| m.id == id));
        let heat = mating.and_then(|mating| heat_of(dam, mating, time, rules));
        let together = |other: &&Kept<Mating>| {
            mating.is_some_and(|own| {
                own.id == other.id
                    || (heat.is_some()
                        && heat_of(dam, other, time, rules).map(|h| h.id) == heat.map(|h| h.id)
                        && other.record.status == MatingStatus::Done
                        && other.record.sire_id == own.record.sire_id)
            })
        };
        let matings: Vec<_> = dam.matings.iter().filter(together).collect();
        let of_matings =
            |c: &&Kept<PregnancyCheck>| matings.iter().any(|m| m.id == c.record.mating_id);
        let checks = dam.checks.iter().filter(of_matings).map(|c| &c.record).collect();
        let of_heat = |r: &&Kept<HeatReading>| heat.is_some_and(|heat| r.record.heat_id == heat.id);
        let readings = dam.readings.iter().filter(of_heat).map(|r| &r.record).collect();
        Some(Self { dam, litter, mating, matings, heat, readings, checks })
    }

    /// The sire, as the litter or its mating names him.
    pub fn sire_id(&self) -> Option<Uuid> {
        self.litter.litter.record.sire_id.or(self.mating.map(|mating| mating.record.sire_id))
    }

    /// The latest pregnancy check.
    pub(crate) fn latest_check(&self) -> Option<&'r PregnancyCheck> {
        self.checks.iter().max_by_key(|check| check.checked_at).copied()
    }

    /// Pups born in each litter of the dam before this one.
    pub(crate) fn earlier_litters(&self) -> Vec<u32> {
        let own = &self.litter.litter;
        let before = |l: &&LitterOfDam| {
            l.litter_id != own.id
                && l.whelped_on.is_some()
                && (own.record.whelped_on.is_none() || l.whelped_on < own.record.whelped_on)
        };
        let litters = self.dam.whelpings.iter().filter(before);
        litters.map(|l| l.born).filter(|born| *born > 0).collect()
    }
}

/// The heat that a mating belongs to.
pub(super) fn heat_of<'r>(
    dam: &'r DamRecords,
    mating: &Kept<Mating>,
    time: KennelTime,
    rules: &Rules,
) -> Option<&'r Kept<Heat>> {
    if let Some(heat_id) = mating.record.heat_id {
        return dam.heats.iter().find(|heat| heat.id == heat_id);
    }
    #[expect(clippy::cast_possible_truncation, reason = "a rule of days")]
    let longest = rules.value("dating.mating_after_heat_days").round() as i64;
    let first = mating_days(&mating.record, time).into_iter().min()?;
    let near = |heat: &&Kept<Heat>| {
        heat.record.began_on <= first && first <= shift(heat.record.began_on, longest)
    };
    dam.heats.iter().filter(near).max_by_key(|heat| heat.record.began_on)
}
