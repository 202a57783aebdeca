-- Why a litter follows a plan beside those it follows by default.
ALTER TABLE litter_plans ADD COLUMN reason text CHECK (length(reason) BETWEEN 1 AND 2000);
