// Bytes that are no canonical event of this version: a kind or version of tomorrow is kept, anything else is told what
// is wrong with it. nlohmann reads them, slowly and whatever they are.
#include <nlohmann/json.hpp>

#include "canonical.hpp"
#include "tarebook/canonical_json.hpp"

namespace tarebook {
namespace {

using json = nlohmann::json;

struct BadBody {
    std::string why;
};

std::int64_t whole(const std::string& text) {
    std::size_t used = 0;
    std::int64_t v = 0;
    try {
        v = std::stoll(text, &used);
    } catch (const std::exception&) {
        throw BadBody{"a count is no whole number"};
    }
    if (used != text.size() || std::to_string(v) != text) throw BadBody{"a count is not written plainly"};
    return v;
}
// A number of a body: whole and below 2^53, so that every reader of JSON sees the same one.
std::int64_t number_from(const json& j) {
    constexpr std::int64_t limit = std::int64_t{1} << 53;
    if (!j.is_number_integer() || (j.is_number_unsigned() && j.get<std::uint64_t>() >= std::uint64_t{1} << 53))
        throw BadBody{"a number is not whole, or not below 2^53"};
    const auto v = j.get<std::int64_t>();
    if (v >= limit || v <= -limit) throw BadBody{"a number is not whole, or not below 2^53"};
    return v;
}
Weight weight_from(const json& j) {
    if (!j.is_object() || j.size() != 2) throw BadBody{"a weight is {count, typed}"};
    return {Mass::from_count(whole(j.at("count").get<std::string>())), j.at("typed").get<std::string>()};
}

struct Reader {
    const json& in;
    std::size_t taken = 0;

    const json* find(const char* key) {
        const auto it = in.find(key);
        if (it == in.end()) return nullptr;
        ++taken;
        return &*it;
    }
    const json& need(const char* key) {
        const auto* j = find(key);
        if (!j) throw BadBody{std::string("missing: ") + key};
        return *j;
    }
    void done() const {
        if (taken != in.size()) throw BadBody{"a key this version does not have"};
    }

    void operator()(const char* key, std::string& v) { v = need(key).get<std::string>(); }
    void operator()(const char* key, bool& v) {
        if (const auto* j = find(key)) v = j->get<bool>();
    }
    void operator()(const char* key, std::optional<std::string>& v) {
        if (const auto* j = find(key)) v = j->get<std::string>();
    }
    void operator()(const char* key, std::optional<std::int64_t>& v) {
        if (const auto* j = find(key)) v = number_from(*j);
    }
    void operator()(const char* key, Weight& v) { v = weight_from(need(key)); }
    void operator()(const char* key, std::optional<Weight>& v) {
        if (const auto* j = find(key)) v = weight_from(*j);
    }
    template <class E>
    void word(const char* key, E& v, std::optional<E> (*from)(std::string_view)) {
        const auto value = from(need(key).get_ref<const std::string&>());
        if (!value) throw BadBody{std::string("unknown word: ") + key};
        v = *value;
    }
    void operator()(const char* key, Condition& v) { word(key, v, condition_from); }
    void operator()(const char* key, Reason& v) { word(key, v, reason_from); }
    void operator()(const char* key, EntryKind& v) { word(key, v, entry_kind_from); }
    void operator()(const char* key, FieldValues& v) {
        const auto* j = find(key);
        if (!j) return;
        for (const auto& [name, value] : j->items()) {
            if (value.is_string()) {
                v[name] = {value.get<std::string>(), {}};
            } else {
                auto w = weight_from(value);
                v[name] = {w.typed, w.mass};
            }
        }
    }
    void operator()(const char* key, Weighing& v) {
        const auto* j = find(key);
        if (!j) return;
        Reader inner{*j};
        Weighing::fields(v, inner);
        inner.done();
    }
};

template <std::size_t N = 0>
bool read_kind(std::string_view kind, const json& words, What& what) {
    if constexpr (N + 1 < std::variant_size_v<AnyKind>) {  // the last one is Unknown
        using K = std::variant_alternative_t<N, AnyKind>;
        if (kind == K::name) {
            K k;
            Reader r{words};
            K::fields(k, r);
            r.done();
            what = std::move(k);
            return true;
        }
        return read_kind<N + 1>(kind, words, what);
    } else {
        return false;
    }
}

// Also what the envelope of a body carries; the reader and the writer walk the same list.
template <class E, class V>
void envelope(E& e, V& v) {
    v("anyway", e.anyway), v("by", e.by), v("job", e.job), v("note", e.note), v("own_id", e.own_id),
        v("scale", e.scale);
}

}  // namespace

Result<Event> event_from_other_bytes(std::string_view body) {
    auto refuse = [&](std::string why) {
        return fail({ErrorKind::storage,
                     "body-unreadable",
                     "the bytes of an event cannot be read",
                     std::move(why),
                     "a canonical body as this program writes it",
                     {}});
    };
    try {
        const json j = json::parse(body);
        if (!j.is_object()) return refuse("no object");
        Event e;
        Reader r{j};
        envelope(e, r);
        auto id = book_id_from_hex(r.need("book").get_ref<const std::string&>());
        auto prev = digest_from_hex(r.need("prev").get_ref<const std::string&>());
        auto at = instant_from_text(r.need("at").get_ref<const std::string&>());
        auto recorded = instant_from_text(r.need("recorded").get_ref<const std::string&>());
        if (!id || !prev || !at || !recorded) return refuse("book, prev, at or recorded");
        e.book = *id;
        e.previous = *prev;
        const auto offset_min = number_from(r.need("offset_min"));
        if (offset_min <= -1440 || offset_min >= 1440) return refuse("an offset from UTC of a day or more");
        e.when = {*at, std::chrono::minutes(offset_min), r.need("zone").get<std::string>()};
        e.recorded = *recorded;
        e.seq = number_from(r.need("seq"));
        if (r.need("date").get_ref<const std::string&>() != date_text(e.when.date())) return refuse("date");
        if (const auto* list = r.find("accepted"))
            for (const auto& one : *list) {
                Accepted a;
                Reader inner{one};
                Accepted::fields(a, inner);
                inner.done();
                e.accepted.push_back(std::move(a));
            }
        const auto& kind = r.need("kind").get_ref<const std::string&>();
        const auto& words = r.need("what");
        const bool known_version = number_from(r.need("v")) == body_version;
        if (!known_version || !read_kind(kind, words, e.what)) {
            e.what = kinds::Unknown{kind, std::string(body)};
            return e;
        }
        r.done();
        return refuse("not in canonical form (RFC 8785)");
    } catch (const BadBody& bad) {
        return refuse(bad.why);
    } catch (const std::exception& e) {
        return refuse(e.what());
    }
}

Result<Event> event_from_line(std::string_view line) {
    if (auto event = event_from_canonical(line)) return std::move(*event);
    if (auto wrong = not_canonical(line))
        return fail({ErrorKind::storage,
                     "body-unreadable",
                     "the bytes of an event cannot be read",
                     "not canonical JSON: " + *wrong,
                     "RFC 8785, as a book stores it",
                     {}});
    return event_from_other_bytes(line);
}

Result<Event> event_from_body(std::string_view body) {
    if (auto event = event_from_canonical(body)) return std::move(*event);
    return event_from_other_bytes(body);
}

}  // namespace tarebook
