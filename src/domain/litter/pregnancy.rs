//! Heat, readings, matings, checks and temperatures: what dates a litter and foretells its pups.

use super::{Core, Pup, whelping_watch::is_whelping};
use crate::{
    inbreeding::Studbook,
    moment::Moment,
    planner::FreePup,
    pregnancy::{
        DamRecords, LitterDueWindow, LitterOnRecord, Pregnancy as Reading, PregnancyRecords,
        read_pregnancy,
    },
    whelping::{WhelpingEntry, by_caesarean},
};
use uuid::Uuid;

/// All that is on record of the dam's heats, matings and litters, with the temperatures of this
/// pregnancy.
#[derive(Debug, Clone, PartialEq)]
pub struct Pregnancy {
    /// Her records.
    pub dam: DamRecords,
}

impl Pregnancy {
    /// Adds from the pedigree how inbred she and her pups are; left out, that stays unknown.
    pub fn look_up_inbreeding(&mut self, book: &Studbook<Uuid>) {
        self.dam.look_up_inbreeding(book, &[]);
    }

    /// The records of this litter, and what they say; `None` when it is not this dam's.
    pub fn read(&self, core: &Core, moment: &Moment) -> Option<(PregnancyRecords<'_>, Reading)> {
        let time = moment.time();
        let records = PregnancyRecords::of(&self.dam, core.id()?, time, &moment.rules)?;
        let reading = read_pregnancy(&records, time, &moment.rules);
        Some((records, reading))
    }

    /// When the litter is due, or was.
    pub(crate) fn due_window(&self, core: &Core, moment: &Moment) -> Option<LitterDueWindow> {
        let (records, reading) = self.read(core, moment)?;
        Some(LitterDueWindow::of(&records, reading, moment.time()))
    }
}

impl LitterOnRecord {
    /// A litter as the records of its dam count it, with its whelping log.
    pub fn of(core: &Core, log: &[WhelpingEntry], moment: &Moment) -> Option<Self> {
        let count = |pups: usize| u32::try_from(pups).unwrap_or(u32::MAX);
        let free = |pup: &Pup| {
            let dog = pup.dog.as_ref()?;
            Some(FreePup { sex: dog.sex, colour: dog.colour.clone() })
        };
        Some(Self {
            litter: core.litter.clone()?,
            born: count(core.births().count()),
            whelping: is_whelping(core, log, moment),
            born_alive: count(core.pups.iter().filter(|pup| pup.born_alive()).count()),
            free: core
                .here(moment)
                .filter(|pup| pup.promised().is_none())
                .filter_map(free)
                .collect(),
            here: core.count_here(moment),
            caesarean: by_caesarean(log),
        })
    }
}
