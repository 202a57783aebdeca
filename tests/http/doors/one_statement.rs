//! What a statement reaches that enters a kennel by itself: what its login may see, and for that statement alone.

use super::second_wall::session_of;
use crate::common::*;
use tokio_postgres::Client;

/// Who is told to ask, and which of the dogs is seen, of a statement as the store writes it.
async fn asked(
    sql: &Client,
    kennel: Uuid,
    session: Uuid,
    dog: Uuid,
) -> (Option<Uuid>, Option<String>, Option<Uuid>) {
    let query = "SELECT (s.e).person_id::text, (s.e).role, r.id::text \
                 FROM (SELECT enter_by_session($1::text::uuid, $2::text::uuid) AS e OFFSET 0) AS s \
                 LEFT JOIN LATERAL (SELECT id FROM dogs \
                    WHERE kennel_id = $1::text::uuid AND id = $3::text::uuid LIMIT 1) AS r ON true";
    let [kennel, session, dog] = [kennel, session, dog].map(|id| id.to_string());
    let row = sql.query_one(query, &[&kennel, &session, &dog]).await.unwrap();
    let id = |column| row.get::<_, Option<String>>(column).map(|id| id.parse().unwrap());
    (id(0), row.get(1), id(2))
}

#[tokio::test]
async fn a_statement_sees_what_its_own_login_does() {
    let kennel = Kennel::new().await;
    let (id, dog) = (kennel.kennel_id, kennel.dam("Juno").await);
    let other = kennel.another().await;
    let foreign = other.dam("Wren").await;
    let (owner, stranger) = (session_of(&kennel), session_of(&other));
    let sql = kennel.service_sql().await;
    let owns = |seen| (Some(kennel.person_id), Some("owner".to_owned()), seen);
    // Also once the plan no longer knows the values: from the sixth run on.
    for _ in 0..8 {
        assert_eq!(asked(&sql, id, owner, dog).await, owns(Some(dog)));
        assert_eq!(asked(&sql, id, owner, foreign).await, owns(None), "another kennel's");
        let nobody = (Some(other.person_id), None, None);
        assert_eq!(asked(&sql, id, stranger, dog).await, nobody, "no member");
        assert_eq!(asked(&sql, id, Uuid::now_v7(), dog).await, (None, None, None), "no session");
        // Nothing of it is left for the next statement.
        assert_eq!(sql.query("SELECT id FROM dogs", &[]).await.unwrap().len(), 0);
    }
    // A statement that shows a better login is not the one that asks: within a transaction, the last one counts.
    sql.batch_execute("BEGIN").await.unwrap();
    assert_eq!(asked(&sql, id, owner, dog).await.2, Some(dog));
    assert_eq!(asked(&sql, id, stranger, dog).await.2, None);
    assert_eq!(sql.query("SELECT id FROM dogs", &[]).await.unwrap().len(), 0);
    sql.batch_execute("ROLLBACK").await.unwrap();
    let end = format!("UPDATE sessions SET ended_at = now() WHERE id = '{owner}'");
    kennel.sql().await.batch_execute(&end).await.unwrap();
    assert_eq!(asked(&sql, id, owner, dog).await, (None, None, None), "ended");
    kennel.get(&format!("/dogs/{dog}")).await.problem(401);
}
