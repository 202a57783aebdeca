-- What says how a delivery, a ring or a letter ended locks rows in the order of those who delete what these belong to:
-- one of two that wait for each other was refused after a second, and it could be the person at the phone.
\ir ../functions/webhooks.sql
\ir ../functions/rings.sql
\ir ../functions/letters.sql
