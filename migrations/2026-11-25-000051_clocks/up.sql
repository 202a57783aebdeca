-- Deliveries that were put off while the server's clock was ahead are over: claim_webhook_deliveries() says so since.
SELECT 1;
