//! What is printed of a whelping.

use super::{
    StoreError, StoreResult, Tx, growth,
    keep::Keep as _,
    pregnancies,
    whelping::{lines, night},
};
use crate::domain::{
    inbreeding::Studbook,
    pregnancy::{PregnancyRecords, read_pregnancy},
    record::{Birth, BirthOutcome, Dog, Placenta, Presentation},
    rules::Rules,
    whelping::{
        sheet::{SheetPup, WhelpingSheet},
        vitality_score, where_it_stands,
    },
};
use chrono::{DateTime, Utc};
use uuid::Uuid;

/// The sheet of a whelping, as it would be printed at `now`.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such litter that this person may see.
pub async fn sheet(
    tx: &mut Tx,
    book: &Studbook<Uuid>,
    litter_id: Uuid,
    now: DateTime<Utc>,
    rules: &Rules,
) -> StoreResult<WhelpingSheet> {
    let (litter, records) = pregnancies::of_litter(tx, book, litter_id, now).await?;
    let time = tx.time(now);
    let window = PregnancyRecords::of(&records, litter_id, time, rules)
        .and_then(|pregnancy| read_pregnancy(&pregnancy, time, rules).window);
    let night = night(tx, litter_id, now, rules).await?;
    let sire = match litter.record.sire_id {
        Some(sire_id) => name_of(tx, sire_id).await?,
        None => None,
    };
    Ok(WhelpingSheet {
        kennel: tx.scope.kennel().name.clone(),
        litter: growth::title(tx, litter_id).await?,
        dam: records.called().to_owned(),
        sire,
        due: window.map(|window| [window.earliest, window.likely, window.latest]),
        expected: night.case.expected,
        status: where_it_stands(&night.case, now, rules),
        pups: night.births.iter().map(|birth| sheet_pup(&birth.record, rules)).collect(),
        log: lines(tx, litter_id).await?,
        time_zone: tx.scope.tz(),
        printed_at: now,
    })
}

/// The name of a dog, when this person may see it.
async fn name_of(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Option<String>> {
    match Dog::select(tx, dog_id, false).await {
        Ok(dog) => Ok(dog.record.name.or(dog.record.call_name)),
        Err(StoreError::NotFound) => Ok(None),
        Err(error) => Err(error),
    }
}

fn sheet_pup(birth: &Birth, rules: &Rules) -> SheetPup {
    let vitality = birth.vitality.as_ref().map(|signs| {
        let minutes = birth.vitality_minutes.unwrap_or(0).into();
        let score = vitality_score(signs, minutes, rules);
        match score.points {
            Some(points) => points.to_string(),
            None => format!("{} to {}", score.points_at_least, score.points_at_most),
        }
    });
    let stillborn = (birth.outcome == BirthOutcome::Stillborn).then(|| "stillborn".to_owned());
    let helped = birth
        .resuscitation_minutes
        .filter(|minutes| *minutes > 0)
        .map(|minutes| format!("helped to breathe for {minutes} min"));
    let remarks: Vec<String> =
        [stillborn, helped, birth.note.clone()].into_iter().flatten().collect();
    let looks: Vec<&str> =
        [&birth.colour, &birth.markings].into_iter().flatten().map(String::as_str).collect();
    let presentation = match birth.presentation {
        Presentation::HeadFirst => Some("head first"),
        Presentation::TailFirst => Some("tail first"),
        Presentation::Unknown => None,
    };
    SheetPup {
        ordinal: birth.ordinal,
        born_at: birth.born_at,
        sex: birth.sex.map(|sex| sex.to_string()),
        collar: birth.collar.clone(),
        looks: (!looks.is_empty()).then(|| looks.join(", ")),
        weight_g: birth.weight_g,
        presentation: presentation.map(str::to_owned),
        placenta_seen: birth.placenta == Placenta::Passed,
        vitality,
        remarks: remarks.join("; "),
    }
}
