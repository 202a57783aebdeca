DROP TABLE rule_overrides, access_tokens, invitations, memberships, changes, change_heads,
    idempotency_keys, signing_keys, refresh_tokens, kennels, people;
DROP FUNCTION keep_an_owner(), kennel_table(text, text, text), next_version(), log_created(), log_changed(),
    log_deleted(), kennel_is_cleared(), logged(jsonb), next_changes(uuid, bigint), current_kennel(), current_person(), sees_all(), sees_money();
-- The role may serve other databases of this cluster: it stays.
REVOKE USAGE ON SCHEMA public FROM denwright_service;
