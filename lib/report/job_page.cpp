// One visit, for the owner: pounds taken out, put back and added, per circuit and appliance, with the cylinders and
// their weights as read.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "additions.hpp"
#include "book_names.hpp"
#include "document.hpp"
#include "exception_cards.hpp"
#include "gathered.hpp"
#include "shared_text.hpp"
#include "statements.hpp"
#include "visit.hpp"

namespace tarebook {
namespace report {
namespace {

struct WeighingLine {
    StoredEvent event;
    std::string circuit, cylinder, before, after, net_typed;
    std::vector<std::string> from_scale;  // which of the three were read from the scale's port
    Mass put_in;                          // negative where taken out
};
struct ApplianceView {
    std::string refrigerant, owner;
    Mass additions;
    std::map<std::string, Sums, CodeOrder> circuits;
};
struct OtherEvent {
    StoredEvent event;
    std::vector<ReturnView> returned;  // of a return: it
};
// The end of a chain: of the book itself, or of a truck or desk that recorded a part of the job.
struct ChainEnd {
    BookId book{};
    std::string name;  // empty for the book itself
    Head head;
};
using Appliance = std::pair<const std::string, ApplianceView>;
struct JobView {
    std::string job;
    std::set<std::string> sites, technicians;
    std::map<std::string, ApplianceView, CodeOrder> appliances;
    std::vector<WeighingLine> weighings;
    std::vector<OtherEvent> others;  // that are no weighing of gas in or out of equipment
    Visit visit;
    std::vector<ShownException> exceptions;
    std::vector<ChainEnd> heads;  // of each chain that recorded in the job; that of the book itself first, always
};

std::string typed(const std::optional<Weight>& weight) {
    return weight ? weight->typed : std::string();
}

// The circuit, the cylinder and the scale's words of an event that moved gas in or out of an appliance.
std::optional<WeighingLine> weighing_line(const StoredEvent& stored) {
    WeighingLine line;
    line.event = stored;
    line.from_scale = weights_from_scale(stored.event);
    const auto take = [&](const std::string& circuit, const std::string& cylinder, const Weighing& w) {
        line.circuit = circuit;
        line.cylinder = cylinder;
        line.before = typed(w.before);
        line.after = typed(w.after);
        line.net_typed = typed(w.net);
    };
    if (const auto* k = std::get_if<kinds::Recover>(&stored.event.what))
        take(k->circuit, k->into, k->weighing);
    else if (const auto* c = std::get_if<kinds::Charge>(&stored.event.what))
        take(c->circuit, c->from, c->weighing);
    else if (const auto* r = std::get_if<kinds::Reuse>(&stored.event.what))
        take(r->circuit, r->from, r->weighing);
    else if (const auto* e = std::get_if<kinds::Release>(&stored.event.what); e && e->circuit)
        take(*e->circuit, "atmosphere", {{}, {}, e->mass});
    else
        return std::nullopt;
    return line;
}

// A head vouches for its own chain alone. Events of the chain of the book itself are named E12.
std::vector<ChainEnd> heads_of(const Book& book, const std::vector<StoredEvent>& events) {
    std::vector<ChainEnd> out{{book.info().id, {}, book.head()}};
    BookNames names(book);
    std::set<std::pair<BookId, std::uint16_t>> seen;
    for (const auto& stored : events) {
        const auto& e = stored.event;
        if (stored.name == event_name(e.seq) || !seen.emplace(e.book, e.order().branch).second) continue;
        out.push_back({e.book, names.of(e.book), book.head_of(e)});
    }
    std::sort(out.begin() + 1, out.end(), [](const ChainEnd& a, const ChainEnd& b) {
        return std::tie(a.name, a.head.digest) < std::tie(b.name, b.head.digest);
    });
    return out;
}

JobView view_of(const Book& book, std::string_view job, const std::vector<StoredEvent>& events,
                const PageOptions& options) {
    JobView view;
    view.job = std::string(job);
    const auto found = options.gathered ? decltype(findings_by_event(book))() : findings_by_event(book);
    const auto& open = options.gathered ? options.gathered->findings : found;
    std::vector<OpenFinding> exceptions;
    std::vector<StoredEvent> counting;
    std::copy_if(events.begin(), events.end(), std::back_inserter(counting),
                 [](const StoredEvent& e) { return !e.voided_by; });
    view.heads = heads_of(book, counting);
    view.visit = visit_of(book, counting, options);
    for (const auto& place : view.visit.places) view.sites.insert(place.site);
    std::vector<Flow> flows;
    for (const auto& stored : counting) {
        if (stored.event.by) view.technicians.insert(*stored.event.by);
        const auto [first, last] = open.equal_range(stored.id);
        for (auto it = first; it != last; ++it) exceptions.push_back(it->second);
        const auto of_event = flows_of(book, stored);
        const auto circuit_of = [&](const std::string& circuit) -> Sums& {
            view.sites.insert(site_of(circuit));
            auto& appliance = view.appliances[appliance_of(circuit)];
            if (const auto place = place_facts(book.entries(), circuit, stored.event.order())) {
                appliance.refrigerant = place->refrigerant;
                appliance.owner = place->owner;
            }
            return appliance.circuits[circuit];
        };
        auto line = weighing_line(stored);
        if (!line) {
            view.others.push_back({stored, returns_among(book, {stored})});
            for (const auto& flow : of_event) {  // pumped over: an estimate, in two appliances
                circuit_of(flow.circuit).take(flow);
                flows.push_back(flow);
            }
            continue;
        }
        auto& sums = circuit_of(line->circuit);
        for (const auto& flow : of_event) {
            sums.take(flow);
            line->put_in += flow.mass;
            flows.push_back(flow);
        }
        view.weighings.push_back(std::move(*line));
    }
    for (const auto& addition : additions(flows, beginning, Date::max()))
        view.appliances[addition.appliance].additions += addition.mass;
    view.exceptions = shown_exceptions(book, std::move(exceptions));
    return view;
}

const Columns<Appliance>& equipment_columns() {
    static const Columns<Appliance> columns{
        {"appliance", "", &Appliance::first},
        {"refrigerant", "", [](const Appliance& a) { return a.second.refrigerant; }},
        {"owner", "", [](const Appliance& a) { return a.second.owner; }},
        {"additions", "", [](const Appliance& a) { return a.second.additions; }},
        {"circuits", "", [](const Appliance& a) { return circuit_columns().json(a.second.circuits); }}};
    return columns;
}
// As typed, with a star where the scale itself typed it.
std::string starred(const WeighingLine& line, const std::string& name, const std::string& typed) {
    const bool read = std::find(line.from_scale.begin(), line.from_scale.end(), name) != line.from_scale.end();
    return read ? typed + "*" : typed;
}
const Columns<WeighingLine>& weighing_columns() {
    using C = Column<WeighingLine>;
    const auto before = [](const WeighingLine& w, DisplayUnits) { return starred(w, "before", w.before); };
    const auto after = [](const WeighingLine& w, DisplayUnits) { return starred(w, "after", w.after); };
    static const auto columns =
        Columns<WeighingLine>{}
            .with(event_columns(), &WeighingLine::event)
            .with({{"kind", "", [](const WeighingLine& w) { return w.event.event.kind(); }},
                   {"", "act",
                    [](const WeighingLine& w) { return fmt::format("{} {}", w.event.event.kind(), w.cylinder); }},
                   C("appliance", "", [](const WeighingLine& w) { return appliance_of(w.circuit); }).no_json(),
                   {"circuit", "", &WeighingLine::circuit},
                   {"cylinder", "", &WeighingLine::cylinder},
                   C("before_typed", "before", &WeighingLine::before).right().blank().shown(before),
                   C("after_typed", "after", &WeighingLine::after).right().blank().shown(after),
                   {"net_typed", "", &WeighingLine::net_typed},
                   {"weights_from_scale", "", &WeighingLine::from_scale},
                   C("put_in", "net", &WeighingLine::put_in).shown([](const WeighingLine& w, DisplayUnits units) {
                       return mass_cell(w.put_in.magnitude(), units);
                   })});
    return columns;
}
const Columns<OtherEvent>& other_columns() {
    const auto returned = [](const OtherEvent& o) {
        return o.returned.empty() ? Json::null() : return_json(o.returned.front());
    };
    static const auto columns =
        Columns<OtherEvent>{}.with(act_columns(), &OtherEvent::event).with({{"return", "", returned}});
    return columns;
}

Json job_json(const Book& book, const JobView& v, Instant now) {
    Json page = versioned("job"), heads = Json::array();
    for (const auto& end : v.heads)
        heads.push(facts({{"book", hex(end.book)}, {"seq", end.head.seq}, {"digest", hex(end.head.digest)}}));
    add_facts(page, {{"job", v.job},
                     {"sites", Json::list(v.sites)},
                     {"technician", v.technicians.size() == 1 ? *v.technicians.begin() : ""},
                     {"technicians", Json::list(v.technicians)}});
    add_visit_json(page, book, v.visit, now);
    return std::move(add_facts(page, {{"appliances", equipment_columns().json(v.appliances)},
                                      {"weighings", weighing_columns().json(v.weighings)},
                                      {"other_events", other_columns().json(v.others)},
                                      {"exceptions", exception_columns().json(v.exceptions)},
                                      {"head", head_json(v.heads.front().head)},
                                      {"heads", std::move(heads)}}));
}

bool any_from_scale(const JobView& v) {
    return std::any_of(v.weighings.begin(), v.weighings.end(), [](const auto& w) { return !w.from_scale.empty(); });
}

// "24.05 lb recovered, 23.50 lb reused, 6.20 lb charged; 2 exceptions, 1 OVER its limit"
std::string job_answer(const JobView& v, DisplayUnits units) {
    Sums all;
    for (const auto& [code, appliance] : v.appliances)
        for (const auto& [circuit, s] : appliance.circuits)
            all.recovered += s.recovered, all.reused += s.reused, all.charged += s.charged, all.released += s.released;
    std::vector<std::string> parts;
    for (const auto& [mass, did] : {std::pair{all.recovered, "recovered"}, std::pair{all.reused, "reused"},
                                    std::pair{all.charged, "charged"}, std::pair{all.released, "released"}})
        if (!mass.is_zero()) parts.push_back(fmt::format("{} {}", mass_text(mass, units), did));
    auto out = parts.empty() ? std::string("no gas moved") : joined(parts);
    if (v.exceptions.empty()) return out;
    const auto over =
        std::count_if(v.exceptions.begin(), v.exceptions.end(), [](const auto& e) { return e.is_over(); });
    out += "; " + counted(std::ssize(v.exceptions), "exception");
    if (over > 0) out += fmt::format(", {} OVER its limit", over);
    return out;
}

Document job_document(const Book& book, const JobView& v, const PageOptions& options) {
    const auto units = options.units;
    Document page(fmt::format("Job {} at {}", v.job,
                              v.sites.empty() ? "a site not on record" : fmt::format("{}", fmt::join(v.sites, ", "))),
                  job_answer(v, units), ": ");
    if (v.technicians.empty()) page.line("technician not on record");
    page.add(visit_head(v.visit));
    for (const auto& [code, a] : v.appliances) {
        page.gap().heading(fmt::format("{}  {}, owner {}", code, a.refrigerant.empty() ? "-" : a.refrigerant,
                                       a.owner.empty() ? "-" : a.owner));
        page.table(circuit_columns().table({"circuit", "recovered", "reused", "charged", "net in", "released"},
                                           a.circuits, units),
                   "Circuits of " + code, 2);
        for (const auto& [circuit, s] : a.circuits)
            if (const auto pumped = pumped_text(circuit, s, units); !pumped.empty()) page.line(pumped, 2);
        page.line(fmt::format("added: {}", mass_text(a.additions, units)), 2);
    }
    if (!v.weighings.empty())
        page.gap()
            .heading(any_from_scale(v) ? "Weighings, as typed; * as the scale sent it:" : "Weighings, as typed:")
            .table(weighing_columns().table(v.weighings, units), "Weighings", 2);
    page.add(visit_body(book, v.visit, options.now));
    if (!v.exceptions.empty()) {
        page.gap().heading("Exceptions:").cards(exception_cards(v.exceptions, options.units));
    }
    if (options.links) return page;  // the head stands on the index alone
    page.gap().line(v.heads.size() == 1
                        ? "Write this down: nothing before it can then be changed unnoticed:"
                        : "Write these down, one of each book that recorded a part of the job: nothing before "
                          "them can then be changed unnoticed:");
    for (const auto& end : v.heads) {
        const auto digest = hex(end.head.digest);
        if (end.name.empty()) {
            page.line(fmt::format("{} {}", event_name(end.head.seq), digest), 2);
            continue;
        }
        // One word that `check --against` takes, within a usual line: half of the digest names the event as surely.
        page.line(end.name + ":", 2);
        page.line(fmt::format("{}:{}:{}", hex(end.book), end.head.seq, digest.substr(0, 32)), 4);
    }
    return page;
}

}  // namespace
}  // namespace report

Result<Page> job_page(const Book& book, std::string_view job, const PageOptions& options) {
    const auto events = book.events_of_job(job);
    if (events.empty()) return fail(report::unknown_job(job));
    const auto view = report::view_of(book, job, events, options);
    Page page;
    page.has_exceptions = !view.exceptions.empty();
    switch (options.format) {
        case Format::json:
            page.body = report::job_json(book, view, options.now).page();
            break;
        case Format::csv:
            page.body = report::weighing_columns().csv(view.weighings, "job", job);
            break;
        case Format::text:
        case Format::html:
        case Format::xlsx:  // the command line refuses it for this page
            page.body = report::page_body(report::job_document(book, view, options), book, options);
            break;
    }
    return page;
}

}  // namespace tarebook
