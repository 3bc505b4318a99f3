// Finds the stocktakes of a book, and the one that is meant.
#include "tarebook/book/stocktakes.hpp"
#include "tarebook/units/word_list.hpp"

#include <fmt/format.h>

namespace tarebook {
namespace {

Error refuse(std::string name, std::string what, std::string seen, std::string expected, std::string next) {
    return {ErrorKind::refused, std::move(name),     std::move(what),
            std::move(seen),    std::move(expected), std::move(next)};
}

std::string listed(const std::vector<KnownStocktake>& all) {
    std::string out;
    for (const auto& count : all) add_word(out, count.told(), "; ");
    return out;
}

constexpr const char* how_to_begin = "tarebook count begin --place PLACE begins one";

}  // namespace

std::string KnownStocktake::told() const {
    return fmt::format("{}, {}, begun {}", begin.name, what().place, moment_text(begin.event.when));
}

std::vector<KnownStocktake> stocktakes(const Book& book) {
    std::vector<KnownStocktake> out;
    for (auto& stored : book.watched_events(kinds::StocktakeBegin::name))
        if (std::holds_alternative<kinds::StocktakeBegin>(stored.event.what)) out.push_back({std::move(stored), {}});
    for (auto& stored : book.watched_events(kinds::StocktakeClose::name)) {
        const auto of = stocktake_named_by(stored.event);
        for (auto& count : out)
            if (!count.close && count.id() == of) {
                count.close = std::move(stored);
                break;
            }
    }
    return out;
}

Result<KnownStocktake> stocktake_named(const Book& book, const std::optional<std::string>& name, bool closed_too) {
    auto all = stocktakes(book);
    if (name) {
        const auto event = book.event_named(*name);
        for (auto& count : all)
            if (event && count.begin.id == event->id) return std::move(count);
        return fail(refuse("unknown-count", fmt::format("there is no count {}, or it was voided", *name), *name,
                           all.empty() ? "the event that began one, such as E31" : listed(all), how_to_begin));
    }
    std::vector<KnownStocktake> open;
    for (const auto& count : all)
        if (!count.close) open.push_back(count);
    if (open.size() == 1) return std::move(open.front());
    if (open.size() > 1)
        return fail(refuse("count-which", "several counts are open", {}, listed(open), "say which with --count"));
    if (closed_too && !all.empty()) return std::move(all.back());
    return fail(refuse("count-none", closed_too ? "no count was ever begun" : "no count is open", {},
                       "a count that was begun", how_to_begin));
}

Instant stocktake_may_have_readings_from(const KnownStocktake& count) {
    return std::chrono::floor<std::chrono::minutes>(count.begin.event.when.at);
}

std::string place_of(const CylinderState& state, const CylinderFacts& facts) {
    return place_of(facts, state);
}

}  // namespace tarebook
