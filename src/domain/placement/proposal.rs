//! Which pup to which buyer: a proposal, never applied by itself.

use super::{
    assignment::{least_cost, serve_in_order},
    wishes::{BuyerWishes, FreePup, WishKind, WishesFare},
};
use crate::{
    fault::{Fault, Faults},
    listing::commas,
};
use catalogue::{Text, said};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use utoipa::ToSchema;
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// More buyers or pups than this are not a kennel's waiting list.
const MOST: usize = 1000;

/// What a proposal strives for, first things first.
pub(crate) fn objective() -> [Text; 4] {
    [
        said!("placement-objective-must"),
        said!("placement-objective-waiting"),
        said!("placement-objective-most-wishes"),
        said!("placement-objective-weight"),
    ]
}

/// A buyer on the waiting list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WaitingBuyer {
    /// The buyer.
    pub buyer_id: Uuid,
    /// The wishes.
    pub wishes: BuyerWishes,
}

/// A pup proposed to a buyer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ProposedPair {
    /// The buyer.
    pub buyer_id: Uuid,
    /// Place on the waiting list, from 1.
    #[schema(example = 1)]
    pub waiting_place: usize,
    /// The pup.
    pub dog_id: Uuid,
    /// How the wishes fare.
    pub wishes: WishesFare,
    /// Why this pup.
    #[schema(
        value_type = String,
        example = "Place 1 of 4. Met: sex, colour. No free pup meets more."
    )]
    pub reason: Text,
}

/// A buyer for whom no pup is proposed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct UnplacedBuyer {
    /// The buyer.
    pub buyer_id: Uuid,
    /// Place on the waiting list, from 1.
    #[schema(example = 4)]
    pub waiting_place: usize,
    /// Why none.
    #[schema(
        value_type = String,
        example = "Place 4 of 4. Every pup that would do goes to a buyer who has waited longer."
    )]
    pub reason: Text,
}

/// Which pup to which buyer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct PlacementProposal {
    /// What was striven for, first things first.
    #[schema(value_type = Vec<String>)]
    pub objective: Vec<Text>,
    /// The pairs, in the order of the waiting list.
    pub pairs: Vec<ProposedPair>,
    /// The buyers without a pup, in the order of the waiting list.
    pub unplaced: Vec<UnplacedBuyer>,
    /// The pups without a buyer.
    pub left_free: Vec<Uuid>,
}

/// Every buyer's wishes with every pup.
struct Fares<'a> {
    buyers: &'a [WaitingBuyer],
    pups: &'a [FreePup],
    of: Vec<Vec<WishesFare>>,
}

/// Proposes the best assignment of free pups to buyers; `buyers` stand in their waiting order.
///
/// The objective is lexicographic, see [`objective`]: the buyers served are the first, in waiting
/// order, that can be served together (which also serves as many as possible); among their
/// assignments the number of wishes met is largest, and of equal ones that with the largest sum of
/// wishes met × buyers standing behind. Solved exactly, by augmenting paths and the Hungarian
/// method. Equal input gives equal output.
///
/// # Errors
/// Every fault: a buyer or a pup given twice, more than 1000 of either, wishes that do not hold
/// together.
pub fn propose(buyers: &[WaitingBuyer], pups: &[FreePup]) -> Result<PlacementProposal, Vec<Fault>> {
    check(buyers, pups)?;
    let fare = |buyer: &WaitingBuyer| pups.iter().map(|pup| buyer.wishes.with(pup)).collect();
    let fares = Fares { buyers, pups, of: buyers.iter().map(fare).collect() };
    let served = serve_in_order(&fares.accepted(), pups.len());
    let served: Vec<usize> = (0..buyers.len()).filter(|row| served[*row].is_some()).collect();
    let columns = least_cost(&fares.cost(&served));
    let mut pup_of = vec![None; buyers.len()];
    for (row, column) in served.into_iter().zip(columns) {
        pup_of[row] = Some(column);
    }
    Ok(fares.report(&pup_of))
}

fn check(buyers: &[WaitingBuyer], pups: &[FreePup]) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    faults.unless(buyers.len() <= MOST, "/buyers", || said!("fault-too-many-at-most", most = MOST));
    faults.unless(pups.len() <= MOST, "/pups", || said!("fault-too-many-at-most", most = MOST));
    let mut seen = BTreeSet::new();
    for (index, buyer) in buyers.iter().enumerate() {
        faults.unless(seen.insert(buyer.buyer_id), &format!("/buyers/{index}"), || {
            said!("fault-twice-on-list")
        });
        for fault in buyer.wishes.check().err().into_iter().flatten() {
            faults.add(format!("/buyers/{index}/wishes{}", fault.pointer), fault.detail);
        }
    }
    for (index, pup) in pups.iter().enumerate() {
        faults.unless(seen.insert(pup.dog_id), &format!("/pups/{index}"), || {
            said!("fault-twice-given")
        });
    }
    faults.into_result()
}

impl Fares<'_> {
    fn accepts(&self, row: usize, column: usize) -> bool {
        self.buyers[row].wishes.accepts(&self.of[row][column])
    }

    fn accepted(&self) -> Vec<Vec<usize>> {
        let of_row = |row| (0..self.pups.len()).filter(|c| self.accepts(row, *c)).collect();
        (0..self.buyers.len()).map(of_row).collect()
    }

    /// The cost of each pair for the buyers served: wishes met first, then weighted by place.
    fn cost(&self, served: &[usize]) -> Vec<Vec<i64>> {
        let whole = |count: usize| i64::try_from(count).unwrap_or(i64::MAX);
        let buyers = whole(self.buyers.len());
        // Five wishes at most: more than all the weighted wishes of all buyers together.
        let one_wish = 5 * buyers * buyers + 1;
        // More than all the gain there is, so that no such pair is taken while another way is open.
        let refused = (5 * one_wish + 5 * buyers) * (buyers + 1);
        let pair = |row: usize, column: usize| {
            let met = whole(self.of[row][column].met.len());
            let standing_behind = buyers - whole(row);
            if self.accepts(row, column) { -met * (one_wish + standing_behind) } else { refused }
        };
        served
            .iter()
            .map(|row| (0..self.pups.len()).map(|column| pair(*row, column)).collect())
            .collect()
    }

    fn report(&self, pup_of: &[Option<usize>]) -> PlacementProposal {
        let mut proposal = PlacementProposal {
            objective: objective().to_vec(),
            pairs: Vec::new(),
            unplaced: Vec::new(),
            left_free: Vec::new(),
        };
        for (row, column) in pup_of.iter().enumerate() {
            let (buyer_id, waiting_place) = (self.buyers[row].buyer_id, row + 1);
            match column {
                Some(column) => proposal.pairs.push(ProposedPair {
                    buyer_id,
                    waiting_place,
                    dog_id: self.pups[*column].dog_id,
                    wishes: self.of[row][*column].clone(),
                    reason: self.reason(row, *column, pup_of),
                }),
                None => proposal.unplaced.push(UnplacedBuyer {
                    buyer_id,
                    waiting_place,
                    reason: self.no_reason(row),
                }),
            }
        }
        let free = (0..self.pups.len()).filter(|column| !pup_of.contains(&Some(*column)));
        proposal.left_free = free.map(|column| self.pups[column].dog_id).collect();
        proposal
    }

    fn reason(&self, row: usize, column: usize, pup_of: &[Option<usize>]) -> Text {
        let fare = &self.of[row][column];
        let mut reason = vec![self.waiting_place(row)];
        if !fare.met.is_empty() {
            reason.push(said!("placement-met", wishes = names(&fare.met)));
        }
        if !fare.unmet.is_empty() {
            reason.push(said!("placement-not-met", wishes = names(&fare.unmet)));
        }
        if !fare.unknown.is_empty() {
            reason.push(said!("placement-not-known", wishes = names(&fare.unknown)));
        }
        let better = (0..self.pups.len())
            .filter(|other| self.accepts(row, *other))
            .filter(|other| self.of[row][*other].met.len() > fare.met.len())
            .filter_map(|other| {
                pup_of.iter().position(|taken| *taken == Some(other)).map(|place| (other, place))
            });
        let better: Vec<Text> = better
            .map(|(other, place)| {
                let pup = &self.pups[other].name;
                said!("placement-goes-to-place", pup = pup, place = place + 1)
            })
            .collect();
        reason.push(if self.buyers[row].wishes.kinds().is_empty() {
            said!("placement-no-wishes")
        } else if better.is_empty() {
            said!("placement-none-meets-more")
        } else {
            said!("placement-more-would-be-met", others = commas(better))
        });
        Text::sentences(reason)
    }

    fn no_reason(&self, row: usize) -> Text {
        let why = if self.pups.is_empty() {
            said!("placement-no-free-pup")
        } else if (0..self.pups.len()).any(|column| self.accepts(row, column)) {
            said!("placement-all-go-to-others")
        } else {
            said!("placement-none-meets-must", wishes = names(&self.buyers[row].wishes.must))
        };
        Text::sentences([self.waiting_place(row), why])
    }

    fn waiting_place(&self, row: usize) -> Text {
        said!("placement-place", place = row + 1, buyers = self.buyers.len())
    }
}

fn names(kinds: &[WishKind]) -> Text {
    let name = |kind: &WishKind| match kind {
        WishKind::Sex => said!("placement-wish-sex"),
        WishKind::Colour => said!("placement-wish-colour"),
        WishKind::Purpose => said!("placement-wish-purpose"),
        WishKind::Litter => said!("placement-wish-litter"),
        WishKind::Date => said!("placement-wish-date"),
    };
    commas(kinds.iter().map(name))
}
