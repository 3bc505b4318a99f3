// Copies of the whole book, and books that go on from a copy.
#include <fmt/format.h>
#include <sodium.h>

#include "atomic_book_file.hpp"
#include "copy_head.hpp"
#include "impl.hpp"
#include "journal.hpp"
#include "sqlite_engine.hpp"
#include "tarebook/book/server_address.hpp"
#include "transaction.hpp"
#include "upgrade.hpp"

namespace tarebook {

std::optional<HeadOfCopy> head_of_copy(const std::filesystem::path& file) try {
    const auto book = Book::open(file, Access::read);
    return HeadOfCopy{book.info().id, book.head()};
} catch (const OlderBook&) {  // a backup made before an upgrade is a backup too
    Book::Impl older(file, connection_for_reading(file));
    return guarded(older, [&] {
        older.read_info();
        return HeadOfCopy{older.info.id, head_of_any_schema(older)};
    });
} catch (const StorageError& e) {
    if (e.disk()) throw;  // another program has it open, or the disk does not answer
    return std::nullopt;
}

namespace {

// Takes the write lock: until the connection is closed no program records in the file, and there is no log beside it.
// In a file that cannot be written no program records.
std::unique_ptr<Db> nobody_records_in(const std::filesystem::path& file) try {
    auto db = std::make_unique<Db>(file, FileMode::write);
    leave_no_log(*db);
    db->run("BEGIN IMMEDIATE");
    return db;
} catch (const DbError& e) {
    if (e.fault() != DbFault::read_only && e.fault() != DbFault::cannot_open) rethrow_as_storage_error(e, file, true);
    return nullptr;
}

bool holds_on_own_chain(Book::Impl& book, const Head& head) {
    if (head.seq == 0) return true;  // a chain without an event
    auto s = book.db.ask("SELECT origin, seq FROM event WHERE digest = ?", head.digest);
    bool out = false;
    while (!out && s.next()) out = s.integer(1) == head.seq && book.is_own(s.integer(0), head.seq);
    return out;
}

Error no_backup(const std::filesystem::path& to) {
    return {ErrorKind::refused,
            "file-exists",
            fmt::format("{} exists, and is not a backup of this book", to.string()),
            {},
            "a name that is not in use, or an older backup of the same book",
            "choose another one with --to FILE"};
}

Error backup_newer(const std::filesystem::path& to, const Head& there, const Head& here) {
    return {ErrorKind::refused,
            "backup-newer",
            fmt::format("{} holds events of this book that the copied one does not have", to.string()),
            fmt::format("there event {} {} is the last, here event {} {}", there.seq, hex(there.digest), here.seq,
                        hex(here.digest)),
            "a backup whose last event is in this book, too",
            "the other file may be the newer book: look at both with tarebook check, and choose another name with "
            "--to FILE"};
}

Error damaged(std::string name, const std::string& file, const BookCheck& check, std::string next) {
    return {ErrorKind::storage,
            std::move(name),
            fmt::format("{} is damaged: {}{}", file, check.problems.front(),
                        check.problems.size() > 1 ? fmt::format("; {} more", check.problems.size() - 1) : ""),
            {},
            "a book that checks clean",
            std::move(next)};
}

Error name_taken(const std::filesystem::path& to) {
    return {ErrorKind::refused,
            "file-exists",
            fmt::format("{} exists already", to.string()),
            {},
            "a name that is not in use",
            "choose another file with --to FILE; nothing is ever replaced"};
}

std::optional<Error> no_folder(const std::filesystem::path& to) {
    const auto folder = to.parent_path();
    std::error_code ignored;
    if (folder.empty() || std::filesystem::is_directory(folder, ignored)) return std::nullopt;
    return Error{ErrorKind::storage,
                 "cannot-write",
                 fmt::format("{} cannot be written: there is no folder {}", to.string(), folder.string()),
                 {},
                 "a folder that is there",
                 "choose another place with --to FILE"};
}

}  // namespace

Result<Head> Book::backup(const std::filesystem::path& to, const Evaluator& evaluator) const {
    refuse_on_server(
        impl_->path, "backup",
        "the server makes the backups (docs of PostgreSQL: continuous archiving); tarebook books move --to FILE "
        "makes the book a file");
    return guarded(*impl_, [&]() -> Result<Head> {
        if (auto error = no_folder(to)) return fail(std::move(*error));
        AtomicBookFile building(to);
        copy_whole(impl_->db, building.path());
        Head copied;
        {  // closed before it takes the name: then there is no file beside it
            const auto copy = open(building.path(), Access::read);
            const auto check = copy.check(evaluator);
            if (!check.problems.empty())
                return fail(damaged("backup-damaged", "the copy of " + impl_->path.string(), check,
                                    "the copy was thrown away; run: tarebook check"));
            copied = copy.head();
        }
        if (building.take_name()) return copied;
        std::error_code ignored;
        if (std::filesystem::is_symlink(to, ignored) || std::filesystem::equivalent(to, impl_->path, ignored))
            return fail(no_backup(to));
        const auto refused = [&]() -> std::optional<Error> {
            const auto there = head_of_copy(to);
            if (!there || there->book != impl_->info.id) return no_backup(to);
            if (!holds_on_own_chain(*impl_, there->head)) return backup_newer(to, there->head, copied);
            return std::nullopt;
        };
        // A refused file stays as it is. Else it is looked at again under the lock, which is held until the file is
        // replaced.
        if (auto error = refused()) return fail(std::move(*error));
        const auto lock = nobody_records_in(to);
        if (auto error = refused()) return fail(std::move(*error));
        building.replace();
        return copied;
    });
}

Result<Restored> Book::restore(const std::filesystem::path& from, const std::filesystem::path& to,
                               const Evaluator& evaluator, Instant now) {
    for (const auto& one : {from, to})
        refuse_on_server(one, "restore",
                         "restore the database with the server's own means, then: tarebook check. A file goes on a "
                         "server by: tarebook books move FILE --to ADDRESS");
    if (auto error = no_folder(to)) return fail(std::move(*error));
    std::error_code ignored;
    if (std::filesystem::exists(to, ignored)) return fail(name_taken(to));
    const auto refused = [&](const Book& source) -> std::optional<Error> {
        const auto check = source.check(evaluator);
        if (check.problems.empty()) return std::nullopt;
        return damaged("restore-damaged", from.string(), check,
                       "what it still holds is saved by: tarebook salvage --book FILE --to BUNDLE");
    };
    std::optional<Book> source;
    try {
        source.emplace(open(from, Access::read));
        if (auto error = refused(*source)) return fail(std::move(*error));
    } catch (const OlderBook&) {  // NOLINT(bugprone-empty-catch): the copy is upgraded; the file stays as it is
    }
    try {
        Restored out;
        AtomicBookFile building(to);
        if (source) {
            copy_whole(source->impl_->db, building.path());
        } else {
            {
                const auto connection = connection_for_reading(from);
                auto& older = *connection;
                copy_whole(older, building.path());
            }
            {
                Db copy(building.path(), FileMode::write);
                make_newest(copy);
            }
            source.emplace(open(building.path(), Access::read));
            if (auto error = refused(*source)) return fail(std::move(*error));
        }
        out.old_book = source->info().id;
        out.head = source->head();
        source.reset();
        {
            auto impl = std::make_unique<Impl>(building.path(), FileMode::write);
            impl->writes = true;
            impl->db.script("PRAGMA synchronous = EXTRA");
            impl->read_info();
            const auto old = impl->info;
            const auto purpose = old.practice() ? Purpose::practice : Purpose::real;
            const auto trusted = trusted_books(*impl);
            auto& db = impl->db;
            db.begin_recording();
            out.book = new_identity(db, purpose);
            set_info(db, "shop", hex(old.shop));
            db.script(
                "DELETE FROM book WHERE name IN ('own_branch', 'sent', 'synced', 'locked_key', 'key_left_out', "
                "'written', 'moved_to', 'moving_to', 'log_base')");
            db.commit();
            impl->own_branch = 0;
            impl->read_info();
            Book book(std::move(impl));
            const auto moment = moment_in_zone(now, old.zone);
            const auto draft = [&](What what) {
                Event e;
                e.when = moment ? *moment : Moment{now, {}, "UTC"};
                e.recorded = now;
                e.what = std::move(what);
                return e;
            };
            std::vector<Event> drafts;
            drafts.push_back(draft(kinds::Start{
                old.company, old.units == DisplayUnits::kg ? "kg" : "lb", old.zone, book.info().public_key,
                old.country.empty() ? std::nullopt : std::optional(old.country),
                fmt::format("{}:{}", hex(old.id), head_text(out.head)), hex(old.shop), practice_word(purpose)}));
            drafts.push_back(
                draft(kinds::Trust{hex(old.id), old.public_key, "before-" + hex(out.book).substr(0, 8), {}}));
            for (const auto& [id, one] : trusted) {
                drafts.push_back(draft(kinds::Trust{hex(id), one.key, one.called, one.from}));
                if (one.withdrawn)
                    drafts.push_back(draft(kinds::Withdraw{
                        hex(id), one.why,
                        one.last ? std::optional(head_text({one.last->first, one.last->second})) : std::nullopt}));
            }
            auto transaction = Book::Transaction::begin(book);
            const auto outcomes = transaction.judge(drafts, evaluator);
            transaction.commit(drafts, outcomes, evaluator);
        }
        if (!building.take_name()) return fail(name_taken(to));
        return out;
    } catch (const DbError& e) {
        rethrow_as_storage_error(e, to, true);
    }
}

}  // namespace tarebook
