//! Whole units divided by exact quotas, so that the parts add up to the whole.

use num_rational::BigRational;
use num_traits::{ToPrimitive, Zero};
use std::cmp::Reverse;

/// Divides a whole number of units (cents, pups) by exact quotas that add up to it: each gets its quota rounded
/// down, and the units that are left go to the largest remainders, one each.
///
/// That is the method of largest remainders (Hamilton's, with the Hare quota). The parts add up to the whole
/// always, and each is less than one unit from its quota. Among equal remainders `turn` decides who is the first:
/// with numbers that have nothing to do with the holders (the random part of an entry's id) a cent that cannot
/// be divided goes to each of them as often as to the others.
///
/// Quotas are 0 or more and add up to a whole number within `i64`; what lies beyond counts as 0.
///
/// ```
/// use domain::co_ownership::whole_parts;
/// use num_rational::BigRational;
///
/// // A hundred cents among three: 33, 33 and 34, and it is the turn that says whose the last one is.
/// let thirds = vec![BigRational::new(100.into(), 3.into()); 3];
/// assert_eq!(whole_parts(&thirds, 0), [34, 33, 33]);
/// assert_eq!(whole_parts(&thirds, 2), [33, 33, 34]);
/// ```
pub fn whole_parts(quotas: &[BigRational], turn: u128) -> Vec<i64> {
    let floor = |quota: &BigRational| quota.floor().to_integer().to_i64().unwrap_or_default();
    let mut parts: Vec<i64> = quotas.iter().map(floor).collect();
    let remainders: Vec<BigRational> = quotas.iter().map(BigRational::fract).collect();
    let whole: BigRational = quotas.iter().sum();
    let left = floor(&whole) - parts.iter().sum::<i64>();
    // Who has no remainder waits for no unit.
    let mut waiting: Vec<usize> =
        (0..quotas.len()).filter(|at| !remainders[*at].is_zero()).collect();
    let count = waiting.len().max(1);
    let first = usize::try_from(turn % count as u128).unwrap_or_default();
    if !waiting.is_empty() {
        waiting.rotate_left(first);
    }
    // A stable sort: equal ones keep the order of the turn.
    waiting.sort_by_key(|at| Reverse(&remainders[*at]));
    for at in waiting.into_iter().take(usize::try_from(left).unwrap_or_default()) {
        parts[at] += 1;
    }
    parts
}
