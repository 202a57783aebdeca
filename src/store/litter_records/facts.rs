//! What is recorded of single dogs, put together.

use super::{BirthRow, LitterRow, of_dogs};
use crate::{
    domain::{
        growth::Weighing,
        litter_record::{DogRecord, RecordedEvent},
        partial_date::PartialDate,
        readiness::{BalanceFact, PaperDone, ReadinessOverride},
        record::{Residence, Sex},
    },
    store::{StoreResult, Tx, care},
};
use chrono::NaiveDate;
use std::collections::BTreeMap;
use uuid::Uuid;

/// A dog, as far as its record asks.
pub struct DogRow {
    pub name: Option<String>,
    pub call_name: Option<String>,
    pub sex: Option<Sex>,
    pub breed: Option<String>,
    pub born_on: Option<PartialDate>,
    pub died_on: Option<NaiveDate>,
    pub chip_number: Option<String>,
    pub adult_weight_g: Option<i32>,
    pub residence: Residence,
}

/// What is recorded of single dogs, by dog.
#[derive(Default)]
pub struct Facts {
    pub dogs: BTreeMap<Uuid, DogRow>,
    events: BTreeMap<Uuid, Vec<RecordedEvent>>,
    weighings: BTreeMap<Uuid, Vec<Weighing>>,
    papers: BTreeMap<Uuid, Vec<PaperDone>>,
    balances: BTreeMap<Uuid, BalanceFact>,
    set_aside: BTreeMap<Uuid, Vec<ReadinessOverride>>,
}

impl Facts {
    pub async fn of(tx: &mut Tx, ids: Vec<Uuid>) -> StoreResult<Self> {
        let dogs = of_dogs::dogs(tx, &ids).await?;
        // Only of dogs that this person may see.
        let ids: Vec<Uuid> = dogs.keys().copied().collect();
        let tx = &*tx;
        let (weighings, events, papers, balances, set_aside) = tokio::try_join!(
            care::weighings(tx, &ids),
            of_dogs::events(tx, &ids),
            of_dogs::papers(tx, &ids),
            of_dogs::balances(tx, &ids),
            of_dogs::set_aside(tx, &ids),
        )?;
        Ok(Self { dogs, events, weighings, papers, balances, set_aside })
    }

    pub fn name_of(&self, id: Uuid) -> Option<String> {
        let dog = self.dogs.get(&id)?;
        dog.call_name.clone().or_else(|| dog.name.clone())
    }

    pub fn grown(&self, id: Option<Uuid>) -> Option<f64> {
        self.dogs.get(&id?)?.adult_weight_g.map(f64::from)
    }

    /// The mean of the parents' weights; the one that is known when the other is not.
    pub fn adult_weight(&self, row: &LitterRow) -> Option<f64> {
        match (self.grown(Some(row.dam_id)), self.grown(row.sire_id)) {
            (Some(dam_g), Some(sire_g)) => Some(f64::midpoint(dam_g, sire_g)),
            (dam_g, sire_g) => sire_g.or(dam_g),
        }
    }

    pub fn dam(&mut self, id: Uuid) -> Option<DogRecord> {
        let born_on = match self.dogs.get(&id)?.born_on {
            Some(PartialDate::Day(day)) => Some(day),
            _ => None,
        };
        let label = self.name_of(id).unwrap_or_else(|| "without a name".to_owned());
        self.record(id, label, None, born_on, None)
    }

    pub fn pup(&mut self, birth: &BirthRow, tx: &Tx) -> DogRecord {
        let label = self
            .name_of(birth.dog_id)
            .or_else(|| birth.collar.as_ref().map(|collar| format!("{collar} collar")))
            .unwrap_or_else(|| format!("pup {}", birth.ordinal));
        let born_on = Some(tx.scope.day_of(birth.born_at));
        let ordinal = u32::try_from(birth.ordinal).ok();
        let known = self.record(birth.dog_id, label.clone(), ordinal, born_on, Some(birth));
        known.unwrap_or_else(|| unseen(birth.dog_id, label, ordinal))
    }

    fn record(
        &mut self,
        id: Uuid,
        label: String,
        ordinal: Option<u32>,
        born_on: Option<NaiveDate>,
        birth: Option<&BirthRow>,
    ) -> Option<DogRecord> {
        let dog = self.dogs.get(&id)?;
        Some(DogRecord {
            dog_id: id,
            label,
            ordinal,
            born_on,
            is_female: dog.sex.map(|sex| sex == Sex::Female),
            here: dog.residence == Residence::Here && dog.died_on.is_none(),
            born_at: birth.map(|birth| birth.born_at),
            birth_weight_g: birth.and_then(|birth| birth.weight_g).map(f64::from),
            weighings: self.weighings.remove(&id).unwrap_or_default(),
            chip_number: dog.chip_number.clone(),
            events: self.events.get(&id).cloned().unwrap_or_default(),
            papers: self.papers.remove(&id).unwrap_or_default(),
            balance: self.balances.get(&id).copied().unwrap_or_default(),
            set_aside: self.set_aside.remove(&id).unwrap_or_default(),
        })
    }
}

/// A pup whose dog this person may not see: it is counted by nobody.
fn unseen(dog_id: Uuid, label: String, ordinal: Option<u32>) -> DogRecord {
    DogRecord {
        dog_id,
        label,
        ordinal,
        born_on: None,
        is_female: None,
        here: false,
        born_at: None,
        birth_weight_g: None,
        weighings: Vec::new(),
        chip_number: None,
        events: Vec::new(),
        papers: Vec::new(),
        balance: BalanceFact::NoSale,
        set_aside: Vec::new(),
    }
}
