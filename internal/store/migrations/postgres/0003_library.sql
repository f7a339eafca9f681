-- +goose Up
-- Drafts that are edited, versions of a study, photos of dishes, countersignatures.
ALTER TABLE studies ADD COLUMN revision integer NOT NULL DEFAULT 1; -- goes up with every change of a draft
ALTER TABLE studies ADD COLUMN text_number integer NOT NULL DEFAULT 1; -- which of draft_texts stands
ALTER TABLE studies ADD COLUMN series text NOT NULL DEFAULT ''; -- id of the first version
ALTER TABLE studies ADD COLUMN version integer NOT NULL DEFAULT 1;
ALTER TABLE studies ADD COLUMN amends text NOT NULL DEFAULT ''; -- id of the version before
ALTER TABLE studies ADD COLUMN reason text NOT NULL DEFAULT ''; -- why it was amended
ALTER TABLE studies ADD COLUMN ratings_before integer NOT NULL DEFAULT 0; -- servings of the version before that had answers then
ALTER TABLE studies ADD COLUMN archived_at timestamptz;
ALTER TABLE studies ADD COLUMN exported_at timestamptz; -- NULL when something has changed since
UPDATE studies SET series = id;
CREATE UNIQUE INDEX studies_by_series ON studies (series, version);

-- The texts of a draft as they were saved, for undo. The last ones only, and none
-- once the study is locked.
CREATE TABLE draft_texts (
  study_id text NOT NULL REFERENCES studies (id),
  number integer NOT NULL,
  file text NOT NULL,
  PRIMARY KEY (study_id, number)
);
INSERT INTO draft_texts (study_id, number, file) SELECT id, 1, file FROM studies WHERE state = 'draft';

CREATE TABLE photos (
  study_id text NOT NULL REFERENCES studies (id),
  dish text NOT NULL,
  jpeg bytea NOT NULL,
  PRIMARY KEY (study_id, dish)
);

CREATE TABLE countersignatures (
  study_id text PRIMARY KEY REFERENCES studies (id),
  name text NOT NULL,
  signed_at timestamptz NOT NULL,
  study_hash text NOT NULL,
  plan_hash text NOT NULL
);
