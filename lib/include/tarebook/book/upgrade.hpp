// A book that an earlier version wrote is neither read nor recorded in before it has the newest schema. An upgrade
// takes all steps in one transaction, beside a copy of what the book was.
//
//     try {
//         auto book = Book::open(file, Access::read);
//     } catch (const OlderBook& e) {
//         std::cerr << cost_text(e.plan());  // "about 40 s, needs 1.2 GB"
//         upgrade(file);
//     }
#pragma once

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "tarebook/book/lock_wait.hpp"
#include "tarebook/units/error.hpp"

namespace tarebook {

/// How an upgrade keeps the older book.
struct UpgradeOptions {
    std::optional<std::filesystem::path> copy;  ///< of the older book; without one it is BOOK.before-schema-N beside it
    bool with_key = false;                      ///< the copy keeps the signing key
};

/// What an upgrade takes of one disk in addition to what is there now. Estimated.
struct DiskNeed {
    std::filesystem::path folder;
    std::int64_t bytes = 0;
    std::int64_t free = 0;  ///< of the disk, for this user
};

/// What an upgrade does, or did.
struct UpgradePlan {
    std::filesystem::path book, copy;
    bool with_key = false;
    int from = 0, to = 0;              ///< schemas
    std::chrono::milliseconds time{};  ///< estimated
    std::vector<DiskNeed> disks;       ///< that of the book, and that of the copy if it is another one
};

/// For people: "about 40 s, needs 1.2 GB".
std::string cost_text(const UpgradePlan& plan);
/// For people: "1.2 GB", "340 kB".
std::string bytes_text(std::int64_t bytes);

/// A book is upgraded without a question where that takes less than this.
inline constexpr std::chrono::milliseconds upgraded_unasked{2000};

/// What Book::open does with an older book.
struct WhenOlder {
    UpgradeOptions options = {};
    /// Whether a book that is opened to be recorded in is upgraded now, where that takes longer. Without this function
    /// it is refused.
    std::function<bool(const UpgradePlan&)> may_upgrade = {};
};

/// The book has an older schema; nothing was written. next() is the command that upgrades it.
class OlderBook : public StorageError {
 public:
    /// An older book, and what its upgrade would do.
    explicit OlderBook(UpgradePlan plan);
    /// What an upgrade would do.
    [[nodiscard]] const UpgradePlan& plan() const { return plan_; }

 private:
    UpgradePlan plan_;
};

/// What upgrade() would do; nothing where the book has the newest schema. Writes nothing. Throws the StorageErrors that
/// upgrade() throws before it writes.
std::optional<UpgradePlan> upgrade_plan(const std::filesystem::path& book, const UpgradeOptions& options = {},
                                        WhileWaiting while_waiting = {});

/// Upgrades a book, all steps in one transaction: a program that is killed in between leaves the older book, or the
/// newer one. The copy takes its name once it is whole: SQLite finds no fault in it, and its events have the digests of
/// the book. Returns what was done; nothing where the book has the newest schema. Throws StorageError, where a disk has
/// too little room before anything is written.
std::optional<UpgradePlan> upgrade(const std::filesystem::path& book, const UpgradeOptions& options = {},
                                   WhileWaiting while_waiting = {});

}  // namespace tarebook
