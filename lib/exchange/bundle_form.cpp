#include "bundle_form.hpp"

#include <fmt/format.h>
#include <sodium.h>

#include "line_parts.hpp"
#include "tarebook/event/moment.hpp"
#include "units/hex.hpp"

namespace tarebook::bundle_form {
namespace {

constexpr std::size_t signature_size = crypto_sign_BYTES;
// In the header of a practice book's bundle, so that a program without practice books refuses it.
constexpr std::string_view practice = R"(,"practice":true)";

}  // namespace

std::string header(const Header& h) {
    return fmt::format(R"({{"bundle":{},"key":"{}","made":"{}"{},"sender":"{}","shop":"{}"}})",
                       h.has_names ? version_with_names : version, h.public_key, instant_text(h.made),
                       is_practice(h.shop) ? practice : "", hex(h.sender), hex(h.shop));
}
std::string chain(const Chain& c) {
    return fmt::format(R"({{"chain":"{}","first":{},"key":"{}","previous":"{}"}})", hex(c.book), c.first, c.public_key,
                       hex(c.previous));
}
std::string head(const Head& h, std::string_view signature_hex) {
    return fmt::format(R"({{"digest":"{}","head":{},"signature":"{}"}})", hex(h.digest), h.seq, signature_hex);
}
std::string register_begin(const BookId& book, std::int64_t seq) {
    return fmt::format(R"({{"register":"{}","seq":{}}})", hex(book), seq);
}
std::string register_end(std::int64_t entries, std::string_view signature_hex) {
    return fmt::format(R"({{"register_end":{},"signature":"{}"}})", entries, signature_hex);
}
std::string name(const PersonName& p) {
    return fmt::format(R"({{"name":"{}","person":"{}","salt":"{}"}})", hex_of_bytes(p.name), p.code,
                       hex_of_bytes(p.salt));
}
std::string end(const Digest& digest, std::int64_t lines, std::int64_t events, std::string_view signature_hex) {
    return fmt::format(R"({{"digest":"{}","end":{},"events":{},"signature":"{}"}})", hex(digest), lines, events,
                       signature_hex);
}

std::string end_message(const Digest& digest) {
    return fmt::format("tarebook bundle\n{}\n", hex(digest));
}
bool signature_holds(std::string_view public_key_hex, std::string_view message, std::string_view signature) {
    const auto key = digest_from_hex(public_key_hex);
    return key && signature.size() == signature_size &&
           crypto_sign_verify_detached(reinterpret_cast<const unsigned char*>(signature.data()),
                                       reinterpret_cast<const unsigned char*>(message.data()), message.size(),
                                       key->data()) == 0;
}

bool looks_like_one(std::string_view line) {
    for (const std::string_view begin :
         {R"({"bundle":)", R"({"chain":)", R"({"digest":)", R"({"register":)", R"({"register_end":)", R"({"name":)"})
        if (line.starts_with(begin)) return true;
    return false;
}

Line read(std::string_view line) {
    LineParts p(line);
    if (line.starts_with(R"({"bundle":)")) {
        p.take(R"({"bundle":)");
        const auto v = p.number();
        if (v != version && v != version_with_names) return p.good() ? Line(OtherVersion{v}) : Line();
        Header out;
        out.has_names = v == version_with_names;
        p.take(R"(,"key":)"), out.public_key = p.key();
        p.take(R"(,"made":)");
        const auto made = instant_from_text(p.text());
        p.skip(practice);
        p.take(R"(,"sender":)"), out.sender = p.book();
        p.take(R"(,"shop":)"), out.shop = p.book();
        if (!p.good() || !made) return {};
        out.made = *made;
        if (header(out) == line) return out;
    } else if (line.starts_with(R"({"chain":)")) {
        Chain out;
        p.take(R"({"chain":)"), out.book = p.book();
        p.take(R"(,"first":)"), out.first = p.number();
        p.take(R"(,"key":)"), out.public_key = p.key();
        p.take(R"(,"previous":)"), out.previous = p.digest();
        if (p.good() && out.first > 0 && chain(out) == line) return out;
    } else if (line.starts_with(R"({"digest":)")) {
        p.take(R"({"digest":)");
        const auto digest = p.digest();
        if (p.take(R"(,"head":)")) {
            HeadLine out{{p.number(), digest}, {}};
            p.take(R"(,"signature":)"), out.signature = p.signature();
            if (p.good() && head(out.head, p.signature_hex()) == line) return out;
            return {};
        }
        LineParts q(line);
        End out;
        q.take(R"({"digest":)"), out.digest = q.digest();
        q.take(R"(,"end":)"), out.lines = q.number();
        q.take(R"(,"events":)"), out.events = q.number();
        q.take(R"(,"signature":)"), out.signature = q.signature();
        if (q.good() && end(out.digest, out.lines, out.events, q.signature_hex()) == line) return out;
    } else if (line.starts_with(R"({"name":)")) {
        NameLine out;
        p.take(R"({"name":)");
        const auto bytes = p.text();
        out.person.name = bytes_from_hex(bytes, bytes.size() / 2).value_or(std::string());
        p.take(R"(,"person":)"), out.person.code = p.text();
        p.take(R"(,"salt":)"), out.person.salt = p.bytes(person_salt_size);
        if (p.good() && !out.person.name.empty() && name(out.person) == line) return out;
    } else if (line.starts_with(R"({"register":)")) {
        RegisterBegin out;
        p.take(R"({"register":)"), out.book = p.book();
        p.take(R"(,"seq":)"), out.seq = p.number();
        if (p.good() && register_begin(out.book, out.seq) == line) return out;
    } else if (line.starts_with(R"({"register_end":)")) {
        RegisterEnd out;
        p.take(R"({"register_end":)"), out.entries = p.number();
        p.take(R"(,"signature":)"), out.signature = p.signature();
        if (p.good() && register_end(out.entries, p.signature_hex()) == line) return out;
    }
    return {};
}

}  // namespace tarebook::bundle_form
