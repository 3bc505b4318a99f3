#include "upgrade.hpp"

#include <SQLiteCpp/Backup.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include "check_schema.hpp"
#include "migrations.hpp"

namespace tarebook {
namespace {

// By SQLite, through the connection that is open: whoever opens and closes the file in another way takes this process's
// locks off it (sqlite.org/howtocorrupt.html, section 2.2).
void keep_as_it_is(Db& db, const std::filesystem::path& copy) {
    // Under another name until it is whole, one that no other program uses, and from nothing: what a killed attempt
    // left may be no database.
    const auto part = copy.string() + fmt::format(".part-{}", ::getpid());
    ::unlink(part.c_str());
    ::unlink((part + "-journal").c_str());
    const int fd = ::open(part.c_str(), O_CREAT | O_EXCL | O_WRONLY | O_CLOEXEC, 0600);
    if (fd >= 0) ::close(fd);
    {
        SQLite::Database kept(part, SQLite::OPEN_READWRITE);
        SQLite::Backup(kept, db.raw()).executeStep();
    }
    if (::rename(part.c_str(), copy.c_str()) != 0)
        throw StorageError(fmt::format("the copy {} cannot be made. Nothing was written.", copy.string()),
                           "make the folder of the book writable, and free some space", Written::no, true);
}

}  // namespace

int schema_of(Db& db) {
    return db.raw().execAndGet("PRAGMA user_version").getInt();
}

void migrate(Book::Impl& impl, Before before) {
    for (int version = schema_of(impl.db); version < newest_schema; version = schema_of(impl.db)) {
        const auto seen = impl.db.data_version();
        if (before == Before::kept) {
            // in one read of the file: another program may be doing this at the same time
            impl.db.run("BEGIN");
            const bool still = schema_of(impl.db) == version;
            if (still) refuse_schema_of_another_number(impl, version);
            impl.db.run("COMMIT");
            if (!still) continue;
            keep_as_it_is(impl.db, impl.path.string() + fmt::format(".before-schema-{}", version + 1));
        }
        impl.db.run("BEGIN IMMEDIATE");
        // another program may have recorded, or have done this, since it was kept: then keep it again
        if (impl.db.data_version() != seen || schema_of(impl.db) != version) {
            impl.db.run("ROLLBACK");
            continue;
        }
        impl.db.run(migration_sql[version]);
        impl.db.raw().exec(fmt::format("PRAGMA user_version = {}", version + 1));
        impl.db.run("COMMIT");
    }
}

}  // namespace tarebook
