//! One answer for the wall screen.

use super::{inbreeding::current_book, now, resource::prelude::*};
use crate::{
    domain::{
        litter_record::AskedOn,
        pregnancy::{DamRecords, LitterDueWindow, PregnancyRecords, read_pregnancy},
        today::{TodayBoard, today_board},
    },
    store::{
        StoreError, Tx,
        litter_records::{self, Wanted},
        people::Scope,
        pregnancies,
    },
};
use chrono::{DateTime, Utc};

/// The dams of litters to come. Only they ask for the pedigree.
async fn expecting(
    app: &App,
    scope: &Scope,
    litters: &[Uuid],
    now: DateTime<Utc>,
) -> Result<Vec<(Uuid, DamRecords)>, Problem> {
    if litters.is_empty() {
        return Ok(Vec::new());
    }
    let book = current_book(app, scope).await?;
    let work = async |tx: &mut Tx| {
        let mut dams = Vec::with_capacity(litters.len());
        for litter in litters {
            match pregnancies::of_litter(tx, &book, *litter, now).await {
                Ok((_, dam)) => dams.push((*litter, dam)),
                // Deleted since it was found.
                Err(StoreError::NotFound) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(dams)
    };
    Ok(app.db.within(scope, work).await?)
}

/// Read the wall screen: every litter, every pup's last weight, what is due, what is wrong.
#[utoipa::path(tag = "today", responses((status = 200, description = "The board.", body = TodayBoard)))]
#[get("/v1/kennels/{kennel_id}/today")]
pub async fn read_today(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let (scope, now) = (scope.0, now());
    let (asked, litters, time) = app
        .db
        .within(&scope, async |tx| {
            let asked = litter_records::asked(tx).await?;
            let mut litters = litter_records::litters(tx, Wanted::Current, now).await?;
            litters.push(litter_records::grown(tx, &litters).await?);
            Ok((asked, litters, tx.time(now)))
        })
        .await?;
    let unborn = litters.iter().filter(|litter| litter.whelped_on.is_none());
    let unborn: Vec<Uuid> = unborn.filter_map(|litter| litter.litter_id).collect();
    let dams = expecting(&app, &scope, &unborn, now).await?;
    let expected: Vec<LitterDueWindow> = dams
        .iter()
        .filter_map(|(id, dam)| {
            let records = PregnancyRecords::of(dam, *id, time, &asked.rules)?;
            let pregnancy = read_pregnancy(&records, time, &asked.rules);
            Some(LitterDueWindow::of(&records, pregnancy, time))
        })
        .collect();
    let ask = AskedOn { book: &asked.book, rules: &asked.rules, now, zone: scope.tz() };
    Ok(HttpResponse::Ok().json(today_board(&litters, &expected, ask)))
}
