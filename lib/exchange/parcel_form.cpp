#include "parcel_form.hpp"

#include <fmt/format.h>
#include <sodium.h>

#include "line_parts.hpp"
#include "tarebook/event/moment.hpp"

namespace tarebook::parcel_form {

std::string header(const Header& h) {
    return fmt::format(
        R"({{"book":"{}","devices":{},"digest":"{}","first":{},"gathers":{},"key":"{}","last":{},"made":"{}","parcel":{},"sealed":{},"sender":"{}","shop":"{}"}})",
        hex(h.book), h.devices, hex(h.digest), h.first, h.gathers, h.public_key, h.last, instant_text(h.made), version,
        h.sealed, hex(h.sender), hex(h.shop));
}
std::string box(const Box& b) {
    return fmt::format(R"({{"box":"{}","to":"{}"}})", hex_of_bytes(b.box), b.public_key);
}
std::string closing(const Digest& digest, std::string_view signature_hex) {
    return fmt::format("{{\"parcel_digest\":\"{}\",\"signature\":\"{}\"}}\n", hex(digest), signature_hex);
}
std::string message(const Digest& digest) {
    return fmt::format("tarebook parcel\n{}\n", hex(digest));
}

std::optional<Header> header_from(std::string_view line) {
    LineParts p(line);
    Header out;
    p.take(R"({"book":)"), out.book = p.book();
    p.take(R"(,"devices":)"), out.devices = p.number();
    p.take(R"(,"digest":)"), out.digest = p.digest();
    p.take(R"(,"first":)"), out.first = p.number();
    p.take(R"(,"gathers":)"), out.gathers = p.yes_or_no();
    p.take(R"(,"key":)"), out.public_key = p.key();
    p.take(R"(,"last":)"), out.last = p.number();
    p.take(R"(,"made":)");
    const auto made = instant_from_text(p.text());
    p.take(R"(,"parcel":)");
    const bool known = p.number() == version;
    p.take(R"(,"sealed":)"), out.sealed = p.yes_or_no();
    p.take(R"(,"sender":)"), out.sender = p.book();
    p.take(R"(,"shop":)"), out.shop = p.book();
    if (!p.good() || !made || !known || out.devices > most_devices || out.last < 1 || out.first > out.last)
        return std::nullopt;
    out.made = *made;
    if (header(out) != line) return std::nullopt;
    return out;
}

std::optional<Box> box_from(std::string_view line) {
    LineParts p(line);
    Box out;
    p.take(R"({"box":)");
    out.box = p.bytes(crypto_secretstream_xchacha20poly1305_KEYBYTES + crypto_box_SEALBYTES);
    p.take(R"(,"to":)"), out.public_key = p.key();
    if (!p.good() || box(out) != line) return std::nullopt;
    return out;
}

std::optional<Closing> closing_from(std::string_view bytes) {
    LineParts p(bytes);
    Closing out;
    p.take(R"({"parcel_digest":)"), out.digest = p.digest();
    p.take(R"(,"signature":)"), out.signature = p.signature();
    if (!p.good() || closing(out.digest, p.signature_hex()) != bytes) return std::nullopt;
    return out;
}

}  // namespace tarebook::parcel_form
