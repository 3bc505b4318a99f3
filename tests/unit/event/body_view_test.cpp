// What is handed out as views is what the Event of the same bytes holds; of every kind, with all of its fields.
#include "tarebook/event/body_view.hpp"

#include <doctest/doctest.h>

#include <map>
#include <string>
#include <variant>

using namespace tarebook;

namespace {

using Part = std::variant<std::string, std::int64_t>;
std::int64_t counts(const std::optional<Mass>& mass) {
    return mass ? mass->count() : -1;
}
std::optional<Mass> mass_of(const std::optional<Weight>& weight) {
    return weight ? std::optional(weight->mass) : std::nullopt;
}

// The parts of a kind by key: as the reader hands them out.
struct Parts : BodyParts {
    std::map<std::string, Part, std::less<>> by_key;
    void words(std::string_view key, std::string_view v) override { by_key[std::string(key)] = std::string(v); }
    void mass(std::string_view key, Mass v) override { by_key[std::string(key)] = v.count(); }
    void weighing(std::string_view key, const WeighingMasses& v) override {
        const std::string name(key);
        by_key[name + ".before"] = counts(v.before), by_key[name + ".after"] = counts(v.after);
        by_key[name + ".net"] = counts(v.net);
    }
    void yes(std::string_view key) override { by_key[std::string(key)] = 1; }
    void money(std::string_view key, const Price& v) override { by_key[std::string(key)] = price_text(v); }
};
// The same, of an event.
struct PartsOfEvent : Parts {
    void operator()(const char* key, const std::string& v) { words(key, v); }
    void operator()(const char* key, const std::optional<std::string>& v) {
        if (v) words(key, *v);
    }
    void operator()(const char* key, const Weight& v) { mass(key, v.mass); }
    void operator()(const char* key, const std::optional<Weight>& v) {
        if (v) mass(key, v->mass);
    }
    void operator()(const char* key, const Weighing& v) {
        if (v.before || v.after || v.net) weighing(key, {mass_of(v.before), mass_of(v.after), mass_of(v.net)});
    }
    void operator()(const char* key, const std::optional<Money>& v) {
        if (v) money(key, {*v, PricePer::all});
    }
    void operator()(const char* key, const std::optional<Price>& v) {
        if (v) money(key, *v);
    }
    void operator()(const char* key, Condition v) { words(key, text_of(v)); }
    void operator()(const char* key, Reason v) { words(key, text_of(v)); }
    void operator()(const char* key, EntryKind v) { words(key, text_of(v)); }
    void operator()(const char* key, bool v) {
        if (v) yes(key);
    }
    void operator()(const char*, const std::optional<std::int64_t>&) {}
    void operator()(const char*, const FieldValues&) {}
};

std::string words(const std::optional<std::string>& text) {
    return text.value_or("");
}

// Whether it was read; what was, is held against the event, and the event against its bytes.
bool read_right(BodyReader& reader, const std::string& body) {
    CAPTURE(body);
    BodyView e;
    Parts parts;
    const auto event = event_from_body(body);
    REQUIRE(reader.read(body, e, parts) == event.has_value());
    REQUIRE(event_from_line(body).has_value() == event.has_value());
    if (!event) return false;
    REQUIRE(canonical_body(*event) == body);
    CHECK(e.seq == event->seq);
    CHECK(e.book == hex(event->book));
    CHECK(e.previous == hex(event->previous));
    CHECK(e.at == event->when.at);
    CHECK(e.offset == event->when.offset);
    CHECK(e.recorded == event->recorded);
    CHECK(e.kind == event->kind());
    CHECK(std::string(e.date) + ' ' + std::string(e.time.data(), e.time.size()) == moment_text(event->when));
    CHECK(e.zone == event->when.zone);
    CHECK(e.by == words(event->by));
    CHECK(e.job == words(event->job));
    CHECK(e.scale == words(event->scale));
    CHECK(e.note == words(event->note));
    CHECK(e.own_id == words(event->own_id));
    CHECK(e.anyway == words(event->anyway));
    CHECK(e.accepted.size() == event->accepted.size());
    PartsOfEvent whole;
    std::visit([&](const auto& k) { std::decay_t<decltype(k)>::fields(k, whole); }, event->what);
    CHECK(parts.by_key == whole.by_key);
    return true;
}

Weight pounds(const char* typed) {
    return parse_weight(typed, ScaleReads::lb).value();
}

Event around(What what, const char* at = "2026-11-25T20:30:00Z", const char* zone = "America/Chicago") {
    Event e;
    for (std::size_t i = 0; i < e.book.size(); ++i) e.book[i] = static_cast<std::uint8_t>(i * 9);
    e.previous.fill(0xa7);
    e.seq = 10203;
    e.when = moment_in_zone(instant_from_text(at).value(), zone).value();
    e.recorded = instant_from_text("2026-11-26T00:31:07Z").value();
    e.what = std::move(what);
    return e;
}

// Something into every field.
struct Filled {
    const char* ending;
    [[nodiscard]] std::string said(const char* key) const { return std::string(key).append(ending); }

    void operator()(const char* key, std::string& v) const { v = said(key); }
    void operator()(const char* key, std::optional<std::string>& v) const { v = said(key); }
    void operator()(const char*, bool& v) const { v = true; }
    void operator()(const char*, std::optional<std::int64_t>& v) const { v = -9007199254740991; }
    void operator()(const char* key, Weight& v) const { v = {Mass::from_count(INT64_MIN), said(key)}; }
    void operator()(const char* key, std::optional<Weight>& v) const { v = {Mass::from_count(INT64_MAX), said(key)}; }
    void operator()(const char*, Weighing& v) const {
        v.before = {pounds("31.20").mass, said("before")}, v.after = {pounds("12.25").mass, said("after")};
        v.net = pounds("0.05");
    }
    void operator()(const char*, std::optional<Money>& v) const { v = Money{-most_money, *Currency::from_code("JPY")}; }
    void operator()(const char*, std::optional<Price>& v) const {
        v = Price{{820, *Currency::from_code("USD")}, PricePer::kg};
    }
    void operator()(const char*, Condition& v) const { v = Condition::recycled; }
    void operator()(const char*, Reason& v) const { v = Reason::put_back; }
    void operator()(const char*, EntryKind& v) const { v = EntryKind::technician; }
    void operator()(const char*, FieldValues& v) const {
        v = {{said("a"), {said("words"), {}}}, {said("b"), {said("26 lb"), pounds("26").mass}}};
    }
};

template <std::size_t N = 0>
std::vector<Event> every_kind(const Filled* filled) {
    if constexpr (N + 1 < std::variant_size_v<AnyKind>) {  // the last one is Unknown
        std::variant_alternative_t<N, AnyKind> kind;
        if (filled) kind.fields(kind, *filled);
        auto out = every_kind<N + 1>(filled);
        out.push_back(around(std::move(kind)));
        if (!filled) return out;
        auto& e = out.back();
        e.by = filled->said("by"), e.job = filled->said("job"), e.scale = filled->said("scale");
        e.note = filled->said("note"), e.own_id = filled->said("own"), e.anyway = filled->said("anyway");
        e.accepted = {{filled->said("over-limit"), "RC-7", "27 lb"}, {"b", "c", filled->said("d")}};
        return out;
    } else {
        return {};
    }
}

std::vector<Event> plain_events() {
    kinds::Charge charge;
    charge.circuit = "OAK/RACK-B/4", charge.from = "SC-0042", charge.emptied = true;
    charge.weighing = {pounds("31.20"), pounds("12.25"), {}};
    kinds::Recover recover;
    recover.circuit = "OAK/RACK-B", recover.into = "RC-7", recover.held_min = 15, recover.vacuum = "500 micron";
    recover.weighing.net = pounds("0.05");
    kinds::Receive receive;
    receive.cylinder = "SC-1", receive.from = "A firm, with a comma", receive.gross = pounds("52.5");
    kinds::Entry entry;
    entry.entry = EntryKind::site, entry.code = "OAK", entry.values["owner"] = {"Some\"body\u00e9", {}};
    entry.values["tare"] = {"26 lb", pounds("26").mass};
    std::vector<Event> out{around(charge), around(recover), around(receive, "2024-02-29T00:00:59Z", "UTC"),
                           around(entry, "1970-01-01T20:00:00Z", "Asia/Kolkata")};
    out[0].by = "tech04", out[0].job = "J0189763", out[0].own_id = "row:0062827c08-fdee00d6a662";
    out[1].scale = "S-2", out[1].note = "50 \u00b0F\n", out[1].anyway = "it did happen";
    out[1].accepted = {{"over-limit", "RC-7", "27 lb"}};
    return out;
}

}  // namespace

TEST_CASE("every kind, with all fields and with none: views say what the event says") {
    BodyReader reader;
    for (const char* ending :
         {"", " in plain words", "\u00b0 \u4e2d", "\"\\/\b\t\n\f\r\x01\x1f\x7f", "\\\u00e9\\", "\xf0\x9f\x98\x80"}) {
        const Filled filled{ending};
        for (const auto& event : every_kind(&filled)) CHECK(read_right(reader, canonical_body(event)));
    }
    for (const auto& event : every_kind(nullptr)) CHECK(read_right(reader, canonical_body(event)));
}

TEST_CASE("the local clock may show another day than the one in UTC") {
    BodyReader reader;
    for (const char* at :
         {"2026-11-26T04:00:00Z", "2026-12-31T23:59:59Z", "2027-01-01T00:00:00Z", "2024-02-29T05:59:59Z"})
        for (const char* zone : {"America/Chicago", "UTC", "Asia/Kolkata", "Pacific/Kiritimati"})
            CHECK(read_right(reader, canonical_body(around(kinds::Weigh{}, at, zone))));
}

TEST_CASE("words with an escape lie where they stay until the next body is read") {
    BodyReader reader;
    auto event = plain_events()[0];
    event.by = std::string(300, '\n'), event.job = "a\"", event.note = std::string(5000, '\\');
    const auto body = canonical_body(event);
    BodyView e;
    Parts parts;
    REQUIRE(reader.read(body, e, parts));
    CHECK(e.by == *event.by);
    CHECK(e.job == *event.job);
    CHECK(e.note == *event.note);
}

TEST_CASE("of a kind or version of tomorrow the envelope is read, and its parts are passed over") {
    const auto body = canonical_body(plain_events()[0]);
    const auto with = [&](std::string_view was, std::string_view is) {
        auto out = body;
        return out.replace(out.find(was), was.size(), is);
    };
    BodyReader reader;
    for (const auto& other : {with("\"charge\"", "\"levitate\""), with("\"v\":1", "\"v\":2"),
                              with("\"v\":1", "\"sign\":{\"a\":[true,null,\"\u00e9\"],\"b\":{}},\"v\":2"),
                              with("{\"at\"", "{\"a\":1,\"aa\":false,\"at\""), with("\"zone\"", "\"x\":[],\"zone\"")}) {
        const auto tomorrow = other.find("\"v\":1") == std::string::npos || other.find("levitate") != std::string::npos
                                  ? other
                                  : std::string(other).replace(other.find("\"v\":1"), 5, "\"v\":3");
        CAPTURE(tomorrow);
        CHECK(read_right(reader, tomorrow));
        BodyView e;
        Parts parts;
        REQUIRE(reader.read(tomorrow, e, parts));
        CHECK(parts.by_key.empty());
        CHECK(e.job == "J0189763");
    }
    CHECK_FALSE(read_right(reader, with("\"zone\":\"America/Chicago\"", "\"zone\":\"America/Chicago\",\"zz\":1")));
    CHECK_FALSE(read_right(reader, with("{\"at\"", "{\"accepted\":[],\"at\"")));
    // deeper than sixteen, counted from the body's own brace
    const auto deep = [&](std::size_t n) {
        return with("\"v\":1", "\"sign\":" + std::string(n, '[') + std::string(n, ']') + ",\"v\":2");
    };
    CHECK(read_right(reader, deep(15)));
    CHECK_FALSE(read_right(reader, deep(16)));
    CHECK_FALSE(read_right(reader, deep(100'000)));
}

TEST_CASE("whatever byte is another one, lost or doubled: views and event agree on what it is") {
    BodyReader reader;
    std::size_t taken = 0;
    std::size_t left = 0;
    for (const auto& event : plain_events()) {
        const auto body = canonical_body(event);
        for (std::size_t i = 0; i < body.size(); ++i) {
            std::vector<std::string> damaged;
            for (const char c : {'0', '9', 'a', 'f', 'g', 'Z', '"', '\\', ',', ':', '-', '}', '\n', '\x80', ' '})
                damaged.push_back(std::string(body).replace(i, 1, 1, c));
            for (int bit = 0; bit < 8; ++bit) {
                damaged.push_back(body);
                damaged.back()[i] = static_cast<char>(damaged.back()[i] ^ (1 << bit));
            }
            damaged.push_back(std::string(body).erase(i, 1));
            damaged.push_back(std::string(body).insert(i, 1, body[i]));
            damaged.push_back(body.substr(0, i));
            for (const auto& one : damaged) ++(read_right(reader, one) ? taken : left);
        }
    }
    CHECK(taken > 1000);  // words stay words with another letter
    CHECK(left > taken);
}
