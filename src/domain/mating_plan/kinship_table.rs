//! Kinship figures among the dogs that a plan weighs, as the pedigree engine hands them in.

use crate::fault::{Fault, Faults};
use catalogue::said;
use std::collections::HashMap;
use uuid::Uuid;

/// Rounding that two figures for the same pair may differ by.
const ROUNDING: f64 = 1e-9;

/// Kinship of every two of some dogs; a dog's kinship with itself is (1 + its inbreeding) / 2.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct KinshipTable {
    ids: Vec<Uuid>,
    index: HashMap<Uuid, usize>,
    values: Vec<f64>,
}

impl KinshipTable {
    /// A table from its rows one after the other: `values[i * n + j]` is the kinship of `ids[i]`
    /// and `ids[j]`, from 0 to 1.
    ///
    /// # Errors
    /// A dog twice, a wrong number of values, values outside 0–1, a table that is not symmetric,
    /// a kinship with itself below a half.
    pub fn new(ids: Vec<Uuid>, values: Vec<f64>) -> Result<Self, Vec<Fault>> {
        let mut faults = Faults::new();
        let n = ids.len();
        let index: HashMap<Uuid, usize> = ids.iter().enumerate().map(|(i, id)| (*id, i)).collect();
        faults.unless(index.len() == n, "/ids", || said!("fault-twice-dog-in-table"));
        faults.unless(values.len() == n * n, "/values", || {
            said!("fault-wrong-kind-kinship-size", dogs = n, figures = values.len())
        });
        faults.into_result()?;
        let mut faults = Faults::new();
        for i in 0..n {
            for j in i..n {
                let (value, mirrored) = (values[i * n + j], values[j * n + i]);
                let floor = if i == j { 0.5 } else { 0.0 };
                if !(floor - ROUNDING..=1.0 + ROUNDING).contains(&value) {
                    faults.add(
                        format!("/values/{}", i * n + j),
                        said!("fault-out-of-range-from-to", from = floor, to = 1),
                    );
                } else if (value - mirrored).abs() > ROUNDING {
                    let mirror = said!("fault-differs-mirror-image");
                    faults.add(format!("/values/{}", j * n + i), mirror);
                }
            }
        }
        faults.into_result()?;
        Ok(Self { ids, index, values })
    }

    /// The same table with one dog more, that is as akin to all as another one of it: its copy. A copy is as akin
    /// to the dog as the dog is to itself.
    pub(crate) fn with_copy(&self, of: Uuid, copy: Uuid) -> Option<Self> {
        let at = *self.index.get(&of)?;
        let old = self.ids.len();
        let ids: Vec<Uuid> = self.ids.iter().copied().chain([copy]).collect();
        let place = |i: usize| if i == old { at } else { i };
        let values = (0..=old)
            .flat_map(|i| (0..=old).map(move |j| (i, j)))
            .map(|(i, j)| self.values[place(i) * old + place(j)])
            .collect();
        let index = ids.iter().enumerate().map(|(i, id)| (*id, i)).collect();
        Some(Self { ids, index, values })
    }

    /// Kinship of two dogs, if both are in the table.
    pub(crate) fn kinship(&self, a: Uuid, b: Uuid) -> Option<f64> {
        let (a, b) = (self.index.get(&a)?, self.index.get(&b)?);
        self.values.get(a * self.ids.len() + b).copied()
    }

    /// Mean kinship of a dog to `others`, itself left out; `None` when one of them is missing.
    pub(crate) fn mean_to(&self, dog: Uuid, others: &[Uuid]) -> Option<f64> {
        let others: Vec<Uuid> = others.iter().copied().filter(|id| *id != dog).collect();
        let sum = others.iter().map(|id| self.kinship(dog, *id)).sum::<Option<f64>>()?;
        (!others.is_empty()).then(|| sum / others.len() as f64)
    }
}
