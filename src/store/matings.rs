//! Matings and pregnancy checks.

use super::{StoreError, StoreResult, Tx, keep::keep, kennels, litter_parents};
use domain::{
    dating::ultrasound,
    day_chances::shift,
    fault::Faults,
    record::{Dog, Heat, Kept, Mating, MatingFilter, PregnancyCheck, PregnancyCheckFilter},
};

keep!(Mating in matings { dam_id, sire_id, heat_id, status, method, planned_on, ties as json, note }
filter MatingFilter { dam_id == dam_id, sire_id == sire_id, heat_id == heat_id, status == status };
read Dogs, write Breeding, of dam_id, {
    async fn after_write(tx: &mut Tx, before: Option<&Kept<Self>>, after: &Kept<Self>) -> StoreResult<()> {
        match before {
            Some(before) => litter_parents::settle_mating(tx, after.id, &before.record, &after.record).await,
            None => Ok(()),
        }
    }

    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        if let Some(before) = before {
            litter_parents::admit_mating(tx, before.id, &before.record, self).await?;
        }
        let Some(heat_id) = self.heat_id else { return Ok(()) };
        let heat = match Heat::select(tx, heat_id, false).await {
            Ok(heat) => heat.record,
            Err(StoreError::NotFound) => {
                return Err(StoreError::refused("/heat_id", "names no heat of this dam"));
            }
            Err(error) => return Err(error),
        };
        let rule = kennels::rules(tx).await?;
        let rule = rule.get("dating.mating_after_heat_days");
        #[expect(clippy::cast_possible_truncation, reason = "a rule of days")]
        let last = shift(heat.began_on, rule.value.round() as i64);
        let mut faults = Faults::new();
        for (index, tie) in self.ties.iter().enumerate() {
            let day = tx.scope.day_of(tie.at);
            faults.unless(day >= heat.began_on, &format!("/ties/{index}/at"), || {
                format!("is before the heat began ({}); correct one of the two", heat.began_on)
            });
            faults.unless(day <= last, &format!("/ties/{index}/at"), || {
                format!(
                    "is more than {} {} after the heat began ({}): another heat?",
                    rule.value, rule.unit, heat.began_on
                )
            });
        }
        if let Some(planned_on) = self.planned_on {
            faults.unless(planned_on >= heat.began_on, "/planned_on", || {
                format!("is before the heat began ({}); correct one of the two", heat.began_on)
            });
        }
        faults.into_result().map_err(StoreError::Refused)
    }
});

keep!(PregnancyCheck in pregnancy_checks {
    mating_id, checked_at, method, result, count_at_least, count_at_most, measures as json, due_on, note,
}
under mating_id of Mating
filter PregnancyCheckFilter { result == result };
read Dogs, write Observations, of mating_id, {
    async fn validate(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        let mating = Mating::select(tx, self.mating_id, false).await?.record;
        let dam = match Dog::select(tx, mating.dam_id, false).await {
            Ok(dam) => Some(dam.record),
            Err(StoreError::NotFound) => None,
            Err(error) => return Err(error),
        };
        let group = ultrasound::group_of(
            dam.as_ref().and_then(|dam| dam.breed.as_deref()),
            dam.as_ref().and_then(|dam| dam.adult_weight_g).map(f64::from),
        );
        let mut faults = Faults::new();
        for (index, measure) in self.measures.iter().enumerate() {
            let most = ultrasound::formula(group, measure.kind).intercept_mm;
            faults.unless(measure.value_mm <= most, &format!("/measures/{index}/value_mm"), || {
                format!(
                    "is more than pups of this size measure at birth ({most:.1} mm); is it in mm, \
                     and is the dam's adult weight right?"
                )
            });
        }
        faults.into_result().map_err(StoreError::Refused)?;
        match mating.ties.iter().map(|tie| tie.at).min() {
            Some(first) if self.checked_at < first => Err(StoreError::refused(
                "/checked_at",
                format!("is before the first tie ({}); correct one of the two", first.format("%FT%TZ")),
            )),
            _ => Ok(()),
        }
    }
});
