-- The jobs of a shop in one place, as `gather` keeps them. Only ever added to: an entry that was taken in stays as it is.
CREATE TABLE jobs (
  id        TEXT PRIMARY KEY,   -- 32 hex digits, as in the job's file
  name      TEXT NOT NULL,
  vehicle   TEXT NOT NULL,
  started   TEXT NOT NULL       -- ISO 8601 with its offset
);
CREATE TABLE entries (
  id        TEXT PRIMARY KEY,
  job       TEXT NOT NULL REFERENCES jobs (id),
  utc       TEXT NOT NULL,      -- the same moment for every bay: sort by this
  time      TEXT NOT NULL,      -- as the bay's clock said, with its offset
  procedure TEXT,               -- the page, its revision and the handbook's build
  revision  INTEGER,
  build     TEXT NOT NULL,
  step      TEXT,               -- procedure/step
  hash      TEXT,               -- of the step's content
  place     TEXT,               -- LF, RF, LR, RR, front, rear, vehicle
  attempt   INTEGER NOT NULL,   -- `try` in the file
  kind      TEXT NOT NULL,      -- done, result, torque, finding, text, override, complete, withdrawn …
  refers_to TEXT,               -- the entry that a withdrawal or a second look is about
  verdict   TEXT,               -- within, adjust, too-close, cannot-tell, beyond, or the outcome that was chosen
  says      TEXT,               -- the verdict in words
  shown     TEXT,               -- the reading as the page showed it
  signed_by TEXT NOT NULL,      -- `by` in the file
  note      TEXT NOT NULL,
  typed     TEXT NOT NULL,      -- JSON: as it was typed; what was made of it; what it was judged by
  understood TEXT NOT NULL,
  limits    TEXT NOT NULL,
  file      TEXT NOT NULL,      -- the file that it was first taken from
  fingerprint TEXT NOT NULL     -- SHA-256 of the whole entry: another one under the same id is refused
);
CREATE TABLE readings (         -- entries and answers of a calculator, a row each
  entry      TEXT NOT NULL REFERENCES entries (id),
  calculator TEXT NOT NULL,
  role       TEXT NOT NULL,     -- input or value
  name       TEXT NOT NULL,
  number     INTEGER NOT NULL,  -- from 1, of several readings under one name
  value      REAL,              -- in `unit`; empty where there was no figure
  unit       TEXT NOT NULL,
  text       TEXT NOT NULL,     -- as the page printed it
  PRIMARY KEY (entry, role, name, number)
);
CREATE TABLE torques (
  entry      TEXT PRIMARY KEY REFERENCES entries (id),
  fastener   TEXT NOT NULL,
  stage      TEXT NOT NULL,
  target     TEXT NOT NULL,     -- as typed
  actual     TEXT NOT NULL,
  tool       TEXT NOT NULL,
  actual_value REAL,            -- in `unit`; empty where it was not judged
  difference REAL,              -- to the target, in `unit`; below 0 is low
  unit       TEXT,
  verdict    TEXT               -- empty: not judged
);
CREATE TABLE parts (            -- what a decision asked for
  entry      TEXT NOT NULL REFERENCES entries (id),
  number     INTEGER NOT NULL,
  item       TEXT NOT NULL,
  quantity   TEXT NOT NULL,
  per        TEXT NOT NULL,
  why        TEXT NOT NULL,
  PRIMARY KEY (entry, number)
);
CREATE INDEX entries_of_job ON entries (job, utc);
-- What still stands: without withdrawals and what they withdraw.
CREATE VIEW standing AS
  SELECT * FROM entries AS e
  WHERE kind <> 'withdrawn'
    AND NOT EXISTS (SELECT 1 FROM entries AS w WHERE w.kind = 'withdrawn' AND w.job = e.job AND w.refers_to = e.id);
CREATE TRIGGER entries_are_not_changed BEFORE UPDATE ON entries BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;
CREATE TRIGGER entries_are_not_removed BEFORE DELETE ON entries BEGIN SELECT RAISE(ABORT, 'an entry is never removed'); END;
