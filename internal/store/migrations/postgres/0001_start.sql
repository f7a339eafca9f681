-- +goose Up
-- Attributes sort by their bytes (collation "C"), as in SQLite, so that their order
-- does not depend on where the server stands.
CREATE TABLE studies (
  id text PRIMARY KEY,
  file text NOT NULL,
  state text NOT NULL CHECK (state IN ('draft', 'locked', 'open', 'closed')),
  created_at timestamptz NOT NULL,
  locked_at timestamptz,
  seed text NOT NULL DEFAULT '', -- decimal: a 64-bit seed has no sign, SQL integers have
  engine integer NOT NULL DEFAULT 0,
  study_hash text NOT NULL DEFAULT '',
  plan_hash text NOT NULL DEFAULT '',
  closed_at timestamptz
);

CREATE TABLE servings (
  id text PRIMARY KEY,
  study_id text NOT NULL REFERENCES studies (id),
  sitting integer NOT NULL,
  place integer NOT NULL,
  serving_order integer NOT NULL,
  position integer NOT NULL,
  rated boolean NOT NULL,
  sample text NOT NULL,
  code text NOT NULL
);
CREATE UNIQUE INDEX servings_by_place ON servings (study_id, place, serving_order);
CREATE INDEX servings_by_sitting ON servings (study_id, sitting, place);

CREATE TABLE sittings (
  id text PRIMARY KEY,
  study_id text NOT NULL REFERENCES studies (id),
  number integer NOT NULL,
  join_token text NOT NULL,
  opened_at timestamptz NOT NULL
);
CREATE UNIQUE INDEX sittings_by_number ON sittings (study_id, number);
CREATE UNIQUE INDEX sittings_by_join_token ON sittings (join_token);

CREATE TABLE declines (
  sitting_id text NOT NULL REFERENCES sittings (id),
  nonce_hash text NOT NULL,
  declined_at timestamptz NOT NULL,
  PRIMARY KEY (sitting_id, nonce_hash)
);

CREATE TABLE assessors (
  id text PRIMARY KEY,
  study_id text NOT NULL REFERENCES studies (id),
  sitting_id text NOT NULL REFERENCES sittings (id),
  place integer NOT NULL,
  token_hash text NOT NULL,
  joined_at timestamptz NOT NULL,
  started_at timestamptz,
  finished_at timestamptz
);
CREATE UNIQUE INDEX assessors_by_place ON assessors (study_id, place);
CREATE UNIQUE INDEX assessors_by_token ON assessors (token_hash);

-- One row for a serving that has its answers: the primary key is what makes a
-- serving rated once, however often the answers arrive.
CREATE TABLE rated_servings (
  serving_id text PRIMARY KEY REFERENCES servings (id),
  assessor_id text NOT NULL REFERENCES assessors (id),
  rated_at timestamptz NOT NULL
);
CREATE INDEX rated_servings_by_assessor ON rated_servings (assessor_id);

CREATE TABLE ratings (
  serving_id text NOT NULL REFERENCES rated_servings (serving_id),
  attribute text COLLATE "C" NOT NULL,
  value double precision NOT NULL,
  rated_at timestamptz NOT NULL,
  PRIMARY KEY (serving_id, attribute)
);

CREATE TABLE events (
  id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  study_id text NOT NULL, -- '' for events of the service
  at timestamptz NOT NULL,
  who text NOT NULL,
  what text NOT NULL,
  detail text NOT NULL
);
CREATE INDEX events_by_study ON events (study_id, id);

CREATE TABLE settings (
  name text PRIMARY KEY,
  value text NOT NULL
);

CREATE TABLE sessions (
  token_hash text PRIMARY KEY,
  expires_at timestamptz NOT NULL
);
