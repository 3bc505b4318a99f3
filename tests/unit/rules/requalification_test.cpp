#include <doctest/doctest.h>

#include "tarebook/rules/requalification.hpp"
#include "tarebook/rules/rulebook.hpp"

using namespace tarebook;

namespace requalification_test {

namespace {
using Answer = RequalificationDue::Answer;
const Date today = parse_date("2026-06-01").value();

RequalificationDue of(const char* spec, const char* tested, const char* basis = "") {
    return requalification(Rulebook().default_packs(), spec,
                           *tested ? std::optional(parse_month(tested).value()) : std::nullopt, basis, today);
}
}  // namespace

TEST_CASE("requalification: due on the last day of the month, five years after the last mark") {
    CHECK(date_text(of("DOT-4BA400", "2022-06").due_on.value()) == "2027-06-30");
    CHECK(date_text(of("4BW260", "2023-02").due_on.value()) == "2028-02-29");
    CHECK(date_text(of("4B240ET", "2022-02").due_on.value()) == "2027-02-28");
    CHECK(date_text(of("3AA1800", "2021-12").due_on.value()) == "2026-12-31");
}

TEST_CASE("requalification: an unknown date is read on the collar, never guessed") {
    const auto due = of("4BA400", "");
    CHECK(due.answer == Answer::read_the_collar);
    CHECK_FALSE(due.due_on);
    CHECK(due.why.find("read the collar") != std::string::npos);
}

TEST_CASE("requalification: what has no test, and what the packs do not know") {
    CHECK(of("DOT 39 NRC", "2022-06").answer == Answer::never);
    CHECK(of("3E1800", "2022-06").answer == Answer::no_test);
    CHECK(of("", "2022-06").answer == Answer::unknown_type);
    CHECK(of("UN 0432", "2022-06").answer == Answer::unknown_type);
}

TEST_CASE("requalification: ton containers stand apart, and theirs is to confirm") {
    const auto ton = of("110A500W", "2022-06");
    CHECK(date_text(ton.due_on.value()) == "2027-06-30");
    CHECK(ton.match->status() == RuleStatus::to_confirm);
    CHECK(ton.match->rule->clause == "49 CFR 180.519");
    CHECK(of("4BA400", "2022-06").match->status() != RuleStatus::to_confirm);
}

// 49 CFR 180.209(b)(1), (e) and (h), as held against the clause: twelve years in clean service, ten after a test by
// proof pressure; ten with a star; ten for ammonia alone. 4E stands in (e); a 3AL keeps five, its row is doubtful.
TEST_CASE("requalification: a longer time needs a basis on record that the paragraph of its type knows") {
    CHECK(date_text(of("4BA400", "2014-06", "clean-service").due_on.value()) == "2026-06-30");
    CHECK(of("4BA400", "2014-06", "clean-service").clause == "49 CFR 180.209(e)");
    CHECK(date_text(of("4E240", "2014-06", "clean-service").due_on.value()) == "2026-06-30");
    CHECK(date_text(of("4BW260", "2016-06", "clean-service-proof").due_on.value()) == "2026-06-30");
    CHECK(date_text(of("3AA1800", "2016-06", "star").due_on.value()) == "2026-06-30");
    CHECK(date_text(of("4AA480", "2016-06", "ammonia").due_on.value()) == "2026-06-30");
    CHECK(date_text(of("4AA480", "2016-06", "clean-service").due_on.value()) == "2021-06-30");
    CHECK(date_text(of("3AL1800", "2016-06", "star").due_on.value()) == "2021-06-30");
    CHECK(of("3AL1800", "2016-06").match->status() == RuleStatus::to_confirm);
    CHECK(date_text(of("4B240ET", "2016-06", "clean-service").due_on.value()) == "2021-06-30");
}

}  // namespace requalification_test
