// Movements into a real book: the register that comes with them, codes that are nowhere, the same again.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <filesystem>
#include <fstream>

#include "support/book_room.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/exchange/import.hpp"
#include "tarebook/record/record.hpp"

using namespace tarebook;
using tarebook::test::BookRoom;
namespace fs = std::filesystem;

namespace import_book_test {

namespace {

const Instant now = std::chrono::sys_days{std::chrono::year{2026} / 6 / 1} + std::chrono::hours(15);
constexpr const char* header =
    "kind,date,time,site,appliance,circuit,cylinder,refrigerant,gross_before_lb,gross_after_lb,technician,job\n";

class Shop {
 public:
    BookRoom room;
    Book book = Book::create(room.book("shop.tarebook"), "Fernhollow Refrigeration", DisplayUnits::lb,
                             "America/Chicago", moment_in_zone(now, "America/Chicago").value());
    ImportFiles files;
    ImportOptions options;

    Shop() {
        options.now = now;
        file("cylinders.csv",
             "cylinder,refrigerant,water_capacity_lb,tare_lb\nRC-1,R448A,47.6,27\nSC-1,R448A,123,69\nSC-2,,,\n");
        file("circuits.csv", "site,appliance,circuit,refrigerant,nameplate_lb\nOAK,RACK,1,R448A,40\n");
        files = {room.path / "m.csv", room.path / "cylinders.csv", room.path / "circuits.csv"};
        options.add_to_register = true;
        options.owner = "Quillpost Markets";
    }

    void file(const std::string& name, const std::string& text) const { std::ofstream(room.path / name) << text; }
    tl::expected<ImportReport, FileProblems> import(const std::string& rows) {
        file("m.csv", header + rows);
        return import_movements(book, files, options);
    }
    /// "m.csv:3: cylinder: unknown-cylinder", one a line.
    std::string told(const std::string& rows) {
        const auto done = import(rows);
        if (done) return "taken";
        std::string out;
        for (const auto& p : done.error().listed)
            out += fmt::format("{}{}:{}: {}: {}", out.empty() ? "" : "; ", fs::path(p.file).filename().string(), p.line,
                               p.field, p.error.name);
        return out;
    }
    [[nodiscard]] std::string field(EntryKind kind, const char* code, const char* name) const {
        const auto* entry = book.entries().find(kind, code);
        return entry ? entry->text(name, {now, {}, 0}).value_or("-") : "no entry";
    }
};

const std::string bought = "purchase,2024-05-01,09:00,,,,SC-1,R448A,69,119,mo,\n";
const std::string charged = "charge,2024-05-02,09:00,OAK,RACK,1,SC-1,R448A,119,100,Ana Reed,J1\n";
const std::string recovered = "recover,2024-05-03,09:00,OAK,RACK,1,RC-1,,27,35,mo,J2\n";

}  // namespace

TEST_CASE("import: the register comes with the rows, and says what the files say") {
    Shop s;
    const auto done = s.import(recovered + charged + bought);
    REQUIRE(done);
    CHECK(done->rows == 3);
    CHECK(done->recorded == 3);
    CHECK(done->entries ==
          7);  // a site, an appliance, a circuit, three cylinders, and mo; a name with a blank is no code
    CHECK(done->exceptions == 0);
    CHECK(s.field(EntryKind::site, "OAK", "owner") == "Quillpost Markets");
    CHECK(s.field(EntryKind::appliance, "OAK/RACK", "full_charge") == "40.00lb");
    CHECK(s.field(EntryKind::cylinder, "RC-1", "use") == "recovery");
    CHECK(s.field(EntryKind::cylinder, "SC-1", "use") == "supply");
    CHECK(s.field(EntryKind::cylinder, "SC-2", "use") == "-");
    CHECK(s.field(EntryKind::cylinder, "RC-1", "spec") == "-");
    CHECK(s.field(EntryKind::cylinder, "RC-1", "stamped_limit") == "-");
    CHECK(s.field(EntryKind::technician, "mo", "name") == "mo");
    CHECK(s.field(EntryKind::technician, "Ana Reed", "name") == "no entry");
    CHECK(s.book.state("SC-1").contents() == Mass::pounds(31));
    CHECK(s.book.state("RC-1").contents() == Mass::pounds(8));
    // the entries hold from just before the first row, whatever its place in the file
    CHECK(instant_text(s.book.event_named("E2")->event.when.at) == "2024-05-01T13:59:00Z");
    CHECK(s.book.check(Judge({})).problems.empty());
}

TEST_CASE("import: the same rows again change nothing, and more rows bring in only what is new") {
    Shop s;
    REQUIRE(s.import(bought + charged));
    const auto head = s.book.head();
    const auto again = s.import(bought + charged);
    REQUIRE(again);
    CHECK(again->recorded == 0);
    CHECK(again->already == 2);
    CHECK(again->entries == 0);
    CHECK(s.book.head().seq == head.seq);
    const auto more = s.import(charged + recovered + bought);
    REQUIRE(more);
    CHECK(more->recorded == 1);
    CHECK(more->already == 2);
    CHECK(s.book.head().seq == head.seq + 1);
}

TEST_CASE("import: what is on record stays as it is") {
    Shop s;
    Event e;
    e.recorded = now;
    e.when = moment_in_zone(now, "America/Chicago").value();
    e.what = kinds::Entry{
        EntryKind::cylinder, "SC-1", true, {{"use", {"consolidation", {}}}, {"tare", {"69lb", Mass::pounds(69)}}}};
    REQUIRE(record(s.book, {e}, {}));
    const auto done = s.import(bought);
    REQUIRE(done);
    CHECK(done->entries == 6);
    CHECK(s.field(EntryKind::cylinder, "SC-1", "use") == "consolidation");
    CHECK(s.field(EntryKind::cylinder, "SC-1", "refrigerant") == "-");
}

TEST_CASE("import: a code that is nowhere is told once, at its first line") {
    Shop s;
    const std::string stranger = "recover,2024-05-03,09:00,OAK,RACK,1,RC-7,,27,35,mo,J2\n";
    CHECK(s.told(bought + stranger + stranger) == "m.csv:3: cylinder: unknown-cylinder");
    CHECK(s.told("recover,2024-05-03,09:00,OAK,RACK,2,RC-1,,27,35,mo,J2\n" + stranger) ==
          "m.csv:2: circuit: unknown-circuit; m.csv:3: cylinder: unknown-cylinder");
    CHECK(s.told("loss,2024-05-03,09:00,ELM,,,RC-1,,27,26.9,mo,J2\n") == "m.csv:2: circuit: unknown-site");
    s.options.add_to_register = false;
    s.options.owner.clear();
    CHECK(s.told(bought) == "m.csv:2: cylinder: unknown-cylinder");
    const auto problem = s.import(stranger + stranger).error().listed.at(1).error;
    CHECK(problem.what == "there is no cylinder RC-7 on record (2 rows)");
    CHECK(s.book.head().seq == 1);
}

TEST_CASE("import: a row that contradicts the register is told") {
    Shop s;
    CHECK(s.told("charge,2024-05-02,09:00,OAK,RACK,1,SC-1,R22,119,100,mo,J1\n") ==
          "m.csv:2: refrigerant: refrigerant-differs");
    CHECK(s.told("purchase,2024-05-02,09:00,,,,SC-1,R22,69,100,mo,\n") == "m.csv:2: refrigerant: refrigerant-differs");
    CHECK(s.told("purchase,2024-05-02,09:00,,,,SC-2,R22,69,100,mo,\n") ==
          "taken");  // nothing is on record to contradict
}

TEST_CASE("import: what the checks refuse is told by line, and a reason takes it") {
    Shop s;
    const std::string too_much = "charge,2024-05-02,09:00,OAK,RACK,1,SC-1,R448A,119,50,mo,J1\n";
    CHECK(s.told(bought + too_much) == "m.csv:3: gross_after_lb: draw-exceeds-reading");
    CHECK(s.told(bought + "charge,2027-05-02,09:00,OAK,RACK,1,SC-1,R448A,119,100,mo,J1\n") ==
          "m.csv:3: date: future-time");
    CHECK(s.book.head().seq == 1);
    s.options.anyway = "the tare is wrong";
    const auto done = s.import(bought + too_much);
    REQUIRE(done);
    CHECK(done->exceptions > 0);
}

TEST_CASE("import: problems of all files come in one run, and what follows from them does not") {
    Shop s;
    s.file("cylinders.csv", "cylinder,refrigerant,water_capacity_lb,tare_lb\nRC-1,R999,47.6,27\n");
    CHECK(s.told(bought + "nothing,2024-05-01,09:00,,,,SC-1,R448A,69,119,mo,\n") ==
          "cylinders.csv:2: refrigerant: refrigerant-unknown; m.csv:3: kind: kind-unknown");
    s.files.circuits = s.room.path / "nowhere.csv";
    s.files.cylinders.reset();
    CHECK(s.told(bought) == "nowhere.csv:0: : file-missing");
}

TEST_CASE("import: a file without rows changes nothing") {
    Shop s;
    s.files.circuits.reset();
    s.files.cylinders.reset();
    const auto empty = s.import("");
    REQUIRE(empty);
    CHECK(empty->rows == 0);
    CHECK(s.book.head().seq == 1);
}

}  // namespace import_book_test
