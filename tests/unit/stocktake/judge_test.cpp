#include <doctest/doctest.h>

#include "counted.hpp"

using namespace counted;

TEST_CASE("a difference of one division agrees, a pound does not, and both carry their figures") {
    CHECK(alone(cylinder("43.25lb", "43.20lb")).weight == StocktakeWeight::agrees);
    const auto v = alone(cylinder("43.25lb", "42.25lb"));
    CHECK(v.weight == StocktakeWeight::gap);
    CHECK(v.gap == Mass::pounds(-1));
    CHECK(v.uncertainty > Mass::thousandths_of_a_pound(100));
    CHECK(v.uncertainty < Mass::thousandths_of_a_pound(150));
    CHECK(v.may_be.empty());
}

TEST_CASE("among many, a cylinder has to be farther off than alone: many must not make an alarm by their number") {
    // 0.20 lb on one scale are 3.6 standard uncertainties: 1 in 3 000 by chance, of one cylinder and of two hundred
    CHECK(alone(cylinder("43.25lb", "43.45lb")).weight == StocktakeWeight::gap);
    auto many = row(60, 0, "S1", "S1");
    many.push_back(cylinder("43.25lb", "43.45lb"));
    CHECK(judge_stocktake(many).cylinders.back().weight == StocktakeWeight::agrees);
    many.back() = cylinder("43.25lb", "43.60lb");
    CHECK(judge_stocktake(many).cylinders.back().weight == StocktakeWeight::gap);
}

TEST_CASE("without a weight, or without an expectation, nothing is judged") {
    auto c = cylinder("43.25lb", "40.00lb");
    c.expected.reset();
    CHECK(alone(c).weight == StocktakeWeight::not_expected);
    c.reading.reset();
    CHECK(alone(c).weight == StocktakeWeight::not_weighed);
    CHECK(judge_stocktake({}).cylinders.empty());
}

TEST_CASE("a scale that reads 0.50 lb high in the count is named, and its cylinders agree") {
    auto all = row(20, 500, "S2", "S1");
    for (const auto& c : row(20, 0, "S2", "S3")) all.push_back(c);
    const auto v = judge_stocktake(all);
    REQUIRE(v.offsets.size() == 1);
    CHECK(v.offsets[0].scale == "S1");
    CHECK(v.offsets[0].when == OffsetWhen::in_count);
    CHECK(v.offsets[0].shape == OffsetShape::constant);
    CHECK(v.offsets[0].beyond_tolerance);
    CHECK(v.offsets[0].offset.in_pounds() == doctest::Approx(0.5));
    CHECK(v.offsets[0].readings == 20);
    for (const auto& c : v.cylinders) CHECK(c.weight == StocktakeWeight::agrees);
    // the difference as read stays on the page
    CHECK(v.cylinders[0].difference == Mass::thousandths_of_a_pound(500));
    CHECK(v.cylinders[0].gap.magnitude() < Mass::thousandths_of_a_pound(20));
}

TEST_CASE("a scale that reads a share too much is told from one that is off by a weight") {
    std::vector<StocktakeCylinder> all;
    for (int i = 0; i < 24; ++i) {
        const Mass was = Mass::pounds(20 + 5 * i);
        const Mass is = scaled(was, 102, 100);
        auto c = cylinder((pounds_text(was) + "lb").c_str(), (pounds_text(is) + "lb").c_str(), "S2", "S1");
        all.push_back(c);
    }
    const auto v = judge_stocktake(all);
    REQUIRE(!v.offsets.empty());
    CHECK(v.offsets[0].shape == OffsetShape::proportional);
    CHECK(v.offsets[0].shape_is_clear);
    CHECK(v.offsets[0].share == doctest::Approx(0.02).epsilon(0.02));
    for (const auto& c : v.cylinders) CHECK(c.weight == StocktakeWeight::agrees);
}

TEST_CASE("where one scale counted what one other had weighed, the weights cannot tell which of the two is off") {
    const auto v = judge_stocktake(row(20, 600, "S2", "S1"));
    REQUIRE(!v.offsets.empty());
    CHECK(v.offsets[0].scale == "S1");
    bool other = false;
    for (const auto& [scale, when] : v.offsets[0].or_else)
        other = other || (scale == "S2" && when == OffsetWhen::before);
    CHECK(other);
}

TEST_CASE("a scale that was always off shows in the count and, the other way round, where others count after it") {
    auto all = row(15, 700, "S2", "S1");
    for (const auto& c : row(15, -700, "S1", "S2")) all.push_back(c);
    for (const auto& c : row(15, 0, "S1", "S1")) all.push_back(c);
    for (const auto& c : row(15, 0, "S2", "S3")) all.push_back(c);
    for (const auto& c : row(15, -700, "S1", "S3")) all.push_back(c);
    const auto v = judge_stocktake(all);
    REQUIRE(v.offsets.size() == 1);
    CHECK(v.offsets[0].scale == "S1");
    CHECK(v.offsets[0].when == OffsetWhen::always);
    for (const auto& c : v.cylinders) CHECK(c.weight == StocktakeWeight::agrees);
}

TEST_CASE("losses do not feign an offset, and an offset does not hide losses") {
    auto all = row(20, 0, "S2", "S1");
    for (const int i : {3, 9, 14}) all[static_cast<std::size_t>(i)].reading = weighing("28.00lb", "S1");
    auto v = judge_stocktake(all);
    CHECK(v.offsets.empty());
    for (std::size_t i = 0; i < all.size(); ++i)
        CHECK((v.cylinders[i].weight == StocktakeWeight::gap) == (i == 3 || i == 9 || i == 14));
    // the same three, all read on a scale that is 1 lb high: 2 lb are missing of one, and it shows as 1
    all = row(20, 1000, "S2", "S1");
    all[5] = cylinder("35.00lb", "34.00lb", "S2", "S1");
    v = judge_stocktake(all);
    REQUIRE(!v.offsets.empty());
    CHECK(v.cylinders[5].weight == StocktakeWeight::gap);
    CHECK(v.cylinders[5].gap.in_pounds() == doctest::Approx(-2).epsilon(0.01));
    CHECK(v.cylinders[6].weight == StocktakeWeight::agrees);
}

TEST_CASE("seven alike are no offset: each is a gap; eight of which three differ are none either") {
    auto v = judge_stocktake(row(7, 700, "S2", "S1"));
    CHECK(v.offsets.empty());
    for (const auto& c : v.cylinders) CHECK(c.weight == StocktakeWeight::gap);
    auto all = row(8, 700, "S2", "S1");
    for (const std::size_t i : {0u, 3u, 6u}) all[i] = row(8, -2000 + static_cast<int>(i) * 1600, "S2", "S1")[i];
    v = judge_stocktake(all);
    CHECK(v.offsets.empty());
}

TEST_CASE("an offset within the scales' tolerance is taken out, and no scale is named for it") {
    const auto v = judge_stocktake(row(40, 150, "S2", "S1"));
    REQUIRE(!v.offsets.empty());
    CHECK_FALSE(v.offsets[0].beyond_tolerance);
    for (const auto& c : v.cylinders) CHECK(c.gap.magnitude() < Mass::thousandths_of_a_pound(10));
}

TEST_CASE("slips explain a gap, and are looked for nowhere else") {
    CHECK(alone(cylinder("43.25lb", "34.25lb")).may_be == "digits swapped?");
    CHECK(alone(cylinder("43.10lb", "19.55lb")).may_be == "kg typed as lb?");
    CHECK(alone(cylinder("43.50lb", "43.8lb")).may_be == "ounces typed as tenths of a pound?");
    CHECK(alone(cylinder("43.8lb", "43 lb 8 oz")).may_be == "tenths of a pound typed as ounces?");
    // 33.35 and 33.53: digits swapped would explain it, but 33.35 is what the book says
    CHECK(alone(cylinder("33.35lb", "33.35lb")).may_be.empty());
    CHECK(alone(cylinder("43.25lb", "40.00lb")).may_be.empty());
}

TEST_CASE("a cap: known both times it is taken out, else it is a question") {
    auto c = cylinder("143.25lb", "144.75lb");
    c.cap = Mass::thousandths_of_a_pound(1500);
    CHECK(alone(c).may_be == "cap on?");
    CHECK(alone([&] {
              auto off = c;
              off.reading = weighing("141.75lb");
              return off;
          }())
              .may_be == "cap off?");
    c.reading->cap_on = true;
    c.expected->weighed->cap_on = false;
    auto v = alone(c);
    CHECK(v.weight == StocktakeWeight::agrees);
    CHECK(v.difference.is_zero());
    c.cap.reset();
    v = alone(c);
    CHECK(v.weight == StocktakeWeight::gap);
    CHECK(v.may_be == "its cap is on, and was off?");
    // a cap that is on cannot make it lighter
    c = cylinder("144.75lb", "143.25lb");
    c.reading->cap_on = true;
    c.expected->weighed->cap_on = false;
    CHECK(alone(c).may_be.empty());
}

TEST_CASE("marks: found, wrong place, unknown, wrong gas, heel, below tare") {
    auto c = cylinder("43.25lb", "43.25lb");
    CHECK(alone(c).marks.empty());
    const auto marked = [](StocktakeCylinder one, StocktakeMark mark) { return alone(one).marks == std::set{mark}; };
    c.book_has = BookHas::lost;
    CHECK(marked(c, StocktakeMark::found));
    c.book_has = BookHas::left;
    CHECK(marked(c, StocktakeMark::found));
    c.book_has = BookHas::elsewhere;
    CHECK(marked(c, StocktakeMark::wrong_place));
    c.book_has = BookHas::nothing;
    CHECK(marked(c, StocktakeMark::unknown_to_the_book));
    c.book_has = BookHas::here;
    c.book_gas = "R-404A";
    c.label = "R-404A";
    CHECK(alone(c).marks.empty());
    c.label = "R-22";
    CHECK(marked(c, StocktakeMark::wrong_gas));
    c.label.reset();
    c.pressure = PressureSays::other_gas;
    CHECK(marked(c, StocktakeMark::wrong_gas));
    c.pressure = PressureSays::agrees;
    c.tare = parse_weight("43.00lb", ScaleReads::lb)->mass;
    CHECK(alone(c).marks.empty());
    c.heel = Mass::thousandths_of_a_pound(1000);
    CHECK(marked(c, StocktakeMark::heel));
    c.tare = parse_weight("44.00lb", ScaleReads::lb)->mass;
    CHECK(marked(c, StocktakeMark::below_tare));
    // a quarter of a pound under the tare is what two scales may differ
    c.tare = parse_weight("43.50lb", ScaleReads::lb)->mass;
    CHECK(marked(c, StocktakeMark::heel));
    // not there: nothing is said of what it would be
    c.reading.reset();
    c.book_has = BookHas::lost;
    CHECK(alone(c).marks.empty());
}

TEST_CASE("one without a tare cannot weigh less than what is in it; how much more it weighs says nothing") {
    auto c = cylinder("1lb", "24.40lb");
    c.expected.reset();
    c.holds = Mass::pounds(25);
    const auto v = alone(c);
    CHECK(v.weight == StocktakeWeight::gap);
    CHECK(v.gap == -Mass::thousandths_of_a_pound(600));
    CHECK(v.may_be.find("contents") != std::string::npos);
    c.reading->gross = weighing("24.95lb").gross;  // a division less is what a scale may show
    CHECK(alone(c).weight == StocktakeWeight::not_expected);
    c.reading->gross = weighing("30.40lb").gross;
    CHECK(alone(c).weight == StocktakeWeight::not_expected);
    c.holds.reset();
    c.reading->gross = weighing("1.00lb").gross;
    CHECK(alone(c).weight == StocktakeWeight::not_expected);
}
