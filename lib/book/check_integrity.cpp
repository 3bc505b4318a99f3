// SQLite's own check of every page and every index. It takes half as long as all the rest and shares nothing with it,
// so that in a large book it runs beside the rest on another core.
#include <fmt/format.h>
#include <sqlite3.h>

#include "check.hpp"
#include "journal.hpp"

namespace tarebook {
namespace {

std::vector<std::string> told_by_sqlite(const std::filesystem::path& path) {
    // A connection belongs to one thread, so this has its own. It may see what was recorded since the first connection
    // began.
    const auto connection = connection_for_reading(path);
    auto& db = *connection;
    db.script("PRAGMA cache_size = -16384");  // it looks each row up in each index
    std::vector<std::string> told;
    for (auto s = db.ask("PRAGMA integrity_check"); s.next();)
        if (s.bytes(0) != "ok") told.emplace_back(s.bytes(0));
    return told;
}

}  // namespace

bool large_book(Book::Impl& book) try {
    constexpr std::int64_t large = 1'000;   // pages of 4 KiB
    if (book.db.on_server()) return false;  // one connection does all
    return book.db.integer("PRAGMA page_count").value_or(0) > large;
} catch (const DbError& e) {
    only_damage(e);
    return false;
}

IntegrityCheck::IntegrityCheck(Book::Impl& book) : path_(book.path) {
    if (book.db.on_server()) return;  // the server has checks of its own
    told_ = std::async(large_book(book) ? std::launch::async : std::launch::deferred,
                       [path = path_] { return told_by_sqlite(path); });
}

// SQLite reports what it could not read as if it were damage: "Page 21: unable to get the page. error code=266". For a
// page of the list of free ones it gives no code; it reports so only pages whose number is in the file.
void IntegrityCheck::not_the_disk(std::string_view told) const {
    constexpr std::string_view words = "error code=";
    const auto at = told.find(words);
    const int code =
        at == std::string_view::npos ? SQLITE_OK : std::atoi(std::string(told.substr(at + words.size())).c_str());
    const bool page = (code & 0xff) == SQLITE_IOERR && code != SQLITE_IOERR_SHORT_READ;
    const bool free_page = told.find("failed to get page") != std::string_view::npos;
    if (!page && !free_page) return;
    throw StorageError(fmt::format("the book {} could not be read to its end ({}).", path_.string(), told),
                       "check the disk, then run: tarebook check", Written::no, true);
}

void IntegrityCheck::finish(Problems problems) {
    if (!told_.valid()) return;
    try {
        for (const auto& told : told_.get()) {
            not_the_disk(told);
            problems.add("SQLite: {}", told);
        }
    } catch (const DbError& e) {
        only_damage(e);
        problems.add("SQLite: {}", e.what());
    }
}

}  // namespace tarebook
