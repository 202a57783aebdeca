DROP TABLE health_events, health_plans, temperatures, weights;
