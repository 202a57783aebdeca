//! Faults of what is asked.

use super::{ExpectedPupsInput, most};
use crate::{
    fault::{Fault, Faults},
    rules::Rules,
};
use catalogue::said;

pub(super) fn check(input: &ExpectedPupsInput, rules: &Rules) -> Result<(), Vec<Fault>> {
    let (mut faults, most) = (Faults::new(), most(rules));
    for (i, count) in input.counts.iter().enumerate() {
        for (name, limit) in
            [("count_at_least", count.count_at_least), ("count_at_most", count.count_at_most)]
        {
            if limit.is_some_and(|n| n > most) {
                faults.add(
                    format!("/counts/{i}/{name}"),
                    said!("fault-out-of-range-pups-most", most = most),
                );
            }
        }
        if let (Some(low), Some(high)) = (count.count_at_least, count.count_at_most)
            && low > high
        {
            let place = format!("/counts/{i}/count_at_most");
            faults.add(place, said!("fault-disordered-pup-count", count_at_least = low));
        }
        if count.count_at_most == Some(0) {
            let place = format!("/counts/{i}/count_at_most");
            faults.add(place, said!("fault-out-of-range-no-pups"));
        }
    }
    for (i, pups) in input.earlier_litters.iter().enumerate() {
        faults.unless((1..=most).contains(pups), &format!("/earlier_litters/{i}"), || {
            said!("fault-out-of-range-earlier-litter", from = 1, to = most)
        });
    }
    faults.unless(input.born_so_far <= most, "/born_so_far", || {
        said!("fault-out-of-range-pups-most", most = most)
    });
    for (name, value) in
        [("litter_inbreeding", input.litter_inbreeding), ("dam_inbreeding", input.dam_inbreeding)]
    {
        let fits = value.is_none_or(|f| (0.0..=1.0).contains(&f));
        faults.unless(fits, &format!("/{name}"), || {
            said!("fault-out-of-range-inbreeding-share", from = 0, to = 1)
        });
    }
    faults.unless(input.adult_weight_g.is_none_or(|g| g > 0.0), "/adult_weight_g", || {
        said!("fault-out-of-range-adult-weight-above", above_g = 0)
    });
    faults.into_result()
}
