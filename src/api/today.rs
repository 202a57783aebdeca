//! One answer for the wall screen.

use super::{alarms::watched, conditional::unless_unchanged, resource::prelude::*};
use domain::today::{TodayBoard, today_board};
use store::litters::Which;

/// Read the wall screen: every litter, every pup's last weight, what is due, what is wrong.
#[utoipa::path(tag = "today", responses((status = 200, description = "The board.", body = TodayBoard)))]
#[get("/v1/kennels/{kennel_id}/today")]
pub(crate) async fn read_today(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    unless_unchanged(&scope.0, &request, async || {
        let seat = app.room.seat(scope.0.kennel_id()).await?;
        let (litters, moment) = watched(&app, &scope.0, Which::Kennel).await?;
        let memory = app.board.clone();
        seat.answer(move || Ok(today_board(litters, &moment, &memory))).await
    })
    .await
}
