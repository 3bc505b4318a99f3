#include "journal.hpp"

#include <fmt/format.h>

#include <array>
#include <chrono>
#include <fstream>
#include <thread>

#include "atomic_book_file.hpp"
#include "book_file.hpp"
#include "network_disk.hpp"
#include "spoilt_log.hpp"
#include "sqlite_engine.hpp"

namespace tarebook {
namespace {

std::filesystem::path log_of(const std::filesystem::path& book) {
    return book.string() + "-wal";
}

StorageError strange_log(const std::filesystem::path& book, const std::string& why) {
    return StorageError(
        fmt::format("{} is beside the book {}, and is not its log: {}.", log_of(book).string(), book.string(), why),
        "move it to the book that it belongs to, under that book's name, if you know which; else move "
        "it away and keep it");
}

// The address of the file without its log. Immutable: SQLite opens no file beside it, and locks nothing.
std::string alone_uri(const std::filesystem::path& book) {
    std::string out = "file:";
    for (const char c : std::filesystem::absolute(book).string()) {
        if (c == '?' || c == '#' || c == '%')
            out += fmt::format("%{:02X}", static_cast<unsigned char>(c));
        else
            out += c;
    }
    return out + "?immutable=1";
}
struct WrittenTo {
    BookId id{};
    Head head;
    std::optional<Head> log_base;  ///< number and digest of an event that the file held when its log began
};

// Each event of a book with that number: a copied book may have gone on in branches.
std::optional<Event> own_event(Db& db, const BookId& id, const Head& at) {
    auto s = db.ask("SELECT e.body FROM event e JOIN origin o ON o.id = e.origin WHERE o.book = ? AND e.seq = ?", id,
                    at.seq);
    std::optional<Event> out;
    while (!out && s.next()) {
        const auto body = s.text(0);
        if (digest_of(body) != at.digest) continue;
        if (const auto event = event_from_body(body)) out = *event;
    }
    return out;
}

// The last event of the own chain, as the book states it; empty if it states none, or one that it does not have.
std::optional<WrittenTo> written_to(Db& db) {
    std::optional<BookId> id;
    std::optional<Head> head, base;
    for (auto s = db.ask("SELECT name, value FROM book WHERE name IN ('id', 'written', 'log_base')"); s.next();) {
        if (s.bytes(0) == "id")
            id = book_id_from_hex(s.bytes(1));
        else
            (s.bytes(0) == "written" ? head : base) = head_from(s.bytes(1));
    }
    if (!id || !head || !own_event(db, *id, *head)) return std::nullopt;
    return WrittenTo{*id, *head, base};
}

// Whether the chain leads back from the last event to the head of the file, each event named by the one after it.
bool goes_on_from(Db& db, const WrittenTo& last, const Head& from) {
    auto at = last.head;
    while (at.seq > from.seq) {
        const auto event = own_event(db, last.id, at);
        if (!event) return false;
        at = {at.seq - 1, event->previous};
    }
    return at.seq == from.seq && at.digest == from.digest;
}

bool is_damage(const DbError& e) {
    return e.fault() == DbFault::damaged || e.fault() == DbFault::not_a_database || e.fault() == DbFault::statement ||
           e.fault() == DbFault::short_file;
}

// Whether the file states write-ahead logging (sqlite.org/fileformat2.html, 1.3): SQLite adds no log to a book that
// does not.
bool file_says_log(const std::filesystem::path& book) {
    std::array<char, 20> header{};
    std::ifstream in(book, std::ios::binary);
    in.read(header.data(), header.size());
    return header[18] == 2 && header[19] == 2;
}

// What the file without its log states. Empty for a file that is half new, because a program was killed while it put
// the log in.
std::optional<WrittenTo> written_alone(const std::filesystem::path& book) try {
    return written_to(*connection_alone(book));
} catch (const DbError& e) {
    if (!is_damage(e)) throw;
    return std::nullopt;
} catch (const StorageError&) {
    return std::nullopt;
}

// A log begins with one of two numbers (sqlite.org/fileformat2.html, 4.1).
bool is_log(const std::filesystem::path& file) {
    std::array<char, 4> begin{};
    std::ifstream in(file, std::ios::binary);
    in.read(begin.data(), begin.size());
    const std::string_view number(begin.data(), begin.size());
    return number == "\x37\x7f\x06\x82" || number == "\x37\x7f\x06\x83";
}

// Why the log is not the book's own; empty if it is.
std::string why_strange(const std::filesystem::path& book) {
    if (spoilt_log_holds_more(book, log_of(book)))
        return "its first bytes are damaged, and what was recorded last comes after them";
    // SQLite does not read a file that does not begin as a log; a power cut may leave one.
    if (!is_log(log_of(book))) return {};
    const auto before = written_alone(book);
    if (before && !file_says_log(book)) return "the book has none";
    Db with(book, FileMode::write);
    leave_log_on_close(with, true);
    const auto after = written_to(with);
    if (before) {
        if (after && after->id != before->id) return "it is of another book";
        if (!after || !goes_on_from(with, *after, before->head) ||
            (after->log_base && !goes_on_from(with, *before, *after->log_base)))
            return fmt::format("the file was written up to event {}, and the log does not go on from there",
                               event_name(before->head.seq));
        return {};
    }
    if (open_by(book).others) return {};  // the program that puts the log into the file now has checked it
    const auto told = with.text("PRAGMA quick_check(1)").value_or("");
    return told == "ok" ? std::string() : fmt::format("with it the book cannot be read ({})", told);
}

StorageError log_not_read(const std::filesystem::path& book) {
    return StorageError(
        fmt::format("{} holds what was recorded last in the book {}, and cannot be read with it: the folder or a file "
                    "is read-only.",
                    log_of(book).string(), book.string()),
        "make the folder and its files writable, or copy both files to a folder that is, and read there");
}

bool is_about_permission(const DbError& e) {
    return e.fault() == DbFault::read_only || e.fault() == DbFault::cannot_open;
}

void set_rollback_journal(Book::Impl& book) {
    const auto now = book.db.text("PRAGMA journal_mode = DELETE").value_or("");
    if (now != "delete")
        throw StorageError(fmt::format("the book {} is on a network disk and has a write-ahead log, and another "
                                       "program has it open. Nothing was written.",
                                       book.path.string()),
                           "close the other program, then try again");
    book.info.remarks.emplace_back(
        "the book is on a network disk: it has a rollback journal now, and a program that reads makes one that records "
        "wait");
}

}  // namespace

std::unique_ptr<Db> connection_alone(const std::filesystem::path& book) {
    return std::make_unique<Db>(alone_uri(book), FileMode::read_alone);
}

// A log without a whole page is empty: its header alone has 32 bytes (sqlite.org/fileformat2.html, 4.1).
bool log_has_pages(const std::filesystem::path& book) {
    constexpr std::uintmax_t header = 32;
    std::error_code ignored;
    const auto size = std::filesystem::file_size(log_of(book), ignored);
    return !ignored && size > header;
}

void refuse_strange_log(const std::filesystem::path& book) {
    // Other programs may record meanwhile: at the second attempt, or at the next, file and log are of one moment.
    constexpr int attempts = 6;
    for (int attempt = 1;; ++attempt) {
        // This program has checked it before; and closing the file once more would release its locks.
        if (!log_has_pages(book) || open_by(book).this_program) return;
        std::string why;
        try {
            why = why_strange(book);
        } catch (const DbError& e) {
            if (is_about_permission(e) && log_has_pages(book)) throw log_not_read(book);
            if (!is_damage(e)) throw;
            why = fmt::format("with it the book cannot be read ({})", e.what());
        }
        if (why.empty()) return;
        if (attempt == attempts) throw strange_log(book, why);
        std::this_thread::sleep_for(std::chrono::milliseconds(5 * attempt));
    }
}

std::unique_ptr<Db> connection_for_reading(const std::filesystem::path& book, const WhileWaiting& while_waiting) {
    try {
        auto out = std::make_unique<Db>(book, FileMode::write);
        out->patience().while_waiting(while_waiting);
        // The first question opens the log; a log with which the book cannot be read must not get into the file.
        leave_log_on_close(*out, true);
        out->any("SELECT count(*) FROM sqlite_schema");
        leave_log_on_close(*out, false);
        return out;
    } catch (const DbError& e) {
        const bool full = e.fault() == DbFault::no_index;  // no room for an index to the log
        if (!full && !is_about_permission(e)) throw;
        if (log_has_pages(book)) {
            if (full) throw;
            throw log_not_read(book);
        }
        std::error_code ignored;
        if (std::filesystem::exists(book.string() + "-journal", ignored)) throw;
    }
    return connection_alone(book);
}

std::unique_ptr<Db> connection_that_leaves_nothing(const std::filesystem::path& book) {
    std::error_code ignored;
    // A book with a log is open, or was left so: only the log has what was recorded last.
    if (file_says_log(book) && !std::filesystem::exists(log_of(book), ignored)) return connection_alone(book);
    return connection_for_reading(book);
}

bool has_log(Db& db) {
    if (db.on_server()) return false;
    return db.text("PRAGMA journal_mode").value_or("") == "wal";
}

void choose_journal(Book::Impl& book) {
    if (network_disk_of(book.path)) {
        if (has_log(book.db)) set_rollback_journal(book);
        return;
    }
    // Does not wait for readers. If it cannot be done the book stays as it is, and the next recording tries again.
    book.db.wait_for_others(false);
    try {
        if (!has_log(book.db)) book.db.any("PRAGMA journal_mode = WAL");
    } catch (const DbError&) {  // NOLINT(bugprone-empty-catch): the recording meets and reports it
    }
    book.db.wait_for_others(true);
}

void leave_no_log(Db& db) {
    for (int tries = 0; has_log(db); ++tries) {
        try {
            db.any("PRAGMA journal_mode = DELETE");
        } catch (const DbError& e) {
            if (e.fault() != DbFault::held || !db.patience().again(tries)) throw;
        }
    }
}

void note_written(Book::Impl& book, const Head& head) {
    if (book.db.on_server()) return;  // no log of a file is to be told from another
    std::error_code none;
    const auto size = std::filesystem::file_size(log_of(book.path), none);
    if (none || size == 0)
        book.db.run(
            "INSERT OR REPLACE INTO book(name, value) SELECT 'log_base', value FROM book WHERE name = 'written'");
    set_info(book.db, "written", head_text(head));
}

bool take_log_in(Db& db, const std::filesystem::path& book) {
    try {
        db.any("PRAGMA wal_checkpoint(TRUNCATE)");
    } catch (const DbError&) {
        return false;
    }
    std::error_code failed;
    const auto left = std::filesystem::file_size(log_of(book), failed);
    return !failed && left == 0;
}

}  // namespace tarebook
