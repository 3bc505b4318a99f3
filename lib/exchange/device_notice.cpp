#include "tarebook/exchange/device_notice.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "bundle_form.hpp"
#include "line_parts.hpp"
#include "tarebook/event/moment.hpp"

namespace tarebook {
namespace {

constexpr std::int64_t notice_version = 1;

std::string notice_first_line(const DeviceNotice& n) {
    return fmt::format(R"({{"at":"{}","device":{},"digest":"{}","events":{},"key":"{}","sender":"{}","shop":"{}"}})",
                       instant_text(n.at), notice_version, hex(n.head.digest), n.head.seq, n.card.public_key,
                       hex(n.card.book), hex(n.card.shop));
}
std::string have_line(const Book::HeldBook& one) {
    return fmt::format(R"({{"book":"{}","digest":"{}","have":{}}})", hex(one.id), hex(one.head.digest), one.head.seq);
}
std::string register_line(const std::pair<BookId, Digest>& one) {
    return fmt::format(R"({{"digest":"{}","register":"{}"}})", hex(one.second), hex(one.first));
}
std::string gathered_line(const Digest& digest) {
    return fmt::format(R"({{"gathered":"{}"}})", hex(digest));
}
std::string signature_line(const Digest& digest, std::string_view signature_hex) {
    return fmt::format(R"({{"digest":"{}","signature":"{}"}})", hex(digest), signature_hex);
}
std::string notice_message(const Digest& digest) {
    return fmt::format("tarebook device\n{}\n", hex(digest));
}

bool take_first(std::string_view line, DeviceNotice& out) {
    LineParts p(line);
    p.take(R"({"at":)");
    const auto at = instant_from_text(p.text());
    p.take(R"(,"device":)");
    const bool known = p.number() == notice_version;
    p.take(R"(,"digest":)"), out.head.digest = p.digest();
    p.take(R"(,"events":)"), out.head.seq = p.number();
    p.take(R"(,"key":)"), out.card.public_key = p.key();
    p.take(R"(,"sender":)"), out.card.book = p.book();
    p.take(R"(,"shop":)"), out.card.shop = p.book();
    if (!p.good() || !known || !at) return false;
    out.at = *at;
    return notice_first_line(out) == line;
}

bool take_line(std::string_view line, DeviceNotice& out) {
    LineParts p(line);
    if (line.starts_with(R"({"book":)")) {
        Book::HeldBook one;
        p.take(R"({"book":)"), one.id = p.book();
        p.take(R"(,"digest":)"), one.head.digest = p.digest();
        p.take(R"(,"have":)"), one.head.seq = p.number();
        out.have.push_back(one);
        return p.good() && have_line(one) == line;
    }
    if (line.starts_with(R"({"gathered":)")) {
        p.take(R"({"gathered":)"), out.gathered.push_back(p.digest());
        return p.good() && gathered_line(out.gathered.back()) == line;
    }
    std::pair<BookId, Digest> one;
    p.take(R"({"digest":)"), one.second = p.digest();
    p.take(R"(,"register":)"), one.first = p.book();
    out.registers.push_back(one);
    return p.good() && register_line(one) == line;
}

bool closes(std::string_view line, std::string_view before, const BookCard& card) {
    LineParts p(line);
    p.take(R"({"digest":)");
    const auto digest = p.digest();
    p.take(R"(,"signature":)");
    const auto signature = p.signature();
    return p.good() && signature_line(digest, p.signature_hex()) == line && digest == digest_of(before) &&
           bundle_form::signature_holds(card.public_key, notice_message(digest), signature);
}

}  // namespace

bool DeviceNotice::wants(const BookId& book) const {
    return std::any_of(have.begin(), have.end(), [&](const auto& one) { return one.id == book; });
}
bool DeviceNotice::has_register(const BookId& book, const Digest& digest) const {
    return std::find(registers.begin(), registers.end(), std::pair(book, digest)) != registers.end();
}
bool DeviceNotice::has_read(const Digest& parcel) const {
    return std::find(gathered.begin(), gathered.end(), parcel) != gathered.end();
}

std::string notice_text(const DeviceNotice& notice, const std::function<std::string(std::string_view)>& sign) {
    auto out = notice_first_line(notice) + "\n";
    for (const auto& one : notice.have) out += have_line(one) + "\n";
    for (const auto& one : notice.registers) out += register_line(one) + "\n";
    for (const auto& one : notice.gathered) out += gathered_line(one) + "\n";
    const auto digest = digest_of(out);
    return out + signature_line(digest, hex_of_bytes(sign(notice_message(digest)))) + "\n";
}

std::optional<DeviceNotice> notice_from(std::string_view bytes) {
    if (bytes.size() > largest_notice || !bytes.ends_with('\n')) return std::nullopt;
    DeviceNotice out;
    std::size_t at = 0;
    for (bool first = true;; first = false) {
        const auto end = bytes.find('\n', at);
        if (end == std::string_view::npos) return std::nullopt;
        const auto line = bytes.substr(at, end - at);
        const bool last = end + 1 == bytes.size();
        if (first ? last || !take_first(line, out) : !last && !take_line(line, out)) return std::nullopt;
        if (last) {
            if (!closes(line, bytes.substr(0, at), out.card)) return std::nullopt;
            return out;
        }
        at = end + 1;
    }
}

}  // namespace tarebook
