// Brings a file from its schema to the newest one.
#pragma once

#include <optional>

#include "impl.hpp"
#include "tarebook/book/upgrade.hpp"

namespace tarebook {

int schema_of(Db& db);

/// Runs all steps that the file lacks, in the open transaction.
void run_migrations(Db& db);
/// The same in a transaction of its own, for a file whose older state need not be kept.
void make_newest(Db& db);

/// Precondition of reading a book: OlderBook if its schema is older.
void refuse_older(Book::Impl& book, const UpgradeOptions& options);
/// Precondition of recording in a book: upgrades it if that is quick or allowed, else OlderBook. A remark says what was
/// done.
void upgrade_to_record(Book::Impl& book, const WhenOlder& when);

/// The last event of the own chain, for a book of any schema.
Head head_of_any_schema(Book::Impl& book);

}  // namespace tarebook
