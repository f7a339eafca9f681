-- The tables, in PostgreSQL's words; for SQLite the program puts its types in
-- their place (migrate.go). Attributes sort by their bytes (collation "C") on
-- both, so that their order does not depend on where the server stands.

CREATE TABLE studies (
  id text PRIMARY KEY NOT NULL,
  state text NOT NULL CHECK (state IN ('draft', 'locked', 'open', 'closed')),
  created_at timestamptz NOT NULL,
  locked_at timestamptz,
  seed text NOT NULL DEFAULT '', -- decimal: a 64-bit seed has no sign, SQL integers have
  engine integer NOT NULL DEFAULT 0,
  study_hash text NOT NULL DEFAULT '',
  plan_hash text NOT NULL DEFAULT '',
  closed_at timestamptz,
  last_call_at timestamptz, -- since when it is announced that tasting ends soon
  closing_at timestamptz, -- since when nothing more goes out, and those who taste finish
  revision integer NOT NULL DEFAULT 1, -- goes up with every change of a draft
  text_number integer NOT NULL DEFAULT 1, -- which of draft_texts stands
  series text NOT NULL, -- id of the first version
  version integer NOT NULL DEFAULT 1,
  amends text NOT NULL DEFAULT '', -- id of the version before
  reason text NOT NULL DEFAULT '', -- why it was amended
  ratings_before integer NOT NULL DEFAULT 0, -- servings of the version before that had answers then
  archived_at timestamptz,
  exported_at timestamptz, -- NULL when something has changed since
  forgotten_at timestamptz, -- since when nothing here tells who a guest was
  differences_kept boolean NOT NULL DEFAULT FALSE, -- found_differences are those of its ratings as they stand
  file text NOT NULL -- last: SQLite reads through what is long to come to what is behind it
);
CREATE UNIQUE INDEX studies_by_series ON studies (series, version);

-- The texts of a draft as they were saved, for undo. The last ones only, and none
-- once the study is locked.
CREATE TABLE draft_texts (
  study_id text NOT NULL REFERENCES studies (id),
  number integer NOT NULL,
  file text NOT NULL,
  PRIMARY KEY (study_id, number)
);

-- What later studies and the house's record need of a closed one: the differences of its
-- assessors and how far they scattered, by attribute, in the comparison that it had planned.
CREATE TABLE found_differences (
  study_id text NOT NULL REFERENCES studies (id),
  attribute text COLLATE "C" NOT NULL,
  title text NOT NULL,
  question text NOT NULL,
  contrast text NOT NULL, -- in what the two samples differ
  asked text NOT NULL, -- the attribute in words
  scale text NOT NULL,
  scale_from double precision NOT NULL,
  scale_to double precision NOT NULL,
  people integer NOT NULL,
  sd double precision NOT NULL,
  invented boolean NOT NULL,
  first_sample text NOT NULL, -- in words
  second_sample text NOT NULL,
  alike text NOT NULL, -- the dish or the name that both have
  difference double precision NOT NULL, -- mean, the first less the second
  decides boolean NOT NULL, -- by plan
  smallest double precision NOT NULL, -- worth acting on; 0 = not stated
  counted boolean NOT NULL, -- evidence, after everybody
  log_e double precision NOT NULL, -- of it where tasting ended; 0 = not counted
  stopping text NOT NULL, -- by what it might have ended early: looks, evidence; '' = it might not
  low double precision NOT NULL, -- ends of the interval that allows for it; 0 = it might not
  high double precision NOT NULL,
  PRIMARY KEY (study_id, attribute)
);
CREATE INDEX found_differences_by_kind ON found_differences (question, contrast, scale);

-- What other houses found, by their data packages, for the record; and what stays in it of this house's
-- own studies that are deleted: then house is empty.
CREATE TABLE joined_studies (
  id text PRIMARY KEY NOT NULL, -- SHA-256 of what was locked and of the ratings
  origin text NOT NULL, -- id on the service that it comes from
  house text NOT NULL, -- whose it is, in the lead's words
  closed_at timestamptz NOT NULL,
  title text NOT NULL, -- this and what follows of the house's own alone
  said text NOT NULL, -- its verdict, in each language
  people integer NOT NULL, -- on whom that rests
  invented boolean NOT NULL
);
CREATE TABLE joined_differences (
  joined_id text NOT NULL REFERENCES joined_studies (id),
  attribute text COLLATE "C" NOT NULL,
  title text NOT NULL,
  question text NOT NULL,
  contrast text NOT NULL,
  asked text NOT NULL,
  scale text NOT NULL,
  scale_from double precision NOT NULL,
  scale_to double precision NOT NULL,
  people integer NOT NULL,
  sd double precision NOT NULL,
  invented boolean NOT NULL,
  first_sample text NOT NULL,
  second_sample text NOT NULL,
  alike text NOT NULL,
  difference double precision NOT NULL,
  decides boolean NOT NULL,
  smallest double precision NOT NULL,
  counted boolean NOT NULL,
  log_e double precision NOT NULL,
  stopping text NOT NULL,
  low double precision NOT NULL,
  high double precision NOT NULL,
  PRIMARY KEY (joined_id, attribute)
);

-- Closed studies whose report is to be had under a link without signing in. The link
-- follows from the service's secret and the moment at which it ends; without a row there is none.
-- What closed studies found, in a line for the list of studies.
CREATE TABLE verdict_lines (
  study_id text PRIMARY KEY NOT NULL REFERENCES studies (id),
  said text NOT NULL,
  people integer NOT NULL,
  as_of integer NOT NULL, -- the last of its events then: it holds until there is another
  program text NOT NULL -- the build that said it
);

CREATE TABLE shared_reports (
  study_id text PRIMARY KEY NOT NULL REFERENCES studies (id),
  ends_at timestamptz NOT NULL
);

CREATE TABLE photos (
  study_id text NOT NULL REFERENCES studies (id),
  dish text NOT NULL,
  jpeg bytea NOT NULL,
  PRIMARY KEY (study_id, dish)
);

CREATE TABLE countersignatures (
  study_id text PRIMARY KEY NOT NULL REFERENCES studies (id),
  name text NOT NULL,
  signed_at timestamptz NOT NULL,
  study_hash text NOT NULL,
  plan_hash text NOT NULL
);

-- The request for a time stamp of what was locked (RFC 3161), and the answer once it came.
CREATE TABLE time_stamps (
  study_id text PRIMARY KEY NOT NULL REFERENCES studies (id),
  request bytea NOT NULL,
  requested_at timestamptz NOT NULL,
  answer bytea,
  answered_at timestamptz
);

-- What an assessor is given at once and answers at once: one serving, several side by
-- side, or a name to read.
CREATE TABLE turns (
  id text PRIMARY KEY NOT NULL,
  study_id text NOT NULL REFERENCES studies (id),
  sitting integer NOT NULL,
  place integer NOT NULL,
  turn_order integer NOT NULL,
  role text NOT NULL CHECK (role IN ('rated', 'warm-up', 'reference', 'expected')),
  response text NOT NULL, -- how it is answered
  name text NOT NULL DEFAULT '', -- that is read; '' where plates are served, and until it is dealt
  refused_at timestamptz,
  passed_at timestamptz, -- since when its plates stand at the pass
  opened_at timestamptz -- when the guest typed the code on the plate, where name and questions wait for it
);
CREATE UNIQUE INDEX turns_by_place ON turns (study_id, place, turn_order);
CREATE INDEX turns_by_sitting ON turns (study_id, sitting, place);

-- The plates of a turn, in the order in which they stand; none where a name is read.
CREATE TABLE servings (
  id text PRIMARY KEY NOT NULL,
  turn_id text NOT NULL REFERENCES turns (id),
  serving_order integer NOT NULL, -- within the turn
  role text NOT NULL CHECK (role IN ('rated', 'warm-up', 'reference')),
  position integer NOT NULL,
  sample text NOT NULL, -- '' until it is dealt, where that is on arrival
  code text NOT NULL CHECK (code <> ''),
  served_at timestamptz,
  revealed_at timestamptz -- the blind was broken for this serving
);
CREATE UNIQUE INDEX servings_by_turn ON servings (turn_id, serving_order);

-- Codes drawn with the plan for dropped plates; serving_id is who took one.
CREATE TABLE spare_codes (
  study_id text NOT NULL REFERENCES studies (id),
  sitting integer NOT NULL,
  spare_order integer NOT NULL,
  code text NOT NULL,
  serving_id text REFERENCES servings (id),
  PRIMARY KEY (study_id, sitting, spare_order)
);

-- The codes that servings had before they were dropped. A row is added or taken back, never deleted.
CREATE TABLE dropped_codes (
  id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  serving_id text NOT NULL REFERENCES servings (id),
  code text NOT NULL,
  dropped_at timestamptz NOT NULL,
  served_at timestamptz, -- when that plate had been set down
  taken_back_at timestamptz -- floor took the drop back: the serving carries the code again
);
CREATE INDEX dropped_codes_by_serving ON dropped_codes (serving_id);

-- What went wrong with what a turn served, as floor saw it: one row of each kind, deleted
-- when that is taken back. The log keeps both.
CREATE TABLE incidents (
  turn_id text NOT NULL REFERENCES turns (id),
  what text NOT NULL CHECK (what IN ('wrong-plate', 'tasted-early', 'talked', 'spilt', 'unwell')),
  noted_at timestamptz NOT NULL,
  who text NOT NULL,
  PRIMARY KEY (turn_id, what)
);

CREATE TABLE sittings (
  id text PRIMARY KEY NOT NULL,
  study_id text NOT NULL REFERENCES studies (id),
  number integer NOT NULL,
  join_token text NOT NULL,
  opened_at timestamptz, -- NULL while it is prepared: links and labels can be printed, nobody can taste
  ask_word boolean NOT NULL DEFAULT FALSE, -- everybody who joins says the word of the evening
  released integer NOT NULL DEFAULT 0, -- the last wave that may go out; 0 = each plate as its guest is ready
  looked_at timestamptz, -- when a planned look was taken at its end
  looked_people integer NOT NULL DEFAULT 0, -- who had rated both samples by then
  look_enough boolean NOT NULL DEFAULT FALSE -- it was clear enough to stop
);
CREATE UNIQUE INDEX sittings_by_number ON sittings (study_id, number);
CREATE UNIQUE INDEX sittings_by_join_token ON sittings (join_token);

CREATE TABLE declines (
  sitting_id text NOT NULL REFERENCES sittings (id),
  nonce_hash text NOT NULL,
  declined_at timestamptz NOT NULL,
  why text NOT NULL DEFAULT '', -- one of a short list; '' = they did not say
  PRIMARY KEY (sitting_id, nonce_hash)
);

CREATE TABLE assessors (
  id text PRIMARY KEY NOT NULL,
  study_id text NOT NULL REFERENCES studies (id),
  sitting_id text NOT NULL REFERENCES sittings (id),
  place integer NOT NULL,
  token_hash text NOT NULL,
  joined_at timestamptz NOT NULL,
  started_at timestamptz,
  finished_at timestamptz,
  seat text NOT NULL DEFAULT '', -- where they sit, in the floor's words
  table_number integer NOT NULL DEFAULT 0, -- 0 = not known
  table_seat integer NOT NULL DEFAULT 0, -- at the table, from 1
  phone boolean NOT NULL DEFAULT TRUE,
  left_at timestamptz,
  left_self boolean NOT NULL DEFAULT FALSE, -- by their own wish
  withdrawn_at timestamptz,
  language text NOT NULL DEFAULT '', -- in which they began, where there is a choice
  rested_at timestamptz, -- a rinse that floor cut short, or that began on a phone without network, is over then
  screening text NOT NULL DEFAULT '', -- answers before the first plate, as in senses=no kitchen=yes
  last_guess text NOT NULL DEFAULT '', -- what was said to the question after the last plate, and the next four
  last_thought text NOT NULL DEFAULT '',
  last_said_at timestamptz,
  last_entered_by text NOT NULL DEFAULT '', -- '' = the assessor
  last_after_close boolean NOT NULL DEFAULT FALSE
);
CREATE UNIQUE INDEX assessors_by_place ON assessors (study_id, place);
CREATE INDEX assessors_by_sitting ON assessors (sitting_id);
CREATE UNIQUE INDEX assessors_by_token ON assessors (token_hash);

-- What was dealt to assessors on arrival, where each gets one sample within strata. A
-- place keeps what it was dealt, whoever has it. Append-only.
CREATE TABLE dealt (
  study_id text NOT NULL REFERENCES studies (id),
  arrival integer NOT NULL, -- from 1, in the order of arrival
  place integer NOT NULL,
  stratum integer NOT NULL, -- combination of levels, from 0
  sample text NOT NULL,
  dealt_at timestamptz NOT NULL,
  PRIMARY KEY (study_id, arrival)
);
CREATE UNIQUE INDEX dealt_by_place ON dealt (study_id, place);

-- Personal links of assessors who never tasted and whose place was freed: whoever opens
-- one is told so. Nothing else is kept of them.
CREATE TABLE freed_links (
  token_hash text PRIMARY KEY NOT NULL,
  sitting_id text NOT NULL REFERENCES sittings (id)
);
CREATE INDEX freed_links_by_sitting ON freed_links (sitting_id);

-- One row for a turn that has its answers: the primary key is what makes a turn
-- answered once, however often the answers arrive.
CREATE TABLE answered_turns (
  turn_id text PRIMARY KEY NOT NULL REFERENCES turns (id),
  assessor_id text NOT NULL REFERENCES assessors (id),
  answered_at timestamptz NOT NULL, -- when the first answers arrived
  given_at timestamptz NOT NULL, -- when those arrived that stand
  seq integer NOT NULL DEFAULT 0, -- the phone's count of its submissions; 0 = not counted
  entered_by text NOT NULL DEFAULT '', -- '' = the assessor
  waited_ms bigint NOT NULL DEFAULT 0, -- how long the phone kept the first answers before it sent them
  comment text NOT NULL DEFAULT ''
);
CREATE INDEX answered_turns_by_assessor ON answered_turns (assessor_id);

CREATE TABLE answers (
  turn_id text NOT NULL REFERENCES answered_turns (turn_id),
  serving_id text NOT NULL, -- of the turn; '' where the answer is about all of it
  attribute text COLLATE "C" NOT NULL,
  value double precision NOT NULL,
  PRIMARY KEY (turn_id, serving_id, attribute)
);

-- Every submission that was taken, once.
CREATE TABLE submissions (
  assessor_id text NOT NULL REFERENCES assessors (id),
  id text NOT NULL,
  turn_id text NOT NULL, -- of turns, which go after them: a reference would have each look through all submissions
  taken_at timestamptz NOT NULL,
  outcome text NOT NULL,
  PRIMARY KEY (assessor_id, id)
);

-- Answers that a correction replaced, or that came after their correction.
-- Append-only, until the assessor withdraws.
CREATE TABLE replaced_turns (
  id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  turn_id text NOT NULL REFERENCES turns (id),
  seq integer NOT NULL,
  entered_by text NOT NULL,
  comment text NOT NULL,
  given_at timestamptz NOT NULL,
  replaced_at timestamptz NOT NULL,
  after_close boolean NOT NULL DEFAULT FALSE -- arrived after the study was closed
);
CREATE INDEX replaced_turns_by_turn ON replaced_turns (turn_id);
CREATE TABLE replaced_answers (
  replaced_id bigint NOT NULL REFERENCES replaced_turns (id),
  serving_id text NOT NULL,
  attribute text COLLATE "C" NOT NULL,
  value double precision NOT NULL,
  PRIMARY KEY (replaced_id, serving_id, attribute)
);

-- Measured temperatures. Append-only.
CREATE TABLE temperatures (
  id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  sitting_id text NOT NULL REFERENCES sittings (id),
  wave integer NOT NULL,
  dish text NOT NULL,
  celsius double precision NOT NULL,
  measured_at timestamptz NOT NULL,
  who text NOT NULL,
  corrects bigint NOT NULL DEFAULT 0 -- id of the entry in whose place it stands; 0 = none
);
CREATE INDEX temperatures_by_sitting ON temperatures (sitting_id);

-- The logs: one of each study, and one of the service. An entry holds the hash of the one before it.
-- Append-only, until the study is deleted.
CREATE TABLE events (
  study_id text NOT NULL, -- '' for events of the service
  number integer NOT NULL, -- within its log, from 1
  at timestamptz NOT NULL,
  who text NOT NULL,
  what text NOT NULL,
  detail text NOT NULL,
  before text NOT NULL, -- hash of the entry before; '' for the first
  hash text NOT NULL,
  PRIMARY KEY (study_id, number)
);

-- The number and hash of the last entry of each log. Who writes one waits for its row.
CREATE TABLE log_ends (
  study_id text PRIMARY KEY NOT NULL,
  number integer NOT NULL,
  hash text NOT NULL
);

-- Acts of the staff that a phone may send again, each taken once.
CREATE TABLE acts (
  study_id text NOT NULL REFERENCES studies (id),
  id text NOT NULL, -- made by the phone
  taken_at timestamptz NOT NULL,
  PRIMARY KEY (study_id, id)
);

CREATE TABLE settings (
  name text PRIMARY KEY NOT NULL,
  value text NOT NULL
);

CREATE TABLE sessions (
  token_hash text PRIMARY KEY NOT NULL,
  expires_at timestamptz NOT NULL,
  role text NOT NULL, -- of a user as it was when they signed in
  user_id text NOT NULL DEFAULT '', -- of a user; else ''
  study_id text NOT NULL DEFAULT '',
  sitting_id text NOT NULL DEFAULT '',
  label text NOT NULL DEFAULT '',
  assessor_id text NOT NULL DEFAULT '' -- of the house's tablet: whose ballot it shows
);
CREATE INDEX sessions_by_sitting ON sessions (sitting_id, role);

-- Who signs in under a name.
CREATE TABLE users (
  id text PRIMARY KEY NOT NULL,
  name text NOT NULL,
  name_key text NOT NULL, -- what names are compared by
  role text NOT NULL, -- in every study in which no other is said; 'named': in those alone
  digest text NOT NULL DEFAULT '', -- of the password; '' until it is chosen
  language text NOT NULL DEFAULT '', -- of the pages, as a BCP 47 tag; '' = as the browser asks
  owner boolean NOT NULL DEFAULT FALSE, -- one: who set the service up, or to whom it was handed over
  added_at timestamptz NOT NULL
);
CREATE UNIQUE INDEX users_by_name ON users (name_key);

-- Roles of users in single studies: in all versions of each.
CREATE TABLE user_roles (
  user_id text NOT NULL REFERENCES users (id),
  series text NOT NULL, -- of the study: id of its first version
  role text NOT NULL,
  PRIMARY KEY (user_id, series)
);

-- Join links of kitchen and floor. Their short codes are derived, not kept.
CREATE TABLE staff_links (
  token_hash text PRIMARY KEY NOT NULL,
  sitting_id text NOT NULL REFERENCES sittings (id),
  role text NOT NULL,
  renewals integer NOT NULL DEFAULT 0,
  joined integer NOT NULL DEFAULT 0
);
CREATE UNIQUE INDEX staff_links_by_sitting ON staff_links (sitting_id, role);

-- Keys on devices that users sign in with beside the password; all here is public.
CREATE TABLE passkeys (
  id text PRIMARY KEY NOT NULL, -- the credential's, in base64url
  user_id text NOT NULL REFERENCES users (id),
  name text NOT NULL, -- in its owner's words
  credential text NOT NULL, -- public key, counter and flags, as JSON
  added_at timestamptz NOT NULL,
  used_at timestamptz,
  asked_at timestamptz -- when the challenge was made that it answered last
);

-- One-time invitations to choose a password, one a user.
CREATE TABLE invitations (
  user_id text PRIMARY KEY NOT NULL REFERENCES users (id),
  token_hash text NOT NULL,
  expires_at timestamptz NOT NULL
);
