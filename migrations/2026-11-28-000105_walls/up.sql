-- Row-level security that holds for the owner of the tables as well, and functions for nobody who was not
-- given them. finish_walls() does it for what is there, and after each migration for what has come.

\ir ../functions/tables.sql

SELECT finish_walls();

-- Later functions are the service's, and nobody else's; what is not for the service is taken from it.
ALTER DEFAULT PRIVILEGES REVOKE EXECUTE ON FUNCTIONS FROM PUBLIC;
ALTER DEFAULT PRIVILEGES IN SCHEMA public GRANT EXECUTE ON FUNCTIONS TO denwright_service;
-- Nobody else makes anything beside them.
DO $$
BEGIN
    REVOKE CREATE ON SCHEMA public FROM PUBLIC;
EXCEPTION
    -- A schema of somebody else's, on a managed server.
    WHEN insufficient_privilege THEN NULL;
END $$;
