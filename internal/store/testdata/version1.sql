-- A database of version 1 as it may lie in a restaurant: one study of each state,
-- with all that belongs to it. Invented data. Runs on SQLite and on PostgreSQL.
-- It is never edited: it stands for what people have on their disks.
INSERT INTO studies (id, file, state, created_at, locked_at, seed, engine, study_hash, plan_hash, closed_at) VALUES
  ('study-draft', 'cloche: 1
title: Selleriecreme 🍮', 'draft', '2026-03-01 09:00:00.000001+00:00', NULL, '', 0, '', '', NULL),
  ('study-locked', 'cloche: 1', 'locked', '2026-03-02 09:00:00+00:00', '2026-03-02 10:00:00.5+00:00', '7', 1, 'a1', 'b1', NULL),
  ('study-open', 'cloche: 1', 'open', '2026-03-03 09:00:00+00:00', '2026-03-03 10:00:00+00:00', '18446744073709551615', 1, 'a2', 'b2', NULL),
  ('study-closed', 'cloche: 1', 'closed', '2026-03-04 09:00:00+00:00', '2026-03-04 10:00:00+00:00', '0', 1, 'a3', 'b3', '2026-03-04 22:00:00.999999+00:00');

INSERT INTO servings (id, study_id, sitting, place, serving_order, position, rated, sample, code) VALUES
  ('open-0-0', 'study-open', 1, 0, 0, 0, FALSE, 'brulee', '218'),
  ('open-0-1', 'study-open', 1, 0, 1, 1, TRUE, 'royale', '604'),
  ('open-1-0', 'study-open', 1, 1, 0, 0, FALSE, 'brulee', '391'),
  ('open-1-1', 'study-open', 1, 1, 1, 1, TRUE, 'brulee', '857'),
  ('closed-0-0', 'study-closed', 1, 0, 0, 1, TRUE, 'brulee', '472'),
  ('closed-0-1', 'study-closed', 1, 0, 1, 2, TRUE, 'royale', '935');

INSERT INTO sittings (id, study_id, number, join_token, opened_at) VALUES
  ('sitting-open', 'study-open', 1, 'join-open', '2026-03-03 18:00:00+00:00'),
  ('sitting-closed', 'study-closed', 1, 'join-closed', '2026-03-04 18:00:00+00:00');

INSERT INTO declines (sitting_id, nonce_hash, declined_at) VALUES
  ('sitting-open', 'nonce-1', '2026-03-03 18:01:00+00:00'),
  ('sitting-open', 'nonce-2', '2026-03-03 18:02:00+00:00');

INSERT INTO assessors (id, study_id, sitting_id, place, token_hash, joined_at, started_at, finished_at) VALUES
  ('assessor-open', 'study-open', 'sitting-open', 0, 'token-open', '2026-03-03 18:03:00+00:00', '2026-03-03 18:04:00.25+00:00', NULL),
  ('assessor-closed', 'study-closed', 'sitting-closed', 0, 'token-closed', '2026-03-04 18:03:00+00:00', '2026-03-04 18:04:00+00:00', '2026-03-04 18:20:00+00:00');

INSERT INTO rated_servings (serving_id, assessor_id, rated_at) VALUES
  ('closed-0-0', 'assessor-closed', '2026-03-04 18:10:00+00:00'),
  ('closed-0-1', 'assessor-closed', '2026-03-04 18:20:00+00:00');

INSERT INTO ratings (serving_id, attribute, value, rated_at) VALUES
  ('closed-0-0', 'salty', 61.25, '2026-03-04 18:10:00+00:00'),
  ('closed-0-0', 'liking', 7, '2026-03-04 18:10:00+00:00'),
  ('closed-0-1', 'salty', 44.75, '2026-03-04 18:20:00+00:00'),
  ('closed-0-1', 'liking', 8, '2026-03-04 18:20:00+00:00');

INSERT INTO events (study_id, at, who, what, detail) VALUES
  ('study-closed', '2026-03-04 22:00:00.999999+00:00', 'lead', 'closed', ''),
  ('', '2026-03-01 08:00:00+00:00', 'lead', 'password-set', '');

INSERT INTO settings (name, value) VALUES ('password', 'invented-hash');

INSERT INTO sessions (token_hash, expires_at) VALUES ('session-1', '2026-03-05 08:00:00+00:00');
