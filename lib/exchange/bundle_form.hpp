// The lines of a bundle that are not events, each in canonical form.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "tarebook/book/book.hpp"

namespace tarebook::bundle_form {

/// A bundle with names of people is of the newer version, so that a program that does not know of them says so.
inline constexpr std::int64_t version = 1, version_with_names = 2;

struct Header {
    BookId sender{}, shop{};
    std::string public_key;
    Instant made{};
    bool has_names = false;
};
struct Chain {
    BookId book{};
    std::int64_t first = 1;
    std::string public_key;
    Digest previous{};
};
struct HeadLine {
    Head head;
    std::string signature;  ///< 64 bytes
};
struct RegisterBegin {
    BookId book{};
    std::int64_t seq = 0;
};
struct RegisterEnd {
    std::int64_t entries = 0;
    std::string signature;
};
struct NameLine {
    PersonName person;
};
struct End {
    Digest digest{};
    std::int64_t lines = 0, events = 0;
    std::string signature;
};
struct OtherVersion {
    std::int64_t version = 0;
};
using Line =
    std::variant<std::monostate, Header, Chain, HeadLine, RegisterBegin, RegisterEnd, NameLine, End, OtherVersion>;

std::string header(const Header& line);
std::string chain(const Chain& line);
std::string head(const Head& head, std::string_view signature_hex);
std::string register_begin(const BookId& book, std::int64_t seq);
std::string register_end(std::int64_t entries, std::string_view signature_hex);
/// Name and salt in hex.
std::string name(const PersonName& person);
std::string end(const Digest& digest, std::int64_t lines, std::int64_t events, std::string_view signature_hex);

/// The texts that are signed for a register and for the whole bundle.
std::string end_message(const Digest& digest);
bool signature_holds(std::string_view public_key_hex, std::string_view message, std::string_view signature);

/// Whether a line may be one of these; the other lines are events.
bool looks_like_one(std::string_view line);
/// std::monostate if the line is none of them, or not byte for byte in their form.
Line read(std::string_view line);

}  // namespace tarebook::bundle_form
