// One evening of a device: what the others have put into a shared folder comes into the book, and what they do not have
// yet goes there. The folder is anything that looks like one, and may be late, torn, doubled, emptied or set back: what
// is to be done follows from what stands in it now, and from what the others have signed that they have.
//
//     auto done = sync_with(book, "/mnt/share/tarebook", {}, now);
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "tarebook/book/card.hpp"
#include "tarebook/book/merge.hpp"
#include "tarebook/exchange/device_notice.hpp"

namespace tarebook {

/// Why a file is left in the folder, unread.
enum class WhyLeft {
    unreadable,  ///< the disk, or it went
    torn,        ///< not all of it is there yet
    damaged,     ///< other bytes than were signed
    other_shop,
    unknown,    ///< of a book that neither this one nor one that it trusts knows
    other_key,  ///< signed with another key than the trusted one
    withdrawn,  ///< of a book that is trusted no more
    sealed,     ///< for devices among which this one is not
    refused     ///< the book does not take it: `told` says why
};
/// A file of the folder that was left there.
struct LeftFile {
    std::string name;
    WhyLeft why = WhyLeft::damaged;
    std::string told;  ///< whose it is, or what the book says of it
};

/// What a sync did. Where `not_sent` is filled in, something could not be put into the folder; what came is in the
/// book.
struct Synced {
    /// What came of one book.
    struct Came {
        std::string called;       ///< its name here
        std::int64_t events = 0;  ///< new here
    };
    std::vector<Came> came;
    bool register_came = false;
    std::int64_t events_sent = 0;
    std::vector<std::string> sent_to;  ///< names of the devices for which anything was written
    bool register_sent = false;
    std::int64_t parcels_written = 0, parcels_removed = 0;
    std::uint64_t bytes_written = 0;
    std::vector<OpenFinding> new_exceptions;
    std::int64_t exceptions = 0;  ///< open now
    std::vector<LeftFile> left;
    /// A device whose card is in the folder, and that this book does not trust yet.
    struct Waiting {
        BookCard card;
        Instant at{};  ///< of its notice
    };
    std::vector<Waiting> waiting;
    /// A trusted device of which nothing was heard for thirty days.
    struct Silent {
        std::string called;
        std::optional<Instant> heard;  ///< by its own clock; empty where it has no notice here
        std::int64_t events = 0;       ///< own ones that wait for it
    };
    std::vector<Silent> silent;
    std::vector<std::string> awaited;  ///< names of trusted devices that do not trust this one yet
    std::int64_t devices = 0;          ///< trusted ones that are not withdrawn
    std::optional<Error> not_sent;
    Head head;  ///< of the own book, after it
};

/// How long a device may be silent.
inline constexpr std::chrono::days longest_silence{30};

/// Does it. `plain`: what is written is not sealed. Errors: sync-folder (storage), sync-running. Throws StorageError as
/// the book does.
Result<Synced> sync_with(Book& book, const std::filesystem::path& folder, bool plain, const Moment& now);

/// Devices of the folder whose books this one does not trust. Error: sync-folder.
Result<std::vector<Synced::Waiting>> waiting_in(const std::filesystem::path& folder, const Book& book);
/// The card in the folder that has this number, as card_number writes it. Errors: sync-folder (storage),
/// number-unknown.
Result<BookCard> card_numbered(const std::filesystem::path& folder, const std::string& number);

/// The folder of this device, in a small file beside the book, outside the chain: on another device it has another
/// name.
struct SyncFolder {
    std::filesystem::path folder;
    bool plain = false;
};
/// Nothing where none was set.
std::optional<SyncFolder> sync_folder_of(const std::filesystem::path& book);
/// Keeps it, in place of another one. Throws StorageError.
void keep_sync_folder(const std::filesystem::path& book, const SyncFolder& folder, Instant now);

}  // namespace tarebook
