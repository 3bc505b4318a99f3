// The state of a cylinder as bytes: length-prefixed parts in a fixed order, so that equal bytes mean equal states.
#include <algorithm>
#include <stdexcept>

#include "tarebook/ledger/ledger.hpp"
#include "tarebook/units/broken_promise.hpp"

namespace tarebook {
namespace {

struct Packer {
    std::string out;
    void number(std::int64_t value) {
        auto v = (static_cast<std::uint64_t>(value) << 1U) ^ static_cast<std::uint64_t>(value >> 63);  // zigzag
        while (v >= 0x80U) {
            out += static_cast<char>(v | 0x80U);
            v >>= 7U;
        }
        out += static_cast<char>(v);
    }
    void text(std::string_view s) {
        number(static_cast<std::int64_t>(s.size()));
        out += s;
    }
    void lots(const Lots& lots) {
        number(static_cast<std::int64_t>(lots.size()));
        for (const auto& lot : lots) {
            text(lot.key.refrigerant);
            text(lot.key.owner);
            number(static_cast<std::int64_t>(lot.key.condition));
            number(lot.mass.count());
        }
    }
    void identified(const IdentifiedGas& seen) {
        text(std::string_view(reinterpret_cast<const char*>(seen.book.data()), seen.book.size()));
        number(seen.seq);
        number(seen.on.time_since_epoch().count());
        text(seen.cylinder);
        for (const auto* words : {&seen.refrigerant, &seen.composition, &seen.air, &seen.result}) {
            number(*words ? 1 : 0);
            if (*words) text(**words);
        }
    }
};

struct Unpacker {
    std::string_view in;
    [[noreturn]] static void bad() { throw BrokenPromise("a packed cylinder state is damaged"); }
    std::int64_t number() {
        std::uint64_t v = 0;
        for (unsigned shift = 0; shift < 70; shift += 7) {
            if (in.empty()) bad();
            const auto byte = static_cast<unsigned char>(in.front());
            in.remove_prefix(1);
            v |= static_cast<std::uint64_t>(byte & 0x7fU) << shift;
            if (byte < 0x80U) return static_cast<std::int64_t>(v >> 1U) ^ -static_cast<std::int64_t>(v & 1U);
        }
        bad();
    }
    std::string text() {
        const auto n = number();
        if (n < 0 || static_cast<std::size_t>(n) > in.size()) bad();
        std::string s(in.substr(0, static_cast<std::size_t>(n)));
        in.remove_prefix(static_cast<std::size_t>(n));
        return s;
    }
    Lots lots() {
        const auto n = number();
        if (n < 0 || static_cast<std::size_t>(n) > in.size()) bad();
        Lots lots;
        for (std::int64_t i = 0; i < n; ++i) {
            Lot lot;
            lot.key.refrigerant = text();
            lot.key.owner = text();
            const auto condition = number();
            if (condition < 0 || condition > 3) bad();
            lot.key.condition = static_cast<Condition>(condition);
            lot.mass = Mass::from_count(number());
            lots.push_back(std::move(lot));
        }
        return lots;
    }
    IdentifiedGas identified() {
        IdentifiedGas seen;
        const auto book = text();
        if (book.size() != seen.book.size()) bad();
        std::copy(book.begin(), book.end(), reinterpret_cast<char*>(seen.book.data()));
        seen.seq = number();
        const auto day = number();
        if (day < INT32_MIN || day > INT32_MAX) bad();
        seen.on = std::chrono::sys_days(std::chrono::days(static_cast<std::int32_t>(day)));
        seen.cylinder = text();
        for (auto* words : {&seen.refrigerant, &seen.composition, &seen.air, &seen.result}) {
            const auto there = number();
            if (there != 0 && there != 1) bad();
            if (there == 1) *words = text();
        }
        return seen;
    }
};

constexpr std::int64_t gone = 1;
constexpr std::int64_t lost = 2;
constexpr std::int64_t condemned = 4;
constexpr std::int64_t leaking = 8;
constexpr std::int64_t reclaim_only = 16;
constexpr std::int64_t mixed = 32;
constexpr std::int64_t has_gross = 64;
constexpr std::int64_t has_identified = 128;

}  // namespace

std::string packed(const CylinderState& s) {
    Packer p;
    p.out.reserve(96);
    p.number((s.gone ? gone : 0) | (s.lost ? lost : 0) | (s.condemned ? condemned : 0) | (s.leaking ? leaking : 0) |
             (s.reclaim_only ? reclaim_only : 0) | (s.mixed ? mixed : 0) | (s.gross ? has_gross : 0) |
             (s.identified ? has_identified : 0));
    if (s.gross) p.number(s.gross->count());
    p.lots(s.lots);
    p.lots(s.lots_when_lost);
    p.text(s.spoiled);
    p.text(s.place);
    p.text(s.held_for);
    if (s.identified) p.identified(*s.identified);
    return std::move(p.out);
}

CylinderState unpacked(std::string_view bytes) {
    Unpacker u{bytes};
    CylinderState s;
    const auto flags = u.number();
    s.gone = (flags & gone) != 0;
    s.lost = (flags & lost) != 0;
    s.condemned = (flags & condemned) != 0;
    s.leaking = (flags & leaking) != 0;
    s.reclaim_only = (flags & reclaim_only) != 0;
    s.mixed = (flags & mixed) != 0;
    if ((flags & has_gross) != 0) s.gross = Mass::from_count(u.number());
    s.lots = u.lots();
    s.lots_when_lost = u.lots();
    s.spoiled = u.text();
    s.place = u.text();
    s.held_for = u.text();
    if ((flags & has_identified) != 0) s.identified = u.identified();
    if (!u.in.empty()) Unpacker::bad();
    return s;
}

namespace {
struct KindText {
    AccountKind kind;
    std::string_view text;
};
constexpr KindText kind_texts[] = {{AccountKind::cylinder, "cylinder"},
                                   {AccountKind::circuit, "circuit"},
                                   {AccountKind::supplier, "supplier"},
                                   {AccountKind::reclaimer, "reclaimer"},
                                   {AccountKind::destroyer, "destroyer"},
                                   {AccountKind::atmosphere, "atmosphere"},
                                   {AccountKind::lost, "lost"},
                                   {AccountKind::opening, "opening"},
                                   {AccountKind::outside, "outside"},
                                   {AccountKind::unaccounted, "unaccounted"},
                                   {AccountKind::scale, "scale"},
                                   {AccountKind::reclassified, "reclassified"},
                                   {AccountKind::not_refrigerant, "not-refrigerant"}};
}  // namespace

std::string_view text_of(Severity severity) {
    switch (severity) {
        case Severity::note:
            return "note";
        case Severity::exception:
            return "exception";
        case Severity::refusal:
            return "refusal";
    }
    return "exception";
}

std::string_view text_of(AccountKind kind) {
    for (const auto& k : kind_texts)
        if (k.kind == kind) return k.text;
    std::abort();
}
std::optional<AccountKind> account_kind_from(std::string_view text) {
    for (const auto& k : kind_texts)
        if (k.text == text) return k.kind;
    return std::nullopt;
}

}  // namespace tarebook
