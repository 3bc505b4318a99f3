// A program that hands the library what it must refuse: drafts whose words have not the form of their kind, one by one
// and by each way in. Beside each stands the draft that differs in that one word, and is taken. Built over the
// installed package (tests/e2e/installed_package.py).
#include <cstdio>
#include <functional>
#include <set>
#include <string>

#include "tarebook/book/book.hpp"
#include "tarebook/book/drafts.hpp"
#include "tarebook/checks/entry_field.hpp"
#include "tarebook/record/record.hpp"

using namespace tarebook;

namespace {

const Instant now = *instant_from_text("2026-06-01T15:00:00Z");
int failures = 0;

void expect(bool good, const std::string& what) {
    if (good) return;
    ++failures;
    std::fprintf(stderr, "FAILED: %s\n", what.c_str());
}

Weight weight(const char* typed) {
    return parse_weight(typed, ScaleReads::unknown).value();
}

// Drafts that are sound: a cylinder's entry and a weight of RC-01.
Event draft(What what) {
    static int n = 0;
    Event e;
    e.when = moment_in_zone(now, "America/Chicago").value();
    e.recorded = now;
    e.own_id = "hostile/" + std::to_string(++n);
    e.what = std::move(what);
    return e;
}
Event entry() {
    static int n = 10;
    FieldValues values;
    values["use"] = {"recovery", {}};
    values["tare"] = {"27.5lb", weight("27.5lb").mass};
    values["wc"] = {"47.6lb", weight("47.6lb").mass};
    return draft(kinds::Entry{EntryKind::cylinder, "RC-" + std::to_string(++n), true, std::move(values)});
}
Event weighed() {
    return draft(kinds::Weigh{"RC-01", weight("27.5lb"), false});
}

Event worked() {
    kinds::Note note;
    note.text = "half a day";
    note.minutes = 240;
    return draft(std::move(note));
}

struct Hostile {
    std::string title, error;
    std::function<Event()> sound;
    std::function<void(Event&)> spoil;
};

FieldValues& values_of(Event& e) {
    return std::get<kinds::Entry>(e.what).values;
}

const Hostile hostiles[] = {
    {"a field that no cylinder has", "field-unknown", entry,
     [](Event& e) {
         values_of(e)["tear"] = {"27.5lb", {}};
     }},
    {"a tare that is no weight", "field-form", entry,
     [](Event& e) {
         values_of(e)["tare"] = {"heavy", {}};
     }},
    {"a tare without its mass", "field-form", entry, [](Event& e) { values_of(e)["tare"].mass.reset(); }},
    {"a water capacity that is none", "field-form", entry,
     [](Event& e) {
         values_of(e)["wc"] = {"banana", {}};
     }},
    {"a use that is none", "field-form", entry,
     [](Event& e) {
         values_of(e)["use"] = {"rocket", {}};
     }},
    {"hours below zero", "field-form", worked, [](Event& e) { std::get<kinds::Note>(e.what).minutes = -60; }},
    {"hours of a hundred years", "field-form", worked,
     [](Event& e) { std::get<kinds::Note>(e.what).minutes = 60LL * 24 * 36'500; }},
    {"a code with a blank and a slash", "code-format", entry,
     [](Event& e) { std::get<kinds::Entry>(e.what).code = "a b/c"; }},
    {"no time", "moment-missing", weighed, [](Event& e) { e.when = {}; }},
    {"no time of recording", "moment-missing", weighed, [](Event& e) { e.recorded = {}; }},
    {"no zone", "moment-missing", weighed, [](Event& e) { e.when.zone.clear(); }},
    {"a zone that there is not", "time-zone", weighed, [](Event& e) { e.when.zone = "Moon/Tycho"; }},
    {"an offset that the zone's clock did not have", "moment-offset", weighed,
     [](Event& e) { e.when.offset += std::chrono::hours(1); }},
    {"a weight of other words", "weight-typed", weighed,
     [](Event& e) { std::get<kinds::Weigh>(e.what).gross.typed = "999kg"; }},
    {"a weight without words", "weight-typed", weighed,
     [](Event& e) { std::get<kinds::Weigh>(e.what).gross.typed = ""; }},
    {"a weight below zero", "weight-range", weighed,
     [](Event& e) { std::get<kinds::Weigh>(e.what).gross.mass = Mass::pounds(-1); }},
    {"words that are no UTF-8", "text-not-utf8", weighed, [](Event& e) { e.note = "\xff"; }},
    {"a name that a spreadsheet computes", "text-formula", weighed, [](Event& e) { e.by = "=1+1"; }},
    {"an empty own id", "own-id-empty", weighed, [](Event& e) { e.own_id = ""; }},
    {"a cylinder that is not on record", "unknown-cylinder", weighed,
     [](Event& e) { std::get<kinds::Weigh>(e.what).cylinder = "RC-99"; }},
    {"a blank reason", "reason-empty",
     [] {
         return draft(kinds::Condemn{"RC-02", "dented"});
     },
     [](Event& e) { std::get<kinds::Condemn>(e.what).why = " \t"; }},
};

class One : public Drafts {
 public:
    explicit One(const Event& e) : e_(e) {}
    [[nodiscard]] std::size_t size() const override { return 1; }
    [[nodiscard]] Instant at(std::size_t) const override { return e_.when.at; }
    void make(std::size_t, Event& out) const override { out = e_; }

 private:
    const Event& e_;
};

bool names(const Recorded& done, const std::string& error) {
    bool found = false;
    for (const auto& p : done.problems) found = found || p.error.name == error;
    return !done && found && done.events.empty();
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 2) return 2;
    auto book = Book::create(argv[1], "Fernhollow Refrigeration", DisplayUnits::lb, "America/Chicago",
                             moment_in_zone(now, "America/Chicago").value());
    for (const char* code : {"RC-01", "RC-02"}) {
        auto e = entry();
        std::get<kinds::Entry>(e.what).code = code;
        expect(static_cast<bool>(record(book, {e}, {})), std::string("the register takes ") + code);
    }
    for (const auto& h : hostiles) {
        const auto head = head_text(book.head());
        auto e = h.sound();
        h.spoil(e);
        expect(names(record(book, {e}, {}), h.error), h.title + ": by record");
        expect(names(record(book, {e}, {.anyway = "it did happen"}), h.error), h.title + ": a reason does not help");
        expect(names(record(book, {e}, {.dry_run = true}), h.error), h.title + ": by a dry run");
        expect(names(record_each(book, {{e, {}, false}}, {}), h.error), h.title + ": by record_each");
        if (h.error != "own-id-empty")
            expect(names(record_many(book, One(e), {}), h.error), h.title + ": by record_many");
        expect(head_text(book.head()) == head, h.title + ": nothing was written");
        const auto sound = h.sound();
        expect(static_cast<bool>(record(book, {sound}, {.dry_run = true})), h.title + ": the sound draft is taken");
        expect(head_text(book.head()) == head, h.title + ": a dry run writes nothing");
    }
    // all of them at once
    auto worst = entry();
    values_of(worst)["tear"] = {"x", {}};
    values_of(worst)["use"] = {"rocket", {}};
    worst.recorded = {};
    std::set<std::string> told;
    for (const auto& p : record(book, {worst}, {}).problems) told.insert(p.error.name);
    expect(told == std::set<std::string>{"field-unknown", "field-form", "moment-missing"},
           "every problem in one answer");
    std::printf("%zu hostile drafts, %d failures\n", std::size(hostiles), failures);
    return failures == 0 ? 0 : 1;
}
