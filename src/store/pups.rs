//! What a pup needs before it leaves: its papers, and rules that an owner has set aside.

use super::{
    StoreResult, Tx, asked,
    keep::{Hooks, keep},
    readiness_rules, schema,
};
use diesel::{ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    record::{Kept, Paper, PaperFilter, SetAside, SetAsideFilter},
    slips,
};

keep!(Paper in papers { dog_id, paper, done_on, note, confirmed }
sorted { done_on Day, paper Word } dated done_on
filter PaperFilter { paper == paper }, of dog_id);

impl Hooks for Paper {
    /// Asks about a paper that no readiness rule asks for.
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        if !self.is_asked_about(before.map(|kept| &kept.record)) {
            return Ok(());
        }
        let set = readiness_rules::in_force(tx).await?;
        asked(slips::paper(&self.paper, &set.papers()))
    }
}

keep!(SetAside in readiness_overrides { dog_id, rule, reason, by, on }
sorted { on Day, rule Word } dated on
filter SetAsideFilter { rule == rule }, of dog_id);

impl Hooks for SetAside {
    /// Who decides and when is not the client's to say.
    async fn completed(self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<Self> {
        if let Some(before) = before {
            return Ok(Self { by: before.record.by.clone(), on: before.record.on, ..self });
        }
        let name: String = schema::people::table
            .filter(schema::people::id.eq(tx.scope.person_id()))
            .select(schema::people::name)
            .first(&mut tx.conn)
            .await?;
        Ok(Self { by: Some(name), on: Some(tx.scope.today()), ..self })
    }
}
