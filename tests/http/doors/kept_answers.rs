//! Answers that are kept for repeats hold no secret, and a repeat makes none anew.

use crate::common::*;

/// Each operation that shows a secret once, with what it is asked.
async fn showing(kennel: &Kennel) -> Vec<(String, Value)> {
    let dog = kennel.dam("Juno").await;
    vec![
        ("/invitations".to_owned(), json!({ "email": "ines@example.org", "role": "helper" })),
        ("/webhooks".to_owned(), json!({ "url": "https://kennel.example/hook" })),
        (
            "/access-tokens".to_owned(),
            json!({ "name": "Pages", "read_only": true, "password": PASSWORD }),
        ),
        ("/calendar-links".to_owned(), json!({ "name": "Phone" })),
        (format!("/dogs/{dog}/booklet-links"), json!({})),
    ]
}

/// The secret in an answer: a token, a webhook's secret, the last part of a link.
fn secret_of(answer: &Value) -> String {
    for member in ["token", "secret"] {
        if let Some(secret) = answer[member].as_str() {
            return secret.to_owned();
        }
    }
    let link = ["path", "url", "link"].iter().find_map(|member| answer[member].as_str());
    let link = link.unwrap_or_else(|| panic!("no secret in {answer}"));
    link.rsplit('/').next().unwrap().trim_end_matches(".ics").to_owned()
}

#[tokio::test]
async fn a_secret_is_kept_nowhere_and_a_repeat_makes_no_second_one() {
    let kennel = Kennel::new().await;
    let sql = kennel.sql().await;
    for (path, body) in showing(&kennel).await {
        let first = kennel.post_once(&path, "key of the repeat", &body).await.created();
        let secret = secret_of(&first);
        assert!(secret.len() > 20, "{path}: {first}");
        let kept =
            sql.query("SELECT row_to_json(k)::text FROM idempotency_keys k", &[]).await.unwrap();
        assert!(!kept.is_empty(), "{path}: the repeat is known");
        let kept: String = kept.iter().map(|row| row.get::<_, String>(0)).collect();
        assert!(!kept.contains(&secret), "{path}: {kept}");
        let again = kennel.post_once(&path, "key of the repeat", &body).await.problem(409);
        let detail = again["detail"].as_str().unwrap();
        assert!(detail.contains("shown once") && !detail.contains(&secret), "{path}: {again}");
        // With another body it is another request, as everywhere.
        let mut other = body.clone();
        other["name"] = json!("Other");
        kennel.post_once(&path, "key of the repeat", &other).await.expect(422);
        sql.batch_execute("DELETE FROM idempotency_keys").await.unwrap();
    }
    // One of each was made.
    for path in ["/invitations", "/webhooks", "/access-tokens", "/calendar-links"] {
        assert_eq!(items(&kennel.get(path).await.ok()).len(), 1, "{path}");
    }
}
