// What the book has for a visit: circuits with their points, cylinders with their weights to stop at, scales, people.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "leak_log.hpp"
#include "visit_form.hpp"

namespace tarebook::report {
namespace {

using Data = VisitFormData;

const OrderKey as_registered{Instant::max(), {}, INT64_MAX};

// One designation, where exactly one gas is known to be in it, or it is kept for one.
std::string one_gas(const RoomQuestion& q) {
    if (q.mixed || q.unnamed || q.contents.size() != 1) return {};
    return std::string(q.contents.front()->designation);
}

bool fits_a_gas(const RoomQuestion& q, const std::vector<const Refrigerant*>& gases,
                const std::optional<std::string>& job) {
    const auto& s = q.state;
    if (s.condemned || s.leaking || s.mixed || (!s.held_for.empty() && s.held_for != job)) return false;
    if (q.unnamed || gases.empty()) return gases.empty();
    return std::all_of(q.contents.begin(), q.contents.end(),
                       [&](const auto* gas) { return std::find(gases.begin(), gases.end(), gas) != gases.end(); });
}

Data::Cylinder cylinder_of(RoomQuestion&& q, const std::string& place, const Data& data, const PageOptions& options) {
    Data::Cylinder out{q.code, place, one_gas(q), "empty", q.facts.use == "supply", q.facts.tare, {}, {}, {}};
    const auto content = content_of(q.state, q.facts);
    if (contents_unknown(q.state, q.facts))
        out.holds = contents_unknown_text;
    else if (!q.state.lots.empty())
        out.holds = held(q.state.contents(), content, q.facts, options.units);
    else if (!out.gas.empty())
        out.holds = "empty, kept for " + out.gas;
    for (const auto& bar : fill_bars(q, options.now)) out.do_not_fill.push_back(bar.brief);
    const auto take = [&](std::string gas) {
        auto fill = fill_view(q, options.units);
        if (fill)
            out.stops.push_back({std::move(gas), std::move(*fill)});
        else
            out.not_known = fill.error().what;
    };
    // What goes into an empty cylinder decides over its limit.
    const bool open_to_any = q.state.lots.empty() && q.contents.empty() && !q.unnamed;
    if (!open_to_any || data.gases.empty()) {
        take({});
        return out;
    }
    for (const auto* gas : data.gases) {
        q.contents = {gas};
        take(std::string(gas->designation));
    }
    return out;
}

Result<void> take_cylinders(const Book& book, const VisitFormQuestion& question, const PageOptions& options,
                            Data& data) {
    const ScalesInUse scales(book);
    std::set<std::string> places;
    book.each_cylinder([&](CylinderNow&& cylinder) {
        const auto scale = scales.of(cylinder.code);
        auto q = room_question_of(book.reference_data(), std::move(cylinder), scale);
        if (q.state.gone || q.state.lost) return;
        const auto place = place_of(q.facts, q.state);
        if (!place.empty()) places.insert(place);
        if (question.place ? place != *question.place : !fits_a_gas(q, data.gases, question.job)) return;
        data.cylinders.push_back(cylinder_of(std::move(q), place, data, options));
    });
    if (question.place && data.cylinders.empty()) return fail(place_empty(*question.place, places));
    return {};
}

void take_site(const Book& book, std::string_view site, Data& data) {
    const auto text = [](const Entry& entry, std::string_view field) {
        return entry.text(field, as_registered).value_or("");
    };
    const auto* entry = book.entries().find(EntryKind::site, site);
    data.site_name = text(*entry, "name");
    data.zone = entry->text("zone", as_registered).value_or(book.info().zone);
    book.each_entry(EntryKind::appliance, [&](const Entry& a) {
        if (site_of(a.code()) != site) return;
        const auto gas = text(a, "refrigerant");
        data.appliances.push_back({a.code(), gas});
        const auto* known = book.catalogue().find(gas);
        if (known && std::find(data.gases.begin(), data.gases.end(), known) == data.gases.end())
            data.gases.push_back(known);
    });
    book.each_entry(EntryKind::circuit, [&](const Entry& c) {
        if (site_of(c.code()) != site) return;
        Data::Circuit circuit{c.code(), appliance_of(c.code()), {}, text(c, "serves"), {}, {}};
        for (const auto& appliance : data.appliances)
            if (appliance.code == circuit.appliance) circuit.gas = appliance.name;
        for (const auto& [field, points] : {std::pair{"close", &circuit.close}, {"bring", &circuit.bring}}) {
            const auto lines = text(c, field);
            for (const auto point : split(lines, '\n'))
                if (!point.empty()) points->emplace_back(point);
        }
        data.circuits.push_back(std::move(circuit));
    });
    std::sort(data.circuits.begin(), data.circuits.end(),
              [](const auto& a, const auto& b) { return CodeOrder()(a.code, b.code); });
    std::sort(data.appliances.begin(), data.appliances.end(),
              [](const auto& a, const auto& b) { return CodeOrder()(a.code, b.code); });
}

void take_leaks(const Book& book, Data& data) {
    const LeakLog log(book);
    for (const auto& appliance : data.appliances) {
        const auto& events = log.of(appliance.code);
        for (const auto& found : events) {
            if (found.kind != LeakEvent::Kind::found) continue;
            const bool confirmed = std::any_of(events.begin(), events.end(), [&](const LeakEvent& e) {
                return e.kind == LeakEvent::Kind::tested && e.leak == found.leak && e.follow_up && e.good;
            });
            if (!confirmed) data.leaks.push_back({found.leak, appliance.code, found.text});
        }
    }
}

void take_tools(const Book& book, Data& data) {
    book.each_entry(EntryKind::scale, [&](const Entry& s) {
        data.scales.push_back(
            {s.code(), s.text("reads", as_registered).value_or(""), s.mass("division", as_registered)});
    });
    book.each_entry(EntryKind::technician, [&](const Entry& t) {
        if (!t.text("left", as_registered))
            data.people.push_back({t.code(), t.text("name", as_registered).value_or("")});
    });
    book.each_entry(EntryKind::machine, [&](const Entry& m) {
        data.machines.push_back({m.code(), m.text("name", as_registered).value_or("")});
    });
}

}  // namespace

Result<VisitFormData> visit_form_data(const Book& book, const VisitFormQuestion& question, const PageOptions& options) {
    if (auto known = entry_exists(book, EntryKind::site, question.site); !known) return fail(known.error());
    Data data;
    take_site(book, question.site, data);
    auto as_of = moment_in_zone(options.now, data.zone);
    data.as_of = as_of ? std::move(*as_of) : Moment{options.now, {}, "UTC"};
    if (auto taken = take_cylinders(book, question, options, data); !taken) return fail(taken.error());
    take_leaks(book, data);
    take_tools(book, data);
    return data;
}

}  // namespace tarebook::report
