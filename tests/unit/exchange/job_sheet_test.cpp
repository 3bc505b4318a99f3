// A sheet's text becomes drafts: every kind of line, and every refusal with its line and key.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "any_sheet_book.hpp"
#include "tarebook/exchange/job_sheet.hpp"

using namespace tarebook;

namespace job_sheet_test {

namespace {

const Instant now = std::chrono::sys_days{std::chrono::year{2026} / 6 / 1} + std::chrono::hours(15);

// A store in Chicago, a scale that reads pounds, one that reads pounds and ounces, a jug without a tare.
SheetBook small_book() {
    return {[](const std::string& site) -> Result<std::string> {
                if (site == "OAK") return "America/Chicago";
                return usage("unknown-site", "there is no such site", site, "a code of the register");
            },
            [](const std::string& scale, Instant) -> Result<ScaleReads> {
                if (scale == "S1") return ScaleReads::lb;
                if (scale == "S3") return ScaleReads::lb_oz;
                return usage("unknown-scale", "there is no such scale", scale, "a code of the register");
            },
            [](const std::string& cylinder, Instant) { return cylinder != "J-1"; }};
}

constexpr const char* head = "sheet: V-1\nsite: OAK\nday: 2026-05-28\njob: 2207\nby: ana\nscale: S1\nweighings:\n";

JobSheet parsed(const std::string& text) {
    return parse_job_sheet(text, "visit.yaml", small_book(), now);
}
// A sheet with these lines, the first of which gets a time.
JobSheet with_lines(const std::string& lines) {
    return parsed(head + lines);
}

// "8 before weight-no-unit; 9 at time-format"
std::string listed(const JobSheet& sheet) {
    std::string out;
    for (const auto& p : sheet.problems.listed)
        out += fmt::format("{}{}{} {}", out.empty() ? "" : "; ", p.line, p.field.empty() ? "" : " " + p.field,
                           p.error.name);
    return out;
}

const Event& only(const JobSheet& sheet) {
    CAPTURE(listed(sheet));
    REQUIRE(sheet.problems.empty());
    REQUIRE(sheet.lines.size() == 1);
    REQUIRE(sheet.lines[0].draft);
    return *sheet.lines[0].draft;
}
template <class Kind>
const Kind& kind_of(const JobSheet& sheet) {
    return std::get<Kind>(only(sheet).what);
}

Mass lb(std::int64_t thousandths) {
    return Mass::thousandths_of_a_pound(thousandths);
}

}  // namespace

TEST_CASE("A recovery takes every key that the command takes") {
    const auto sheet = with_lines(
        "  - act: recover\n    at: 08:30\n    circuit: OAK/RACK-A/4\n    into: RC-01\n    before: 27.5\n"
        "    after: 43.25lb\n    reason: leak\n    vacuum: 10inHg\n    held: 15\n    rise: 9inHg\n    drier: yes\n"
        "    machine: M1\n    gas: clean\n    note: valve stuck\n    anyway: it was needed\n");
    const auto& e = only(sheet);
    const auto& k = std::get<kinds::Recover>(e.what);
    CHECK(k.circuit == "OAK/RACK-A/4");
    CHECK(k.into == "RC-01");
    CHECK(k.weighing.gained() == lb(15'750));
    CHECK(k.reason == Reason::leak);
    CHECK(k.vacuum == "10inHg");
    CHECK(k.rise == "9inHg");
    CHECK(k.held_min == 15);
    CHECK(k.drier == "yes");
    CHECK(k.machine == "M1");
    CHECK(k.gas == "clean");
    CHECK(e.job == "2207");
    CHECK(e.by == "ana");
    CHECK(e.scale == "S1");
    CHECK(e.note == "valve stuck");
    CHECK(e.anyway == "it was needed");
    CHECK(e.own_id == "V-1/1");
    CHECK(e.recorded == now);
    CHECK(moment_iso(e.when) == "2026-05-28T08:30:00-05:00");
}

TEST_CASE("Every other act becomes its kind of event") {
    const auto charge = with_lines(
        "  - {act: charge, at: 09:00, circuit: OAK/RACK-A, from: J-1, before: 30, after: 12.5, invoice: A 7, emptied: "
        "yes}\n");
    CHECK(kind_of<kinds::Charge>(charge).weighing.gained() == lb(-17'500));
    CHECK(kind_of<kinds::Charge>(charge).reason == Reason::leak);
    CHECK(kind_of<kinds::Charge>(charge).emptied);
    CHECK(kind_of<kinds::Charge>(charge).invoice == "A 7");
    const auto by_others =
        with_lines("  - {act: charge, at: 09:00, circuit: OAK/RACK-A, from: \"outside:Larch Cooling\", net: 2lb}\n");
    CHECK(kind_of<kinds::Charge>(by_others).from == "outside:Larch Cooling");
    const auto reuse = with_lines("  - {act: reuse, at: 09:00, circuit: OAK/RACK-A/4, from: RC-01, net: 3}\n");
    CHECK(kind_of<kinds::Reuse>(reuse).reason == Reason::put_back);
    CHECK(kind_of<kinds::Reuse>(reuse).weighing.net->mass == lb(3000));
    const auto transfer = with_lines(
        "  - {act: transfer, at: 09:00, from: RC-01, into: RC-02, from-before: 40, from-after: 30, into-before: 28, "
        "into-after: 37.9, hose-loss: lost}\n");
    CHECK(kind_of<kinds::Transfer>(transfer).from_weighing.gained() == lb(-10'000));
    CHECK(kind_of<kinds::Transfer>(transfer).into_weighing.gained() == lb(9900));
    CHECK(kind_of<kinds::Transfer>(transfer).hose_loss == "lost");
    const auto returned =
        with_lines("  - {act: return, at: 09:00, cylinder: RC-01, to: Cedar, gross: 43.2, manifest: 4}\n");
    CHECK(kind_of<kinds::Return>(returned).gross->mass == lb(43'200));
    CHECK(kind_of<kinds::Return>(returned).manifest == "4");
    const auto received = with_lines(
        "  - {act: receive, at: 09:00, cylinder: RC-9, from: Harlan, gross: 52, refrigerant: 448a, condition: "
        "reclaimed, lot: L1, invoice: I1}\n");
    CHECK(kind_of<kinds::Receive>(received).refrigerant == "R-448A");
    CHECK(kind_of<kinds::Receive>(received).condition == Condition::reclaimed);
    const auto weighed = with_lines("  - {act: weigh, at: 09:00, cylinder: RC-01, gross: 43.2, leaking: true}\n");
    CHECK(kind_of<kinds::Weigh>(weighed).gross.mass == lb(43'200));
    CHECK(kind_of<kinds::Weigh>(weighed).leaking);
    const auto evacuated =
        with_lines("  - {act: evacuate, at: 09:00, circuit: OAK/RACK-A/4, vacuum: 500micron, held: 30}\n");
    CHECK(kind_of<kinds::Evacuate>(evacuated).circuit == "OAK/RACK-A/4");
    CHECK(kind_of<kinds::Evacuate>(evacuated).held_min == 30);
    const auto released = with_lines(
        "  - {act: release, at: 09:00, circuit: OAK/RACK-A/4, mass: 0.5, method: hose volume, why: purge}\n");
    CHECK(kind_of<kinds::Release>(released).released() == lb(500));
    const auto purged = with_lines(
        "  - {act: release, at: 09:00, cylinder: RC-01, before: 40, after: 39.5, method: weighed, why: air}\n");
    CHECK(kind_of<kinds::Release>(purged).released() == lb(500));
}

TEST_CASE("A line without a time has that of the line before; a whole moment may stand in place of a time of day") {
    const auto sheet = with_lines(
        "  - {act: weigh, at: 23:50, cylinder: A, gross: 1}\n  - {act: weigh, cylinder: B, gross: 1}\n"
        "  - {act: weigh, at: 2026-05-29 00:10, cylinder: C, gross: 1}\n  - {act: weigh, cylinder: D, gross: 1}\n");
    REQUIRE(sheet.lines.size() == 4);
    CHECK(sheet.lines[1].draft->when == sheet.lines[0].draft->when);
    CHECK(moment_iso(sheet.lines[3].draft->when) == "2026-05-29T00:10:00-05:00");
    CHECK(sheet.lines[3].draft->own_id == "V-1/4");
    CHECK(sheet.lines[3].line == 11);
}

TEST_CASE("Reading a sheet again, later, gives the same words") {
    const std::string text =
        std::string(head) +
        "  - {act: weigh, at: 09:00, cylinder: A, gross: 1}\n  - {act: weigh, cylinder: B, gross: 2}\n";
    const auto first = parsed(text);
    const auto later = parse_job_sheet(text, "elsewhere.yaml", small_book(), now + std::chrono::hours(1000));
    REQUIRE(later.lines.size() == 2);
    for (std::size_t i = 0; i < 2; ++i) CHECK(words_of(*first.lines[i].draft) == words_of(*later.lines[i].draft));
}

TEST_CASE("Lines left empty are left out and take no number") {
    const auto sheet = with_lines(
        "  -\n  - {act: , cylinder: , gross: }\n  - {act: weigh, at: 09:00, cylinder: A, gross: 1, circuit: , into: "
        "\"\"}\n"
        "  - {act: }\n");
    CHECK(only(sheet).own_id == "V-1/1");
    CHECK(sheet.lines[0].line == 10);
    CHECK(listed(with_lines("  - act:\n  - act:\n")) == "7 weighings sheet-empty");
    // an act alone is a line that somebody began
    CHECK(listed(with_lines("  - act: weigh\n")) ==
          "8 at sheet-key-missing; 8 cylinder sheet-key-missing; 8 gross sheet-key-missing");
}

TEST_CASE("By and scale of a line stand before those of the sheet; a bare number takes the scale's unit") {
    const auto sheet = with_lines("  - {act: weigh, at: 09:00, cylinder: A, gross: 12 lb 8 oz, by: sam, scale: S3}\n");
    CHECK(only(sheet).by == "sam");
    CHECK(only(sheet).scale == "S3");
    CHECK(listed(with_lines("  - {act: weigh, at: 09:00, cylinder: A, gross: 12.8, scale: S3}\n")) ==
          "8 gross weight-no-unit");
}

TEST_CASE("What no event has a field for is kept as a note, on the line that it belongs to") {
    const auto sheet = parsed(
        "sheet: V-1\nsite: OAK\nday: 2026-05-28\nnote: store closed\nreadings: {suction: 42psig, box: 36F}\n"
        "weighings:\n  - {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, net: 1lb, note: slow, readings: "
        "{sight glass: clear}}\n"
        "  - {act: recover, circuit: OAK/RACK-A/5, into: A, net: 1lb}\n");
    CAPTURE(listed(sheet));
    REQUIRE(sheet.lines.size() == 2);
    CHECK(sheet.problems.empty());
    CHECK(sheet.lines[0].draft->note ==
          "store closed; visit readings: suction 42psig, box 36F; slow; readings: sight glass clear");
    CHECK_FALSE(sheet.lines[1].draft->note);
}

TEST_CASE(
    "A circuit that was isolated is an event before the lines, when it says so or as the first line that names it") {
    const auto sheet = parsed(
        "sheet: V-1\nsite: OAK\nday: 2026-05-28\njob: 2207\nby: sam\n"
        "isolated:\n  - circuit: OAK/RACK-A/5\n    close: [\"liquid: ball valve\", suction]\n    at: 08:10\n    note: "
        "tag 12\n"
        "  - circuit: OAK/RACK-A/4\n    close: \"liquid: ball valve\"\n"
        "  - circuit: OAK/RACK-B\n"
        "weighings:\n  - {act: recover, at: 09:00, circuit: OAK/RACK-A/5, into: A, net: 1lb}\n"
        "  - {act: recover, at: 09:30, circuit: OAK/RACK-A/4, into: A, net: 1lb}\n");
    CAPTURE(listed(sheet));
    REQUIRE(sheet.problems.empty());
    REQUIRE(sheet.lines.size() == 5);
    CHECK(sheet.isolated == 3);
    const auto isolated = [&](std::size_t i) { return std::get<kinds::Isolate>(sheet.lines[i].draft->what); };
    CHECK(isolated(0).circuit == "OAK/RACK-A/5");
    CHECK(isolated(0).points == "liquid: ball valve, then suction");
    CHECK(sheet.lines[0].draft->note == "tag 12");
    CHECK(sheet.lines[0].draft->job == "2207");
    CHECK(sheet.lines[0].draft->by == "sam");
    CHECK(sheet.lines[0].draft->own_id == "V-1/isolated-1");
    CHECK(moment_text(sheet.lines[0].draft->when) == "2026-05-28 08:10");
    CHECK(isolated(1).points == "liquid: ball valve");
    CHECK(moment_text(sheet.lines[1].draft->when) == "2026-05-28 09:30");
    CHECK_FALSE(isolated(2).points);
    CHECK(moment_text(sheet.lines[2].draft->when) == "2026-05-28 09:00");
    CHECK(sheet.lines[3].draft->own_id == "V-1/1");
}

TEST_CASE("Lines added at the end never change what stands on the lines before them") {
    const std::string first =
        "sheet: V-1\nsite: OAK\nday: 2026-05-28\nisolated:\n  - circuit: OAK/RACK-A/4\nweighings:\n"
        "  - {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, net: 1lb}\n";
    const auto more = first + "  - {act: recover, circuit: OAK/RACK-A/4, into: A, net: 2lb}\n";
    for (std::size_t i = 0; i < 2; ++i)
        CHECK(words_of(*parsed(first).lines[i].draft) == words_of(*parsed(more).lines[i].draft));
}

namespace {
struct Row {
    const char* text;
    const char* problems;
};
}  // namespace

TEST_CASE("Each slip on a line is told with its line and key") {
    const Row rows[] = {
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, before: 27.5, after: \"43,25\"}",
         "8 after weight-comma"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, before: -27.5, after: 43}",
         "8 before weight-sign"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, before: 27.5}", "8 after sheet-key-missing"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A}",
         "8 before sheet-key-missing; 8 after sheet-key-missing"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, net: 2}", "8 into sheet-key-missing"},
        {"- {act: recover, at: 09:00, into: A, net: 2}", "8 circuit sheet-key-missing"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, net: 2, before: 3}", "8 net weighing-twice"},
        {"- {act: recover, at: 09:00, circuit: ELM/RACK-A/4, into: A, net: 2}", "8 circuit sheet-circuit-elsewhere"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, net: 2, reason: laek}", "8 reason sheet-word"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, net: 2, vacuum: 10}",
         "8 vacuum pressure-no-unit"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, net: 2, rise: 10psi}",
         "8 rise pressure-gauge-or-absolute"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, net: 2, held: 15min}", "8 held sheet-number"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, net: 2, held: 100001}", "8 held sheet-number"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, net: 2, drier: maybe}", "8 drier sheet-word"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, net: 2, gas: brown}", "8 gas sheet-word"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, net: 2, gross: 4}",
         "8 gross sheet-key-of-other-act"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: A, net: 2, vacum: 4}", "8 vacum sheet-unknown-key"},
        {"- {act: recover, at: 09:00, circuit: OAK/RACK-A/4, into: [A, B], net: 2}", "8 into sheet-shape"},
        {"- {act: recovr, at: 09:00, circuit: OAK/RACK-A/4, into: A, net: 2}", "8 act sheet-word"},
        {"- {at: 09:00, cylinder: A, gross: 2}", "8 act sheet-key-missing"},
        {"- {act: weigh, cylinder: A, gross: 2}", "8 at sheet-key-missing"},
        {"- {act: weigh, at: \"9.00\", cylinder: A, gross: 2}", "8 at time-format"},
        {"- {act: weigh, at: 25:00, cylinder: A, gross: 2}", "8 at time-format"},
        {"- {act: weigh, at: 2026-02-30 09:00, cylinder: A, gross: 2}", "8 at time-format"},
        {"- {act: weigh, at: 2026-03-08 02:30, cylinder: A, gross: 2}", "8 at time-nonexistent"},
        {"- {act: weigh, at: 2025-11-02 01:30, cylinder: A, gross: 2}", "8 at time-ambiguous"},
        {"- {act: weigh, at: 09:00, gross: 2}", "8 cylinder sheet-key-missing"},
        {"- {act: weigh, at: 09:00, cylinder: A}", "8 gross sheet-key-missing"},
        {"- {act: weigh, at: 09:00, cylinder: A, gross: 2, scale: S9}", "8 scale unknown-scale"},
        {"- {act: weigh, at: 09:00, cylinder: A, gross: 2, leaking: perhaps}", "8 leaking sheet-word"},
        {"- {act: weigh, at: 09:00, cylinder: A, gross: 2, readings: 3}", "8 readings sheet-shape"},
        {"- {act: weigh, at: 09:00, cylinder: A, gross: 2, readings: {box: [1]}}", "8 readings.box sheet-shape"},
        {"- {act: charge, at: 09:00, circuit: OAK/RACK-A, from: \"outside:\", net: 2}", "8 from outside-net"},
        {"- {act: charge, at: 09:00, circuit: OAK/RACK-A, from: \"outside:X\", before: 2, after: 1}",
         "8 from outside-net"},
        {"- {act: transfer, at: 09:00, from: A, into: B, from-before: 2}", "8 act transfer-weights"},
        {"- {act: transfer, at: 09:00, from: A, into: B, net: 2, into-after: 2}", "8 net weighing-twice"},
        {"- {act: transfer, at: 09:00, from: A, into: B, net: 2, hose-loss: floor}", "8 hose-loss sheet-word"},
        {"- {act: return, at: 09:00, cylinder: A}", "8 to sheet-key-missing"},
        {"- {act: return, at: 09:00, cylinder: A, to: B, before: 3}", "8 after sheet-key-missing"},
        {"- {act: receive, at: 09:00, cylinder: A, from: B}", "8 gross sheet-key-missing"},
        {"- {act: receive, at: 09:00, cylinder: J-1, from: B, gross: 30}", "8 gross no-tare"},
        {"- {act: receive, at: 09:00, cylinder: A, from: B, gross: 30, refrigerant: R-448Q}",
         "8 refrigerant refrigerant-unknown"},
        {"- {act: receive, at: 09:00, cylinder: A, from: B, gross: 30, condition: new}", "8 condition sheet-word"},
        {"- {act: evacuate, at: 09:00}", "8 circuit evacuate-where"},
        {"- {act: evacuate, at: 09:00, circuit: OAK/RACK-A, cylinder: A}", "8 circuit evacuate-where"},
        {"- {act: release, at: 09:00, mass: 1, method: m, why: w}", "8 circuit release-where"},
        {"- {act: release, at: 09:00, cylinder: A, method: m, why: w}", "8 mass sheet-key-missing"},
        {"- {act: release, at: 09:00, cylinder: A, mass: 1}", "8 method sheet-key-missing; 8 why sheet-key-missing"},
        {"- {act: release, at: 09:00, cylinder: A, mass: 1, before: 2, after: 1, method: m, why: w}",
         "8 before weighing-twice"},
        {"- {act: release, at: 09:00, circuit: OAK/RACK-A, before: 2, after: 1, method: m, why: w}",
         "8 before weighing-twice"},
        {"- act: weigh\n    act: recover\n    at: 09:00\n    cylinder: A\n    gross: 2", "9 act sheet-duplicate-key"},
        {"- just words", "8 weighings sheet-shape"},
    };
    for (const auto& row : rows) {
        CAPTURE(row.text);
        const auto sheet = with_lines(std::string("  ") + row.text + "\n");
        CHECK(listed(sheet) == row.problems);
        for (const auto& p : sheet.problems.listed) CHECK(p.file == "visit.yaml");
    }
}

TEST_CASE("Each slip in the head of a sheet is told with its line and key") {
    const std::string line = "weighings:\n  - {act: weigh, at: 09:00, cylinder: A, gross: 2lb}\n";
    const Row rows[] = {
        {"site: OAK\nday: 2026-05-28\n", "1 sheet sheet-key-missing"},
        {"sheet: V 1\nsite: OAK\nday: 2026-05-28\n", "1 sheet sheet-id"},
        {"sheet: ../V\nsite: OAK\nday: 2026-05-28\n", "1 sheet sheet-id"},
        {"sheet: .V\nsite: OAK\nday: 2026-05-28\n", "1 sheet sheet-id"},
        {"sheet: V-1\nday: 2026-05-28\n", "1 site sheet-key-missing"},
        {"sheet: V-1\nsite: OKA\nday: 2026-05-28\n", "2 site unknown-site"},
        {"sheet: V-1\nsite: OAK\n", "1 day sheet-key-missing"},
        {"sheet: V-1\nsite: OAK\nday: 28.5.2026\n", "3 day date-format"},
        {"sheet: V-1\nsite: OAK\nday: 2026-05-28\nscale: S9\n", "4 scale unknown-scale"},
        {"sheet: V-1\nsite: OAK\nday: 2026-05-28\ntechnician: ana\n", "4 technician sheet-unknown-key"},
        {"sheet: V-1\nsite: OAK\nday: 2026-05-28\njob: [1]\n", "4 job sheet-shape"},
        {"sheet: V-1\nsite: OAK\nday: 2026-05-28\njob: 1\njob: 2\n", "5 job sheet-duplicate-key"},
        {"sheet: V-1\nsite: OAK\nday: 2026-05-28\nisolated: OAK/RACK-A\n", "4 isolated sheet-shape"},
        {"sheet: V-1\nsite: OAK\nday: 2026-05-28\nisolated:\n  - OAK/RACK-A\n", "5 isolated sheet-shape"},
        {"sheet: V-1\nsite: OAK\nday: 2026-05-28\nisolated:\n  - circuit: ELM/RACK-A\n",
         "5 circuit sheet-circuit-elsewhere"},
        {"sheet: V-1\nsite: OAK\nday: 2026-05-28\nisolated:\n  - {circuit: OAK/RACK-A, how: valve}\n",
         "5 how sheet-unknown-key"},
        {"sheet: V-1\nsite: OAK\nday: 2026-05-28\nreadings: [1]\n", "4 readings sheet-shape"},
    };
    for (const auto& row : rows) {
        CAPTURE(row.text);
        CHECK(listed(parsed(row.text + line)) == row.problems);
    }
    CHECK(listed(parsed("sheet: V-1\nsite: OAK\nday: 2026-05-28\n")) == "1 weighings sheet-key-missing");
    CHECK(listed(parsed("sheet: V-1\nsite: OAK\nday: 2026-05-28\nweighings: {act: weigh}\n")) ==
          "4 weighings sheet-shape");
    CHECK(listed(parsed("- a\n- b\n")) == "1 sheet-shape");
    CHECK(listed(parsed("hello\n")) == "1 sheet-shape");
}

TEST_CASE("All problems of a sheet are told in one run, by line, with the nearest word") {
    const auto sheet = parsed(
        "sheet: V-1\nsite: OKA\nday: 2026-05-28\nscal: S1\nweighings:\n"
        "  - {act: recover, at: 09:00, circuit: OKA/RACK-A/4, into: A, before: 1, after: 2lb}\n"
        "  - {act: weight, cylinder: A, gross: 1lb}\n");
    CHECK(listed(sheet) == "2 site unknown-site; 4 scal sheet-unknown-key; 6 before weight-no-unit; 7 act sheet-word");
    CHECK(sheet.problems.listed[1].error.next == "did you mean scale?");
    CHECK(sheet.problems.listed[3].error.next == "did you mean weigh?");
    CHECK(sheet.problems.listed[2].error.seen == "1");
}

TEST_CASE("A decimal comma inside braces is a key of digits, and the problem says so") {
    const auto sheet = with_lines("  - {act: weigh, at: 09:00, cylinder: A, gross: 27,5}\n");
    CHECK(listed(sheet) == "8 5 sheet-unknown-key");
    CHECK(sheet.problems.listed[0].error.next.find("27.5") != std::string::npos);
}

TEST_CASE("A sheet of a thousand lines is read, one more is refused; problems are counted beyond the thousandth") {
    std::string lines;
    for (int i = 0; i < 1000; ++i) lines += "  - {act: weigh, at: 09:00, cylinder: A, gross: 1}\n";
    CHECK(with_lines(lines).lines.size() == 1000);
    CHECK(listed(with_lines(lines + "  - {act: weigh, at: 09:00, cylinder: A, gross: 1}\n")) ==
          "7 weighings sheet-shape");
    std::string keys = "sheet: V-1\n";
    for (int i = 0; i < 1500; ++i) keys += fmt::format("k{}: 1\n", i);
    const auto many = parsed(keys);
    CHECK(many.problems.listed.size() == 1000);
    CHECK(many.problems.count == 1503);
}

TEST_CASE("Without a book every site and scale is taken") {
    const auto sheet = parse_job_sheet(
        "sheet: V-1\nsite: ANY\nday: 2026-05-28\nscale: X\nweighings:\n  - {act: weigh, at: 09:00, cylinder: A, gross: "
        "1}\n",
        "visit.yaml", any_sheet_book(), now);
    CHECK(sheet.problems.empty());
    REQUIRE(sheet.lines.size() == 1);
    CHECK(moment_iso(sheet.lines[0].draft->when) == "2026-05-28T09:00:00+00:00");
}

}  // namespace job_sheet_test
