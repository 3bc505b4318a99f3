#include "upgrade.hpp"

#include <fmt/format.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "atomic_book_file.hpp"
#include "check.hpp"
#include "check_schema.hpp"
#include "commit.hpp"
#include "journal.hpp"
#include "key.hpp"
#include "migrations.hpp"
#include "sqlite_engine.hpp"
#include "tarebook/book/server_address.hpp"

namespace tarebook {
namespace {

// The cost of each migration, by the size of the book before it. Measured on books of 20 000 and of 200 000 movements
// (19 and 189 MB, from schema 1) on a virtual machine of two cores with an SSD, both cores busy with other work; the
// processor was needed for half of the time. For a book of a million movements (939 MB) the estimate is 50 s and 2.0
// GB; it took 31 s and 1.9 GB on the same machine less busy. A hard disk takes longer. Schema 10 lays the events out
// anew, measured on a book of 100 000 movements (100 MB) with a write-ahead log: the room of the old rows stays in the
// file, for new rows. Schema 12 makes the index of schema 5 anew and has its cost, and so does schema 14; schema 13
// only renames.
struct MigrationCost {
    double seconds_a_gigabyte = 0;
    double journal = 0;  // share of the book that is in a journal or log until the migration is done
    double growth = 0;   // share by which the book grows, with what an index needs while it is sorted
};
constexpr std::array<MigrationCost, 14> migration_costs = {{{},
                                                            {2.9, 0.08, 0},
                                                            {1.7, 0, 0.01},
                                                            {0.1, 0, 0},
                                                            {2.1, 0, 0.01},
                                                            {23, 0.90, 0.04},
                                                            {6.3, 0.07, 0.02},
                                                            {1.4, 0, 0.03},
                                                            {},
                                                            {57, 1.58, 0.72},
                                                            {3, 0.01, 0},
                                                            {2.1, 0, 0.01},
                                                            {},
                                                            {2.1, 0, 0.01}}};
// Seconds to copy the book, to check the copy by SQLite, and to compute each event's digest.
constexpr double copy_seconds_a_gigabyte = 2.6 + 7.0 + 2.5;
// The least estimate, in bytes: pages of new tables, and what a file system rounds up.
constexpr std::int64_t least_bytes = 1 << 20;

std::string quoted(const std::filesystem::path& file) {
    const auto text = file.string();
    if (text.find_first_of(" '\"\\$`!*?&;|<>()[]{}~#\t\n") == std::string::npos) return text;
    std::string out = "'";
    for (const char c : text) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
    return out + "'";
}

std::filesystem::path folder_of(const std::filesystem::path& file) {
    return file.has_parent_path() ? file.parent_path() : std::filesystem::path(".");
}

std::int64_t free_bytes(const std::filesystem::path& folder) {
    struct statvfs disk {};
    if (::statvfs(folder.c_str(), &disk) != 0) return 0;
    return static_cast<std::int64_t>(disk.f_bavail) * static_cast<std::int64_t>(disk.f_frsize);
}

bool on_one_disk(const std::filesystem::path& a, const std::filesystem::path& b) {
    struct stat of_a {
    }, of_b{};
    return ::stat(a.c_str(), &of_a) == 0 && ::stat(b.c_str(), &of_b) == 0 && of_a.st_dev == of_b.st_dev;
}

std::string time_text(std::chrono::milliseconds time) {
    const auto seconds = std::chrono::duration<double>(time).count();
    if (seconds < 1) return "less than 1 s";
    // no more digits than an estimate has
    if (seconds < 10) return fmt::format("about {:.0f} s", seconds);
    if (seconds < 90) return fmt::format("about {:.0f} s", std::ceil(seconds / 10) * 10);
    return fmt::format("about {:.0f} min", std::ceil(seconds / 60));
}

std::int64_t all_bytes(const UpgradePlan& plan) {
    std::int64_t out = 0;
    for (const auto& disk : plan.disks) out += disk.bytes;
    return out;
}

// Empty if the book has the newest schema.
std::optional<UpgradePlan> plan_for(Book::Impl& book, const UpgradeOptions& options) {
    const int from = schema_of(book.db);
    if (from >= newest_schema) return std::nullopt;
    UpgradePlan plan;
    plan.book = book.path;
    plan.from = from;
    plan.to = newest_schema;
    plan.with_key = options.with_key;
    plan.copy = options.copy.value_or(book.path.string() + fmt::format(".before-schema-{}", newest_schema));
    const auto size = static_cast<double>(book.db.integer("PRAGMA page_count").value_or(0)) *
                      static_cast<double>(book.db.integer("PRAGMA page_size").value_or(0));
    MigrationCost steps{copy_seconds_a_gigabyte, 0, 0};
    for (auto step = static_cast<std::size_t>(from); step < static_cast<std::size_t>(newest_schema); ++step) {
        // A migration without a row in migration_costs counts as the slowest one.
        const auto& cost = step < migration_costs.size() ? migration_costs[step] : migration_costs[5];
        steps.seconds_a_gigabyte += cost.seconds_a_gigabyte;
        steps.journal += cost.journal;
        steps.growth += cost.growth;
    }
    plan.time = std::chrono::milliseconds(static_cast<std::int64_t>(steps.seconds_a_gigabyte * size / 1e6));
    const auto copy = static_cast<std::int64_t>(size);
    const auto work = least_bytes + static_cast<std::int64_t>((std::min(steps.journal, 1.6) + steps.growth) * size);
    const auto here = folder_of(plan.book), there = folder_of(plan.copy);
    if (on_one_disk(here, there)) {
        plan.disks = {{here, work + copy, free_bytes(here)}};
    } else {
        plan.disks = {{here, work, free_bytes(here)}, {there, copy, free_bytes(there)}};
    }
    return plan;
}

// Reads all in one transaction: another program may be upgrading the file.
std::optional<UpgradePlan> looked_at(Book::Impl& book, const UpgradeOptions& options) {
    if (schema_of(book.db) >= newest_schema) return std::nullopt;
    book.db.begin();
    auto plan = plan_for(book, options);
    if (plan) refuse_schema_of_another_number(book, plan->from);
    book.db.commit();
    return plan;
}

void refuse_full_disk(const UpgradePlan& plan) {
    for (const auto& disk : plan.disks)
        if (disk.free < disk.bytes)
            throw StorageError(
                fmt::format("the disk of {} has {} free, and the upgrade of {} needs about {} there. Nothing was "
                            "written.",
                            disk.folder.string(), bytes_text(disk.free), plan.book.string(), bytes_text(disk.bytes)),
                fmt::format("free some space, or keep the copy on another disk: tarebook upgrade --book {} --copy FILE",
                            quoted(plan.book)),
                Written::no, true);
}

// --- the copy of what the book was ---

// Whether the file is an earlier state of the book. Rows are only added to the table of events, each with the next
// number: if the book has the file's last event at the same place, the file is an earlier state.
bool is_earlier_self(Book::Impl& book, const std::filesystem::path& file) {
    try {
        refuse_strange_log(file);
        const auto connection = connection_for_reading(file);
        auto& there = *connection;
        if (there.integer("PRAGMA application_id").value_or(0) != application_id) return false;
        auto id = there.ask("SELECT value FROM book WHERE name = 'id'");
        if (!id.next() || id.text(0) != hex(book.info.id)) return false;
        auto last = there.ask("SELECT rowid, digest FROM event ORDER BY rowid DESC LIMIT 1");
        if (!last.next()) return false;
        auto here = book.db.ask("SELECT digest FROM event WHERE rowid = ?");
        here.with(last.integer(0));
        return here.next() && here.bytes(0) == last.bytes(1);
    } catch (const DbError&) {
        return false;  // no database, or a damaged one
    }
}

void refuse_name_of_copy(Book::Impl& book, const UpgradePlan& plan) {
    const auto other = fmt::format("name another file: tarebook upgrade --book {} --copy FILE", quoted(plan.book));
    std::error_code ignored;
    if (!std::filesystem::is_directory(folder_of(plan.copy), ignored) ||
        ::access(folder_of(plan.copy).c_str(), W_OK) != 0)
        throw StorageError(fmt::format("the copy {} of the book cannot be made: there is no folder {} that may be "
                                       "written. Nothing was written.",
                                       plan.copy.string(), folder_of(plan.copy).string()),
                           other);
    const auto status = std::filesystem::symlink_status(plan.copy, ignored);
    if (status.type() == std::filesystem::file_type::not_found) return;
    if (status.type() == std::filesystem::file_type::regular &&
        !std::filesystem::equivalent(plan.copy, plan.book, ignored) && is_earlier_self(book, plan.copy))
        return;
    throw StorageError(
        fmt::format("{} exists, and is not an earlier copy of this book. Nothing was written.", plan.copy.string()),
        other);
}

// Removes the key from the copy. It is overwritten in place and without a journal, so that no part of it stays in the
// file.
void take_key_out(Db& copy) {
    copy.script("PRAGMA journal_mode = MEMORY");
    copy.script("PRAGMA secure_delete = ON");
    copy.begin_recording();
    copy.run("DELETE FROM secret");
    copy.run("DELETE FROM book WHERE name = ?", std::string(locked_key_digest));
    set_info(copy, key_left_out, "yes");
    copy.commit();
}

// The first event whose body does not have the digest that the book has for it; empty if all have.
std::string other_event(Db& book, Db& copy) {
    auto here = book.ask("SELECT rowid, origin, seq, digest FROM event ORDER BY rowid");
    auto there = copy.ask("SELECT rowid, origin, seq, body FROM event ORDER BY rowid");
    for (;;) {
        const bool more = here.next();
        if (there.next() != more) return "the number of events";
        if (!more) return {};
        if (here.integer(0) != there.integer(0) || here.integer(1) != there.integer(1) ||
            here.integer(2) != there.integer(2) || digest_from(here.bytes(3)) != digest_of(there.bytes(3)))
            return fmt::format("event row {}", here.integer(0));
    }
}

std::string fault_of(Db& db) {
    auto s = db.ask("PRAGMA integrity_check(1)");
    return s.next() && s.bytes(0) == "ok" ? std::string() : printable(s.bytes(0));
}

void refuse_other_than_book(Book::Impl& book, Db& copy) {
    const auto damaged = [&](const std::string& what) {
        return StorageError(
            fmt::format("the book {} is damaged ({}), and stays as it is. Nothing was written.", book.path.string(),
                        what),
            "keep the file; go on from the last backup (tarebook restore), and merge there what tarebook "
            "salvage takes out of this one");
    };
    // Asks whether the book has the same fault. SQLite reports what it could not read ("error code=266") as if it were
    // a fault.
    const auto fault = fault_of(copy);
    if (!fault.empty())
        if (const auto own = fault_of(book.db); !own.empty() && own.find("error code=") == std::string::npos)
            throw damaged(own);
    const auto event = fault.empty() ? other_event(book.db, copy) : std::string();
    if (!event.empty() && !other_event(book.db, book.db).empty()) throw damaged(event);
    if (!fault.empty() || !event.empty())
        throw StorageError(fmt::format("the copy of the book {} is not as the book is ({}). Nothing was written.",
                                       book.path.string(), fault.empty() ? event : fault),
                           "check the disk; keep the copy on another one with --copy FILE", Written::no, true);
}

// Reads the book through a connection of its own, because SQLite copies nothing through one that is about to write.
void make_copy(Book::Impl& book, const UpgradePlan& plan, const std::filesystem::path& to) {
    {
        const auto from = connection_for_reading(book.path);
        copy_whole(*from, to);
    }
    Db copy(to, FileMode::write);
    if (!plan.with_key) take_key_out(copy);
    refuse_other_than_book(book, copy);
}

// Upgrades, and returns what was done; empty if another program did it meanwhile.
std::optional<UpgradePlan> upgraded(Book::Impl& book, const UpgradeOptions& options) {
    auto& db = book.db;
    db.begin_recording();  // from here on no other program records or upgrades
    bool new_name = false;
    std::optional<UpgradePlan> plan;
    try {
        book.look_afresh();
        plan = plan_for(book, options);
        if (!plan) {
            db.roll_back();
            return plan;
        }
        refuse_schema_of_another_number(book, plan->from);
        refuse_name_of_copy(book, *plan);
        refuse_full_disk(*plan);
        AtomicBookFile copy(plan->copy, "unfinished");
        make_copy(book, *plan, copy.path());
        run_migrations(db);
        // A step that lacks room on the disk has failed by now.
        new_name = copy.take_name();
        if (!new_name) copy.replace();
        commit_or_ask(book, {fmt::format("it has schema {}", newest_schema), "run: tarebook check",
                             [&]() -> std::optional<bool> { return schema_of(db) == newest_schema; }});
    } catch (...) {
        try {
            if (db.in_transaction()) db.roll_back();
        } catch (const DbError&) {  // NOLINT(bugprone-empty-catch): the journal undoes it when it is opened
        }
        if (std::error_code ignored; new_name && !book.committed) std::filesystem::remove(plan->copy, ignored);
        throw;
    }
    book.committed = false;  // what comes later has written nothing yet
    return plan;
}

}  // namespace

int schema_of(Db& db) {
    if (db.on_server()) return newest_schema;  // its tables are those of the newest file
    return static_cast<int>(db.integer("PRAGMA user_version").value_or(0));
}

void run_migrations(Db& db) {
    for (int version = schema_of(db); version < newest_schema; ++version) db.script(migration_sql[version]);
    db.script(fmt::format("PRAGMA user_version = {}", newest_schema));
}

void make_newest(Db& db) {
    db.begin_recording();
    run_migrations(db);
    db.commit();
}

void refuse_older(Book::Impl& book, const UpgradeOptions& options) {
    if (auto plan = looked_at(book, options)) throw OlderBook(std::move(*plan));
}

void upgrade_to_record(Book::Impl& book, const WhenOlder& when) {
    auto plan = looked_at(book, when.options);
    if (!plan) return;
    if (plan->time >= upgraded_unasked && !(when.may_upgrade && when.may_upgrade(*plan)))
        throw OlderBook(std::move(*plan));
    const auto did = upgraded(book, when.options);
    if (!did) return;
    try {
        book.read_info();
    } catch (const DbError& e) {
        throw StorageError(fmt::format("the book {} was upgraded to schema {}, and cannot be read now ({}).",
                                       book.path.string(), did->to, e.what()),
                           "check the disk, then run: tarebook check", Written::yes, true);
    }
    book.info.upgraded = did;
    book.info.remarks.push_back(
        fmt::format("an older Tarebook wrote the book (schema {}): it was upgraded to schema {}; a copy of it as it "
                    "was before, {} its signing key, is in {}",
                    did->from, did->to, did->with_key ? "with" : "without", did->copy.string()));
}

static void refuse_upgrade_on_server(const std::filesystem::path& path) {
    refuse_on_server(path, "upgrade",
                     "nothing is to be done: this program records in it, or says which newer one does");
}

std::optional<UpgradePlan> upgrade_plan(const std::filesystem::path& path, const UpgradeOptions& options,
                                        WhileWaiting while_waiting) {
    refuse_upgrade_on_server(path);
    try {
        static_cast<void>(Book::open(path, Access::read, {}, std::move(while_waiting), {options}));
        return std::nullopt;
    } catch (const OlderBook& e) {
        try {
            Book::Impl book(path, connection_for_reading(path));
            book.read_info();
            refuse_name_of_copy(book, e.plan());
            refuse_full_disk(e.plan());
            return e.plan();
        } catch (const DbError& failed) {
            rethrow_as_storage_error(failed, path, false);
        }
    }
}

std::optional<UpgradePlan> upgrade(const std::filesystem::path& path, const UpgradeOptions& options,
                                   WhileWaiting while_waiting) {
    refuse_upgrade_on_server(path);
    const auto yes = [](const UpgradePlan&) { return true; };
    return Book::open(path, Access::write, {}, std::move(while_waiting), {options, yes}).info().upgraded;
}

Head head_of_any_schema(Book::Impl& book) {
    const bool branched = schema_of(book.db) >= 6;
    auto s = book.db.ask(
        branched
            ? "SELECT e.seq, e.digest FROM event e JOIN origin o ON o.id = e.origin WHERE o.book = ? AND o.branch = "
              "? ORDER BY e.seq DESC LIMIT 1"
            : "SELECT e.seq, e.digest FROM event e JOIN origin o ON o.id = e.origin WHERE o.book = ? ORDER BY e.seq "
              "DESC LIMIT 1");
    branched ? s.with(book.info.id, book.own_branch) : s.with(book.info.id);
    Head out;
    if (s.next()) out = {s.integer(0), s.digest(1)};
    return out;
}

std::string bytes_text(std::int64_t bytes) {
    const auto n = static_cast<double>(bytes);
    if (n < 1e6) return fmt::format("{:.0f} kB", std::ceil(n / 1e3));
    if (n < 1e7) return fmt::format("{:.1f} MB", n / 1e6);
    if (n < 1e9) return fmt::format("{:.0f} MB", n / 1e6);
    return fmt::format("{:.1f} GB", n / 1e9);
}

std::string cost_text(const UpgradePlan& plan) {
    return fmt::format("{}, needs {}", time_text(plan.time), bytes_text(all_bytes(plan)));
}

OlderBook::OlderBook(UpgradePlan plan)
    : StorageError(fmt::format("an older Tarebook wrote the book {} (schema {}, this one has {}).", plan.book.string(),
                               plan.from, plan.to),
                   fmt::format("tarebook upgrade --book {} ({})", quoted(plan.book), cost_text(plan))),
      plan_(std::move(plan)) {}

}  // namespace tarebook
