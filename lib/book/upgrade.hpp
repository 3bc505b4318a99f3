// From the schema that the file has to the newest one.
#pragma once

#include <optional>

#include "impl.hpp"
#include "tarebook/book/upgrade.hpp"

namespace tarebook {

int schema_of(Db& db);

/// All steps that the file lacks, in the open transaction.
void run_migrations(Db& db);
/// The same in a transaction of its own: of a file that has no earlier self to keep.
void make_newest(Db& db);

/// Before a book is read: OlderBook where its schema is older.
void refuse_older(Book::Impl& book, const UpgradeOptions& options);
/// Before a book is recorded in: upgrades it where that is quick or may be done, else OlderBook. A remark says what was
/// done.
void upgrade_to_record(Book::Impl& book, const WhenOlder& when);

/// The last event of the own chain, of a book with whatever schema.
Head head_of_any_schema(Book::Impl& book);

}  // namespace tarebook
