DROP TABLE payments, placements, buyers;
