// A book goes from a file to a server, or back: row by row, each event held to its digest. Its signing key goes along,
// and is in one place when all is done.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <functional>

#include "atomic_book_file.hpp"
#include "book_file.hpp"
#include "commit.hpp"
#include "desk.hpp"
#include "impl.hpp"
#include "insert_many.hpp"
#include "journal.hpp"
#include "key.hpp"
#include "key_place.hpp"
#include "own_end.hpp"
#include "server_book.hpp"
#include "table_sink.hpp"
#include "tarebook/book/move.hpp"
#include "tarebook/book/server_address.hpp"
#include "to_judge.hpp"
#include "upgrade.hpp"

namespace tarebook {
namespace {

struct MovedTable {
    const char* name;
    const char* columns;
    int count;
    bool numbers_itself = false;
};
constexpr MovedTable moved_tables[] = {
    {"origin", "id, book, branch, effective_to, parent, parent_seq", 6},
    {"event", "id, origin, seq, at, day, kind, job, own_id, digest, body", 10},
    {"head", "origin, seq, signature, digest", 4},
    {"naming", "digest, event", 2},
    {"snapshot", "book, key, seq, body", 4},
    {"quarantine", "id, book, key, first, last, digest, signature, received, bytes, lines", 10, true},
    {"person", "code, salt, name", 3},
    {"ineffective", "event, by", 2},
    {"entry", "id, kind, code", 3, true},
    {"field", "entry, name, at, origin, seq, value, mass", 7},
    {"account", "id, kind, code", 3, true},
    {"lot", "id, refrigerant, owner, condition", 4, true},
    {"posting", "event, n, account, lot, mass, circuit_day", 6},
    {"balance", "account, lot, mass, postings", 4},
    {"step", "cylinder, at, origin, seq, event, moved, gap, state", 8},
    {"current_state", "cylinder, state", 2},
    {"settlement", "event, returned, at, origin, seq", 5},
    {"finding", "event, n, severity, name, subject, text, seen, expected, next, accepted", 10},
    {"resolved", "finding, about, event", 3}};

// What a book says of its place alone.
constexpr std::array<std::string_view, 7> said_of_place = {"written",  "log_base",  "names_removed", key_left_out,
                                                           "moved_to", "moving_to", end_mark};

SqlValue value_in(const Answer& row, int n) {
    switch (const auto type = row.type(n)) {
        case ColumnType::integer:
            return {type, row.integer(n)};
        case ColumnType::real:
            return {type, 0, row.real(n)};
        case ColumnType::nothing:
            return {};
        default:
            return {type, 0, 0, row.bytes(n)};
    }
}

void copy_table(Db& from, Db& to, const MovedTable& table) {
    // The first two columns are the key, or begin it: the rows come as they are wanted.
    const auto sql = fmt::format("SELECT {} FROM {} ORDER BY 1, 2", table.columns, table.name);
    const std::string_view name = table.name;
    InsertMany rows(to, fmt::format("{}({})", name == "balance" ? balance_rows(to) : name, table.columns), table.count);
    for (auto s = from.walk_once(sql); s.next();)
        for (int n = 0; n < table.count; ++n) rows.value(value_in(s, n));
    rows.flush();
    if (table.numbers_itself && to.on_server())
        to.script(
            fmt::format("SELECT setval(pg_get_serial_sequence('tarebook.{0}', 'id'), max(id)) FROM {0} HAVING "
                        "count(*) > 0",
                        table.name));
}

void copy_rows(Db& from, Db& to) {
    for (auto s = from.ask("SELECT name, value FROM book"); s.next();) {
        const auto name = s.text(0);
        if (std::find(said_of_place.begin(), said_of_place.end(), name) == said_of_place.end())
            set_info(to, name.c_str(), s.text(1));
    }
    for (const auto& table : moved_tables) copy_table(from, to, table);
}

// Holds each event to its body and to the row that it came from; returns how many there are.
std::int64_t hold_to_digests(Db& from, Db& to) {
    constexpr const char* of_rows = "SELECT id, origin, seq, digest, body FROM event ORDER BY id";
    auto here = from.walk(of_rows);
    auto there = to.walk(of_rows);
    for (std::int64_t n = 0;; ++n) {
        const bool more = here.next();
        if (there.next() == more) {
            if (!more) return n;
            if (here.integer(0) == there.integer(0) && here.integer(1) == there.integer(1) &&
                here.integer(2) == there.integer(2) && here.bytes(3) == there.bytes(3) &&
                digest_from(there.bytes(3)) == digest_of(there.bytes(4)))
                continue;
        }
        throw StorageError(
            fmt::format("event {} of the moved book is not the one that was to be moved. Nothing was written.", n + 1),
            "run: tarebook check, on the book as it is");
    }
}

Error move_where(const std::filesystem::path& from, const std::filesystem::path& to) {
    return {ErrorKind::usage,
            "move-where",
            "a move is from a file to a server, or from a server to a file",
            fmt::format("from {} to {}", from.string(), to.string()),
            "one of the two is an address: postgresql://HOST/DB",
            "a copy of a file is made by: tarebook backup --to FILE"};
}

StorageError other_book_there(const std::filesystem::path& to) {
    return StorageError(
        fmt::format("{} exists already, and is not this book as it is now. Nothing was written.", to.string()),
        "name a file or a database that is not in use: --to");
}

// What `from` has, and what may have been recorded there since: from the note of a move on, nothing is in the file.
bool goes_on_there(Book::Impl& from, Book::Impl& there) {
    const auto ends = own_end(from);
    return kept_key(there) && there.db.any("SELECT 1 FROM event WHERE origin = ? AND seq = ? AND digest = ?",
                                           there.own_origin, ends.seq, ends.digest);
}

// A move that was cut off behind the copy: the book is there already, and its key is in both places.
bool is_there(Book::Impl& from, const std::filesystem::path& to) try {
    std::unique_ptr<Db> db;
    if (is_server_address(to)) {
        db = connection_to_server_if_any(to);
        if (!db) return false;
    } else {
        std::error_code ignored;
        if (!std::filesystem::exists(std::filesystem::symlink_status(to, ignored))) return false;
        refuse_other_than_file(to);
        db = connection_for_reading(to);
    }
    Book::Impl there(to, std::move(db));
    there.read_info();
    const auto here_ends = own_end(from), there_ends = own_end(there);
    const auto events = [](Book::Impl& book) { return book.db.integer("SELECT count(*) FROM event"); };
    const bool same = from.moving_to ? goes_on_there(from, there)
                                     : there_ends.digest == here_ends.digest && events(there) == events(from) &&
                                           kept_key(there) == kept_key(from);
    if (there.info.id != from.info.id || there.moved_to || !same) throw other_book_there(to);
    return true;
} catch (const DbError& e) {
    rethrow_as_storage_error(e, to, true);
}

std::string whole_name(const std::filesystem::path& book) {
    return is_server_address(book) ? book.string() : std::filesystem::absolute(book).string();
}

// Its desks have keys of their own: they are told where the book is. Only then its own key goes, so that the same
// command can end what is cut off here.
void close_on_server(Book::Impl& from, const std::filesystem::path& to) {
    const std::string next = "the same command again closes it; record nothing before";
    const auto not_closed = [&](const std::exception& e) {
        return StorageError(fmt::format("the book is in {}; whether the one at {} is closed is not known ({}).",
                                        to.string(), from.path.string(), e.what()),
                            next, Written::unknown, true);
    };
    try {
        from.db.run("DELETE FROM book WHERE name = 'moving_to'");
        set_info(from.db, "moved_to", whole_name(to));
        commit_or_ask(from, {"that it has moved", next, [&]() -> std::optional<bool> {
                                 return from.db.any("SELECT 1 FROM book WHERE name = 'moved_to' AND value = ?",
                                                    whole_name(to));
                             }});
    } catch (const DbError& e) {
        throw not_closed(e);
    } catch (const StorageError& e) {
        throw not_closed(e);
    }
    std::error_code ignored;
    std::filesystem::remove(key_file_of(from.info.id), ignored);
}

// A move to another place was cut off, and may have come off: then this one would make a second book.
void refuse_if_elsewhere(Book::Impl& from, const std::filesystem::path& to) {
    if (!from.moving_to || *from.moving_to == whole_name(to)) return;
    try {
        if (!is_there(from, *from.moving_to)) return;
    } catch (const StorageError&) {  // NOLINT(bugprone-empty-catch): then it is not known
    }
    throw StorageError(fmt::format("the book {} is on its way to {}, and may be there. Nothing was written.",
                                   from.path.string(), *from.moving_to),
                       fmt::format("end that move: tarebook books move {} --to {}; {}", from.path.string(),
                                   *from.moving_to, where_place_is_gone(from)));
}

// Before the server has the book no other program records in the file any more: one that is killed from here on leaves
// it closed until the same command has ended the move. Precondition: a transaction is open, in which nothing was
// written.
void close_file(Book::Impl& from, const std::filesystem::path& to) {
    set_info(from.db, "moving_to", whole_name(to));
    from.db.commit();
    from.db.begin_recording();
}

// The server does not have it. Where the file cannot be opened again, the same command ends the move nevertheless.
void open_file_again(Book::Impl& from) {
    try {
        if (!from.db.in_transaction()) from.db.begin_recording();
        from.db.run("DELETE FROM book WHERE name = 'moving_to'");
        from.db.commit();
    } catch (const DbError&) {  // NOLINT(bugprone-empty-catch)
    }
}

// The same for a book that goes to a file: from here on no desk records, and the file may get its name.
void close_server(Book::Impl& from, const std::filesystem::path& to) {
    const auto noted = whole_name(to);
    set_info(from.db, "moving_to", noted);
    commit_or_ask(from, {"that it moves", "the same command again moves it", [&]() -> std::optional<bool> {
                             return from.db.any("SELECT 1 FROM book WHERE name = 'moving_to' AND value = ?", noted);
                         }});
    from.db.begin_recording();
    from.look_afresh();
}

// There is no file. The connection may be the reason for that.
void open_server_again(Book::Impl& from, const std::filesystem::path& to) {
    const auto opened = asked_for_a_while([&]() -> std::optional<bool> {
        try {
            from.db.engine().connect_again();
            from.db.run("DELETE FROM book WHERE name = 'moving_to'");
            from.db.commit();
            return true;
        } catch (const DbError&) {
            return std::nullopt;
        }
    });
    if (!opened)
        throw StorageError(fmt::format("the book {} has not moved to {}; whether it can be recorded in is not known.",
                                       from.path.string(), to.string()),
                           "when its server answers, the same command again moves it", Written::unknown, true);
}

void take_key_from(Book::Impl& from, const std::filesystem::path& to) {
    if (from.db.on_server()) return close_on_server(from, to);
    from.db.run("DELETE FROM secret");
    from.db.run("DELETE FROM book WHERE name = ?", std::string(locked_key_digest));
    set_info(from.db, key_left_out, "yes");
    from.db.run("DELETE FROM book WHERE name = 'moving_to'");
    set_info(from.db, "moved_to", whole_name(to));
    from.db.commit();
}

// Precondition: the file is held, and the server does not have the book. It has when this returns, and the file is
// closed. The key follows the note in the file: where the file has no note, a key is of a book on a server.
void make_there(Book::Impl& from, const std::filesystem::path& to, const std::function<void(Db&)>& copy,
                std::string_view key) {
    refuse_if_elsewhere(from, to);
    // What a program that was cut off has begun may come to its end on the server at any time.
    const bool was_cut_off = from.moving_to.has_value();
    if (!was_cut_off) refuse_where_key_is(from.info.id);
    bool key_made = false;
    const auto take_back = [&] {
        if (was_cut_off) return;
        std::error_code ignored;
        if (key_made) std::filesystem::remove(key_file_of(from.info.id), ignored);
        open_file_again(from);
    };
    try {
        make_on_server(to, [&](std::unique_ptr<Db> db) {
            copy(*db);
            try {
                close_file(from, to);
                key_made = keep_first_key(*db, from.info.id, key);
            } catch (const DbError& e) {
                take_back();
                rethrow_as_storage_error(e, from.path, true);
            } catch (const StorageError&) {
                take_back();
                throw;
            }
            commit_made(*db, to, from.info.id);
        });
    } catch (const DbError& e) {
        take_back();
        rethrow_as_storage_error(e, to, true);
    }
}

// Precondition: the server is held, and there is no file. When this returns the file is whole, and no desk records.
void make_file(Book::Impl& from, const std::filesystem::path& to, const std::function<void(Db&)>& copy) {
    refuse_if_elsewhere(from, to);
    // Another program that moves it there may give the file its name at any time.
    const bool was_cut_off = from.moving_to.has_value();
    AtomicBookFile building(to);
    try {
        Db db(building.path(), FileMode::write);
        db.script("PRAGMA synchronous = EXTRA");
        db.script(fmt::format("PRAGMA application_id = {}", application_id));
        make_newest(db);
        copy(db);
    } catch (const DbError& e) {
        rethrow_as_storage_error(e, e.fault() == DbFault::lost ? from.path : to, true);  // no file is lost so
    }
    try {
        close_server(from, to);
        if (!building.take_name() && !is_there(from, to)) throw other_book_there(to);
    } catch (const DbError& e) {
        if (!was_cut_off) open_server_again(from, to);
        rethrow_as_storage_error(e, from.path, true);
    } catch (const StorageError& e) {
        if (!was_cut_off && e.written() == Written::no) open_server_again(from, to);
        throw;
    }
}

std::unique_ptr<Book::Impl> opened_to_move(const std::filesystem::path& from, const WhileWaiting& while_waiting) {
    try {
        auto out = std::make_unique<Book::Impl>(
            from, is_server_address(from) ? connection_to_server(from) : std::make_unique<Db>(from, FileMode::write));
        out->writes = true;
        out->db.patience().while_waiting(while_waiting);
        if (!out->db.on_server()) out->db.script("PRAGMA synchronous = EXTRA");
        out->read_info();
        refuse_at_a_desk(*out, "moves it");
        return out;
    } catch (const DbError& e) {
        rethrow_as_storage_error(e, from, true);
    }
}

std::string key_to_move(Book::Impl& from) {
    auto key = kept_key(from);
    if (!key)
        throw StorageError(fmt::format("there is no signing key for the book {} here: only who has it moves the book. "
                                       "Nothing was written.",
                                       from.path.string()),
                           "move it as the person who records in it");
    return std::move(*key);
}

}  // namespace

Result<Moved> move_book(const std::filesystem::path& from, const std::filesystem::path& to,
                        const WhileWaiting& while_waiting, const WhenOlder& when_older) {
    if (is_server_address(from) == is_server_address(to)) return fail(move_where(from, to));
    static_cast<void>(Book::open(from, Access::write, {}, while_waiting, when_older));  // refuses, upgrades
    const auto source = opened_to_move(from, while_waiting);
    auto& book = *source;
    Moved out;
    out.key = is_server_address(to) ? key_file_of(book.info.id) : to;
    const auto copy = [&](Db& made) {
        made.begin_recording();
        copy_rows(book.db, made);
        out.events = hold_to_digests(book.db, made);
        if (!made.on_server()) {
            set_info(made, "written", head_text(out.head));
            keep_first_key(made, book.info.id, key_to_move(book));
        }
        made.commit();
    };
    try {
        if (!book.db.on_server()) book.db.script("PRAGMA secure_delete = ON");  // the key must not stay in a free page
        book.db.begin_recording();  // until the end no other program records
        book.look_afresh();
        out.head = own_end(book);
        const auto key = key_to_move(book);
        refuse_while_judged_anew(book);
        if (is_there(book, to)) {
            out.was_there = true;
            out.events = book.db.integer("SELECT count(*) FROM event").value_or(0);
        } else if (is_server_address(to)) {
            make_there(book, to, copy, key);
        } else {
            make_file(book, to, copy);
        }
        take_key_from(book, to);
        return out;
    } catch (const DbError& e) {
        rethrow_as_storage_error(e, from, true);
    }
}

}  // namespace tarebook
