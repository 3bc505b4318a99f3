#include "runs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <optional>
#include <random>
#include <sstream>

namespace tarebook::property {
namespace {

constexpr int longest_history = 60;
constexpr std::chrono::seconds longest_shrinking{30};

std::optional<std::uint64_t> number_in(const char* variable) {
    const char* text = std::getenv(variable);
    if (!text || *text == 0) return std::nullopt;
    return std::stoull(text);
}

std::uint64_t part() {
    return std::max<std::uint64_t>(1, number_in("TAREBOOK_PROPERTY_PART").value_or(1));
}

}  // namespace

bool usual_runs() {
    return part() == 1;
}

void holds(const std::string& name, int runs, const std::function<void()>& property) {
    rc::detail::TestParams params;
    params.seed = number_in("TAREBOOK_PROPERTY_SEED").value_or(std::random_device{}());
    const auto usual = std::max<std::uint64_t>(1, static_cast<unsigned>(runs) / part());
    params.maxSuccess = static_cast<int>(number_in("TAREBOOK_PROPERTY_RUNS").value_or(usual));
    params.maxSize = longest_history;
    rc::detail::TestMetadata metadata;
    metadata.id = name;
    metadata.description = name;
    // RapidCheck makes a failing case smaller as long as it can, which may be for hours: after a while every further
    // one is let pass, and the smallest so far is told.
    using Clock = std::chrono::steady_clock;
    std::optional<Clock::time_point> first_failure;
    std::string smallest;
    int ran = 0;
    const auto counted = [&] {
        ++ran;
        if (first_failure && Clock::now() - *first_failure > longest_shrinking) return;
        try {
            property();
        } catch (const rc::detail::CaseResult& r) {
            if (r.type == rc::detail::CaseResult::Type::Failure) {
                if (!first_failure) first_failure = Clock::now();
                smallest = r.description;
            }
            throw;
        }
    };
    const auto result = rc::detail::checkTestable(counted, metadata, params);
    std::ostringstream told;
    rc::detail::printResultMessage(result, told);
    fmt::print("{}: {} cases, TAREBOOK_PROPERTY_SEED={}\n", name, ran, params.seed);
    INFO(told.str());
    INFO("the smallest found: ", smallest);
    INFO("again with TAREBOOK_PROPERTY_SEED=", params.seed);
    CHECK(result.is<rc::detail::SuccessResult>());
}

void holds_for_random_histories(const std::string& name, Moments moments, int runs, const Property& property) {
    std::size_t events = 0;
    holds(name, runs, [&] {
        // dice keep their whole range at every size; only the number of steps grows
        const auto step = rc::gen::resize(100, rc::gen::container<Step>(18, rc::gen::inRange(0, 1000)));
        const auto steps = *rc::gen::container<std::vector<Step>>(step);
        const auto dice = *rc::gen::resize(100, rc::gen::inRange(0, 1'000'000));
        const History history = history_from(steps, moments);
        events += history.size();
        std::string wrong;
        try {
            wrong = property(history, static_cast<unsigned>(dice));
        } catch (const std::exception& e) {
            wrong = fmt::format("exception: {}", e.what());
        }
        if (!wrong.empty()) RC_FAIL(wrong + "\n" + description(history));
    });
    fmt::print("{}: {} events in them\n", name, events);
}

}  // namespace tarebook::property
