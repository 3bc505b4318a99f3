#include "no_longer_over.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "shared_text.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/checks/fill_now.hpp"

namespace tarebook::report {

std::string no_longer_over_since(const Book& book, const OpenFinding& exception) {
    const auto& check = exception.finding.check;
    if (check != "over-limit" && check != "fill-limit") return {};
    const auto now = book.cylinder_now(exception.finding.subject);
    if (!now || !now->facts.water_capacity) return {};
    const auto steps = book.steps(exception.finding.subject);
    auto step =
        std::find_if(steps.begin(), steps.end(), [&](const Step& s) { return s.event_id == exception.event_id; });
    if (step == steps.end()) return {};
    FillLimitMemo limits;
    const Step* since = nullptr;
    for (++step; step != steps.end(); ++step) {
        const auto contents = fill_contents(book.catalogue(), now->facts, step->after);
        const auto& limit = limits.smallest(fill_question(book.rules(), now->facts, contents));
        const bool over = !limit || limit->net < step->after.contents();
        since = over ? nullptr : since ? since : &*step;
    }
    const auto event = since ? book.event(since->event_id) : std::nullopt;
    return event ? event->name : std::string();
}

std::vector<OpenFinding> by_danger(const Book& book, std::vector<OpenFinding> open) {
    std::vector<std::pair<Danger, std::size_t>> order;
    for (std::size_t i = 0; i < open.size(); ++i) {
        const auto danger = danger_of(open[i].finding.check);
        const bool over = danger == Danger::over && no_longer_over_since(book, open[i]).empty();
        order.emplace_back(danger == Danger::over && !over ? Danger::none : danger, i);
    }
    std::sort(order.begin(), order.end());
    std::vector<OpenFinding> out;
    out.reserve(open.size());
    for (const auto& place : order) out.push_back(std::move(open[place.second]));
    return out;
}

}  // namespace tarebook::report
