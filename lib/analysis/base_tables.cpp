#include "schema.hpp"

namespace tarebook::analysis {

const char* base_tables_sql() {
    return R"sql(
-- Figures from a refrigerant book, for analysts: ask the views; column_list says what each of their columns means.
-- Masses are kept as exact counts of 1.25 ng (1 lb = 362873896000, 1 kg = 800000000000). What is not on record is NULL.
-- The tables that begin with base_ are the program's own.

-- Where the file comes from, and how far it is.
CREATE TABLE about (
  name  TEXT PRIMARY KEY,
  value TEXT
) STRICT, WITHOUT ROWID;
-- Events that do not count, as the book had them: `by` is the void, or 0 where the book does not trust the event's own.
CREATE TABLE base_ineffective (
  event INTEGER PRIMARY KEY,
  by    INTEGER NOT NULL,
  void  BLOB                 -- digest of the void
) STRICT;
CREATE TABLE base_book (
  id   INTEGER PRIMARY KEY,
  book TEXT NOT NULL UNIQUE  -- its id in hex
) STRICT;
CREATE TABLE base_event (
  id INTEGER PRIMARY KEY,
  book INTEGER NOT NULL,
  own INTEGER NOT NULL,      -- 1: of this book's own chain
  seq INTEGER NOT NULL,
  at INTEGER NOT NULL,       -- seconds since 1970 UTC
  recorded INTEGER NOT NULL,
  date TEXT NOT NULL,
  time TEXT NOT NULL,
  zone TEXT,
  kind TEXT NOT NULL,
  technician TEXT, job TEXT, scale TEXT, circuit TEXT, cylinder TEXT, other_cylinder TEXT, party TEXT,
  refrigerant TEXT, condition TEXT, reason TEXT,
  before INTEGER, after INTEGER, net INTEGER, gross INTEGER, other_before INTEGER, other_after INTEGER,
  note TEXT, own_id TEXT, anyway TEXT,
  digest BLOB NOT NULL
) STRICT;
CREATE TABLE base_movement (
  event INTEGER NOT NULL,
  n INTEGER NOT NULL,
  term TEXT NOT NULL,
  basis TEXT NOT NULL,
  refrigerant TEXT, owner TEXT, condition TEXT, place TEXT, site_owner TEXT,
  stock INTEGER, equipment INTEGER,
  PRIMARY KEY (event, n)
) STRICT, WITHOUT ROWID;
CREATE TABLE base_manifest (
  event INTEGER PRIMARY KEY,
  manifest TEXT
) STRICT;
CREATE TABLE base_finding (
  event INTEGER NOT NULL,
  n INTEGER NOT NULL,
  name TEXT NOT NULL,
  subject TEXT, severity TEXT, text TEXT, seen TEXT, expected TEXT, accepted TEXT,
  resolved_by BLOB,
  PRIMARY KEY (event, n)
) STRICT, WITHOUT ROWID;
CREATE TABLE base_settlement (
  event INTEGER PRIMARY KEY,
  returned INTEGER NOT NULL,
  statement_date TEXT, facility TEXT, cylinder TEXT, refrigerant TEXT, purity REAL, lab TEXT, outcome TEXT,
  credit REAL, currency TEXT, credit_words TEXT
) STRICT;
CREATE TABLE base_settlement_lot (
  event INTEGER NOT NULL,
  n INTEGER NOT NULL,
  refrigerant TEXT, owner TEXT, condition TEXT,
  sent INTEGER, stated INTEGER, not_refrigerant INTEGER, difference INTEGER,
  PRIMARY KEY (event, n)
) STRICT, WITHOUT ROWID;
-- A cylinder after each event that touched it; in the order of the key.
CREATE TABLE base_level (
  cylinder TEXT NOT NULL,
  at INTEGER NOT NULL, origin INTEGER NOT NULL, seq INTEGER NOT NULL,
  event INTEGER NOT NULL,
  mark INTEGER NOT NULL,     -- a hash of the step, by which an update finds what changed
  refrigerants TEXT, place TEXT,
  contents INTEGER NOT NULL, gross INTEGER, gap INTEGER NOT NULL,
  fill_limit INTEGER, fill_rule TEXT,
  gone INTEGER NOT NULL, lost INTEGER NOT NULL, condemned INTEGER NOT NULL, leaking INTEGER NOT NULL,
  PRIMARY KEY (cylinder, at, origin, seq)
) STRICT, WITHOUT ROWID;
-- What events moved into and out of equipment, once more, by appliance: an update reads those of one appliance together.
CREATE TABLE base_equipment (
  appliance TEXT NOT NULL,
  at INTEGER NOT NULL, origin INTEGER NOT NULL, seq INTEGER NOT NULL,
  n INTEGER NOT NULL,        -- within the event
  event INTEGER NOT NULL,
  day INTEGER NOT NULL,      -- the local day, in days since 1970
  mass INTEGER NOT NULL,
  term INTEGER NOT NULL, basis INTEGER NOT NULL, reason INTEGER NOT NULL,
  refrigerant TEXT, job TEXT, leak TEXT,
  destroyed INTEGER,         -- of purged gas that it replaces, thousandths of a per cent
  PRIMARY KEY (appliance, at, origin, seq, n)
) STRICT, WITHOUT ROWID;
CREATE TABLE base_addition (
  appliance TEXT NOT NULL,
  n INTEGER NOT NULL,
  event INTEGER, date TEXT, job TEXT, leak TEXT, added INTEGER, excluded INTEGER, excluded_for TEXT,
  full_charge INTEGER, days INTEGER, method TEXT, rate REAL, threshold REAL, exceeded INTEGER, rule TEXT,
  rule_status TEXT, formula TEXT, events TEXT,
  PRIMARY KEY (appliance, n)
) STRICT, WITHOUT ROWID;
CREATE TABLE base_loss (
  appliance TEXT NOT NULL,
  year INTEGER NOT NULL,
  refrigerant TEXT NOT NULL,
  owner TEXT NOT NULL,
  material_loss INTEGER, simplified_loss INTEGER, acquired INTEGER, disbursed INTEGER,
  full_charge_at_start INTEGER, full_charge_at_end INTEGER, left_out_at_start INTEGER, left_out_at_end INTEGER,
  PRIMARY KEY (appliance, year, refrigerant, owner)
) STRICT, WITHOUT ROWID;
CREATE TABLE base_gwp (
  gwp_set TEXT NOT NULL,
  refrigerant TEXT NOT NULL,
  gwp REAL NOT NULL,
  at_least INTEGER NOT NULL,
  PRIMARY KEY (gwp_set, refrigerant)
) STRICT, WITHOUT ROWID;
CREATE TABLE base_register (
  kind TEXT NOT NULL,
  code TEXT NOT NULL,
  field TEXT NOT NULL,
  at INTEGER NOT NULL, origin INTEGER NOT NULL, seq INTEGER NOT NULL,
  event_name TEXT, value TEXT, mass INTEGER,
  PRIMARY KEY (kind, code, field, at, origin, seq)
) STRICT, WITHOUT ROWID;
)sql";
}

}  // namespace tarebook::analysis
