//! mating_plan
