// The notice of a device in a shared folder: its card, and what its book has of others. It is the device's own word,
// signed with its book's key, and the only file of the folder that is replaced.
//
//     {"at":"2026-06-02T22:00:00Z","device":1,"digest":...,"events":57,"key":...,"sender":...,"shop":...}
//     {"book":...,"digest":...,"have":120}       of each book that it trusts, up to where it has it without a gap
//     {"digest":...,"register":BOOK}             the register of that book
//     {"gathered":DIGEST}                        a parcel that stands for older ones, which it has read whole
//     {"digest":...,"signature":...}             of all bytes before
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "tarebook/book/card.hpp"

namespace tarebook {

/// What the file says.
struct DeviceNotice {
    BookCard card;
    Instant at{};
    Head head;  ///< the last event of its own book
    std::vector<Book::HeldBook> have;
    std::vector<std::pair<BookId, Digest>> registers;
    std::vector<Digest> gathered;

    /// Whether it trusts a book: then it says what it has of it, if only that it has nothing.
    [[nodiscard]] bool wants(const BookId& book) const;
    /// Whether it has that register.
    [[nodiscard]] bool has_register(const BookId& book, const Digest& digest) const;
    /// Whether it has read that parcel.
    [[nodiscard]] bool has_read(const Digest& parcel) const;
};

/// A file of no more bytes than this is read.
inline constexpr std::size_t largest_notice = std::size_t{16} * 1024 * 1024;

/// The bytes of the file. `sign`: 64 bytes under the key of the card.
std::string notice_text(const DeviceNotice& notice, const std::function<std::string(std::string_view)>& sign);
/// Nothing where the bytes are not a whole notice, signed by the key of its own card. Whether that key is the right one
/// the reader has to know.
std::optional<DeviceNotice> notice_from(std::string_view bytes);

}  // namespace tarebook
