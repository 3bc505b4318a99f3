#include "server_book.hpp"

#include <fmt/format.h>

#include "commit.hpp"
#include "migrations.hpp"
#include "server_engine.hpp"
#include "tarebook/book/server_address.hpp"

namespace tarebook {
namespace {

StorageError office_there(const std::filesystem::path& address) {
    return StorageError(fmt::format("{} has a book already. Nothing was written.", address.string()),
                        "choose another database with --book postgresql://HOST/DB");
}

void refuse_newer_office(Db& db, const std::filesystem::path& address) {
    const int version = office_schema_of(db);
    if (version > newest_office_schema)
        throw StorageError(
            fmt::format("the book {} was written by a newer Tarebook (schema {} of a server, this one knows {}).",
                        address.string(), version, newest_office_schema),
            "install the newer version to read or record");
}

}  // namespace

int office_schema_of(Db& db) {
    if (!db.any("SELECT 1 WHERE to_regclass('tarebook.schema_version') IS NOT NULL")) return 0;
    return static_cast<int>(db.integer("SELECT max(version) FROM schema_version").value_or(0));
}

void bring_up_to_date(Db& db) {
    if (office_schema_of(db) >= newest_office_schema) return;
    db.begin_recording();  // no other program records, and of two that bring it up to date the second one finds it done
    for (int version = office_schema_of(db); version < newest_office_schema; ++version) {
        db.script(office_sql[version]);
        db.script(fmt::format("INSERT INTO schema_version VALUES ({})", version + 1));
    }
    db.commit();
}

std::unique_ptr<Db> connection_to_server(const std::filesystem::path& address) {
    auto db = connection_to_server_if_any(address);
    if (!db)
        throw StorageError(fmt::format("there is no book at {}.", address.string()),
                           fmt::format("make one: tarebook start --book {} --company NAME", address.string()));
    return db;
}

std::unique_ptr<Db> connection_to_server_if_any(const std::filesystem::path& address) {
    refuse_password_in(address);
    auto db = std::make_unique<Db>(server_engine(address));
    if (office_schema_of(*db) < 1) return nullptr;
    refuse_newer_office(*db, address);
    return db;
}

void make_on_server(const std::filesystem::path& address, const std::function<void(std::unique_ptr<Db>)>& fill) {
    refuse_password_in(address);
    Db outer(server_engine(address));
    if (office_schema_of(outer) != 0) throw office_there(address);
    auto inner = std::make_unique<Db>(outer.engine().copy_in_memory());
    auto& db = *inner;
    db.script("BEGIN");
    db.script("CREATE SCHEMA tarebook");
    for (int version = 0; version < newest_office_schema; ++version) {
        db.script(office_sql[version]);
        db.script(fmt::format("INSERT INTO schema_version VALUES ({})", version + 1));
    }
    fill(std::move(inner));
}

namespace {
// One question, over a new connection. Only one transaction makes a schema of that name: this one waits until the other
// one has ended.
std::optional<bool> was_made(const std::filesystem::path& address, const BookId& id) {
    try {
        Db db(server_engine(address));
        db.script("BEGIN; SET LOCAL lock_timeout = '10s'");
        try {
            db.script("CREATE SCHEMA tarebook");
            db.script("ROLLBACK");
            return false;
        } catch (const DbError& e) {
            if (e.fault() != DbFault::statement && e.fault() != DbFault::constraint) throw;
            db.script("ROLLBACK");
        }
        auto s = db.ask("SELECT value FROM book WHERE name = 'id'");
        if (!s.next() || s.text(0) != hex(id)) return false;
        db.script("UPDATE turn SET recorded = recorded");  // ends when a standby has the book, too
        return true;
    } catch (const DbError&) {
        return std::nullopt;
    }
}
}  // namespace

void commit_made(Db& db, const std::filesystem::path& address, const BookId& id) {
    try {
        db.script("COMMIT");
    } catch (const DbError& e) {
        if (e.fault() != DbFault::lost) throw;
        const auto made = asked_for_a_while([&] { return was_made(address, id); });
        if (made && *made) return;
        if (made) throw;
        throw StorageError(fmt::format("the server of the book {} went away at the very end: {}. Whether it was "
                                       "written is not known.",
                                       address.string(), e.what()),
                           "record nothing before the same command, given again, has said what is there",
                           Written::unknown, true);
    }
}

void rethrow_of_server(const DbError& e, const std::filesystem::path& address, const std::string& nothing,
                       const LockPatience* patience) {
    const auto book = address.string();
    const auto told = [&](const std::string& what, const std::string& next) {
        return StorageError(what + nothing, next, Written::no, true);
    };
    switch (e.fault()) {
        case DbFault::held:
            if (patience && patience->was_ended())
                throw told(fmt::format("the wait for the book {} was ended.", book),
                           "the same command again waits again");
            throw told(fmt::format("the book {} is held by another command that records.", book),
                       "wait until the other command has ended, then try again");
        case DbFault::lost:
            throw told(
                fmt::format("the server of the book {} does not answer: {}.", book, e.what()),
                std::string_view(e.what()).find("does not exist") != std::string_view::npos
                    ? "make the database or the role (createdb, createuser), or give the name of one that is there"
                    : "see that the server runs and that this person may connect, then the same command again");
        case DbFault::read_only:
            throw told(fmt::format("the book {} cannot be written: this server is a standby, or only lets read.", book),
                       "give the address of the primary server");
        case DbFault::no_permission:
            throw told(fmt::format("the server lets this person do less in {} than this needs: {}.", book, e.what()),
                       "let the database's owner grant it");
        case DbFault::full:
            throw told("the disk of the server is full.", "free some space there, then try again");
        case DbFault::interrupted:
            throw told(fmt::format("the server of the book {} ended the command: {}.", book, e.what()),
                       "raise the server's statement_timeout, then try again");
        default:
            throw told(fmt::format("the book {} failed: {} ({}).", book, e.what(), e.code()),
                       "look at the server's log, then run: tarebook check");
    }
}

}  // namespace tarebook
