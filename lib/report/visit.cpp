#include "visit.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "clock_cards.hpp"
#include "gathered.hpp"
#include "shared_text.hpp"
#include "statements.hpp"
#include "tarebook/units/hours.hpp"

namespace tarebook::report {
namespace {

template <class Kind>
const Kind& as(const StoredEvent& stored) {
    return std::get<Kind>(stored.event.what);
}

// The appliance that an event is about: by a circuit, an appliance, or a leak of one.
std::string appliance_in(const Book& book, const Event& event, const std::vector<KnownLeak>& leaks) {
    if (const auto code = appliance_named_by(event); !code.empty()) return std::string(code);
    if (const auto leak = book.leak_named_in(event); !leak.empty())
        for (const auto& known : leaks)
            if (known.code == leak) return known.appliance;
    return std::visit(
        [](const auto& k) -> std::string {
            if constexpr (requires { std::optional<std::string>(k.circuit); }) {
                const std::optional<std::string> circuit(k.circuit);
                return circuit ? appliance_of(*circuit) : std::string();
            } else {
                return {};
            }
        },
        event.what);
}

struct VacuumRow {
    std::string place, vacuum, rise;
    std::optional<std::int64_t> held_min;
};
VacuumRow vacuum_of(const StoredEvent& stored) {
    const auto& event = stored.event;
    const auto row = [](std::string place, const std::optional<std::string>& vacuum,
                        const std::optional<std::int64_t>& held, const std::optional<std::string>& rise) {
        return VacuumRow{std::move(place), vacuum.value_or(""), rise.value_or(""), held};
    };
    if (const auto* k = std::get_if<kinds::Evacuate>(&event.what))
        return row(k->circuit ? *k->circuit : k->cylinder.value_or(""), k->vacuum, k->held_min, k->rise);
    const auto& k = std::get<kinds::Recover>(event.what);
    return row(k.circuit, k.vacuum, k.held_min, k.rise);
}

bool tells_a_vacuum(const Event& event) {
    if (std::holds_alternative<kinds::Evacuate>(event.what)) return true;
    const auto* k = std::get_if<kinds::Recover>(&event.what);
    return k && k->vacuum;
}
bool is_leak_work(const Event& event) {
    return std::holds_alternative<kinds::Leak>(event.what) || std::holds_alternative<kinds::Inspect>(event.what) ||
           std::holds_alternative<kinds::Repair>(event.what) || std::holds_alternative<kinds::LeakTest>(event.what) ||
           std::holds_alternative<kinds::Plan>(event.what) || std::holds_alternative<kinds::Mothball>(event.what) ||
           std::holds_alternative<kinds::Extension>(event.what);
}
bool moves_gas_of_equipment(const Event& event) {
    return std::holds_alternative<kinds::Recover>(event.what) || std::holds_alternative<kinds::Charge>(event.what) ||
           std::holds_alternative<kinds::Reuse>(event.what) ||
           (std::holds_alternative<kinds::Release>(event.what) && std::get<kinds::Release>(event.what).circuit);
}
// A remark on any event of the visit.
bool has_remark(const StoredEvent& stored) {
    return stored.event.note.has_value() || std::holds_alternative<kinds::Note>(stored.event.what);
}
std::string remark_of(const StoredEvent& stored) {
    const auto& event = stored.event;
    std::vector<std::string> parts;
    if (const auto* k = std::get_if<kinds::Note>(&event.what)) {
        if (k->circuit) parts.push_back(*k->circuit);
        if (k->text) parts.push_back(*k->text);
        if (k->minutes) parts.push_back("worked " + hours_text(*k->minutes));
        if (k->readings) parts.push_back("readings: " + *k->readings);
        if (k->photo) parts.push_back(fmt::format("photo {}, SHA-256 {}", *k->photo, k->photo_sha256.value_or("")));
    }
    if (event.note) parts.push_back(*event.note);
    return joined(parts, "; ");
}

const Columns<StoredEvent>& isolated_columns() {
    using kinds::Isolate;
    static const auto columns =
        Columns<StoredEvent>(event_columns())
            .with(Columns<Isolate>{{"circuit", "circuit", &Isolate::circuit},
                                   Column<Isolate>("closed_points", "closed, in this order", &Isolate::points)
                                       .shown([](const Isolate& k, DisplayUnits) {
                                           return Cell(k.reopened ? "back in service" : k.points.value_or(""));
                                       }),
                                   {"reopened", "", &Isolate::reopened}},
                  as<Isolate>);
    return columns;
}
const Columns<StoredEvent>& vacuum_columns() {
    using C = Column<VacuumRow>;
    static const auto columns =
        Columns<StoredEvent>(event_columns())
            .with(
                Columns<VacuumRow>{
                    C("subject", "place", &VacuumRow::place).blank(),
                    C("vacuum_typed", "pulled to", &VacuumRow::vacuum).right().blank(),
                    C("held_min", "held", &VacuumRow::held_min).right().shown([](const VacuumRow& r, DisplayUnits) {
                        return Cell(r.held_min ? fmt::format("{} min", *r.held_min) : "");
                    }),
                    C("rise_typed", "rise", &VacuumRow::rise).right().blank()},
                vacuum_of);
    return columns;
}
const Columns<StoredEvent>& fitted_columns() {
    using kinds::Fit;
    static const auto columns =
        Columns<StoredEvent>(event_columns())
            .with(Columns<Fit>{{"circuit", "circuit", &Fit::circuit},
                               {"part", "part", &Fit::part},
                               {"quantity", "number", [](const Fit& k) { return k.quantity.value_or(1); }},
                               Column<Fit>("tag", "tag", &Fit::tag).blank(),
                               Column<Fit>("removed", "came out", &Fit::removed).blank()},
                  as<Fit>);
    return columns;
}
const Columns<StoredEvent>& note_columns() {
    static const auto columns = Columns<StoredEvent>(event_columns()).with({{"text", "", remark_of}});
    return columns;
}
const Columns<Visit::Place>& place_columns() {
    static const Columns<Visit::Place> columns{
        {"site", "", &Visit::Place::site}, {"name", "", &Visit::Place::name}, {"address", "", &Visit::Place::address}};
    return columns;
}
const Columns<Visit::Person>& person_columns() {
    static const Columns<Visit::Person> columns{{"technician", "", &Visit::Person::code},
                                                {"name", "", &Visit::Person::name},
                                                {"certificate", "", &Visit::Person::certificate}};
    return columns;
}

}  // namespace

Visit visit_of(const Book& book, const std::vector<StoredEvent>& events, const PageOptions& options) {
    Visit v;
    const auto leaks = book.leaks();
    const auto last = order_at(Instant::max());
    std::set<std::string> sites, people;
    for (const auto& stored : events) {
        const auto& event = stored.event;
        if (!v.first || event.when.at < v.first->at) v.first = event.when;
        if (!v.last || v.last->at < event.when.at) v.last = event.when;
        if (event.by) people.insert(*event.by);
        if (auto appliance = appliance_in(book, event, leaks); !appliance.empty()) {
            sites.insert(site_of(appliance));
            // where the job was done at the rack, or a pump-down names two
            v.appliances.insert(std::move(appliance));
        }
        if (std::holds_alternative<kinds::Isolate>(event.what))
            v.isolated.push_back(stored);
        else if (is_leak_work(event))
            v.leak_work.push_back(stored);
        else if (std::holds_alternative<kinds::Fit>(event.what))
            v.fitted.push_back(stored);
        else if (v.service.take(stored))
            ;
        else if (!moves_gas_of_equipment(event) && !std::holds_alternative<kinds::Evacuate>(event.what) &&
                 !std::holds_alternative<kinds::Note>(event.what))
            v.others.push_back(stored);
        if (tells_a_vacuum(event)) v.vacuums.push_back(stored);
        if (has_remark(stored)) v.notes.push_back(stored);
    }
    const auto field = [&](EntryKind kind, const std::string& code, const char* name) {
        const auto* entry = book.entries().find(kind, code);
        return entry ? entry->text(name, last).value_or("") : std::string();
    };
    for (const auto& site : sites)
        v.places.push_back({site, field(EntryKind::site, site, "name"), field(EntryKind::site, site, "address")});
    for (const auto& code : people)
        v.people.push_back(
            {code, field(EntryKind::technician, code, "name"), field(EntryKind::technician, code, "certificate")});
    const auto today = today_of(book, options.now);
    for (const auto& appliance : v.appliances) {
        auto open = options.gathered ? options.gathered->open_at(book, appliance, today)
                                     : open_at(clocks_of_appliance(book, appliance, today), today);
        v.due_count += open.count;
        std::move(open.first.begin(), open.first.end(), std::back_inserter(v.due));
    }
    std::stable_sort(v.due.begin(), v.due.end(), [](const DueItem& a, const DueItem& b) {
        return a.clock.due_on.value_or(Date::max()) < b.clock.due_on.value_or(Date::max());
    });
    return v;
}

Document visit_head(const Visit& v) {
    Document page;
    for (const auto& place : v.places)
        page.fact("site", fmt::format("{}{}{}", place.site, place.name.empty() ? "" : "  " + place.name,
                                      place.address.empty() ? "" : ", " + place.address));
    if (v.first) {
        const auto from = moment_text(*v.first), to = moment_text(*v.last);
        const bool one_day = from.substr(0, 10) == to.substr(0, 10);
        page.fact("time", from == to ? from : fmt::format("{} to {}", from, one_day ? to.substr(11) : to));
    }
    for (const auto& person : v.people)
        page.fact("technician",
                  fmt::format("{}{}, {}", person.code, person.name.empty() ? "" : "  " + person.name,
                              person.certificate.empty() ? "certificate not on record" : person.certificate));
    return page;
}

Document visit_body(const Book& book, const Visit& v, Instant now) {
    Document page;
    const auto table = [&](const std::string& heading, const std::vector<StoredEvent>& events, Table rows) {
        if (!events.empty()) page.gap().heading(heading + ":").table(std::move(rows), heading, 2);
    };
    const auto list = [&](const char* heading, const std::vector<StoredEvent>& events, auto words) {
        if (events.empty()) return;
        page.gap().heading(heading);
        for (const auto& stored : events)
            page.paragraph(fmt::format("{}  {}  {}", stored.name, moment_text(stored.event.when), words(stored)), 2);
    };
    constexpr auto units = DisplayUnits::lb;  // no mass is in them
    table("Isolated", v.isolated, isolated_columns().table(v.isolated, units));
    table("Vacuum", v.vacuums, vacuum_columns().table(v.vacuums, units));
    page.add(service_document(v.service));
    list("Leaks:", v.leak_work, [](const StoredEvent& e) { return act_of(e.event); });
    table("Parts fitted", v.fitted,
          fitted_columns().table({"event", "circuit", "part", "number", "tag", "came out"}, v.fitted, units));
    list("Notes and readings:", v.notes, [](const StoredEvent& e) {
        return std::holds_alternative<kinds::Note>(e.event.what) ? remark_of(e)
                                                                 : fmt::format("({}) {}", e.event.kind(), remark_of(e));
    });
    list("Also:", v.others, [&](const StoredEvent& e) {
        const auto views = returns_among(book, {e});
        return act_of(e.event) + (views.empty() ? "" : "; " + statement_word(views[0]));
    });
    const auto today = today_of(book, now);
    if (!v.due.empty()) {
        page.gap().heading(fmt::format("Open at this equipment on {}:", date_text(today)));
        auto rows = clock_rows(v.due, today);
        while (rows.size() > clocks_of_a_visit) rows.pop_back();
        page.cards(clock_cards(rows));
        if (const auto more = v.due_count - std::ssize(rows); more > 0)
            page.gap().paragraph(fmt::format("{} more, after these in order: tarebook report appliance {}", more,
                                             *v.appliances.begin()));
    }
    return page;
}

void add_visit_json(Json& page, const Book& book, const Visit& v, Instant now) {
    add_facts(page, {{"places", place_columns().json(v.places)},
                     {"people", person_columns().json(v.people)},
                     {"from", v.first},
                     {"to", v.last},
                     {"isolated", isolated_columns().json(v.isolated)},
                     {"vacuums", vacuum_columns().json(v.vacuums)}});
    add_service_json(page, v.service);
    add_facts(page, {{"leak_work", act_columns().json(v.leak_work)},
                     {"fitted", fitted_columns().json(v.fitted)},
                     {"visit_notes", note_columns().json(v.notes)},
                     {"due", clock_columns().json(clock_rows(v.due, today_of(book, now)))}});
}

}  // namespace tarebook::report
