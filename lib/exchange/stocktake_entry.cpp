#include "tarebook/exchange/stocktake_entry.hpp"
#include "tarebook/units/word_list.hpp"

#include <fmt/format.h>

#include <set>

namespace tarebook {
namespace {

// Adds the acts that bring the cylinder to the place of the stocktake, if the book has it elsewhere or lost.
void bring_here(const Book& book, const KnownStocktake& count, const std::string& cylinder, std::vector<What>& acts) {
    const auto* entry = book.entries().find(EntryKind::cylinder, cylinder);
    const auto state = book.state(cylinder);
    const auto& place = count.what().place;
    OrderKey now{Instant::max(), {}, 0};
    if (state.lost)
        acts.emplace_back(kinds::Found{cylinder, std::nullopt, place});
    else if (state.gone || place_of(state, entry->facts_at(now)) != place)
        acts.emplace_back(kinds::Move{cylinder, place, std::nullopt});
}

}  // namespace

Result<std::vector<What>> acts_of(const Book& book, const KnownStocktake& count, const StocktakeFound& found) {
    std::vector<What> acts;
    const auto id = count.id();
    if (found.missing) {
        if (found.gross)
            return usage("flags-together", "a cylinder that is missing has no weight", found.gross->typed,
                         "a weight, or that it is missing");
        acts.emplace_back(kinds::StocktakeMissing{id, found.cylinder});
        return acts;
    }
    if (found.not_in_the_book) {
        acts.emplace_back(kinds::StocktakeUnknown{id, found.cylinder, found.gross, found.cap, found.label});
        return acts;
    }
    if (!found.gross)
        return usage("flag-missing", "the weight is missing", {}, "what the scale shows, for example 31.20lb");
    if (found.pressure.has_value() != found.temperature.has_value())
        return usage("flag-missing", "a pressure says something together with its temperature", {},
                     "both, or neither: 142psig and 75F");
    if (!book.entries().find(EntryKind::cylinder, found.cylinder)) {
        auto error = unknown_code(book, EntryKind::cylinder, found.cylinder);
        error.next +=
            "; a cylinder that is not registered is recorded as such: --not-in-the-book, on a sheet the word "
            "unknown under seen";
        return fail(std::move(error));
    }
    bring_here(book, count, found.cylinder, acts);
    acts.emplace_back(kinds::StocktakeWeigh{id, found.cylinder, *found.gross, found.cap, found.label});
    if (found.pressure) {
        kinds::AirCheck check;
        check.cylinder = found.cylinder;
        check.pressure = *found.pressure;
        check.temperature = *found.temperature;
        if (auto p = parse_pressure(check.pressure); !p) return fail(p.error());
        if (auto t = parse_temperature(check.temperature); !t) return fail(t.error());
        acts.emplace_back(std::move(check));
    }
    return acts;
}

Result<kinds::StocktakeBegin> stocktake_to_begin(const Book& book, const std::string& place, bool blind) {
    std::set<std::string> places;
    book.each_cylinder([&](CylinderNow&& cylinder) {
        if (!cylinder.state.gone && !cylinder.state.lost) places.insert(place_of(cylinder.state, cylinder.facts));
    });
    places.erase("");
    if (places.contains(place)) return kinds::StocktakeBegin{place, blind};
    return fail({ErrorKind::refused, "place-empty", fmt::format("the book has no cylinder at {}", place), place,
                 places.empty() ? "a place where a cylinder is" : joined(places),
                 "tarebook move ID --to PLACE records where a cylinder is"});
}

}  // namespace tarebook
