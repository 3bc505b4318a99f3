// One visit, for the owner: pounds taken out, put back and added, per circuit and appliance, with the cylinders and
// their weights as read.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "additions.hpp"
#include "document.hpp"
#include "shared_text.hpp"
#include "statements.hpp"
#include "visit.hpp"

namespace tarebook {
namespace report {
namespace {

struct WeighingLine {
    StoredEvent event;
    std::string circuit, cylinder, before, after, net_typed;
    Mass put_in;  // negative where taken out
};
struct ApplianceView {
    std::string refrigerant, owner;
    Mass additions;
    std::map<std::string, Sums> circuits;
};
struct JobView {
    std::string job;
    std::set<std::string> sites, technicians;
    std::map<std::string, ApplianceView> appliances;
    std::vector<WeighingLine> weighings;
    std::vector<StoredEvent> others;  // that are no weighing of gas in or out of equipment
    Visit visit;
    std::vector<OpenFinding> exceptions;
    Head head;
};

std::string typed(const std::optional<Weight>& weight) {
    return weight ? weight->typed : std::string();
}

// The circuit, the cylinder and the scale's words of an event that moved gas in or out of an appliance.
std::optional<WeighingLine> weighing_line(const StoredEvent& stored) {
    WeighingLine line;
    line.event = stored;
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

JobView view_of(const Book& book, std::string_view job, const std::vector<StoredEvent>& events, Instant now) {
    JobView view;
    view.job = std::string(job);
    view.head = book.head();
    const auto open = findings_by_event(book);
    std::vector<StoredEvent> counting;
    std::copy_if(events.begin(), events.end(), std::back_inserter(counting),
                 [](const StoredEvent& e) { return !e.voided_by; });
    view.visit = visit_of(book, counting, now);
    for (const auto& place : view.visit.places) view.sites.insert(place.site);
    std::vector<Flow> flows;
    for (const auto& stored : counting) {
        if (stored.event.by) view.technicians.insert(*stored.event.by);
        const auto [first, last] = open.equal_range(stored.id);
        for (auto it = first; it != last; ++it) view.exceptions.push_back(it->second);
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
            view.others.push_back(stored);
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
    return view;
}

Json job_json(const Book& book, const JobView& v, Instant now) {
    Json page = versioned();
    page.add("job", Json::text(v.job));
    Json sites = Json::array();
    for (const auto& site : v.sites) sites.push(Json::text(site));
    page.add("sites", std::move(sites));
    Json technicians = Json::array();
    for (const auto& name : v.technicians) technicians.push(Json::text(name));
    page.add("technician", v.technicians.size() == 1 ? Json::text(*v.technicians.begin()) : Json::null());
    page.add("technicians", std::move(technicians));
    add_visit_json(page, book, v.visit, now);
    Json appliances = Json::array();
    for (const auto& [code, a] : v.appliances) {
        Json j = Json::object();
        j.add("appliance", Json::text(code))
            .add("refrigerant", a.refrigerant.empty() ? Json::null() : Json::text(a.refrigerant))
            .add("owner", a.owner.empty() ? Json::null() : Json::text(a.owner))
            .add_mass("additions", a.additions);
        Json circuits = Json::array();
        for (const auto& [circuit, s] : a.circuits) {
            Json c = Json::object();
            c.add("circuit", Json::text(circuit))
                .add_mass("recovered", s.recovered)
                .add_mass("reused", s.reused)
                .add_mass("charged", s.charged)
                .add_mass("pumped_in", s.moved_in)
                .add_mass("pumped_out", s.moved_out)
                .add_mass("net", s.net())
                .add_mass("released", s.released);
            circuits.push(std::move(c));
        }
        appliances.push(std::move(j.add("circuits", std::move(circuits))));
    }
    page.add("appliances", std::move(appliances));
    Json weighings = Json::array();
    for (const auto& w : v.weighings) {
        const auto text_or_null = [](const std::string& text) {
            return text.empty() ? Json::null() : Json::text(text);
        };
        Json j = Json::object();
        j.add("event", Json::text(event_ref(book, w.event)))
            .add("at", Json::text(moment_iso(w.event.event.when)))
            .add("kind", Json::text(w.event.event.kind()))
            .add("circuit", Json::text(w.circuit))
            .add("cylinder", Json::text(w.cylinder))
            .add("before", text_or_null(w.before))
            .add("after", text_or_null(w.after))
            .add("net", text_or_null(w.net_typed))
            .add_mass("put_in", w.put_in);
        weighings.push(std::move(j));
    }
    page.add("weighings", std::move(weighings));
    Json others = Json::array();
    for (const auto& stored : v.others) {
        Json j = Json::object();
        j.add("event", Json::text(event_ref(book, stored)))
            .add("at", Json::text(moment_iso(stored.event.when)))
            .add("kind", Json::text(stored.event.kind()))
            .add("act", Json::text(act_of(stored.event)));
        if (const auto views = returns_among(book, {stored}); !views.empty())
            j.add("return", return_json(book, views[0]));
        others.push(std::move(j));
    }
    page.add("other_events", std::move(others));
    Json exceptions = Json::array();
    for (const auto& f : v.exceptions) exceptions.push(finding_json(f.id, f.finding));
    page.add("exceptions", std::move(exceptions));
    Json head = Json::object();
    head.add("seq", Json::whole(v.head.seq)).add("digest", Json::text(hex(v.head.digest)));
    return std::move(page.add("chain_head", std::move(head)));
}

std::string job_csv(const Book& book, const JobView& v) {
    Csv csv({"job", "event", "at", "kind", "appliance", "circuit", "cylinder", "before", "after", "net", "put_in_lb"});
    for (const auto& w : v.weighings)
        csv.row({v.job, event_ref(book, w.event), moment_iso(w.event.event.when), std::string(w.event.event.kind()),
                 appliance_of(w.circuit), w.circuit, w.cylinder, w.before, w.after, w.net_typed,
                 pounds_cell(w.put_in)});
    return csv.page();
}

Document job_document(const Book& book, const JobView& v, const PageOptions& options) {
    const auto units = options.units;
    const auto m = [&](Mass mass) { return mass_text(mass, units); };
    Document page("Job " + v.job,
                  fmt::format("at {}, by {}", v.sites.empty() ? "-" : fmt::format("{}", fmt::join(v.sites, ", ")),
                              v.technicians.empty() ? "-" : fmt::format("{}", fmt::join(v.technicians, ", "))),
                  " ");
    page.add(visit_head(v.visit));
    for (const auto& [code, a] : v.appliances) {
        page.gap().heading(fmt::format("{}  {}, owner {}", code, a.refrigerant.empty() ? "-" : a.refrigerant,
                                       a.owner.empty() ? "-" : a.owner));
        Table table;
        table.column("circuit").column("taken out", Side::right).column("put back", Side::right);
        table.column("charged", Side::right).column("net in", Side::right).column("released", Side::right);
        for (const auto& [circuit, s] : a.circuits)
            table.row({circuit, m(s.recovered), m(s.reused), m(s.charged), m(s.net()),
                       s.released.is_zero() ? "" : m(s.released)});
        page.table(std::move(table), "Circuits of " + code, 2);
        for (const auto& [circuit, s] : a.circuits)
            if (const auto pumped = pumped_text(circuit, s, units); !pumped.empty()) page.line(pumped, 2);
        page.line(fmt::format("added: {}", m(a.additions)), 2);
    }
    if (!v.weighings.empty()) {
        Table table;
        table.column("event").column("when").column("act").column("before", Side::right).column("after", Side::right);
        table.column("net", Side::right);
        for (const auto& w : v.weighings)
            table.row({event_ref(book, w.event), moment_text(w.event.event.when),
                       fmt::format("{} {}", w.event.event.kind(), w.cylinder), w.before, w.after,
                       m(w.put_in.magnitude())});
        page.gap().heading("Weighings, as typed:").table(std::move(table), "Weighings", 2);
    }
    page.add(visit_body(book, v.visit, options.now));
    if (!v.exceptions.empty()) {
        page.gap().heading("Exceptions:");
        for (const auto& f : v.exceptions) page.item(finding_text(f.id, f.finding));
    }
    page.gap().line("Note this, and nothing before it can be changed unseen:");
    page.line(fmt::format("{} {}", event_name(v.head.seq), hex(v.head.digest)), 2);
    return page;
}

}  // namespace
}  // namespace report

Result<Page> job_page(const Book& book, std::string_view job, const PageOptions& options) {
    const auto events = book.events_of_job(job);
    if (events.empty())
        return fail({ErrorKind::refused, "job-unknown", fmt::format("no event of the book names job {}", job),
                     std::string(job), "a job that was given with --job",
                     "`tarebook report site` shows what moved at a site"});
    const auto view = report::view_of(book, job, events, options.now);
    Page page;
    page.has_exceptions = !view.exceptions.empty();
    switch (options.format) {
        case Format::json:
            page.body = report::job_json(book, view, options.now).page();
            break;
        case Format::csv:
            page.body = report::job_csv(book, view);
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
