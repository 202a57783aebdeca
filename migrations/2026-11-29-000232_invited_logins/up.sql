-- Whoever holds an invitation makes the login that it asks for, also where sign-up is closed. It is used up
-- only when they join. False for one that is unknown, used, expired or for another address.

\ir ../functions/logins.sql
