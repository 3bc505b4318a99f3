#include <doctest/doctest.h>

#include "tarebook/rules/leak_rate.hpp"
#include "tarebook/rules/rules.hpp"

using namespace tarebook;

namespace leak_rate_test {

namespace {

Mass lb(const std::string& pounds) {
    return parse_weight(pounds + "lb", ScaleReads::unknown).value().mass;
}
Date on(const char* text) {
    return parse_date(text).value();
}
LeakAddition added(const char* day, const char* pounds, const char* leak = "") {
    LeakAddition out;
    out.on = on(day);
    out.mass = lb(pounds);
    out.leak = leak;
    return out;
}
LeakAddition not_counted(const char* day, const char* pounds, Reason reason) {
    LeakAddition out;
    out.on = on(day);
    out.excluded = lb(pounds);
    out.excluded_reasons = {reason};
    return out;
}
LeakRateOptions by(LeakRateMethod method) {
    LeakRateOptions out;
    out.method = method;
    return out;
}
LeakRateOptions installed_on(const char* day) {
    LeakRateOptions out;
    out.installed = on(day);
    return out;
}
const std::vector<FullChargeRevision> nine_hundred = {{on("2020-01-01"), Mass::pounds(900)}};
const terms::LeakRateThreshold twenty{Percent::whole(20), Comparison::over};

LeakRate last_rate(const std::vector<LeakAddition>& additions, const LeakRateOptions& options = {}) {
    return leak_rate(additions, additions.size() - 1, nine_hundred, options).value();
}

}  // namespace

TEST_CASE("leak rate: the words say what was divided by what, and since when") {
    const auto rate = last_rate({added("2026-01-13", "30"), added("2026-03-14", "5")});
    CHECK(rate.rate.in_percent() == doctest::Approx(3.37963).epsilon(1e-6));
    CHECK(formula_text(rate) ==
          "5.00 lb / 900.00 lb x 365 / 60 days = 3.4 %, annualizing; added before that on 2026-01-13");
    const auto rolling = last_rate({added("2026-01-13", "30"), added("2026-03-14", "5")}, by(LeakRateMethod::rolling));
    CHECK(formula_text(rolling) ==
          "35.00 lb / 900.00 lb = 3.9 %, rolling average: 2 additions from 2025-03-15 to 2026-03-14");
    CHECK(rolling.days == 365);
}

TEST_CASE("leak rate: a first addition with no earlier date is put over the longest interval, and says so") {
    const auto rate = last_rate({added("2026-03-14", "5")});
    CHECK(rate.basis == DaysBasis::first_on_record);
    CHECK(rate.days == 365);
    CHECK(rate.rate == Ratio::of(lb("5"), lb("900")));
    CHECK(formula_text(rate).find("own reading, to confirm") != std::string::npos);
    // A known day of the first charge is a date before.
    const auto installed = last_rate({added("2026-03-14", "5")}, installed_on("2026-03-04"));
    CHECK(installed.basis == DaysBasis::counted);
    CHECK(installed.days == 10);
}

TEST_CASE("leak rate: no days is one day, never a division by nothing") {
    const auto rate = last_rate({not_counted("2026-03-14", "900", Reason::initial), added("2026-03-14", "5")});
    CHECK(rate.basis == DaysBasis::same_day);
    CHECK(rate.days == 1);
    CHECK(rate.rate == Ratio::of(lb("5"), lb("900")).scaled(365, 1));
    CHECK(last_rate({added("2026-03-14", "5")}, installed_on("2026-03-14")).days == 1);
}

// 40 CFR 82.152, 84.102 "full charge", seasonal variance: what comes back with the season is no addition.
TEST_CASE("leak rate: more than the season took out is put over the days since the addition that counts, else 365") {
    auto more = not_counted("2026-04-10", "40", Reason::seasonal);
    more.mass = lb("10");
    const std::vector<FullChargeRevision> five_hundred = {{on("2020-01-01"), Mass::pounds(500)}};
    const auto first = leak_rate({more}, 0, five_hundred, {}).value();
    CHECK(first.rate == Ratio::of(Percent::whole(2)));
    CHECK(first.basis == DaysBasis::first_on_record);
    const auto later = leak_rate({added("2026-01-30", "1"), not_counted("2026-03-31", "5", Reason::seasonal), more}, 2,
                                 five_hundred, {})
                           .value();
    CHECK(later.days == 70);
    CHECK(later.since == on("2026-01-30"));
}

TEST_CASE("leak rate: an initial charge or a conversion is a day on which gas was added") {
    for (const auto reason : {Reason::initial, Reason::conversion}) {
        const auto rate =
            last_rate({added("2026-01-01", "7"), not_counted("2026-03-04", "900", reason), added("2026-03-14", "5")});
        CHECK(rate.days == 10);
        CHECK(rate.counted == lb("5"));
        const auto rolling = last_rate({not_counted("2026-03-04", "900", reason), added("2026-03-14", "5")},
                                       by(LeakRateMethod::rolling));
        CHECK(rolling.counted == lb("5"));
    }
}

TEST_CASE("leak rate: additions of one day are one") {
    const std::vector<LeakAddition> additions = {added("2026-03-04", "1"), added("2026-03-14", "5"),
                                                 added("2026-03-14", "6")};
    const auto rate = last_rate(additions);
    CHECK(rate.counted == lb("11"));
    CHECK(rate.days == 10);
    CHECK(leak_rate(additions, 1, nine_hundred, {})->rate == rate.rate);
    CHECK(formula_text(rate).find("2 additions counted as one of that day") != std::string::npos);
}

TEST_CASE("leak rate: additions for one leak are one, over the days since the one before the first of them") {
    const auto rate = last_rate({added("2026-01-01", "9", "L-1"), added("2026-02-10", "5", "L-3"),
                                 added("2026-02-20", "2"), added("2026-03-02", "4", "L-3")});
    CHECK(rate.counted == lb("9"));
    CHECK(rate.days == 60);
    CHECK(rate.leak == "L-3");
    CHECK(formula_text(rate).find("2 additions counted as one for L-3") != std::string::npos);
    // Without the leak the last one stands alone.
    const auto alone = last_rate({added("2026-02-10", "5"), added("2026-02-20", "2"), added("2026-03-02", "4")});
    CHECK(alone.counted == lb("4"));
    CHECK(alone.days == 10);
    // A leak that is never mended does not gather more than a year.
    const auto old =
        last_rate({added("2025-01-01", "50", "L-3"), added("2025-06-01", "5", "L-3"), added("2026-03-02", "4", "L-3")});
    CHECK(old.counted == lb("9"));
    CHECK(old.days == 365);
}

TEST_CASE("leak rate: the full charge is the one in force on the day") {
    const std::vector<FullChargeRevision> revisions = {{on("2026-01-01"), lb("900")}, {on("2026-03-14"), lb("1000")}};
    const std::vector<LeakAddition> additions = {added("2026-01-13", "30"), added("2026-03-13", "5"),
                                                 added("2026-03-14", "5")};
    CHECK(leak_rate(additions, 1, revisions, {})->full_charge == lb("900"));
    CHECK(leak_rate(additions, 2, revisions, {})->full_charge == lb("1000"));
    CHECK(full_charge_on(revisions, on("2020-01-01")) == lb("900"));
    CHECK_FALSE(leak_rate(additions, 2, {}, {}));
    CHECK_FALSE(leak_rate(additions, 2, {{on("2026-01-01"), Mass()}}, {}));
}

TEST_CASE("leak rate: what does not count has no rate") {
    CHECK_FALSE(leak_rate({not_counted("2026-03-04", "900", Reason::initial)}, 0, nine_hundred, {}));
}

TEST_CASE("margin: how much may be added today and later without exceeding the threshold") {
    const std::vector<LeakAddition> additions = {added("2026-01-13", "30")};
    const auto day_41 = margin_on(additions, on("2026-02-23"), nine_hundred, {}, twenty).value();
    CHECK(day_41.days == 41);
    CHECK(day_41.mass.in_pounds() == doctest::Approx(20.2192).epsilon(1e-5));
    const auto day_60 = margin_on(additions, on("2026-03-14"), nine_hundred, {}, twenty).value();
    CHECK(day_60.days == 60);
    CHECK(day_60.mass.in_pounds() == doctest::Approx(29.5890).epsilon(1e-5));
    const auto later = margin_on(additions, on("2027-06-01"), nine_hundred, {}, twenty).value();
    CHECK(later.days == 365);
    CHECK(later.mass == lb("180"));
}

TEST_CASE("margin: just the margin is within the threshold, one count more is not") {
    for (const auto compare : {Comparison::over, Comparison::at_least})
        for (const auto method : {LeakRateMethod::annualizing, LeakRateMethod::rolling}) {
            const terms::LeakRateThreshold threshold{Percent::whole(20), compare};
            const auto options = by(method);
            std::vector<LeakAddition> additions = {added("2026-01-13", "30"), added("2026-03-14", "1.5")};
            const auto margin = margin_on(additions, on("2026-03-14"), nine_hundred, options, threshold).value();
            CHECK_FALSE(margin.already_over);
            additions.push_back(added("2026-03-14", "0"));
            additions.back().mass = margin.mass;
            CHECK_FALSE(reaches(last_rate(additions, options).rate, compare, threshold.threshold));
            additions.back().mass += Mass::from_count(1);
            CHECK(reaches(last_rate(additions, options).rate, compare, threshold.threshold));
        }
}

TEST_CASE("margin: where the day is over already, nothing may be added") {
    const auto margin =
        margin_on({added("2026-03-04", "1"), added("2026-03-14", "5")}, on("2026-03-14"), nine_hundred, {}, twenty)
            .value();
    CHECK(margin.already_over);
    CHECK(margin.mass.is_zero());
    CHECK_FALSE(margin_on({}, on("2026-03-14"), {}, {}, twenty));
}

TEST_CASE("chronic: the share is that of the calendar year, and inclusive") {
    const terms::ChronicReport rule{Percent::whole(125), Comparison::at_least, std::chrono::March / 1};
    const std::vector<FullChargeRevision> full = {{on("2020-01-01"), lb("80")}};
    const auto year = [&](const char* december) {
        return chronic_year({added("2025-12-31", "50"), added("2026-01-01", "60"), added("2026-12-31", december),
                             added("2027-01-01", "50")},
                            std::chrono::year(2026), full, rule)
            .value();
    };
    CHECK(year("40").reached);
    CHECK(year("40").added == lb("100"));
    CHECK_FALSE(year("39.999").reached);
    CHECK(date_text(year("40").report_due) == "2027-03-01");
}

}  // namespace leak_rate_test
