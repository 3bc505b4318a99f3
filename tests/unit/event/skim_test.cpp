// What is skimmed is what the reader of whole events reads, and bytes that it refuses are never skimmed.
#include <doctest/doctest.h>

#include <map>
#include <variant>

#include "tarebook/event_skim.hpp"

using namespace tarebook;

namespace {

using Part = std::variant<std::string, std::int64_t>;
std::int64_t counts(const std::optional<Mass>& mass) {
    return mass ? mass->count() : -1;
}

// The parts of a kind by key, from both sides in one form.
struct Parts {
    std::map<std::string, Part> by_key;

    void operator()(const char* key, std::string_view v) { by_key[key] = std::string(v); }
    void operator()(const char* key, Mass v) { by_key[key] = v.count(); }
    void operator()(const char* key, const WeighingMasses& v) {
        const std::string name(key);
        by_key[name + ".before"] = counts(v.before), by_key[name + ".after"] = counts(v.after);
        by_key[name + ".net"] = counts(v.net);
    }

    void operator()(const char* key, const std::string& v) { by_key[key] = v; }
    void operator()(const char* key, const std::optional<std::string>& v) {
        if (v) by_key[key] = *v;
    }
    void operator()(const char* key, const Weight& v) { by_key[key] = v.mass.count(); }
    void operator()(const char* key, const std::optional<Weight>& v) {
        if (v) by_key[key] = v->mass.count();
    }
    void operator()(const char* key, const Weighing& v) {
        const auto mass = [](const std::optional<Weight>& w) { return w ? std::optional(w->mass) : std::nullopt; };
        if (v.before || v.after || v.net) (*this)(key, WeighingMasses{mass(v.before), mass(v.after), mass(v.net)});
    }
    void operator()(const char* key, Condition v) { (*this)(key, text_of(v)); }
    void operator()(const char* key, Reason v) { (*this)(key, text_of(v)); }
    void operator()(const char*, bool) {}
    void operator()(const char*, const std::optional<std::int64_t>&) {}
    void operator()(const char*, EntryKind) {}
    void operator()(const char*, const FieldValues&) {}
};

std::string words(const std::optional<std::string>& text) {
    return text.value_or("");
}

// Whether it was skimmed; what was, is held against the event.
bool skimmed_right(Skimmer& skimmer, const std::string& body) {
    CAPTURE(body);
    SkimmedEvent e;
    Parts parts;
    if (!skimmer.read(body, e, parts)) return false;
    const auto event = event_from_body(body);
    REQUIRE(event);
    REQUIRE(canonical_body(*event) == body);
    CHECK(e.seq == event->seq);
    CHECK(e.kind == event->kind());
    CHECK(std::string(e.date) + ' ' + std::string(e.time.data(), e.time.size()) == moment_text(event->when));
    CHECK(e.zone == event->when.zone);
    CHECK(e.by == words(event->by));
    CHECK(e.job == words(event->job));
    CHECK(e.scale == words(event->scale));
    CHECK(e.note == words(event->note));
    CHECK(e.own_id == words(event->own_id));
    CHECK(e.anyway == words(event->anyway));
    Parts whole;
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

std::vector<Event> plain_events() {
    kinds::Charge charge;
    charge.circuit = "OAK/RACK-B/4", charge.from = "SC-0042", charge.emptied = true;
    charge.weighing = {pounds("31.20"), pounds("12.25"), {}};
    kinds::Recover recover;
    recover.circuit = "OAK/RACK-B", recover.into = "RC-7", recover.held_min = 15, recover.vacuum = "500 micron";
    recover.weighing.net = pounds("0.05");
    kinds::Receive receive;
    receive.cylinder = "SC-1", receive.from = "A firm, with a comma", receive.gross = pounds("52.5");
    receive.refrigerant = "R-448A";
    kinds::Transfer transfer;
    transfer.from = "A", transfer.into = "B", transfer.hose_loss = "lost";
    transfer.from_weighing = {pounds("3"), pounds("2"), {}}, transfer.into_weighing = {pounds("5"), pounds("6"), {}};
    kinds::Weigh weigh;
    weigh.cylinder = "RC-7", weigh.gross = pounds("0.25");
    kinds::Void none;
    none.target = std::string(64, 'c'), none.why = "typed twice";
    std::vector<Event> out{around(charge),
                           around(recover),
                           around(receive, "2024-02-29T00:00:59Z", "UTC"),
                           around(transfer),
                           around(weigh, "1970-01-01T12:00:00Z", "Asia/Kolkata"),
                           around(none)};
    out[0].by = "tech04", out[0].job = "J0189763", out[0].own_id = "row:0062827c08-fdee00d6a662";
    out[1].scale = "S-2", out[1].note = "gauge set B", out[1].anyway = "it did happen";
    return out;
}

}  // namespace

TEST_CASE("plain events are skimmed, and say what the whole event says") {
    Skimmer skimmer;
    for (int twice = 0; twice < 2; ++twice)
        for (const auto& event : plain_events()) CHECK(skimmed_right(skimmer, canonical_body(event)));
}

TEST_CASE("what wants more than a look is left to the reader of whole events") {
    Skimmer skimmer;
    std::vector<Event> events;
    for (int i = 0; i < 4; ++i) events.push_back(plain_events()[0]);
    events[0].note = "50 \u00b0F";
    events[1].note = "a \"quoted\" word";
    events[2].accepted = {{"over-limit", "RC-7", "27 lb"}};
    events[3].when = moment_in_zone(instant_from_text("2026-11-26T04:00:00Z").value(), "America/Chicago").value();
    kinds::Entry entry;
    entry.entry = EntryKind::site, entry.code = "OAK", entry.values["owner"] = {"Somebody", {}};
    events.push_back(around(entry));
    for (const auto& event : events) {
        const auto body = canonical_body(event);
        CHECK_MESSAGE(event_from_body(body), body);
        CHECK_MESSAGE(!skimmed_right(skimmer, body), body);
    }
}

TEST_CASE("whatever byte is another one, lost or doubled: what is skimmed is what the whole reader reads") {
    Skimmer skimmer;
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
            for (const auto& one : damaged) ++(skimmed_right(skimmer, one) ? taken : left);
        }
    }
    CHECK(taken > 1000);  // words stay words with another letter
    CHECK(left > taken);
}
