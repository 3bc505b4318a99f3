// One day of an invented shop through the library alone: a book, its register, a question before work, a recovery, what
// is refused, and the pages of the day. Run it with the name of a book that is not there yet:
//
//     one_day shop.tarebook
//
// What a program does with the library is always the same four steps:
//   1. parse what a person typed, at the edge, into types (parse_weight, parse_pressure, parse_moment): Result<T> or
//   Error;
//   2. make a draft of what happened (make_event of a kind from tarebook/event/event.hpp, make_entry of the register);
//   3. hand drafts to record(): all of them are in the book afterwards, or none, with the reason;
//   4. ask the book, through pages (report.hpp) or figures (book.hpp, fill_now.hpp ...).
// The library informs; it never says that something is safe, and neither should a program that uses it.
#include <cstdio>
#include <cstdlib>
#include <tarebook/checks/checks.hpp>
#include <tarebook/checks/fill_now.hpp>
#include <tarebook/record/drafting.hpp>
#include <tarebook/record/record.hpp>
#include <tarebook/report/report.hpp>
#include <tarebook/version.hpp>

using namespace tarebook;

namespace {

// A slip or a refusal is a value with a stable name for programs and words for people. Here any ends the program.
void tell(const Error& e) {
    std::fprintf(stderr, "%s: %s\n", e.name.c_str(), e.what.c_str());
    if (!e.expected.empty()) std::fprintf(stderr, "  seen %s; expected %s\n", e.seen.c_str(), e.expected.c_str());
    if (!e.next.empty()) std::fprintf(stderr, "  next: %s\n", e.next.c_str());
}
template <class T>
T must(Result<T> result) {
    if (!result) {
        tell(result.error());
        std::exit(1);
    }
    return std::move(*result);
}
Recorded must(Recorded recorded) {
    if (!recorded) {
        tell(recorded.error());
        std::exit(1);
    }
    return recorded;
}

Weight weight(const char* typed) {
    return must(parse_weight(typed, ScaleReads::unknown));  // "27.5" alone is an error: a scale's unit is never guessed
}

// A limit is never rounded up.
std::string limit_text(Mass limit) {
    return mass_text(limit.rounded_down_to(weight("0.01lb").mass), DisplayUnits::lb);
}

// A program gives the library its time; the library reads no clock of its own. A real one asks std::chrono.
const Instant now = *instant_from_text("2026-06-01T15:00:00Z");

// What every draft says besides what happened. The caller's own id makes a second try harmless: the same id with the
// same content is recorded once.
DraftFacts facts(const char* own_id) {
    return {.now = now, .own_id = own_id};
}
Event entry(const Book& book, EntryKind kind, const char* code, const std::vector<TypedField>& fields) {
    return must(make_entry(book, kind, code, fields, facts(code)));
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 2) {
        std::fprintf(stderr, "one_day BOOK (tarebook %s)\n", std::string(version).c_str());
        return 2;
    }
    try {
        auto book = Book::create(argv[1], "Fernhollow Refrigeration", DisplayUnits::lb, "America/Chicago",
                                 must(moment_in_zone(now, "America/Chicago")));

        // The register: one transaction. What is not known is left out, and stays "not on record".
        must(
            record(book,
                   {entry(book, EntryKind::site, "OAK", {{"name", "Oak Street store"}, {"owner", "Quillpost Markets"}}),
                    entry(book, EntryKind::appliance, "OAK/RACK-A",
                          {{"category", "commercial-refrigeration"},
                           {"refrigerant", "448a"},
                           {"full_charge", "900lb"},
                           {"charge_basis", "calculated"}}),
                    entry(book, EntryKind::circuit, "OAK/RACK-A/4", {{"serves", "produce cases"}}),
                    entry(book, EntryKind::cylinder, "RC-01",
                          {{"use", "recovery"},
                           {"refrigerant", "R-448A"},
                           {"wc", "47.6lb"},
                           {"tare", "27.5lb"},
                           {"spec", "DOT-4BA400"},
                           {"stamped_limit", "36lb"},
                           {"tested", "2024-04"}})},
                   {}));

        // Before work: the limits that apply to the cylinder as it is now, each with its source, and the weight at
        // which to stop. The smallest binds, here the one that is stamped on it.
        const auto cylinder = book.cylinder_now("RC-01").value();
        const auto fill = must(fill_limit_now(book.reference_data(), cylinder, {.division = weight("0.05lb").mass}));
        for (const auto& candidate : fill.limits.candidates)
            std::printf("limit %s: %s\n", candidate.rule.c_str(), limit_text(candidate.net).c_str());
        std::printf("stop at %s gross (%s)\n\n", limit_text(fill.stop()).c_str(), fill.rule().c_str());

        // The recovery, as the scale showed it.
        kinds::Recover recover;
        recover.circuit = "OAK/RACK-A/4";
        recover.into = "RC-01";
        recover.weighing = {weight("27.5lb"), weight("43.25lb"), {}};
        recover.held_min = 5;
        recover.vacuum = must(parse_pressure("10inHg")).typed;
        auto said = facts("visit-2207/1");
        said.job = "2207";
        const auto happened = must(make_event(book, recover, said));
        const auto done = must(record(book, {happened}, {}));

        // The screen after it: what the cylinder holds now, how much still fits, and what the checks noted.
        PageOptions page;
        page.now = now;
        std::printf("%s\n", recorded_page(book, done.events, done.outcomes, page).body.c_str());

        // The same once more, as after a lost connection: nothing is written.
        const auto again = must(record(book, {happened}, {}));
        std::printf("again: %s\n", again.only_already() ? "already recorded" : "recorded twice");

        // What must not be: far past the limit. record() refuses with the name of the check, and writes nothing. If it
        // did happen, {.anyway = "reason"} records it as an exception, which stays listed until somebody resolves it.
        kinds::Recover too_much = recover;
        too_much.weighing = {weight("43.25lb"), weight("75lb"), {}};
        const auto refused = record(book, {must(make_event(book, too_much, facts("visit-2207/2")))}, {});
        std::printf("too much: %s\n\n", refused ? "recorded" : refused.error().name.c_str());

        // Reports: as text for people, as JSON for programs, as a page for a browser.
        std::printf("%s\n", must(job_page(book, "2207", page)).body.c_str());
        page.format = Format::json;
        std::printf("%s\n", inventory_page(book, page).body.c_str());

        // A walk ends where its visitor says so; an event goes by its id, its digest or the name that people type.
        std::string first;
        book.each_event([&](const StoredEvent& e) {
            first = e.name;
            return Walk::stop;
        });
        std::printf("%s is a %s\n", first.c_str(), std::string(book.event(first)->event.kind()).c_str());

        // The proof: digests, chain and balances, computed anew from the events alone.
        const auto check = book.check(Judge(book.reference_data()));
        page.format = Format::text;
        std::printf("%s", check_page(check, page).body.c_str());
    } catch (const StorageError& e) {  // the file or the disk; nothing between the book and here could mend it
        std::fprintf(stderr, "the book failed: %s %s\n", e.what(), e.next().c_str());
        return 3;
    }
}
