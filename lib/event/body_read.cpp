// The reader of bodies: one walk over a kind's list of fields, along its canonical bytes. It fills an Event, or hands
// out views of the parts. Bytes that body_write.cpp would not write end the reading; a kind or version that this
// program does not know is kept byte for byte.
#include <concepts>

#include "cursor.hpp"
#include "tarebook/event/body_view.hpp"
#include "tarebook/event/canonical_json.hpp"
#include "units/hex.hpp"

namespace tarebook {
namespace {

constexpr int most_depth = 16;

template <class T, class U>
concept Is = std::same_as<std::remove_const_t<T>, U>;

// Fills the fields of an event. A constant event is only a list of fields: the parts then go to `parts`.
class Walk {
 public:
    explicit Walk(Cursor& in, BodyParts* parts = nullptr) : in_(in), parts_(parts) {}

    template <class T>
    [[gnu::always_inline]] void object(T& fields) {
        in_.open();
        std::remove_const_t<T>::fields(fields, *this);
        in_.close();
    }

    template <Is<std::string> T>
    [[gnu::always_inline]] void operator()(const char* key, T& v) {
        in_.need(key), words(key, v);
    }
    template <Is<std::optional<std::string>> T>
    [[gnu::always_inline]] void operator()(const char* key, T& v) {
        if (in_.has(key)) words(key, v);
    }
    template <Is<bool> T>
    void operator()(const char* key, T& v) {
        if (!in_.has(key)) return;
        in_.expect("true", "no value begins so");
        if constexpr (std::is_const_v<T>)
            parts_->yes(key);
        else
            v = true;
    }
    template <Is<std::optional<std::int64_t>> T>
    void operator()(const char* key, T& v) {
        if (!in_.has(key)) return;
        const auto number = in_.number();
        if constexpr (std::is_const_v<T>)
            parts_->number(key, number);
        else
            v = number;
    }
    template <Is<Weight> T>
    [[gnu::always_inline]] void operator()(const char* key, T& v) {
        in_.need(key), mass(key, v);
    }
    template <Is<std::optional<Weight>> T>
    [[gnu::always_inline]] void operator()(const char* key, T& v) {
        if (in_.has(key)) mass(key, v);
    }
    template <Is<Weighing> T>
    [[gnu::always_inline]] void operator()(const char* key, T& v) {
        if (in_.has(key)) weighing(key, v);
    }
    template <Is<std::optional<Money>> T>
    void operator()(const char* key, T& v) {
        if (!in_.has(key)) return;
        const Price read{money(), PricePer::all};
        in_.close();
        hand_over(key, read);
        if constexpr (!std::is_const_v<T>) v = read.amount;
    }
    template <Is<std::optional<Price>> T>
    void operator()(const char* key, T& v) {
        if (!in_.has(key)) return;
        Price read{money(), PricePer::all};
        if (in_.has("per")) {
            const auto per = price_per_from(in_.text());
            if (!per) throw Wrong{"no unit of mass: ", "per"};
            read.per = *per;
        }
        in_.close();
        hand_over(key, read);
        if constexpr (!std::is_const_v<T>) v = read;
    }
    template <Is<Condition> T>
    void operator()(const char* key, T& v) {
        word(key, v, condition_from);
    }
    template <Is<Reason> T>
    void operator()(const char* key, T& v) {
        word(key, v, reason_from);
    }
    template <Is<EntryKind> T>
    void operator()(const char* key, T& v) {
        word(key, v, entry_kind_from);
    }
    template <Is<FieldValues> T>
    void operator()(const char* key, T& v) {
        if (!in_.has(key)) return;
        auto values = field_values();
        if constexpr (!std::is_const_v<T>) v = std::move(values);
    }

 private:
    template <class T>
    void words(const char* key, T& v) {
        const auto words = in_.text();
        if constexpr (std::is_const_v<T>)
            parts_->words(key, words);
        else
            v = std::string(words);
    }
    template <class T>
    Mass weight(T& v) {
        constexpr const char* form = "a weight is {count, typed}, or {count, read, typed}";
        in_.expect("{\"count\":\"", form);
        const auto mass = Mass::from_count(in_.digits());
        in_.expect('"', form);
        const bool from_scale = in_.has("read");
        if (from_scale) in_.expect("true", form);
        in_.need("typed");
        const auto typed = in_.text();
        in_.expect('}', form);
        if constexpr (!std::is_const_v<T>) v = Weight{mass, std::string(typed), from_scale};
        return mass;
    }
    template <class T>
    void mass(const char* key, T& v) {
        const auto mass = weight(v);
        if constexpr (std::is_const_v<T>) parts_->mass(key, mass);
    }
    // Up to the end of its object.
    Money money() {
        in_.open();
        in_.need("currency");
        const auto currency = Currency::from_code(in_.text());
        if (!currency) throw Wrong{"no code of a currency: ", "currency"};
        in_.need("minor");
        return {in_.number(), *currency};
    }
    void hand_over(const char* key, const Price& price) {
        if (parts_) parts_->money(key, price);
    }
    template <class T>
    void weighing(const char* key, T& v) {
        WeighingMasses masses;
        in_.open();
        if (in_.has("after")) masses.after = weight(v.after);
        if (in_.has("before")) masses.before = weight(v.before);
        if (in_.has("net")) masses.net = weight(v.net);
        in_.close();
        if (!masses.after && !masses.before && !masses.net) throw Wrong{"a weighing without a weight: ", key};
        if constexpr (std::is_const_v<T>) parts_->weighing(key, masses);
    }
    template <class T, class E>
    void word(const char* key, T& v, std::optional<E> (*from)(std::string_view)) {
        in_.need(key);
        const auto word = in_.text();
        const auto value = from(word);
        if (!value) throw Wrong{"unknown word: ", key};
        if constexpr (std::is_const_v<T>)
            parts_->words(key, word);
        else
            v = *value;
    }
    FieldValues field_values() {
        FieldValues out;
        in_.open();
        do {
            std::string name(in_.name());
            if (!out.empty() && name <= out.rbegin()->first) throw Wrong{"keys are not in ascending order"};
            FieldValue value;
            if (in_.is_at('{')) {
                Weight w;
                weight(w);
                if (w.from_scale) throw Wrong{"a field of the register is typed"};
                value = {std::move(w.typed), w.mass};
            } else {
                value.text = in_.text();
            }
            out.emplace_hint(out.end(), std::move(name), std::move(value));
        } while (!in_.is_at('}'));
        in_.close();
        return out;
    }

    Cursor& in_;
    BodyParts* parts_;
};

// Reads the keys around the parts of a kind. It passes over keys that this version does not know; they are no part of
// the event.
class Envelope {
 public:
    explicit Envelope(Cursor& in) : in_(in) { in_.open(); }
    [[gnu::always_inline]] bool has(const char* key) {
        while (!in_.has(key)) {
            if (!in_.is_before(key)) return false;
            pass_over();
        }
        return true;
    }
    [[gnu::always_inline]] void need(const char* key) {
        if (!has(key)) throw Wrong{"missing: ", key};
    }
    [[gnu::always_inline]] std::string_view optional(const char* key) {
        return has(key) ? in_.text() : std::string_view();
    }
    [[gnu::always_inline]] std::string_view needed(const char* key) { return need(key), in_.text(); }
    /// A text of exactly `size` letters, of any kind.
    [[gnu::always_inline]] std::string_view letters(const char* key, std::size_t size) {
        return need(key), in_.text_of(size);
    }
    [[gnu::always_inline]] std::string_view hex(const char* key, std::size_t size) {
        const auto out = letters(key, size);
        if (!is_hex(out)) throw Wrong{"no lower-case hex: ", key};
        return out;
    }
    [[gnu::always_inline]] std::int64_t number(const char* key) { return need(key), in_.number(); }
    void accepted(std::vector<Accepted>& list) {
        list.clear();
        if (!has("accepted")) return;
        in_.expect('[', "accepted is not a list");
        if (in_.is_at(']')) has_more = true;
        for (bool first = true; !in_.eat(']'); first = false) {
            if (!first) in_.expect(',', "a comma is missing");
            Walk(in_).object(list.emplace_back());
        }
    }
    void close() {
        while (!in_.is_at('}')) pass_over();
        in_.close();
        if (!in_.is_at_end()) throw Wrong{"something follows the event"};
    }
    bool has_more = false;  ///< keys or entries that this version does not know

 private:
    void pass_over() {
        in_.name();
        in_.value(1, most_depth);
        has_more = true;
    }
    Cursor& in_;
};

// False where the kind is not known: then it reads nothing.
template <std::size_t N = 0>
bool kind_parts(std::string_view name, Cursor& in, What* what, BodyParts* parts) {
    if constexpr (N + 1 < std::variant_size_v<AnyKind>) {  // the last kind is Unknown
        using K = std::variant_alternative_t<N, AnyKind>;
        if (name != K::name) return kind_parts<N + 1>(name, in, what, parts);
        static const K none{};
        Walk walk(in, parts);
        if (what)
            walk.object(what->emplace<K>());
        else
            walk.object(none);
        return true;
    } else {
        return false;
    }
}

Instant instant(const char* key, std::string_view text) {
    const auto out = instant_from_text(text);
    if (!out) throw Wrong{"no instant: ", key};
    return *out;
}

void take_local_clock(BodyView& e, std::string_view at) {
    const auto local = e.at + e.offset;
    const auto day = std::chrono::floor<std::chrono::days>(local);
    // True in UTC: then the date is compared with the text of `at`.
    const bool same_day = day <= e.at && e.at < day + std::chrono::days(1);
    if (same_day ? e.date != at.substr(0, 10) : e.date != date_text(day))
        throw Wrong{"the date is not that of the local clock"};
    const auto minute = static_cast<int>((local - day).count() / 60);
    const auto digit = [](int v) { return static_cast<char>('0' + v % 10); };
    e.time = {digit(minute / 600), digit(minute / 60), ':', digit(minute % 60 / 10), digit(minute)};
}

// Hands the parts of the kind to `what` if there is one, else to `parts`. False where kind or version is not known.
bool read_body(std::string_view body, std::string& decoded, BodyView& e, What* what, BodyParts* parts) {
    Cursor in(body, decoded);
    Envelope r(in);
    r.accepted(e.accepted);
    e.anyway = r.optional("anyway");
    if (in.is_at('}')) throw Wrong{"missing: ", "book"};  // the body ends before the keys that name the event
    const auto at = r.letters("at", 20);
    e.at = instant("at", at);
    e.book = r.hex("book", 32);
    e.by = r.optional("by");
    e.date = r.letters("date", 10);
    e.job = r.optional("job");
    e.kind = r.needed("kind");
    e.note = r.optional("note");
    const auto offset_min = r.number("offset_min");
    if (offset_min <= -1440 || offset_min >= 1440) throw Wrong{"an offset from UTC of a day or more"};
    e.offset = std::chrono::minutes(offset_min);
    take_local_clock(e, at);
    e.own_id = r.optional("own_id");
    e.previous = r.hex("prev", 64);
    e.recorded = instant("recorded", r.letters("recorded", 20));
    e.scale = r.optional("scale");
    e.seq = r.number("seq");
    const bool is_of_today = r.number("v") == body_version;
    r.need("what");
    const bool is_known = is_of_today && kind_parts(e.kind, in, what, parts);
    if (!is_known) in.value(1, most_depth);
    e.zone = r.needed("zone");
    r.close();
    if (is_known && r.has_more) throw Wrong{"a key this version does not have"};
    if (!is_known && not_canonical(body, most_depth)) throw Wrong{"not canonical"};
    return is_known;
}

tl::unexpected<Error> unreadable(std::string why) {
    return fail({ErrorKind::storage,
                 "body-unreadable",
                 "the bytes of an event cannot be read",
                 std::move(why),
                 "a canonical body as this program writes it",
                 {}});
}

std::optional<std::string> words_if_any(std::string_view words) {
    return words.data() ? std::optional<std::string>(words) : std::nullopt;
}

}  // namespace

bool BodyReader::read(std::string_view body, BodyView& e, BodyParts& parts) {
    try {
        read_body(body, decoded_, e, nullptr, &parts);
        return true;
    } catch (const Wrong&) {
        return false;
    }
}

Result<Event> event_from_body(std::string_view body) {
    Result<Event> out;
    auto& event = *out;
    std::string decoded;
    try {
        BodyView e;
        if (!read_body(body, decoded, e, &event.what, nullptr))
            event.what = kinds::Unknown{std::string(e.kind), std::string(body)};
        event.book = *book_id_from_hex(e.book), event.previous = *digest_from_hex(e.previous);
        event.seq = e.seq, event.recorded = e.recorded;
        event.when = {e.at, e.offset, std::string(e.zone)};
        event.by = words_if_any(e.by), event.job = words_if_any(e.job), event.scale = words_if_any(e.scale);
        event.note = words_if_any(e.note), event.own_id = words_if_any(e.own_id);
        event.anyway = words_if_any(e.anyway);
        event.accepted = std::move(e.accepted);
        return out;
    } catch (const Wrong& wrong) {
        if (const auto why = not_canonical(body, most_depth)) return unreadable("not canonical JSON: " + *why);
        return unreadable(std::string(wrong.why) + wrong.key);
    }
}

Result<Event> event_from_line(std::string_view line) {
    auto event = event_from_body(line);
    if (event && canonical_body(*event) != line) return unreadable("it would be written otherwise");
    return event;
}

}  // namespace tarebook
