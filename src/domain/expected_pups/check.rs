//! Faults of what is asked.

use super::{ExpectedPupsInput, most};
use crate::{
    fault::{Fault, Faults},
    rules::Rules,
};

pub(super) fn check(input: &ExpectedPupsInput, rules: &Rules) -> Result<(), Vec<Fault>> {
    let (mut faults, most) = (Faults::new(), most(rules));
    for (i, count) in input.counts.iter().enumerate() {
        for (name, limit) in
            [("count_at_least", count.count_at_least), ("count_at_most", count.count_at_most)]
        {
            if limit.is_some_and(|n| n > most) {
                faults.add(format!("/counts/{i}/{name}"), format!("must be at most {most}"));
            }
        }
        if let (Some(low), Some(high)) = (count.count_at_least, count.count_at_most)
            && low > high
        {
            let place = format!("/counts/{i}/count_at_most");
            faults.add(place, format!("must be at least count_at_least ({low})"));
        }
        if count.count_at_most == Some(0) {
            faults
                .add(format!("/counts/{i}/count_at_most"), "no pups means that there is no litter");
        }
    }
    for (i, pups) in input.earlier_litters.iter().enumerate() {
        faults.unless((1..=most).contains(pups), &format!("/earlier_litters/{i}"), || {
            format!("must be from 1 to {most}")
        });
    }
    faults.unless(input.born_so_far <= most, "/born_so_far", || format!("must be at most {most}"));
    for (name, value) in
        [("litter_inbreeding", input.litter_inbreeding), ("dam_inbreeding", input.dam_inbreeding)]
    {
        let fits = value.is_none_or(|f| (0.0..=1.0).contains(&f));
        faults.unless(fits, &format!("/{name}"), || "must be from 0 to 1".to_owned());
    }
    faults.unless(input.adult_weight_g.is_none_or(|g| g > 0.0), "/adult_weight_g", || {
        "must be above 0 g".to_owned()
    });
    faults.into_result()
}
