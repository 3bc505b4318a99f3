// Rows of movements: each kind, each thing that can be wrong in a cell, and what makes two rows the same.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "exchange/movements_drafts.hpp"

using namespace tarebook;

namespace {

constexpr const char* header =
    "kind,date,time,site,appliance,circuit,cylinder,refrigerant,gross_before_lb,gross_after_lb,technician,job,note\n";

struct Import {
    FileProblems problems;
    MovementRows rows;

    explicit Import(const std::string& text, const std::string& first = header) {
        const std::string all = first + text;
        TextSource source(all);
        rows = read_movements(
            {}, source, "m.csv",
            [](std::string_view site) { return site == "WEST" ? "America/Denver" : "America/Chicago"; }, problems);
    }
    [[nodiscard]] Event event(std::size_t i = 0) const {
        Event e;
        MovementDrafts({}, rows, Instant()).make(i, e);
        return e;
    }
    /// "3 time time-format", one a line.
    [[nodiscard]] std::string told() const {
        std::string out;
        for (const auto& p : problems.listed)
            out += fmt::format("{}{} {} {}", out.empty() ? "" : "; ", p.line, p.field, p.error.name);
        return out;
    }
};

std::string row(const std::string& kind, const std::string& time = "10:00", const std::string& place = "OAK,RACK,1",
                const std::string& cylinder = "RC-1", const std::string& gas = "R448A",
                const std::string& weights = "30,42.5", const std::string& rest = "mo,J1,") {
    return kind + ",2024-05-01," + time + "," + place + "," + cylinder + "," + gas + "," + weights + "," + rest + "\n";
}

}  // namespace

TEST_CASE("rows: each kind becomes its event, with both readings") {
    const Import i(row("purchase", "10:00", ",,") + row("charge") + row("recover") + row("return", "10:00", ",,") +
                   row("loss"));
    CHECK(i.told().empty());
    REQUIRE(i.rows.size() == 5);
    const auto weighing = [](const Weighing& w) {
        CHECK(w.before->mass == Mass::pounds(30));
        CHECK(w.before->typed == "30.00lb");
        CHECK(w.after->mass == Mass::thousandths_of_a_pound(42'500));
        CHECK_FALSE(w.net);
    };
    const auto bought = std::get<kinds::Receive>(i.event(0).what);
    CHECK(bought.cylinder == "RC-1");
    CHECK(bought.from == "Supplier");
    CHECK(bought.refrigerant == "R-448A");
    weighing(bought.weighing);
    const auto charged = std::get<kinds::Charge>(i.event(1).what);
    CHECK(charged.circuit == "OAK/RACK/1");
    CHECK(charged.from == "RC-1");
    weighing(charged.weighing);
    const auto recovered = std::get<kinds::Recover>(i.event(2).what);
    CHECK(recovered.circuit == "OAK/RACK/1");
    CHECK(recovered.into == "RC-1");
    weighing(recovered.weighing);
    const auto returned = std::get<kinds::Return>(i.event(3).what);
    CHECK(returned.to == "Reclaimer");
    weighing(returned.weighing);
    CHECK_FALSE(i.event(3).note);
    const auto lost = std::get<kinds::Release>(i.event(4).what);
    CHECK(lost.cylinder == "RC-1");
    CHECK_FALSE(lost.circuit);
    CHECK_FALSE(lost.mass);
    weighing(lost.weighing);
    CHECK(i.event(4).note == "at OAK/RACK/1");
    CHECK(i.event(4).by == "mo");
    CHECK(i.event(4).job == "J1");
}

TEST_CASE("rows: a draft made over another one carries nothing of it") {
    const Import i(row("purchase", "10:00", ",,") + row("charge") + row("recover") + row("loss") +
                   row("recover", "11:00", "WEST,RACK,", "RC-2", "", "1,2", ",,a word") +
                   row("purchase", "10:00", ",,", "SC-1", "", "1,2", ",,"));
    REQUIRE(i.rows.size() == 6);
    const MovementDrafts drafts({}, i.rows, Instant(std::chrono::seconds(7)));
    for (std::size_t first = 0; first < 6; ++first)
        for (std::size_t second = 0; second < 6; ++second) {
            Event used;
            drafts.make(first, used);
            used.anyway = "reason";  // what a recording adds to the draft before it asks for the next
            used.seq = 9;
            used.scale = "S1";
            used.accepted.push_back({"gap", "RC-1", "text"});
            if (auto* k = std::get_if<kinds::Receive>(&used.what)) k->lot = "L1";
            if (auto* k = std::get_if<kinds::Recover>(&used.what)) k->vacuum = "10inHg";
            drafts.make(second, used);
            Event fresh;
            drafts.make(second, fresh);
            CHECK(canonical_body(used) == canonical_body(fresh));
        }
}

TEST_CASE("rows: kinds, refrigerants, weights and times are taken as people write them") {
    const Import i(row("Charge", "7:05", "OAK,RACK,1", " RC-1 ", "r-448a", " 30.10 lb ,30") +
                   row("CHARGE", "07:05:00", "OAK,RACK,1", "RC-1", "448A", "30.1,30.000") +
                   row("Receive", "7:05", ",,", "RC-1", "", "30.123,30") +
                   row("release", "7:05", ",,", "RC-1", "", "30,29"));
    CHECK(i.told().empty());
    REQUIRE(i.rows.size() == 4);
    CHECK(i.rows[0].digest == i.rows[1].digest);  // the same movement, in another dress
    CHECK(i.event(0).own_id->starts_with("row:"));
    CHECK(i.event(1).own_id == *i.event(0).own_id + "/2");
    CHECK(std::get<kinds::Receive>(i.event(2).what).weighing.before->typed == "30.123lb");
    CHECK_FALSE(std::get<kinds::Receive>(i.event(2).what).refrigerant);
    CHECK(std::holds_alternative<kinds::Release>(i.event(3).what));
}

TEST_CASE("rows: each cell counts for what makes a row the same") {
    const std::string variants =
        row("charge") + row("recover") + row("charge", "10:01") + row("charge", "10:00", "OAK,RACK,2") +
        row("charge", "10:00", "OAK,RACK,") + row("charge", "10:00", "OAK,RACK,1", "RC-2") +
        row("charge", "10:00", "OAK,RACK,1", "RC-1", "R22") + row("charge", "10:00", "OAK,RACK,1", "RC-1", "") +
        row("charge", "10:00", "OAK,RACK,1", "RC-1", "R448A", "30,42.501") +
        row("charge", "10:00", "OAK,RACK,1", "RC-1", "R448A", "42.5,30") +
        row("charge", "10:00", "OAK,RACK,1", "RC-1", "R448A", "30,42.5", "jp,J1,") +
        row("charge", "10:00", "OAK,RACK,1", "RC-1", "R448A", "30,42.5", "mo,J2,") +
        row("charge", "10:00", "OAK,RACK,1", "RC-1", "R448A", "30,42.5", "mo,J1,word") +
        row("charge", "10:00", "OAK,RACK,1", "RC-1", "R448A", "30,42.5", ",moJ1,") +
        row("charge", "15:00Z", "OAK,RACK,1");
    const Import i(variants);
    CHECK(i.told().empty());
    for (std::size_t a = 0; a < i.rows.size(); ++a)
        for (std::size_t b = 0; b < a; ++b) {
            CAPTURE(a);
            CAPTURE(b);
            CHECK(i.rows[a].digest != i.rows[b].digest);
        }
}

TEST_CASE("rows: the k-th row with the same cells has its own id, wherever it stands") {
    std::string text;
    for (int n = 0; n < 3000; ++n)
        text += row("charge", "10:00", "OAK,RACK,1", "RC-1", "R448A", fmt::format("{},{}", 5000 - n % 1000, 1));
    const Import i(text);
    REQUIRE(i.rows.size() == 3000);
    for (std::size_t n = 0; n < 3000; ++n) REQUIRE(i.rows[n].repeat == n / 1000 + 1);
}

TEST_CASE("rows: the clock is that of the site") {
    const Import i(row("charge", "10:00", "OAK,RACK,1") + row("charge", "10:00", "WEST,RACK,1") +
                   row("purchase", "10:00", ",,"));
    CHECK(instant_text(i.event(0).when.at) == "2024-05-01T15:00:00Z");
    CHECK(instant_text(i.event(1).when.at) == "2024-05-01T16:00:00Z");
    CHECK(i.event(1).when.zone == "America/Denver");
    CHECK(i.event(2).when.zone == "America/Chicago");
    CHECK(i.event(2).when.offset == std::chrono::minutes(-300));
}

TEST_CASE("rows: another time zone makes other instants, and no other rows") {
    const auto id_in = [](const char* zone) {
        const std::string text = header + row("charge");
        TextSource source(text);
        FileProblems problems;
        const auto rows = read_movements(
            {}, source, "m.csv", [&](std::string_view) { return zone; }, problems);
        Event e;
        MovementDrafts({}, rows, Instant()).make(0, e);
        return *e.own_id;
    };
    CHECK(id_in("America/Chicago") == id_in("America/Denver"));
    CHECK(id_in("America/Chicago") == id_in("UTC"));
}

TEST_CASE("rows: every thing wrong in a row is told, by line and column, and the row is left out") {
    const Import i("chrage,2024-13-01,25:00,O K,,1,RC 1,R999,\"30,1\",3e1,mo,J1,\n" + row("charge"));
    CHECK(i.told() ==
          "2 kind kind-unknown; 2 site code-format; 2 appliance cell-missing; 2 date date-format; 2 time time-format; "
          "2 cylinder code-format; 2 refrigerant refrigerant-unknown; 2 gross_before_lb weight-comma; "
          "2 gross_after_lb weight-exponent");
    CHECK(i.rows.size() == 1);
    CHECK(i.problems.listed[0].error.next == "did you mean charge?");
}

TEST_CASE("rows: one thing wrong at a time") {
    const std::pair<std::string, const char*> table[] = {
        {row(""), "2 kind cell-missing"},
        {"charge,,10:00,OAK,RACK,1,RC-1,,30,29,,,\n", "2 date cell-missing"},
        {"charge,05/01/2024,10:00,OAK,RACK,1,RC-1,,30,29,,,\n", "2 date date-format"},
        {row("charge", ""), "2 time cell-missing"},
        {row("charge", "10:00 pm"), "2 time time-format"},
        {row("charge", "10:00", ",,"), "2 site cell-missing; 2 appliance cell-missing"},
        {row("charge", "10:00", "OAK,,"), "2 appliance cell-missing"},
        {row("loss", "10:00", "OAK,,1"), "2 appliance cell-missing"},
        {row("loss", "10:00", ",RACK,1"), "2 site cell-missing"},
        {row("charge", "10:00", "OAK,RACK,1/2"), "2 circuit code-format"},
        {row("charge", "10:00", "OAK,RACK,1", ""), "2 cylinder cell-missing"},
        {row("charge", "10:00", "OAK,RACK,1", std::string(65, 'R')), "2 cylinder code-format"},
        {row("charge", "10:00", "OAK,RACK,1", "RC-1", "", ",30"), "2 gross_before_lb weight-empty"},
        {row("charge", "10:00", "OAK,RACK,1", "RC-1", "", "30,-1"), "2 gross_after_lb weight-sign"},
        {row("charge", "10:00", "OAK,RACK,1", "RC-1", "", "30kg,30"), "2 gross_before_lb weight-unit"},
        {row("charge", "10:00", "OAK,RACK,1", "RC-1", "", "30 lb 8 oz,30"), "2 gross_before_lb weight-unit"},
        {row("charge", "10:00", "OAK,RACK,1", "RC-1", "", "30.0005,30"), "2 gross_before_lb weight-step"},
        {row("charge", "10:00", "OAK,RACK,1", "RC-1", "", "30.00001,30"), "2 gross_before_lb weight-step"},
        {row("charge", "10:00", "OAK,RACK,1", "RC-1", "", "1000000,30"), "2 gross_before_lb weight-range"},
        {row("charge", "10:00", "OAK,RACK,1", "RC-1", "", "999999.999,30"), ""},
        {row("charge", "10:00", "OAK,RACK,1", "RC-1", "", "30.,30"), "2 gross_before_lb weight-trailing"},
        {row("charge", "10:00", "OAK,RACK,1", "RC-1", "", "30,29", "mo,J1," + std::string(10'241, 'n')),
         "2 note text-too-long"},
        {row("charge", "10:00", "OAK,RACK,1", "RC-1", "", "30,29", "mo,J1," + std::string(10'240, 'n')), ""},
        {"charge,2024-03-10,02:30,OAK,RACK,1,RC-1,,30,29,,,\n", "2 time time-nonexistent"},
        {"charge,2024-11-03,01:30,OAK,RACK,1,RC-1,,30,29,,,\n", "2 time time-ambiguous"},
        {"charge,2024-11-03,01:30-05:00,OAK,RACK,1,RC-1,,30,29,,,\n", ""},
    };
    for (const auto& [text, told] : table) {
        const auto shown = text.substr(0, 120);
        CAPTURE(shown);
        const Import i(text);
        CHECK(i.told() == told);
        CHECK(i.rows.size() == (*told == '\0' ? 1 : 0));
    }
}

TEST_CASE("rows: a thousand problems are listed and all are counted") {
    std::string text;
    for (int n = 0; n < 1200; ++n) text += row("nothing");
    const Import i(text);
    CHECK(i.problems.listed.size() == 1000);
    CHECK(i.problems.count == 1200);
    CHECK(i.problems.listed.back().line == 1001);
}
