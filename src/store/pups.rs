//! What a pup needs before it leaves: its papers, and rules that an owner has set aside.

use super::{StoreResult, Tx, asked, keep::keep, readiness_rules, schema};
use diesel::{ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    record::{Dog, Kept, Paper, PaperFilter, SetAside, SetAsideFilter},
    slips,
};

keep!(Paper in papers { dog_id, paper, done_on, note, confirmed }
under dog_id of Dog
filter PaperFilter { paper == paper };
read Dogs, write Placing, of dog_id, {
    /// Asks about a paper that no readiness rule asks for.
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        if self.confirmed || before.is_some_and(|kept| kept.record.paper == self.paper) {
            return Ok(());
        }
        let set = readiness_rules::in_force(tx).await?;
        asked(slips::paper(&self.paper, &set.papers()))
    }
});

keep!(SetAside in readiness_overrides { dog_id, rule, reason, by, on }
under dog_id of Dog
filter SetAsideFilter { rule == rule };
read Dogs, write Managing, of dog_id, {
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
});
