// Backups of a book in a folder, of which the newest are kept.
//
//     auto done = backup_into(book, "/mnt/backup", 14, now, Judge(book.reference_data()));
//     for (const auto& copy : verify_backups("/mnt/backup", Judge())) ...
//
// A copy is named after its book and the moment: tarebook-4136a0c2e17b-20261130T154512Z.tarebook. Nothing of another
// name is touched.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"

namespace tarebook {

/// A copy that stays though there are newer ones.
struct CopyKept {
    std::filesystem::path file;
    std::string why;
};
/// What a backup into a folder did.
struct FolderBackup {
    std::filesystem::path made;
    Head head;                                   ///< of the new copy
    std::vector<std::filesystem::path> removed;  ///< older copies of this book
    std::vector<CopyKept>
        not_removed;  ///< by name copies of this book, and not known to be in it: for a person to look at
};
/// Copies the book into the folder and checks the copy; only then removes copies of the same book, by its own names,
/// until `keep` of them are there. The copy that was made is never removed; a copy that cannot be read, that is of
/// another book, whose last event this book does not have, or beside which a log is, stays and is named. Errors: those
/// of Book::backup. Precondition: `keep` is 1 or more.
Result<FolderBackup> backup_into(const Book& book, const std::filesystem::path& folder, int keep, Instant now,
                                 const Evaluator& evaluator);

/// The copy of a book that has the most of it.
struct NewestCopy {
    std::filesystem::path file;
    Head head;
    Instant made{};  ///< by its name
};
/// Of the copies of this book in the folder that can be read, without checking it; nothing where there is none.
std::optional<NewestCopy> newest_backup(const Book& book, const std::filesystem::path& folder);

/// A copy in a folder, looked at.
struct CopyVerified {
    std::filesystem::path file;
    Head head;                          ///< its last event, where it can be read
    std::vector<std::string> problems;  ///< for people; empty: it checks clean
};
/// Checks each copy in a folder that has such a name, by name. Error (refused): no-backups, where there is none.
Result<std::vector<CopyVerified>> verify_backups(const std::filesystem::path& folder, const Evaluator& evaluator);

}  // namespace tarebook
