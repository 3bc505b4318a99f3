#include "runs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <optional>
#include <random>
#include <sstream>

namespace tarebook::property {
namespace {

constexpr int longest_history = 60;

std::optional<std::uint64_t> number_in(const char* variable) {
    const char* text = std::getenv(variable);
    if (!text || *text == 0) return std::nullopt;
    return std::stoull(text);
}

}  // namespace

void holds(const std::string& name, int runs, const std::function<void()>& property) {
    rc::detail::TestParams params;
    params.seed = number_in("TAREBOOK_PROPERTY_SEED").value_or(std::random_device{}());
    params.maxSuccess = static_cast<int>(number_in("TAREBOOK_PROPERTY_RUNS").value_or(static_cast<unsigned>(runs)));
    params.maxSize = longest_history;
    rc::detail::TestMetadata metadata;
    metadata.id = name;
    metadata.description = name;
    int ran = 0;
    const auto counted = [&] {
        ++ran;
        property();
    };
    const auto result = rc::detail::checkTestable(counted, metadata, params);
    std::ostringstream told;
    rc::detail::printResultMessage(result, told);
    fmt::print("{}: {} cases, TAREBOOK_PROPERTY_SEED={}\n", name, ran, params.seed);
    INFO(told.str());
    INFO("again with TAREBOOK_PROPERTY_SEED=", params.seed);
    CHECK(result.is<rc::detail::SuccessResult>());
}

void holds_for_random_histories(const std::string& name, Moments moments, int runs, const Property& property) {
    using Clock = std::chrono::steady_clock;
    constexpr std::chrono::seconds longest_shrinking{30};
    std::size_t events = 0;
    std::optional<Clock::time_point> first_failure;
    struct {
        std::vector<Step> steps;
        int dice = 0;
        std::string wrong;
    } smallest;
    holds(name, runs, [&] {
        // dice keep their whole range at every size; only the number of steps grows
        const auto step = rc::gen::resize(100, rc::gen::container<Step>(18, rc::gen::inRange(0, 1000)));
        const auto steps = *rc::gen::container<std::vector<Step>>(step);
        const auto dice = *rc::gen::resize(100, rc::gen::inRange(0, 1'000'000));
        const History history = history_from(steps, moments);
        events += history.size();
        // A history of books takes long to make smaller: after a while the smallest so far is small enough. RapidCheck
        // asks for that one again, and gets the same answer.
        if (first_failure && Clock::now() - *first_failure > longest_shrinking) {
            if (steps == smallest.steps && dice == smallest.dice) RC_FAIL(smallest.wrong);
            return;
        }
        std::string wrong;
        try {
            wrong = property(history, static_cast<unsigned>(dice));
        } catch (const std::exception& e) {
            wrong = fmt::format("exception: {}", e.what());
        }
        if (wrong.empty()) return;
        if (!first_failure) first_failure = Clock::now();
        smallest = {steps, dice, wrong + "\n" + description(history)};
        RC_FAIL(smallest.wrong);
    });
    fmt::print("{}: {} events in them\n", name, events);
}

}  // namespace tarebook::property
