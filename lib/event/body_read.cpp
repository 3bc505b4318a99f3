// Reading canonical bytes in one pass: the same lists of fields as the writer's, walked in the same order. Whatever is
// not exactly as the writer would put it ends the reading; body_other.cpp then says why.
#include <charconv>

#include "canonical.hpp"
#include "tarebook/utf8.hpp"

namespace tarebook {
namespace {

struct NotCanonical {};

class Reader {
 public:
    explicit Reader(std::string_view& rest) : rest_(rest) { expect("{"); }
    void close() { expect("}"); }

    void operator()(const char* key, std::string& v) { need(key), text(v); }
    void operator()(const char* key, bool& v) {
        if (has(key)) expect("true"), v = true;
    }
    void operator()(const char* key, std::optional<std::string>& v) {
        if (has(key)) text(v.emplace());
    }
    void operator()(const char* key, std::int64_t& v) { need(key), v = number(); }
    void operator()(const char* key, std::optional<std::int64_t>& v) {
        if (has(key)) v = number();
    }
    void operator()(const char* key, Weight& v) { need(key), weight(v); }
    void operator()(const char* key, std::optional<Weight>& v) {
        if (has(key)) weight(v.emplace());
    }
    void operator()(const char* key, Condition& v) { word(key, v, condition_from); }
    void operator()(const char* key, Reason& v) { word(key, v, reason_from); }
    void operator()(const char* key, EntryKind& v) { word(key, v, entry_kind_from); }
    void operator()(const char* key, FieldValues& v) {
        if (!has(key)) return;
        Reader inner(rest_);
        std::string name;
        std::string last;
        while (!rest_.starts_with('}')) {
            inner.name(name);
            if (!v.empty() && name <= last) throw NotCanonical();
            FieldValue value;
            if (rest_.starts_with('{')) {
                Weight w;
                weight(w);
                value = {std::move(w.typed), w.mass};
            } else {
                text(value.text);
            }
            v.emplace_hint(v.end(), name, std::move(value));
            last = name;
        }
        if (v.empty()) throw NotCanonical();
        inner.close();
    }
    void operator()(const char* key, Weighing& v) {
        if (!has(key)) return;
        object(v);
        if (!v.before && !v.after && !v.net) throw NotCanonical();
    }
    void operator()(const char* key, std::vector<Accepted>& v) {
        if (!has(key)) return;
        expect("[");
        do {
            object(v.emplace_back());
        } while (eat(","));
        expect("]");
    }
    void operator()(const char* key, BookId& v) { bytes(key, v, book_id_from_hex); }
    void operator()(const char* key, Digest& v) { bytes(key, v, digest_from_hex); }
    void operator()(const char* key, Instant& v) { bytes(key, v, instant_from_text); }

    /// The parts of a kind; false where the kind is not known.
    template <std::size_t N = 0>
    bool kind(std::string_view name, What& what) {
        if constexpr (N + 1 < std::variant_size_v<AnyKind>) {  // the last one is Unknown
            using K = std::variant_alternative_t<N, AnyKind>;
            if (name != K::name) return kind<N + 1>(name, what);
            need("what");
            object(what.emplace<K>());
            return true;
        } else {
            return false;
        }
    }
    /// A string where it lies; none of those that are read so has an escape, so that one with an escape is no word of
    /// theirs.
    std::string_view plain(const char* key) {
        need(key);
        expect("\"");
        const auto end = rest_.find('"');
        if (end == std::string_view::npos) throw NotCanonical();
        const auto out = rest_.substr(0, end);
        rest_.remove_prefix(end + 1);
        return out;
    }

 private:
    bool eat(std::string_view bytes) {
        if (!rest_.starts_with(bytes)) return false;
        rest_.remove_prefix(bytes.size());
        return true;
    }
    void expect(std::string_view bytes) {
        if (!eat(bytes)) throw NotCanonical();
    }
    bool has(std::string_view key) {
        const std::size_t comma = first_ ? 0 : 1;
        if (rest_.size() < comma + key.size() + 3) return false;
        const char* p = rest_.data();
        if ((comma == 1 && p[0] != ',') || p[comma] != '"' || p[comma + key.size() + 1] != '"' ||
            p[comma + key.size() + 2] != ':' || rest_.substr(comma + 1, key.size()) != key)
            return false;
        rest_.remove_prefix(comma + key.size() + 3);
        first_ = false;
        return true;
    }
    void need(std::string_view key) {
        if (!has(key)) throw NotCanonical();
    }
    // Any key, of a map whose keys are the person's.
    void name(std::string& out) {
        if (!first_) expect(",");
        first_ = false;
        text(out);
        expect(":");
    }
    template <class T>
    void object(T& parts) {
        Reader inner(rest_);
        T::fields(parts, inner);
        inner.close();
    }
    template <class E>
    void word(const char* key, E& v, std::optional<E> (*from)(std::string_view)) {
        const auto value = from(plain(key));
        if (!value) throw NotCanonical();
        v = *value;
    }
    template <class T>
    void bytes(const char* key, T& v, std::optional<T> (*from)(std::string_view)) {
        const auto value = from(plain(key));
        if (!value) throw NotCanonical();
        v = *value;
    }
    std::int64_t digits(std::size_t most) {
        std::int64_t v = 0;
        const auto [end, error] = std::from_chars(rest_.data(), rest_.data() + rest_.size(), v);
        const auto length = static_cast<std::size_t>(end - rest_.data());
        if (error != std::errc() || length > most) throw NotCanonical();
        const auto first = rest_[0] == '-' ? 1U : 0U;
        if (rest_[first] == '0' && (length > 1 || first == 1)) throw NotCanonical();  // no 007, no -0
        rest_.remove_prefix(length);
        return v;
    }
    std::int64_t number() {
        const auto v = digits(17);
        constexpr std::int64_t limit = std::int64_t{1} << 53;
        if (v >= limit || v <= -limit) throw NotCanonical();
        return v;
    }
    void weight(Weight& v) {
        expect("{\"count\":\"");
        v.mass = Mass::from_count(digits(20));
        expect("\",\"typed\":");
        text(v.typed);
        expect("}");
    }
    void text(std::string& out) {
        expect("\"");
        out.clear();
        bool ascii = true;
        for (;;) {
            std::size_t n = 0;
            while (n < rest_.size() && rest_[n] != '"' && rest_[n] != '\\') {
                const auto byte = static_cast<unsigned char>(rest_[n]);
                if (byte < 0x20) throw NotCanonical();
                ascii = ascii && byte < 0x80;
                ++n;
            }
            out.append(rest_.substr(0, n));
            if (n == rest_.size()) throw NotCanonical();
            const bool end = rest_[n] == '"';
            rest_.remove_prefix(n + 1);
            if (end) break;
            out += escaped();
        }
        if (!ascii && !is_utf8(out)) throw NotCanonical();
    }
    char escaped() {
        constexpr std::string_view letters = "btnfr\"\\";
        constexpr std::string_view meant = "\b\t\n\f\r\"\\";
        if (rest_.empty()) throw NotCanonical();
        if (const auto i = letters.find(rest_[0]); i != std::string_view::npos) {
            rest_.remove_prefix(1);
            return meant[i];
        }
        expect("u00");
        constexpr std::string_view hex_digits = "0123456789abcdef";
        if (rest_.size() < 2) throw NotCanonical();
        const auto high = hex_digits.find(rest_[0]);
        const auto low = hex_digits.find(rest_[1]);
        if (high > 1 || low == std::string_view::npos) throw NotCanonical();
        const char c = static_cast<char>(high * 16 + low);
        if (meant.find(c) != std::string_view::npos) throw NotCanonical();  // it has a shorter form
        rest_.remove_prefix(2);
        return c;
    }

    std::string_view& rest_;
    bool first_ = true;
};

}  // namespace

std::optional<Event> event_from_canonical(std::string_view body) {
    try {
        std::optional<Event> event(std::in_place);
        auto& e = *event;
        auto rest = body;
        Reader r(rest);
        r("accepted", e.accepted);
        r("anyway", e.anyway);
        r("at", e.when.at);
        r("book", e.book);
        r("by", e.by);
        const auto date = r.plain("date");
        r("job", e.job);
        const auto kind = r.plain("kind");
        r("note", e.note);
        std::int64_t offset_min = 0;
        r("offset_min", offset_min);
        r("own_id", e.own_id);
        r("prev", e.previous);
        r("recorded", e.recorded);
        r("scale", e.scale);
        r("seq", e.seq);
        std::int64_t version = 0;
        r("v", version);
        if (version != body_version || offset_min <= -1440 || offset_min >= 1440) return std::nullopt;
        if (!r.kind(kind, e.what)) return std::nullopt;
        r("zone", e.when.zone);
        r.close();
        e.when.offset = std::chrono::minutes(offset_min);
        if (!rest.empty() || date != date_text(e.when.date())) return std::nullopt;
        return event;
    } catch (const NotCanonical&) {
        return std::nullopt;
    }
}

}  // namespace tarebook
