// The lines around a bundle that stands in a shared folder: who put it there, which events are in it, for whom it is
// sealed, and that it is whole. DEVELOPERS.md has the form with an example.
//
//     {"book":...,"first":41,...,"parcel":1,...}    its header
//     {"box":...,"to":KEY}                          one for each device to which it is sealed
//     ...                                           the bundle: its lines, or the pieces of a sealed stream
//     {"parcel_digest":...,"signature":...}         of all bytes before; the sender signs it
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/book/book.hpp"

namespace tarebook::parcel_form {

inline constexpr std::string_view beginning = R"({"book":")";
inline constexpr std::int64_t version = 1;
inline constexpr std::int64_t most_devices = 100'000;

struct Header {
    BookId book{};           ///< whose events, or whose register
    Digest digest{};         ///< of the last event; of a register that of its lines
    std::int64_t first = 1;  ///< 0: a register
    bool gathers = false;    ///< it has what older parcels have, and stands for them
    std::string public_key;  ///< of the sender, hex
    std::int64_t last = 1;   ///< number of the last event; of a register that of the event after which it was so
    Instant made{};
    bool sealed = true;
    BookId sender{}, shop{};
    std::int64_t devices = 0;  ///< how many lines with a box follow
    [[nodiscard]] bool is_register() const { return first == 0; }
    [[nodiscard]] Head end() const { return {last, digest}; }
};
struct Box {
    std::string box;         ///< the stream's key in a sealed box, bytes
    std::string public_key;  ///< of the device that can open it, hex
};
struct Closing {
    Digest digest{};
    std::string signature;
};

std::string header(const Header& header);
std::string box(const Box& box);
std::string closing(const Digest& digest, std::string_view signature_hex);
/// The closing line with its line feed.
inline constexpr std::size_t closing_size = 18 + 64 + 15 + 128 + 3;
/// The text that is signed.
std::string message(const Digest& digest);

/// Nothing where the line is not byte for byte in the form.
std::optional<Header> header_from(std::string_view line);
std::optional<Box> box_from(std::string_view line);
/// Of the last closing_size bytes of a file.
std::optional<Closing> closing_from(std::string_view bytes);

}  // namespace tarebook::parcel_form
