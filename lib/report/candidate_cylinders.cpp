#include "candidate_cylinders.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "tarebook/checks/mixing.hpp"

namespace tarebook::report {
namespace {

// For reclaim only, a consolidation cylinder takes any owner's gas.
bool holds_what_must_stay_apart(const RoomQuestion& question, const WantedGas& wanted) {
    if (question.facts.use == "consolidation") return false;
    const auto& lots = question.state.lots;
    return wanted.owner &&
           std::any_of(lots.begin(), lots.end(), [&](const Lot& lot) { return lot.key.owner != *wanted.owner; });
}

// Of this gas: what it holds is, and where it holds nothing, what it is kept for, if for anything.
bool of_the_kind(const RoomQuestion& question, const Refrigerant* gas) {
    const auto& s = question.state;
    const auto& catalogue = question.data.catalogue;
    if (question.facts.use == "supply" || s.gone || s.lost || s.mixed || !s.spoiled.empty()) return false;
    if (shown_otherwise(catalogue, s)) return false;
    if (question.facts.refrigerant && catalogue.find(*question.facts.refrigerant) != gas) return false;
    return std::all_of(s.lots.begin(), s.lots.end(),
                       [&](const Lot& lot) { return catalogue.find(lot.key.refrigerant) == gas; });
}

std::string place_of(const RoomQuestion& question) {
    return place_of(question.facts, question.state);
}

}  // namespace

CandidateCylinders candidate_cylinders(const Book& book, const WantedGas& wanted, DisplayUnits units, Instant now) {
    CandidateCylinders found;
    const ScalesInUse scales(book);
    book.each_cylinder([&](CylinderNow&& cylinder) {
        const auto scale = scales.of(cylinder.code);
        auto question = room_question_of(book.reference_data(), std::move(cylinder), scale);
        if (!of_the_kind(question, wanted.gas)) return;
        const auto place = place_of(question);
        if (wanted.place && place != *wanted.place) return;
        if (holds_what_must_stay_apart(question, wanted)) return;
        const auto& code = question.code;
        question.contents = {wanted.gas};
        question.mixed = question.unnamed = false;
        question.stored_at = wanted.stored_at;
        std::vector<std::string> why;
        for (const auto& bar : fill_bars(question, now)) why.push_back(bar.brief);
        const auto& held_for = question.state.held_for;
        if (!held_for.empty() && held_for != wanted.job) why.push_back("held for " + held_for);
        auto fill = fill_view(question, units);
        if (!fill && why.empty()) why.push_back(fill.error().what);
        if (!why.empty()) {
            found.barred.push_back(fmt::format("{} ({})", code, joined(why)));
            return;
        }
        if (fill->weights.room <= Mass()) return;
        const auto& lots = question.state.lots;
        auto holds = lots.empty() ? std::string("empty")
                                  : held(question.state.contents(), content_of(question.state, question.facts),
                                         question.facts, units);
        found.takers.push_back({code, place, std::move(holds), std::move(*fill), marks_not_on_record(question)});
    });
    std::stable_sort(found.takers.begin(), found.takers.end(),
                     [](const CandidateCylinder& a, const CandidateCylinder& b) {
                         return a.fill.weights.room > b.fill.weights.room;
                     });
    return found;
}

}  // namespace tarebook::report
