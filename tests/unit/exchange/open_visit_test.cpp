// Open visits beside a book: at most two, one of them current, of one login on one device, and none that may be over.
#include "tarebook/exchange/open_visit.hpp"

#include <doctest/doctest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "tarebook/exchange/begun_entry.hpp"
#include "tarebook/exchange/job_sheet.hpp"

using namespace tarebook;

namespace {

struct Folder {
    std::filesystem::path path =
        std::filesystem::temp_directory_path() / ("tarebook-open-visit-" + std::to_string(::getpid()));
    Folder() { std::filesystem::create_directories(path); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    ~Folder() { std::filesystem::remove_all(path); }
    [[nodiscard]] std::filesystem::path book() const { return path / "shop.tarebook"; }
};

const Visitor ana{"ana", "truck-2"};

OpenVisit visit_to(const std::string& site, const std::string& job,
                   const std::string& opened = "2026-06-01T12:40:00Z") {
    OpenVisit out;
    out.site = site;
    out.job = job;
    out.by = "ana";
    out.opened = moment_in_zone(*instant_from_text(opened), "America/Chicago").value();
    return out;
}

}  // namespace

TEST_CASE("a visit comes back as it was opened") {
    const Folder folder;
    auto visit = visit_to("OAK", "2207");
    visit.with = "tom";
    visit.scale = "S1";
    visit.place = "truck-2";
    REQUIRE(open_visit(folder.book(), ana, visit).has_value());
    const auto open = open_visits(folder.book(), ana);
    REQUIRE(open.size() == 1);
    CHECK(open[0].site == "OAK");
    CHECK(open[0].job == "2207");
    CHECK(open[0].by == "ana");
    CHECK(open[0].with == "tom");
    CHECK(open[0].scale == "S1");
    CHECK(open[0].place == "truck-2");
    CHECK(open[0].opened == visit.opened);
    CHECK(moment_text(open[0].opened) == "2026-06-01 07:40");
}

TEST_CASE("two may be open, of different jobs; the one opened or chosen last is current") {
    const Folder folder;
    REQUIRE(open_visit(folder.book(), ana, visit_to("OAK", "2207")).has_value());
    CHECK(open_visit(folder.book(), ana, visit_to("OAK", "2207")).error().name == "visit-open");
    REQUIRE(open_visit(folder.book(), ana, visit_to("DAIRY", "2208")).has_value());
    CHECK(open_visit(folder.book(), ana, visit_to("ELM", "2209")).error().name == "visits-full");
    CHECK(open_visits(folder.book(), ana).front().job == "2208");
    REQUIRE(switch_visit(folder.book(), ana, "2207").has_value());
    CHECK(open_visits(folder.book(), ana).front().job == "2207");
    const auto unknown = switch_visit(folder.book(), ana, "2210");
    CHECK(unknown.error().name == "visit-unknown");
    end_visit(folder.book(), ana, "2207");
    REQUIRE(open_visits(folder.book(), ana).size() == 1);
    CHECK(open_visits(folder.book(), ana).front().job == "2208");
    end_visit(folder.book(), ana, "2208");
    end_visit(folder.book(), ana, "2208");  // ended already: nothing happens
    CHECK(open_visits(folder.book(), ana).empty());
    CHECK_FALSE(std::filesystem::exists(sheet_drafts_folder(folder.book())));
}

TEST_CASE("another login, and another device, have visits of their own") {
    const Folder folder;
    REQUIRE(open_visit(folder.book(), ana, visit_to("OAK", "2207")).has_value());
    CHECK(open_visits(folder.book(), {"tom", "truck-2"}).empty());
    CHECK(open_visits(folder.book(), {"ana", "office"}).empty());
    REQUIRE(open_visit(folder.book(), {"tom", "truck-2"}, visit_to("OAK", "2207")).has_value());
    CHECK(open_visits(folder.book(), ana).size() == 1);
}

TEST_CASE("a file that is no visit is as good as none") {
    const Folder folder;
    REQUIRE(open_visit(folder.book(), ana, visit_to("OAK", "2207")).has_value());
    const auto names = begun_entries(folder.book(), "visit-");
    REQUIRE(names.size() == 1);
    for (const auto* text :
         {"", "tarebook entry 1\n", "tarebook entry 1\n2026-06-01T12:40:00Z\nsite\tOAK\n", "\xff\n"}) {
        std::ofstream(sheet_drafts_folder(folder.book()) / (names[0] + ".entry"), std::ios::trunc) << text;
        CHECK(open_visits(folder.book(), ana).empty());
    }
}

TEST_CASE("a visit of another local day, or of more than twelve hours ago, may be over") {
    const auto at = [](const char* text) { return *instant_from_text(text); };
    const auto visit = visit_to("OAK", "2207", "2026-06-01T12:40:00Z");  // 07:40 in Chicago
    CHECK(why_not_still_on(visit, at("2026-06-01T12:40:00Z")).empty());
    CHECK(why_not_still_on(visit, at("2026-06-02T00:40:00Z")).empty());  // 19:40: twelve hours, the same local day
    CHECK(why_not_still_on(visit, at("2026-06-02T00:40:01Z")) ==
          "was opened at 2026-06-01 07:40, more than 12 hours ago");
    CHECK(why_not_still_on(visit, at("2026-06-02T05:00:00Z")) ==
          "was opened at 2026-06-01 07:40, which is another day");
    const auto late = visit_to("OAK", "2207", "2026-06-02T04:30:00Z");  // 23:30 in Chicago
    CHECK(why_not_still_on(late, at("2026-06-02T04:59:59Z")).empty());
    CHECK_FALSE(why_not_still_on(late, at("2026-06-02T05:00:00Z")).empty());
}

TEST_CASE("the cautions that a visit has seen are its own, each once, until it ends") {
    const Folder folder;
    REQUIRE(open_visit(folder.book(), ana, visit_to("OAK", "2207")).has_value());
    REQUIRE(open_visit(folder.book(), ana, visit_to("DAIRY", "2208")).has_value());
    keep_cautions(folder.book(), ana, "2207", {"oil R-448A", "pumpdown R-448A"});
    keep_cautions(folder.book(), ana, "2207", {"oil R-448A", "oil R-404A"});
    keep_cautions(folder.book(), ana, "2209", {"oil R-22"});  // no visit of that job
    CHECK(open_visits(folder.book(), ana).front().cautions.empty());
    REQUIRE(switch_visit(folder.book(), ana, "2207").has_value());
    CHECK(open_visits(folder.book(), ana).front().cautions ==
          std::vector<std::string>{"oil R-448A", "pumpdown R-448A", "oil R-404A"});
    end_visit(folder.book(), ana, "2207");
    REQUIRE(open_visit(folder.book(), ana, visit_to("OAK", "2207")).has_value());
    CHECK(open_visits(folder.book(), ana).front().cautions.empty());
}
