// What a device puts into a shared folder, and which of its own files there are needed no more: a pure function of what
// its book has, of what stands in the folder now, and of what the other devices have signed that they have. It knows
// nothing of an earlier run, so an emptied folder, or one of last week, is but a folder in which more is missing.
//
// For each device that is waited for, what it has acknowledged and the parcels here that it can read reach together
// from event 1 to the last one that is news; what is missing for any of them goes into one parcel.
#pragma once

#include <functional>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "parcel_form.hpp"
#include "tarebook/exchange/device_notice.hpp"

namespace tarebook {

/// A parcel in the folder, by what its lines say.
struct FolderParcel {
    std::string name;
    std::vector<std::string> doubles;  ///< other names of the same, as a program that copies folders makes them
    parcel_form::Header header;
    Digest digest{};  ///< of its bytes
    std::uint64_t size = 0;
    std::set<std::string, std::less<>> keys;  ///< that open it
    [[nodiscard]] bool opens_for(std::string_view public_key) const;
};

/// Another device of the shop that this book trusts, and for which something may wait.
struct SyncDevice {
    BookId id{};
    std::string called, public_key;
    const DeviceNotice* notice = nullptr;  ///< empty where the folder has none
};

/// A device that writes no more: its book is withdrawn, or another one goes on from its copy.
struct GoneDevice {
    BookId id{};
    std::optional<Head> last;  ///< of a withdrawn one: its last event that counts
    bool withdrawn = false;
};

/// What the book has.
struct SyncFacts {
    BookId id{};
    std::string public_key;
    Head head;
    std::int64_t news = 0;                                ///< its last event that is no merge
    std::vector<Book::HeldBook> held;                     ///< of the other books that it trusts
    std::optional<Digest> entries;                        ///< of its register
    std::set<BookId> books_of_entries;                    ///< whose events set what is in it
    std::function<bool(const BookId&, const Head&)> has;  ///< an event; of the own book: on the own chain
    /// The events of a book from a number up to an event, without a gap.
    std::function<bool(const BookId&, std::int64_t, const Head&)> holds;
    std::vector<GoneDevice> gone;
};

/// Asked only of parcels on which something depends: all their bytes are read for it.
using IsWhole = std::function<bool(const FolderParcel&)>;

/// A parcel to be written.
struct PlannedParcel {
    BookId book{};
    std::int64_t first = 1;  ///< 0: the register
    Head end;                ///< the last event that the book has; of the register its digest
    bool gathers = false;
    std::vector<BookId> to;  ///< devices for which it is needed; of own events: all
};
std::vector<PlannedParcel> parcels_to_write(const SyncFacts& facts, const std::vector<SyncDevice>& devices,
                                            const std::vector<FolderParcel>& parcels, const IsWhole& is_whole);

/// Places in `parcels` of own ones for which a later one stands, once each device has acknowledged that one by a notice
/// of its own; of a register and of what was passed on, once each has what is in it. Of the parcels of a device that is
/// gone, those whose events this book has, once each device that wants them has acknowledged them.
std::vector<std::size_t> parcels_to_remove(const SyncFacts& facts, const std::vector<SyncDevice>& devices,
                                           const std::vector<FolderParcel>& parcels, const IsWhole& is_whole);

/// Up to which event of a book a device has acknowledged that it has it; 0 where it has not.
std::int64_t acknowledged(const SyncFacts& facts, const SyncDevice& device, const BookId& book);

/// A parcel that a device has not read for so long, by what it says itself, is written once more.
inline constexpr std::chrono::days longest_on_its_way{3};
/// Beyond so many own parcels the newest ones become one.
inline constexpr std::size_t most_parcels = 12;

}  // namespace tarebook
