// A bundle: events of one or more books, on their way to another book. Text, one JSON object a line, every line in
// canonical form (RFC 8785), so that another program can write and read it; DEVELOPERS.md has the form with an example.
//
//     {"bundle":2, ...}                     who sends it, of which shop; 1 where no names of people follow
//     {"name":...,"person":CODE, ...}       the name that a code of an event stands for
//     {"chain":BOOK,"first":N, ...}         a run of one book's chain; then its events, as they are stored
//     {"digest":...,"head":N, ...}          its end: the signed head covers all of it
//     {"register":BOOK, ...}                the register as the sender has it; entries; signed as well
//     {"digest":...,"end":LINES, ...}       digest and signature of all bytes before
//
// A bundle may be sealed: then only the book to whose key it was sealed can read it.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/book/book.hpp"
#include "tarebook/book/merge.hpp"
#include "tarebook/units/file_problem.hpp"

namespace tarebook {

/// What goes into a bundle.
struct SendOptions {
    std::int64_t from = 1;               ///< events of the own chain before it are left out
    bool all_books = false;              ///< those of other books too, as they came in
    bool with_register = false;          ///< and the register, for a truck that has no part of it
    bool events = true;                  ///< false: the register alone
    std::optional<std::string> seal_to;  ///< Ed25519 key in hex
};
/// What is in the bundle that was written.
struct SentBundle {
    std::int64_t events = 0, lines = 0, entries = 0;
    std::uint64_t bytes = 0;
    std::vector<Head> heads;  ///< of each run
    Head own_head;
};
/// Writes a bundle. The file takes its name when it is whole. Errors: file-exists, cannot-write, nothing-to-send,
/// key-format.
Result<SentBundle> send_bundle(const Book& book, const std::filesystem::path& to, const SendOptions& options,
                               Instant now);

/// Merges the bundles, all or none, in one transaction; it waits for the book only when all are verified. Errors, with
/// the line: bundle-missing, bundle-torn, bundle-line-long, bundle-not-canonical, bundle-form, bundle-version,
/// bundle-other-shop, bundle-chain, bundle-signature, bundle-digest, bundle-sealed, bundle-changed (between the look
/// that verified it and the lock), and those of Merging. Throws StorageError as the book does.
tl::expected<Merged, FileProblem> merge_bundles(Book& book, const std::vector<std::filesystem::path>& files,
                                                const Moment& now);

/// Verifies a plain bundle in memory to its last byte, and does nothing with it. Errors as for merge_bundles.
/// For a program that gets bundles in a way of its own, and verifies them before it keeps them.
Result<void> verify_bundle(std::string_view bytes, const BookId& shop);

}  // namespace tarebook
