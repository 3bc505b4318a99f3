#include "level_rows.hpp"

#include <algorithm>

#include "report/shared_text.hpp"
#include "tarebook/book/stocktakes.hpp"
#include "tarebook/checks/fill_now.hpp"

namespace tarebook::analysis {
namespace {

std::vector<std::string> gases_in(const CylinderState& state) {
    std::vector<std::string> out;
    for (const auto& lot : state.lots)
        if (std::find(out.begin(), out.end(), lot.key.refrigerant) == out.end()) out.push_back(lot.key.refrigerant);
    return out;
}

std::string gases_text(const std::vector<std::string>& gases) {
    std::string out;
    for (const auto& gas : gases) out.append(out.empty() ? "" : " + ").append(gas);
    return out;
}

}  // namespace

LevelRows::LevelRows(const Book& book, AnalystsDb& file)
    : book_(book),
      file_(file),
      levels_(file, "base_level",
              {"cylinder", "at", "origin", "seq", "event", "mark", "refrigerants", "place", "contents", "gross", "gap",
               "fill_limit", "fill_rule", "gone", "lost", "condemned", "leaking"},
              4, 4) {}

// Neighbouring steps of a cylinder mostly have the same facts and gas.
const std::optional<SmallestLimit>& LevelRows::limit_of(const CylinderFacts* facts, const CylinderState& state) {
    auto gases = gases_in(state);
    if (facts == last_.facts && gases == last_.gases && state.mixed == last_.mixed) return last_.smallest;
    last_ = {facts, std::move(gases), state.mixed, {}};
    if (facts && facts->water_capacity)
        last_.smallest =
            memo_.smallest(fill_question(book_.rules(), *facts, fill_contents(book_.catalogue(), *facts, state)));
    return last_.smallest;
}

void LevelRows::write(const BookStep& step) {
    const auto state = unpacked(step.state);
    const auto* facts = cylinder_facts(book_.entries(), step.cylinder, step.order);
    const auto& limit = limit_of(facts, state);
    const auto place = facts ? place_of(state, *facts) : state.place;
    levels_.begin(step.cylinder, step.place.at, step.place.origin, step.place.seq);
    levels_.row(step.cylinder, step.place.at, step.place.origin, step.place.seq, step.event_id, step.mark,
                gases_text(gases_in(state)), place, state.contents(), state.gross, step.gap,
                limit ? std::optional(limit->net) : std::nullopt,
                limit ? std::string_view(limit->rule) : std::string_view(), state.gone, state.lost, state.condemned,
                state.leaking);
    levels_.end();
}

void LevelRows::write_all() {
    book_.each_step([&](const BookStep& step) { write(step); });
}

std::vector<SeenStep> LevelRows::seen(AnalystsDb& file, std::string_view cylinder, const PlaceInFile& from) {
    std::vector<SeenStep> out;
    for (auto s = file.db.ask("SELECT at, origin, seq, event, mark FROM base_level WHERE cylinder = ? AND (at, origin, "
                              "seq) >= (?, ?, ?) ORDER BY at, origin, seq",
                              cylinder, from.at, from.origin, from.seq);
         s.next();)
        out.push_back({{s.integer(0), s.integer(1), s.integer(2)}, s.integer(3), s.integer(4)});
    return out;
}

void LevelRows::update(const std::string& cylinder, const PlaceInFile& from,
                       const std::unordered_set<std::int64_t>& events) {
    auto before = seen(file_, cylinder, from);
    auto old = before.begin();
    const auto remove = [&](const SeenStep& step) {
        levels_.begin(cylinder, step.place.at, step.place.origin, step.place.seq);
        levels_.end();
    };
    book_.each_step_of(cylinder, from, [&](const BookStep& step) {
        for (; old != before.end() && old->place < step.place; ++old) remove(*old);
        const bool there = old != before.end() && old->place == step.place;
        if (!there || old->mark != step.mark || events.contains(step.event_id)) write(step);
        if (there) ++old;
    });
    for (; old != before.end(); ++old) remove(*old);
}

}  // namespace tarebook::analysis
