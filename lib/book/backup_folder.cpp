#include "tarebook/book/backup_folder.hpp"
#include "tarebook/book/server_address.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <algorithm>

#include "copy_head.hpp"
#include "tarebook/book/upgrade.hpp"
#include "units/hex.hpp"

namespace tarebook {
namespace {

constexpr std::string_view copy_begin = "tarebook-", copy_end = ".tarebook";
constexpr std::size_t copy_id_digits = 12, copy_time_letters = 16;  // 20261130T154512Z

std::string copy_name(const BookId& book, Instant now) {
    return fmt::format("{}{}-{:%Y%m%dT%H%M%SZ}{}", copy_begin, hex(book).substr(0, copy_id_digits),
                       fmt::gmtime(std::chrono::system_clock::to_time_t(now)), copy_end);
}

// The digits of the book's id in a name of ours; empty for any other name.
std::string_view book_in_name(std::string_view name) {
    if (name.size() != copy_begin.size() + copy_id_digits + 1 + copy_time_letters + copy_end.size()) return {};
    if (!name.starts_with(copy_begin) || !name.ends_with(copy_end)) return {};
    const auto id = name.substr(copy_begin.size(), copy_id_digits);
    const auto time = name.substr(copy_begin.size() + copy_id_digits + 1, copy_time_letters);
    for (std::size_t i = 0; i < time.size(); ++i)
        if (i == 8 ? time[i] != 'T' : i == 15 ? time[i] != 'Z' : time[i] < '0' || time[i] > '9') return {};
    return is_hex(id) ? id : std::string_view();
}

// Precondition: book_in_name knows the name.
Instant time_in_name(std::string_view name) {
    const auto time = name.substr(copy_begin.size() + copy_id_digits + 1, copy_time_letters);
    const auto number = [&](std::size_t at, std::size_t digits) {
        int out = 0;
        for (const char c : time.substr(at, digits)) out = 10 * out + (c - '0');
        return out;
    };
    const auto day = std::chrono::year(number(0, 4)) / number(4, 2) / number(6, 2);
    if (!day.ok()) return {};
    return std::chrono::sys_days(day) + std::chrono::hours(number(9, 2)) + std::chrono::minutes(number(11, 2)) +
           std::chrono::seconds(number(13, 2));
}

std::vector<std::filesystem::path> copies_in(const std::filesystem::path& folder, std::string_view id) {
    std::vector<std::filesystem::path> out;
    std::error_code error;
    for (auto entry = std::filesystem::directory_iterator(folder, error);
         !error && entry != std::filesystem::directory_iterator(); entry.increment(error)) {
        std::error_code ignored;
        const auto name = entry->path().filename().string();
        const auto of = book_in_name(name);
        if (!of.empty() && (id.empty() || of == id) && entry->is_regular_file(ignored) && !entry->is_symlink(ignored))
            out.push_back(entry->path());
    }
    std::sort(out.begin(), out.end());
    return out;
}

// An event of the own chain has its number as its name; one of a branch that left it, or of another book, has digits.
bool has_on_own_chain(const Book& book, const Head& head) {
    const auto there = book.event_named(hex(head.digest));
    return there && there->digest == head.digest && there->name == event_name(head.seq);
}

bool has_side_file(const std::filesystem::path& file) {
    std::error_code ignored;
    return std::filesystem::exists(file.string() + "-wal", ignored) ||
           std::filesystem::exists(file.string() + "-journal", ignored);
}

}  // namespace

Result<FolderBackup> backup_into(const Book& book, const std::filesystem::path& folder, int keep, Instant now,
                                 const Evaluator& evaluator) {
    refuse_on_server(
        book.path(), "backup --into",
        "the server makes the backups (docs of PostgreSQL: continuous archiving); tarebook books move --to FILE "
        "makes the book a file");
    FolderBackup out;
    out.made = folder / copy_name(book.info().id, now);
    auto head = book.backup(out.made, evaluator);
    if (!head) return fail(std::move(head.error()));
    out.head = *head;
    struct Older {
        std::int64_t seq = 0;
        std::filesystem::path file;
    };
    std::vector<Older> older;
    for (const auto& file : copies_in(folder, hex(book.info().id).substr(0, copy_id_digits))) {
        if (file == out.made) continue;
        const auto stays = [&](std::string why) { out.not_removed.push_back({file, std::move(why)}); };
        if (has_side_file(file)) {
            stays("a log is beside it");
            continue;
        }
        try {
            const auto copy = head_of_copy(file);
            if (!copy)
                stays("it cannot be read as a book");
            else if (copy->book != book.info().id)
                stays("it is of another book");
            else if (!has_on_own_chain(book, copy->head))
                stays(fmt::format("its last event, {}, is not in this book", event_name(copy->head.seq)));
            else
                older.push_back({copy->head.seq, file});
        } catch (const StorageError&) {
            stays("another program has it, or the disk does not answer");
        }
    }
    // By what is in them, not by the clock that named them.
    std::stable_sort(older.begin(), older.end(),
                     [](const Older& a, const Older& b) { return std::tie(a.seq, a.file) > std::tie(b.seq, b.file); });
    for (std::size_t n = static_cast<std::size_t>(keep) - 1; n < older.size(); ++n) {
        std::error_code error;
        if (std::filesystem::remove(older[n].file, error) && !error)
            out.removed.push_back(older[n].file);
        else
            out.not_removed.push_back({older[n].file, "it could not be removed: " + error.message()});
    }
    return out;
}

std::optional<NewestCopy> newest_backup(const Book& book, const std::filesystem::path& folder) {
    std::optional<NewestCopy> out;
    for (const auto& file : copies_in(folder, hex(book.info().id).substr(0, copy_id_digits))) try {
            const auto copy = head_of_copy(file);
            if (!copy || copy->book != book.info().id || !has_on_own_chain(book, copy->head)) continue;
            if (!out || out->head.seq <= copy->head.seq)
                out = {file, copy->head, time_in_name(file.filename().string())};
        } catch (const StorageError&) {  // NOLINT(bugprone-empty-catch): one that is in use is not counted
        }
    return out;
}

Result<std::vector<CopyVerified>> verify_backups(const std::filesystem::path& folder, const Evaluator& evaluator) {
    std::vector<CopyVerified> out;
    for (const auto& file : copies_in(folder, {})) {
        auto& one = out.emplace_back();
        one.file = file;
        try {
            const auto copy = Book::open(file, Access::read);
            one.head = copy.head();
            one.problems = copy.check(evaluator).problems;
        } catch (const OlderBook& e) {
            one.problems.push_back(fmt::format("it has an older schema: {}", e.next()));
        } catch (const StorageError& e) {
            one.problems.emplace_back(e.what());
        }
    }
    if (out.empty())
        return fail({ErrorKind::refused, "no-backups", "no copy of a book is in that folder", folder.string(),
                     "a folder with copies that `tarebook backup --into FOLDER` made",
                     "make one: tarebook backup --into " + folder.string()});
    return out;
}

}  // namespace tarebook
