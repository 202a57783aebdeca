//! One answer for the wall screen.

use super::{inbreeding::current_book, now, resource::prelude::*};
use crate::{
    domain::{
        litter_record::AskedOn,
        pregnancy::{LitterDueWindow, PregnancyRecords, read_pregnancy},
        today::{TodayBoard, today_board},
    },
    store::{
        litter_records::{self, Wanted},
        pregnancies,
    },
};

/// Read the wall screen: every litter, every pup's last weight, what is due, what is wrong.
#[utoipa::path(tag = "today", responses((status = 200, description = "The board.", body = TodayBoard)))]
#[get("/v1/kennels/{kennel_id}/today")]
pub async fn read_today(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let (scope, now) = (scope.0, now());
    let book = current_book(&app, &scope).await?;
    let (asked, litters, dams, time) = app
        .db
        .within(&scope, async |tx| {
            let asked = litter_records::asked(tx).await?;
            let mut litters = litter_records::litters(tx, Wanted::Current, now).await?;
            let mut dams = Vec::new();
            for litter in litters.iter().filter(|litter| litter.whelped_on.is_none()) {
                if let Some(id) = litter.litter_id {
                    dams.push((id, pregnancies::of_litter(tx, &book, id, now).await?.1));
                }
            }
            litters.push(litter_records::grown(tx, &litters).await?);
            Ok((asked, litters, dams, tx.time(now)))
        })
        .await?;
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
