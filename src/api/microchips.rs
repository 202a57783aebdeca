//! Microchips, read in bulk.

use super::{answer, problem::Kind, resource::prelude::*};
use domain::microchip::{ChipReading, read_chips};
use serde::{Deserialize, Serialize};
use store::proposals::{self, ReadChip};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(read_microchips);
}

/// Chips as a reader or a spreadsheet writes them.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ChipText {
    /// One a line: the number, or a label and the number with a comma, semicolon or tab between.
    #[schema(
        example = "red,276098100123456\nblue,276098100123457",
        min_length = 1,
        max_length = 100000,
        format = "file"
    )]
    text: String,
    /// The litter whose pups the labels name: by collar, call name, registered name or number.
    #[serde(default)]
    litter_id: Option<Uuid>,
    /// Whether to set the numbers, each with a health event; all or none.
    #[serde(default)]
    set: bool,
}

/// A chip that was read.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ChipRead {
    /// What was read.
    #[serde(flatten)]
    reading: ChipReading,
    /// The dog that had this number already.
    known_dog_id: Option<Uuid>,
    /// The pup that the label names.
    matched_dog_id: Option<Uuid>,
    /// The pups that it may mean, when there are several: give the number.
    candidates: Vec<Uuid>,
}

/// The chips that were read.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ChipsRead {
    /// In the order of the lines.
    items: Vec<ChipRead>,
    /// Whether the numbers were set.
    set: bool,
}

/// Read microchips in bulk: checked by ISO 11784, looked up, and set when asked.
#[utoipa::path(tag = "health", request_body = ChipText,
    responses((status = 200, description = "What was read.", body = ChipsRead)))]
#[post("/v1/kennels/{kennel_id}/microchips/read")]
pub(crate) async fn read_microchips(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let raw = body.digest();
    let ChipText { text, litter_id, set } = body.parse().await?;
    let readings =
        read_chips(&text).map_err(|faults| Problem::faults(Kind::NotAcceptable, faults))?;
    answer::once_done(&app, &scope.0, &request, &raw, async |tx| {
        let read = proposals::read_chips(tx, readings, litter_id, set).await?;
        let item = |ReadChip { reading, known_dog_id, matched_dog_id, candidates }| ChipRead {
            reading,
            known_dog_id,
            matched_dog_id,
            candidates,
        };
        Ok(ChipsRead { items: read.into_iter().map(item).collect(), set })
    })
    .await
}
