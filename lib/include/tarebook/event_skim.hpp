// An event as it lies in its canonical bytes: views, nothing copied, nothing kept. For a walk over all events that
// shows each one once. Whatever needs more than a look (words with escapes or beyond ASCII, register entries, taken-on
// findings, a local day that is another one in UTC, bytes that are not canonical) is left to event_from_body.
#pragma once

#include <bit>
#include <cstring>

#include "tarebook/event.hpp"

namespace tarebook {

/// The envelope. Absent words are empty: the book takes none that are empty.
struct SkimmedEvent {
    std::int64_t seq = 0;
    std::string_view date, zone, kind, by, job, scale, note, own_id, anyway;
    std::array<char, 5> time{};  ///< 14:30, the local clock
};

struct WeighingMasses {
    std::optional<Mass> before, after, net;
};

/// What does not lie so that it can be skimmed.
struct NotSkimmed {};

namespace skim {

/// A place in the bytes, and what may stand there.
class Cursor {
 public:
    explicit Cursor(std::string_view bytes) : at_(bytes.data()), end_(bytes.data() + bytes.size()) {}
    [[nodiscard]] bool is_at_end() const { return at_ == end_; }
    [[nodiscard]] std::size_t left() const { return static_cast<std::size_t>(end_ - at_); }
    [[nodiscard]] std::string_view rest() const { return {at_, left()}; }
    void pass(std::size_t n) { at_ += n; }

    void expect(std::string_view bytes) {
        if (left() < bytes.size() || std::memcmp(at_, bytes.data(), bytes.size()) != 0) throw NotSkimmed();
        at_ += bytes.size();
    }
    void expect(char c) {
        if (at_ == end_ || *at_ != c) throw NotSkimmed();
        ++at_;
    }
    /// `"key":`, after a comma unless it is the first of its object. The lists of fields name their keys as constants:
    /// where this is inlined, their length is known and a few bytes are compared at once.
    [[gnu::always_inline]] bool has(const char* key) {
        const auto length = std::char_traits<char>::length(key);
        const char* p = at_ + (first_ ? 0 : 1);
        if (left() < length + 4 || (!first_ && *at_ != ',') || p[0] != '"' || std::memcmp(p + 1, key, length) != 0 ||
            p[length + 1] != '"' || p[length + 2] != ':')
            return false;
        at_ = p + length + 3;
        first_ = false;
        return true;
    }
    [[gnu::always_inline]] void need(const char* key) {
        if (!has(key)) throw NotSkimmed();
    }
    [[gnu::always_inline]] std::string_view needed(const char* key) {
        need(key);
        return text();
    }
    [[gnu::always_inline]] std::string_view optional(const char* key) { return has(key) ? text() : std::string_view(); }
    void open() { expect('{'), first_ = true; }
    void close() { expect('}'), first_ = false; }

    /// A string of plain ASCII letters, as almost all are.
    std::string_view text() {
        expect('"');
        const char* begin = at_;
        if constexpr (std::endian::native == std::endian::little)
            while (left() >= 8) {
                std::uint64_t bytes = 0;
                std::memcpy(&bytes, at_, 8);
                if (const auto stops = stops_in(bytes)) {
                    at_ += std::countr_zero(stops) / 8;
                    break;
                }
                at_ += 8;
            }
        while (at_ != end_ && is_plain(*at_)) ++at_;
        expect('"');  // whatever else it stopped at is no plain letter
        return {begin, static_cast<std::size_t>(at_ - 1 - begin)};
    }
    /// A whole number as this program writes it.
    std::int64_t number(std::size_t most_bytes);
    Mass weight() {
        expect("{\"count\":\"");
        const auto mass = Mass::from_count(number(20));
        expect("\",\"typed\":");
        text();
        expect('}');
        return mass;
    }

 private:
    static bool is_plain(char c) {
        const auto byte = static_cast<unsigned char>(c);
        return byte >= 0x20 && byte < 0x80 && c != '"' && c != '\\';
    }
    // The high bit of each byte that is no plain letter; exact up to the first one.
    static std::uint64_t stops_in(std::uint64_t bytes) {
        constexpr std::uint64_t ones = 0x0101010101010101U;
        constexpr std::uint64_t highs = 0x8080808080808080U;
        const auto zeros = [](std::uint64_t x) { return (x - ones) & ~x & highs; };
        return (bytes & highs) | zeros(bytes ^ (ones * '"')) | zeros(bytes ^ (ones * '\\')) |
               ((bytes - ones * 0x20U) & ~bytes & highs);
    }

    const char* at_;
    const char* end_;
    bool first_ = true;
};

/// Walks a kind's list of fields over its bytes, and hands each part to `parts`: (key, words), (key, Mass) or
/// (key, WeighingMasses).
template <class Parts>
class FieldWalk {
 public:
    FieldWalk(Cursor& cursor, Parts& parts) : cursor_(cursor), parts_(parts) {}

    [[gnu::always_inline]] void operator()(const char* key, const std::string&) { parts_(key, cursor_.needed(key)); }
    [[gnu::always_inline]] void operator()(const char* key, const std::optional<std::string>&) {
        if (cursor_.has(key)) parts_(key, cursor_.text());
    }
    void operator()(const char* key, bool) {
        if (cursor_.has(key)) cursor_.expect("true");
    }
    void operator()(const char* key, const std::optional<std::int64_t>&) {
        constexpr std::int64_t limit = std::int64_t{1} << 53;
        if (!cursor_.has(key)) return;
        const auto v = cursor_.number(17);
        if (v >= limit || v <= -limit) throw NotSkimmed();
    }
    [[gnu::always_inline]] void operator()(const char* key, const Weight&) {
        cursor_.need(key);
        parts_(key, cursor_.weight());
    }
    [[gnu::always_inline]] void operator()(const char* key, const std::optional<Weight>&) {
        if (cursor_.has(key)) parts_(key, cursor_.weight());
    }
    [[gnu::always_inline]] void operator()(const char* key, const Weighing&) {
        if (!cursor_.has(key)) return;
        WeighingMasses masses;
        cursor_.open();
        if (cursor_.has("after")) masses.after = cursor_.weight();
        if (cursor_.has("before")) masses.before = cursor_.weight();
        if (cursor_.has("net")) masses.net = cursor_.weight();
        cursor_.close();
        if (!masses.after && !masses.before && !masses.net) throw NotSkimmed();
        parts_(key, masses);
    }
    [[gnu::always_inline]] void operator()(const char* key, Condition) {
        const auto word = cursor_.needed(key);
        if (!condition_from(word)) throw NotSkimmed();
        parts_(key, word);
    }
    [[gnu::always_inline]] void operator()(const char* key, Reason) {
        const auto word = cursor_.needed(key);
        if (!reason_from(word)) throw NotSkimmed();
        parts_(key, word);
    }
    void operator()(const char*, EntryKind) { throw NotSkimmed(); }
    void operator()(const char*, const FieldValues&) { throw NotSkimmed(); }

 private:
    Cursor& cursor_;
    Parts& parts_;
};

template <class Parts, std::size_t N = 0>
void kind_parts(std::string_view kind, Cursor& cursor, Parts& parts) {
    if constexpr (N + 1 < std::variant_size_v<AnyKind>) {  // the last one is Unknown
        using K = std::variant_alternative_t<N, AnyKind>;
        if (kind != K::name) return kind_parts<Parts, N + 1>(kind, cursor, parts);
        static const K none{};
        FieldWalk<Parts> walk(cursor, parts);
        cursor.open();
        K::fields(none, walk);
        cursor.close();
    } else {
        throw NotSkimmed();
    }
}

}  // namespace skim

/// Reads bodies one after another. What a body shares with the one before it (the day, the book) is held against that
/// one instead of being read again.
class Skimmer {
 public:
    /// False where event_from_body must look; what was filled in until then means nothing.
    template <class Parts>
    bool read(std::string_view body, SkimmedEvent& e, Parts& parts) {
        try {
            skim::Cursor cursor(body);
            until_kind(cursor, e);
            if (e.kind == kinds::Entry::name) return false;  // known before the throw
            until_what(cursor, e);
            skim::kind_parts(e.kind, cursor, parts);
            e.zone = cursor.needed("zone");
            cursor.close();
            return cursor.is_at_end();
        } catch (const NotSkimmed&) {
            return false;
        }
    }

 private:
    void until_kind(skim::Cursor& cursor, SkimmedEvent& e);
    void until_what(skim::Cursor& cursor, SkimmedEvent& e);
    bool is_day(std::string_view text);
    bool is_instant(std::string_view text);

    std::string_view at_;
    std::string day_, other_day_, book_;  // those that were good
};

}  // namespace tarebook
