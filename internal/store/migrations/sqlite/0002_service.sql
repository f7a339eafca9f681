-- +goose Up
-- Running a tasting during service: what floor and kitchen do, corrections,
-- withdrawal, several roles.
ALTER TABLE servings ADD COLUMN served_at datetime;
ALTER TABLE servings ADD COLUMN refused_at datetime;
ALTER TABLE servings ADD COLUMN revealed_at datetime; -- the blind was broken for this serving
CREATE INDEX servings_by_code ON servings (study_id, sitting, code);

-- Codes drawn with the plan for dropped plates; serving_id is who took one.
CREATE TABLE spare_codes (
  study_id text NOT NULL REFERENCES studies (id),
  sitting integer NOT NULL,
  spare_order integer NOT NULL,
  code text NOT NULL,
  serving_id text REFERENCES servings (id),
  PRIMARY KEY (study_id, sitting, spare_order)
);

-- The codes that servings had before they were dropped. Append-only.
CREATE TABLE dropped_codes (
  id integer PRIMARY KEY AUTOINCREMENT NOT NULL,
  serving_id text NOT NULL REFERENCES servings (id),
  code text NOT NULL,
  dropped_at datetime NOT NULL
);
CREATE INDEX dropped_codes_by_serving ON dropped_codes (serving_id);

ALTER TABLE assessors ADD COLUMN seat text NOT NULL DEFAULT ''; -- where they sit, in the floor's words
ALTER TABLE assessors ADD COLUMN phone boolean NOT NULL DEFAULT TRUE;
ALTER TABLE assessors ADD COLUMN left_at datetime;
ALTER TABLE assessors ADD COLUMN withdrawn_at datetime;
ALTER TABLE assessors ADD COLUMN rested_at datetime; -- floor cut short the rinse that ran then

ALTER TABLE rated_servings ADD COLUMN seq integer NOT NULL DEFAULT 0; -- the phone's count of its submissions; 0 = not counted
ALTER TABLE rated_servings ADD COLUMN entered_by text NOT NULL DEFAULT ''; -- '' = the assessor
ALTER TABLE rated_servings ADD COLUMN comment text NOT NULL DEFAULT '';

-- Every submission that was taken, once.
CREATE TABLE submissions (
  assessor_id text NOT NULL REFERENCES assessors (id),
  id text NOT NULL,
  serving_id text NOT NULL REFERENCES servings (id),
  taken_at datetime NOT NULL,
  outcome text NOT NULL,
  PRIMARY KEY (assessor_id, id)
);

-- Answers that a correction replaced, or that came after their correction.
-- Append-only, until the assessor withdraws.
CREATE TABLE replaced_answers (
  id integer PRIMARY KEY AUTOINCREMENT NOT NULL,
  serving_id text NOT NULL REFERENCES servings (id),
  seq integer NOT NULL,
  entered_by text NOT NULL,
  comment text NOT NULL,
  rated_at datetime NOT NULL,
  replaced_at datetime NOT NULL
);
CREATE INDEX replaced_answers_by_serving ON replaced_answers (serving_id);
CREATE TABLE replaced_ratings (
  answers_id integer NOT NULL REFERENCES replaced_answers (id),
  attribute text NOT NULL,
  value double precision NOT NULL,
  PRIMARY KEY (answers_id, attribute)
);

-- Measured temperatures. Append-only.
CREATE TABLE temperatures (
  id integer PRIMARY KEY AUTOINCREMENT NOT NULL,
  sitting_id text NOT NULL REFERENCES sittings (id),
  wave integer NOT NULL,
  dish text NOT NULL,
  celsius double precision NOT NULL,
  measured_at datetime NOT NULL,
  who text NOT NULL
);
CREATE INDEX temperatures_by_sitting ON temperatures (sitting_id);

-- Join links of kitchen and floor. Their short codes are derived, not kept.
CREATE TABLE staff_links (
  token_hash text PRIMARY KEY NOT NULL,
  sitting_id text NOT NULL REFERENCES sittings (id),
  role text NOT NULL,
  renewals integer NOT NULL DEFAULT 0,
  joined integer NOT NULL DEFAULT 0
);
CREATE UNIQUE INDEX staff_links_by_sitting ON staff_links (sitting_id, role);

-- One-time invitations to choose a password, one a role.
CREATE TABLE invitations (
  role text PRIMARY KEY NOT NULL,
  token_hash text NOT NULL,
  expires_at datetime NOT NULL
);

ALTER TABLE sessions ADD COLUMN role text NOT NULL DEFAULT 'lead';
ALTER TABLE sessions ADD COLUMN study_id text NOT NULL DEFAULT '';
ALTER TABLE sessions ADD COLUMN sitting_id text NOT NULL DEFAULT '';
ALTER TABLE sessions ADD COLUMN label text NOT NULL DEFAULT '';
CREATE INDEX sessions_by_sitting ON sessions (sitting_id, role);
