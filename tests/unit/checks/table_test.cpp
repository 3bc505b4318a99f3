#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "shop.hpp"

using namespace shop;

TEST_CASE("each row of the table finds what it names, and nothing else") {
    for (const auto& row : rows()) {
        CAPTURE(row.title);
        Shop s;
        const auto event = row.act(s);
        std::vector<std::string> found;
        for (const auto& f : s.judge(event).findings)
            found.push_back(fmt::format("{} {}", text_of(f.severity), f.check));
        CHECK(found == row.found);
    }
}

TEST_CASE("every check is in the table of tests, and every finding's check is in the table of checks") {
    std::set<std::string> listed;
    for (const auto& check : all_checks()) {
        CHECK_MESSAGE(listed.insert(std::string(check.name)).second, check.name);
        CHECK_FALSE(check.sentence.empty());
    }
    std::set<std::string> met;
    for (const auto& row : rows()) {
        Shop s;
        const auto event = row.act(s);
        for (const auto& f : s.judge(event).findings) met.insert(f.check);
    }
    CHECK(met == listed);
}

TEST_CASE("names of checks are kebab-case") {
    for (const auto& check : all_checks()) {
        CAPTURE(check.name);
        CHECK(std::all_of(check.name.begin(), check.name.end(),
                          [](char ch) { return ch == '-' || (ch >= 'a' && ch <= 'z'); }));
    }
}

TEST_CASE("the danger of a check: what bursts before what burns, before what is not fit, before what is mixed") {
    CHECK(danger_of("over-limit") == Danger::over);
    CHECK(danger_of("machine-flammable") == Danger::flammable);
    CHECK(danger_of("out-of-test") == Danger::unfit);
    CHECK(danger_of("identified-otherwise") == Danger::mixed);
    CHECK(danger_of("gap") == Danger::none);
    CHECK(danger_of("a check of a later program") == Danger::none);
    CHECK(Danger::over < Danger::flammable);
    CHECK(Danger::flammable < Danger::unfit);
    CHECK(Danger::unfit < Danger::mixed);
    CHECK(Danger::mixed < Danger::none);
}
