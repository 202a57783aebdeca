//! Which risks the facts of a birth make, by limits that are rules.

use super::{BirthRisk, BirthRiskCode, facts::BirthFacts, table};
use crate::{advice::Params, rules::Rules};
use catalogue::{Text, figure, said};

/// The risks of a birth, in the order of their kinds.
pub(super) fn risks(facts: &BirthFacts, rules: &Rules) -> Vec<BirthRisk> {
    let mut found = Found::default();
    found.of_history(facts);
    found.of_litter(facts, rules);
    found.of_dam(facts, rules);
    found.0
}

/// What is not on record, and may be a risk.
pub(super) fn lacking(facts: &BirthFacts) -> Vec<Text> {
    let lacks = [
        (facts.breed.is_none(), said!("birth-risk-lacks-breed")),
        (facts.adult_weight_kg.is_none(), said!("birth-risk-lacks-adult-weight")),
        (facts.mated_weight_kg.is_none(), said!("birth-risk-lacks-mated-weight")),
        (facts.age_years.is_none(), said!("birth-risk-lacks-age")),
        (facts.litters_before.is_none(), said!("birth-risk-lacks-history")),
        (facts.counted.is_none(), said!("birth-risk-lacks-count")),
    ];
    lacks.into_iter().filter_map(|(lacks, what)| lacks.then_some(what)).collect()
}

#[derive(Default)]
struct Found(Vec<BirthRisk>);

impl Found {
    fn add(&mut self, code: BirthRiskCode, why: Text, params: &[(&str, f64)]) {
        let Some(row) = table::row(code) else { return };
        let params: Params =
            params.iter().map(|(name, value)| ((*name).to_owned(), (*value).into())).collect();
        self.0.push(BirthRisk {
            code,
            level: row.level,
            what: row.what(),
            why,
            params,
            plan: table::lines("birth-plan", &row.plan),
            kit: table::lines("birth-kit", &row.kit),
            on_call: table::lines("birth-on-call", &row.on_call),
            source: row.source.clone(),
            confirmation: row.status,
        });
    }

    fn of_history(&mut self, facts: &BirthFacts) {
        let counts = [
            (BirthRiskCode::EarlierCaesarean, facts.caesareans),
            (BirthRiskCode::EarlierDystocia, facts.hard_births),
            (BirthRiskCode::PastEclampsia, facts.eclampsias),
            (BirthRiskCode::EarlierLoss, facts.losses),
        ];
        for (code, times) in counts.into_iter().filter(|(_, times)| *times > 0) {
            self.add(
                code,
                said!("birth-risk-why-times", times = times),
                &[("times", times as f64)],
            );
        }
        if facts.stillborn > 0 {
            let why = said!("birth-risk-why-stillborn", pups = facts.stillborn);
            let pups = [("pups", facts.stillborn as f64)];
            self.add(BirthRiskCode::EarlierStillborn, why, &pups);
        }
    }

    fn of_litter(&mut self, facts: &BirthFacts, rules: &Rules) {
        let Some(counted) = facts.counted else { return };
        let pups = [("pups", f64::from(counted))];
        let likely = facts.likely.unwrap_or(counted).max(counted);
        let few = f64::from(likely) <= rules.value("birth_risks.small_litter_pups");
        let counted_why = || said!("birth-risk-why-counted", pups = counted);
        if likely == 1 {
            self.add(BirthRiskCode::SinglePup, counted_why(), &pups);
        } else if few {
            self.add(BirthRiskCode::SmallLitter, counted_why(), &pups);
        }
        if f64::from(counted) > rules.value("birth_risks.large_litter_pups") {
            self.add(BirthRiskCode::VeryLargeLitter, counted_why(), &pups);
        }
        let several = f64::from(counted) >= rules.value("birth_risks.low_calcium_pups");
        let small = |kg: &f64| *kg <= rules.value("birth_risks.low_calcium_dam_kg");
        if let Some(kg) = facts.adult_weight_kg.filter(small).filter(|_| several) {
            let why = said!("birth-risk-why-low-calcium", pups = counted, kg = figure(kg, 1));
            let params = [("pups", f64::from(counted)), ("adult_weight_kg", kg)];
            self.add(BirthRiskCode::LowCalcium, why, &params);
        }
    }

    fn of_dam(&mut self, facts: &BirthFacts, rules: &Rules) {
        let breed = facts.breed.as_deref();
        if let Some((breed, of)) = breed.and_then(|breed| Some((breed, table::breed_of(breed)?))) {
            let why = match of.share {
                Some(share) => said!(
                    "birth-risk-why-breed-share",
                    breed = breed,
                    percent = figure(100.0 * share, 0)
                ),
                None => said!("birth-risk-why-breed", breed = breed),
            };
            let share: Vec<(&str, f64)> = of.share.iter().map(|share| ("share", *share)).collect();
            self.add(BirthRiskCode::BreedShape, why, &share);
        }
        if let Some(kg) = facts.adult_weight_kg {
            let why = said!("birth-risk-why-weight", kg = figure(kg, 1));
            let params = [("adult_weight_kg", kg)];
            if kg < rules.value("birth_risks.small_dam_kg") {
                self.add(BirthRiskCode::SmallDam, why, &params);
            } else if kg >= rules.value("birth_risks.large_dam_kg") {
                self.add(BirthRiskCode::LargeDam, why, &params);
            }
        }
        self.of_age(facts, rules);
        let weights = facts.adult_weight_kg.zip(facts.mated_weight_kg);
        if let Some((adult, mated)) = weights
            && mated >= adult * (1.0 + rules.value("birth_risks.overweight_share")) - 1e-9
        {
            let why = said!(
                "birth-risk-why-overweight",
                mated_kg = figure(mated, 1),
                adult_kg = figure(adult, 1)
            );
            let params = [("mated_weight_kg", mated), ("adult_weight_kg", adult)];
            self.add(BirthRiskCode::Overweight, why, &params);
        }
    }

    fn of_age(&mut self, facts: &BirthFacts, rules: &Rules) {
        let first = facts.litters_before == Some(0);
        let why =
            facts.age_years.map(|years| said!("birth-risk-why-age", years = figure(years, 1)));
        let params: Vec<(&str, f64)> =
            facts.age_years.iter().map(|years| ("age_years", *years)).collect();
        let from = |rule| facts.age_years.is_some_and(|years| years >= rules.value(rule));
        if first {
            let late = from("birth_risks.late_first_litter_years");
            let code =
                if late { BirthRiskCode::LateFirstLitter } else { BirthRiskCode::FirstLitter };
            let why = why.clone().unwrap_or_else(|| said!("birth-risk-why-first"));
            self.add(code, why, &params);
        }
        if let Some(why) = why.filter(|_| from("birth_risks.older_dam_years")) {
            self.add(BirthRiskCode::OlderDam, why, &params);
        }
    }
}
