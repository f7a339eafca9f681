-- +goose Up
-- Acts of the staff that a phone may send again, each taken once.
CREATE TABLE acts (
  study_id text NOT NULL REFERENCES studies (id),
  id text NOT NULL, -- made by the phone
  taken_at datetime NOT NULL,
  PRIMARY KEY (study_id, id)
);
