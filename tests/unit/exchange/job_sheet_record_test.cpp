// Sheets into a real book, and record_each beneath them: all problems of all lines, a reason per line, nothing twice.
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <sys/stat.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "support/book_room.hpp"
#include "tarebook/exchange/job_sheet.hpp"

using namespace tarebook;
using tarebook::test::BookRoom;
namespace fs = std::filesystem;

namespace job_sheet_record_test {

namespace {

const Instant now = std::chrono::sys_days{std::chrono::year{2026} / 6 / 1} + std::chrono::hours(15);

// A shop with one store, two recovery cylinders for its gas and one for another, in a room of its own.
class Shop {
 public:
    BookRoom room;
    Book book = Book::create(room.book("shop.tarebook"), "Fernhollow Refrigeration", DisplayUnits::lb,
                             "America/Chicago", moment_in_zone(now, "America/Chicago").value());

    Shop() {
        entry(EntryKind::site, "OAK", {{"owner", "Quillpost Markets"}});
        entry(EntryKind::appliance, "OAK/RACK-A", {{"refrigerant", "R-448A"}, {"full_charge", "900lb"}});
        entry(EntryKind::circuit, "OAK/RACK-A/4", {{"serves", "produce"}, {"close", "liquid: \"A\"\nsuction"}});
        entry(EntryKind::scale, "S1", {{"reads", "lb"}, {"division", "0.05lb"}});
        cylinder("RC-01", "R-448A", "2024-04");
        cylinder("RC-02", "R-448A", "2024-04");
        cylinder("RC-OLD", "R-448A", "2010-04");
    }

    void entry(EntryKind kind, const std::string& code, const std::map<std::string, std::string>& words) {
        kinds::Entry e{kind, code, true, {}};
        for (const auto& [field, text] : words) {
            FieldValue value{text, {}};
            if (field == "tare" || field == "full_charge" || field == "wc" || field == "division")
                value.mass = parse_weight(text, ScaleReads::unknown).value().mass;
            e.values[field] = value;
        }
        Event draft;
        draft.what = e;
        draft.recorded = now;
        draft.when = moment_in_zone(now - std::chrono::hours(1000), "America/Chicago").value();
        REQUIRE(record(book, {draft}, {}));
    }
    void cylinder(const std::string& code, const std::string& gas, const std::string& tested) {
        entry(EntryKind::cylinder, code,
              {{"use", "recovery"},
               {"refrigerant", gas},
               {"wc", "47.6lb"},
               {"tare", "27.5lb"},
               {"spec", "DOT-4BA400"},
               {"tested", tested}});
    }
    tl::expected<SheetRecorded, FileProblems> take(const std::string& text, SheetOptions options = {now, {}}) {
        return record_job_sheet(book, text, "visit.yaml", options);
    }
};

constexpr const char* head = "sheet: V-1\nsite: OAK\nday: 2026-05-28\njob: 2207\nscale: S1\nweighings:\n";

std::string recovery(const std::string& into, const std::string& before, const std::string& after,
                     const std::string& more = {}) {
    return fmt::format("  - {{act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: {}, before: {}, after: {}{}}}\n",
                       into, before, after, more);
}

std::string listed(const FileProblems& problems) {
    std::string out;
    for (const auto& p : problems.listed)
        out += fmt::format("{}{}{} {}", out.empty() ? "" : "; ", p.line, p.field.empty() ? "" : " " + p.field,
                           p.error.name);
    return out;
}
std::string refusal(const tl::expected<SheetRecorded, FileProblems>& done) {
    REQUIRE_FALSE(done);
    return listed(done.error());
}

std::string content(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
}

}  // namespace

TEST_CASE("A sheet is recorded once; new lines at its end are recorded alone") {
    Shop shop;
    const auto sheet = head + recovery("RC-01", "27.5", "40");
    const auto first = shop.take(sheet);
    REQUIRE(first);
    CHECK(first->sheet == "V-1");
    CHECK(first->recorded.events.size() == 1);
    CHECK(first->recorded.already.empty());
    const auto events = shop.book.event_count();
    const auto again = shop.take(sheet, {now + std::chrono::hours(100), {}});
    REQUIRE(again);
    CHECK(again->recorded.only_already());
    CHECK(again->recorded.events.empty());
    CHECK(again->recorded.already.size() == 1);
    CHECK(shop.book.event_count() == events);
    const auto more = shop.take(sheet + recovery("RC-02", "27.5", "30"));
    REQUIRE(more);
    CHECK(more->recorded.already.size() == 1);
    REQUIRE(more->recorded.events.size() == 1);
    CHECK(more->recorded.events[0].event.own_id == "V-1/2");
    CHECK(shop.book.event_count() == events + 1);
}

TEST_CASE("A line that was changed, moved or left out is refused") {
    Shop shop;
    const auto one = recovery("RC-01", "27.5", "40");
    const auto two = recovery("RC-02", "27.5", "30");
    REQUIRE(shop.take(head + one + two));
    const auto events = shop.book.event_count();
    const auto changed = shop.take(head + recovery("RC-01", "27.5", "41") + two);
    CHECK(refusal(changed) == "7 own-id-other-content");
    CHECK(changed.error().listed[0].error.next.find("tarebook correct E9") != std::string::npos);
    CHECK(refusal(shop.take(head + two + one)) == "7 own-id-other-content; 8 own-id-other-content");
    CHECK(refusal(shop.take(head + one)) == "0 weighings sheet-line-missing");
    CHECK(refusal(shop.take(head + two)) == "0 weighings sheet-line-missing; 7 own-id-other-content");
    CHECK(shop.book.event_count() == events);
    // a line that was voided in the book may be left out
    Event taken_out;
    taken_out.what = kinds::Void{"E10", "wrong visit"};
    taken_out.recorded = now;
    taken_out.when = moment_in_zone(now, "America/Chicago").value();
    REQUIRE(record(shop.book, {taken_out}, {}));
    const auto shorter = shop.take(head + one);
    REQUIRE(shorter);
    CHECK(shorter->recorded.only_already());
}

TEST_CASE("Every problem is told in one run: what cannot be read, what is not on record, what the checks refuse") {
    Shop shop;
    const auto events = shop.book.event_count();
    const auto done = shop.take(head + recovery("RC-OLD", "27.5", "30") + recovery("RC-01", "27.5", "80") +
                                recovery("RC-0X", "27.5", "30") + recovery("RC-02", "27.5", "3O") +
                                "  - {act: weigh, cylinder: RC-01, gross: 80, scale: S2}\n");
    CHECK(refusal(done) ==
          "7 out-of-test; 8 fill-limit; 9 into unknown-cylinder; 10 after weight-unit; 11 scale unknown-scale");
    CHECK(done.error().count == 5);
    CHECK(shop.book.event_count() == events);
}

TEST_CASE("What is not on record is told at the line of its key") {
    Shop shop;
    const auto done =
        shop.take(std::string(head) +
                  "  - act: recover\n    at: 09:00\n    circuit: OAK/RACK-A/5\n    into: RC-01\n    net: 2\n"
                  "  - act: recover\n    circuit: OAK/RACK-A/4\n    into: RC-01\n    net: 2\n    machine: M9\n"
                  "  - act: transfer\n    from: RC-01\n    into: RC-01\n    net: 2\n");
    CHECK(refusal(done) == "9 circuit unknown-circuit; 16 machine unknown-machine; 18 from same-cylinder");
    CHECK(done.error().listed[0].error.next == "did you mean OAK/RACK-A/4?");
    // what the head says for all lines is told once
    const auto scale = std::string("sheet: V-1\nsite: OAK\nday: 2026-05-28\nscale: S9\nweighings:\n");
    CHECK(refusal(shop.take(scale + recovery("RC-01", "27.5", "30"))) == "4 scale unknown-scale");
}

TEST_CASE("What a line with a problem would have done is not held against the lines after it") {
    Shop shop;
    // the recovery cannot be read, so nobody knows what there was to put back
    const auto cannot = shop.take(head + recovery("RC-01", "27.5", "4O") +
                                  "  - {act: reuse, circuit: OAK/RACK-A/4, from: RC-01, net: 10}\n"
                                  "  - {act: transfer, from: RC-01, into: RC-02, net: 2}\n"
                                  "  - {act: return, cylinder: RC-02, to: Cedar, gross: 29.5}\n" +
                                  recovery("RC-OLD", "27.5", "30"));
    CHECK(refusal(cannot) == "7 after weight-unit; 11 out-of-test");
    // not even which cylinder it went into
    const auto nowhere =
        shop.take(std::string(head) + "  - {act: recover, at: 09:00, circuit: OAK/RACK-A/4, net: 2}\n" +
                  recovery("RC-OLD", "27.5", "30"));
    CHECK(refusal(nowhere) == "7 into sheet-key-missing");
    // an evacuated circuit has nothing to do with a cylinder
    const auto circuit =
        shop.take(std::string(head) + "  - {act: evacuate, at: 09:00, circuit: OAK/RACK-A/4, vacuum: 2}\n" +
                  recovery("RC-OLD", "27.5", "30"));
    CHECK(refusal(circuit) == "7 vacuum pressure-no-unit; 8 out-of-test");
}

TEST_CASE("A reason on a line takes on what speaks against that line, and no other") {
    Shop shop;
    const auto reason = std::string(", anyway: needed it");
    CHECK(refusal(shop.take(head + recovery("RC-OLD", "27.5", "30", reason) + recovery("RC-01", "27.5", "80"))) ==
          "8 fill-limit");
    const auto done = shop.take(head + recovery("RC-OLD", "27.5", "30", reason) + recovery("RC-01", "27.5", "30"));
    REQUIRE(done);
    CHECK(done->recorded.has_exceptions());
    CHECK(done->recorded.events[0].event.anyway == "needed it");
    CHECK(done->recorded.events[0].event.accepted.size() == 1);
    CHECK_FALSE(done->recorded.events[1].event.anyway);
    CHECK(done->recorded.events[1].event.accepted.empty());
}

TEST_CASE("Where there is somebody to ask, a question is asked once; no ends it, yes is no content of the line") {
    Shop shop;
    REQUIRE(shop.take(head + recovery("RC-01", "27.5", "30")));
    const auto second =
        "sheet: V-2\nsite: OAK\nday: 2026-05-28\nscale: S1\nweighings:\n" + recovery("RC-01", "36", "38");
    const auto events = shop.book.event_count();
    int asked = 0;
    const auto no = shop.take(second, {now, [&](const Finding&) {
                                           ++asked;
                                           return false;
                                       }});
    CHECK(refusal(no) == "6 answered-no");
    CHECK(asked == 1);
    CHECK(shop.book.event_count() == events);
    REQUIRE(shop.take(second, {now, [](const Finding&) { return true; }}));
    const auto again = shop.take(second);
    REQUIRE(again);
    CHECK(again->recorded.only_already());
}

TEST_CASE("A draft refers to what a draft before it brings in") {
    Shop shop;
    Event entry;
    entry.what = kinds::Entry{EntryKind::cylinder, "RC-03", true, {{"use", {"recovery", {}}}}};
    entry.when = moment_in_zone(now, "America/Chicago").value();
    entry.recorded = now;
    entry.own_id = "x/1";
    Event weigh;
    weigh.what = kinds::Weigh{"RC-03", parse_weight("30lb", ScaleReads::lb).value(), false};
    weigh.when = entry.when;
    weigh.recorded = now;
    weigh.own_id = "x/2";
    const auto backwards = record_each(shop.book, {{weigh, {}}, {entry, {}}}, {});
    REQUIRE_FALSE(backwards);
    REQUIRE(backwards.problems.size() == 1);
    CHECK(backwards.problems[0].draft == 0);
    CHECK(backwards.problems[0].error.name == "unknown-cylinder");
    CHECK(record_each(shop.book, {{entry, {}}, {weigh, {}}}, {}));
}

TEST_CASE("A blank names the site's circuits and their isolation points, and records when it is filled in") {
    Shop shop;
    REQUIRE_FALSE(blank_job_sheet(shop.book, "OKA", {}));
    CHECK(blank_job_sheet(shop.book, "OKA", {}).error().name == "unknown-site");
    auto text = blank_job_sheet(shop.book, "OAK", "22\"07").value();
    CHECK(text != blank_job_sheet(shop.book, "OAK", "22\"07").value());
    CHECK(text.find("- \"liquid: \\\"A\\\"\"\n") != std::string::npos);
    CHECK(text.find("# produce") != std::string::npos);
    const auto warned = blank_job_sheet(shop.book, "OAK", {}, {"caution: flammable (R-290)", "odd\nline"}).value();
    CHECK(warned.find("\n# caution: flammable (R-290)\n# odd") < warned.find("\nsheet: "));
    CHECK(warned.find("\nline") == std::string::npos);
    const auto fill = [&](const std::string& key, const std::string& value) {
        const auto at = text.find("\n    " + key + ":");
        REQUIRE(at != std::string::npos);
        text.insert(at + 6 + key.size(), " " + value);
    };
    text.insert(text.find("\nday:") + 5, " 2026-05-28");
    for (const auto& [key, value] : std::map<std::string, std::string>{
             {"at", "09:00"}, {"circuit", "OAK/RACK-A/4"}, {"into", "RC-01"}, {"before", "27.5lb"}, {"after", "30lb"}})
        fill(key, value);
    text.insert(text.find("- act:") + 6, " recover");
    // the isolation's own lines, with their # taken off
    for (auto at = text.find("\n#  - circuit:"); text[at + 1] == '#'; at = text.find('\n', at + 1))
        text.erase(at + 1, 1);
    const auto done = shop.take(text);
    if (!done) FAIL(text << listed(done.error()));
    REQUIRE(done->recorded.events.size() == 2);
    const auto& isolated = done->recorded.events[0].event;
    CHECK(isolated.job == "22\"07");
    CHECK(std::get<kinds::Isolate>(isolated.what).points == "liquid: \"A\", then suction");
    CHECK_FALSE(done->recorded.events[1].event.note);
}

TEST_CASE("A sheet that an older program recorded keeps an isolated circuit in the note of its line") {
    Shop shop;
    const auto sheet = [](const std::string& isolated, const std::string& note) {
        return "sheet: V-1\nsite: OAK\nday: 2026-05-28\nnote: store closed\n" + isolated +
               "weighings:\n  - {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: RC-01, before: 27.5lb, after: "
               "30lb" +
               note + "}\n";
    };
    // as an older program recorded it
    REQUIRE(shop.take(sheet("", ", note: \"slow; isolated OAK/RACK-A/4: liquid: ball valve (tag 12)\"")));
    const std::string isolated =
        "isolated:\n  - {circuit: OAK/RACK-A/4, close: \"liquid: ball valve\", note: tag 12}\n";
    const auto again = shop.take(sheet(isolated, ", note: slow"));
    if (!again) FAIL(listed(again.error()));
    CHECK(again->recorded.only_already());
    // another circuit was never noted: it is an event
    const auto more = shop.take(sheet(isolated + "  - {circuit: OAK/RACK-A}\n", ", note: slow"));
    if (!more) FAIL(listed(more.error()));
    REQUIRE(more->recorded.events.size() == 1);
    CHECK(std::get<kinds::Isolate>(more->recorded.events[0].event.what).circuit == "OAK/RACK-A");
}

TEST_CASE("A refused sheet's text is kept beside the book, for its owner alone, until the sheet is recorded") {
    Shop shop;
    const auto& book = shop.book.path();
    const auto kept = keep_sheet_draft(book, "sheet: V-1  # mine\nx: [\n");
    CHECK(kept == sheet_drafts_folder(book) / "V-1.yaml");
    CHECK(content(kept) == "sheet: V-1  # mine\nx: [\n");
    struct stat info {};
    REQUIRE(::stat(kept.c_str(), &info) == 0);
    CHECK((info.st_mode & 0777U) == 0600U);
    CHECK(keep_sheet_draft(book, "sheet: 'V-1'\n") == kept);
    CHECK(content(kept) == "sheet: 'V-1'\n");
    const auto nameless = keep_sheet_draft(book, "sheet: ../x\n");
    CHECK(nameless.filename().string().starts_with("unnamed-"));
    CHECK(nameless.parent_path() == sheet_drafts_folder(book));
    CHECK(keep_sheet_draft(book, "\xff\xfe") != nameless);
    drop_sheet_draft(book, "V-1", nameless);
    CHECK_FALSE(fs::exists(kept));
    CHECK_FALSE(fs::exists(nameless));
    const auto mine = shop.room.path / "mine.yaml";
    std::ofstream(mine) << "sheet: V-2\n";
    drop_sheet_draft(book, "V-2", mine);
    CHECK(fs::exists(mine));
}

}  // namespace job_sheet_record_test
