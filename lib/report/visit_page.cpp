// One presence at a site: for the person who works, and as the customer's sheet.
#include "tarebook/report/visit_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "additions.hpp"
#include "cautions.hpp"
#include "document.hpp"
#include "shared_text.hpp"
#include "visit.hpp"

namespace tarebook {
namespace report {
namespace {

struct CircuitLine {
    std::string circuit, refrigerant;
    Sums sums;
};
struct VisitView {
    std::string company;
    std::vector<StoredEvent> events;
    Visit visit;
    std::vector<CircuitLine> circuits;
    std::vector<VisitGap> missing;
    std::vector<std::string> cautions;  // about the gases of the equipment that was worked at
    std::optional<Moment> from, to;
};

VisitView view_of(const Book& book, const VisitQuestion& q, const PageOptions& options) {
    VisitView view;
    view.company = book.info().company;
    for (auto& stored : book.events_of_job(q.job))
        if (is_of_visit(stored, q)) view.events.push_back(std::move(stored));
    view.visit = visit_of(book, view.events, options);
    const auto last = order_at(Instant::max());
    const auto* site = book.entries().find(EntryKind::site, q.site);
    const auto zone = site ? site->text("zone", last).value_or(book.info().zone) : book.info().zone;
    const auto on_site = [&](Instant at) {
        const auto moment = moment_in_zone(at, zone);
        return moment ? *moment : Moment{at, {}, "UTC"};
    };
    view.from = on_site(q.from);
    view.to = on_site(q.to.value_or(options.now));
    const auto known = [&](const std::string& code) {
        return std::any_of(view.visit.people.begin(), view.visit.people.end(),
                           [&](const Visit::Person& p) { return p.code == code; });
    };
    for (const auto& code : q.people) {
        if (known(code)) continue;
        const auto* entry = book.entries().find(EntryKind::technician, code);
        const auto field = [&](const char* name) { return entry ? entry->text(name, last).value_or("") : ""; };
        view.visit.people.push_back({code, field("name"), field("certificate")});
    }
    if (view.visit.places.empty() && site)
        view.visit.places.push_back(
            {q.site, site->text("name", last).value_or(""), site->text("address", last).value_or("")});
    std::map<std::string, CircuitLine, CodeOrder> circuits;
    std::vector<const Refrigerant*> gases;
    for (const auto& stored : view.events)
        for (const auto& flow : flows_of(book, stored)) {
            auto& line = circuits[flow.circuit];
            line.circuit = flow.circuit;
            line.refrigerant = flow.refrigerant;
            line.sums.take(flow);
        }
    for (auto& [code, line] : circuits) view.circuits.push_back(std::move(line));
    for (const auto& appliance : view.visit.appliances)
        if (const auto place = place_facts(book.entries(), appliance, last))
            if (const auto* gas = book.catalogue().find(place->refrigerant);
                gas && std::find(gases.begin(), gases.end(), gas) == gases.end())
                gases.push_back(gas);
    if (!gases.empty()) view.cautions = gas_cautions(gases, book.info().units);
    view.missing = missing_of_visit(book, q);
    return view;
}

// What happened, for the owner of the equipment, who does not have the book. Empty for what is the shop's own matter.
struct Told {
    const Book& book;
    const StoredEvent& stored;
    DisplayUnits units;

    [[nodiscard]] std::string gas(std::string_view did, std::string_view circuit) const {
        Mass mass;
        std::string refrigerant;
        for (const auto& flow : flows_of(book, stored)) {
            mass += flow.mass;
            refrigerant = flow.refrigerant;
        }
        return fmt::format("{}{} {} {}", mass_text(mass.magnitude(), units),
                           refrigerant.empty() ? "" : " of " + refrigerant, did, circuit);
    }
    std::string operator()(const kinds::Recover& k) const {
        const auto vacuum = k.vacuum ? fmt::format(", down to {}", *k.vacuum) : "";
        return gas("recovered from", k.circuit) + vacuum;
    }
    std::string operator()(const kinds::Reuse& k) const { return gas("reused in", k.circuit); }
    std::string operator()(const kinds::Charge& k) const { return gas("charged into", k.circuit); }
    std::string operator()(const kinds::Release& k) const {
        return k.circuit ? gas("went to the air, by estimate, from", *k.circuit) + (k.why.empty() ? "" : ": " + k.why)
                         : "";
    }
    std::string operator()(const kinds::Pumpdown& k) const {
        return k.to ? fmt::format("{} pumped down into {}", k.circuit, *k.to) : k.circuit + " pumped down";
    }
    std::string operator()(const kinds::Isolate& k) const {
        if (k.reopened) return k.circuit + " back in service";
        return fmt::format("{} closed off{}", k.circuit, k.points ? ": " + *k.points : "");
    }
    std::string operator()(const kinds::Evacuate& k) const {
        if (!k.circuit) return {};
        return fmt::format("{} evacuated{}{}{}", *k.circuit, k.vacuum ? " to " + *k.vacuum : "",
                           k.held_min ? fmt::format(", held {} min", *k.held_min) : "",
                           k.rise ? ", rise " + *k.rise : "");
    }
    std::string operator()(const kinds::Leak& k) const {
        return fmt::format("leak found at {}: {}", k.appliance, k.place);
    }
    std::string operator()(const kinds::Inspect& k) const {
        if (k.of) return act_of(stored.event);
        return fmt::format("{} inspected for leaks ({}, {}): {}", k.appliance,
                           k.parts ? parts_text(*k.parts) : "parts not named", k.method,
                           k.result == "no-leak" ? "none found" : "leak found");
    }
    std::string operator()(const kinds::Repair& k) const {
        return fmt::format("{} repaired: {}", book.leak_named_in(stored.event), k.done);
    }
    std::string operator()(const kinds::LeakTest& k) const {
        return fmt::format("{} tested after the repair ({}): {}", book.leak_named_in(stored.event), k.stage,
                           k.result == "pass" ? "passed" : "FAILED");
    }
    std::string operator()(const kinds::Fit& k) const { return fmt::format("{} fitted to {}", k.part, k.circuit); }
    std::string operator()(const kinds::PressureTest& k) const { return told_to_owner(k); }
    std::string operator()(const kinds::Oil& k) const { return told_to_owner(k); }
    std::string operator()(const kinds::FilterDrier& k) const { return told_to_owner(k); }
    std::string operator()(const kinds::Identify& k) const { return told_to_owner(k); }
    std::string operator()(const kinds::Compressor& k) const { return told_to_owner(k); }
    std::string operator()(const kinds::Note& k) const {
        std::vector<std::string> parts;
        for (const auto* part : {&k.text, &k.readings})
            if (*part) parts.push_back(**part);
        if (k.photo) parts.push_back("photo " + *k.photo);
        return fmt::format("{}{}", k.circuit ? *k.circuit + ": " : "", joined(parts, "; "));
    }
    // Any other kind: where it is about the customer's equipment, as the book has it.
    template <class Kind>
    std::string operator()(const Kind& /*k*/) const {
        const bool is_about_equipment =
            !appliance_named_by(stored.event).empty() || !circuit_named_by(stored.event).empty();
        return is_about_equipment ? act_of(stored.event) : std::string();
    }
};

std::string told(const Book& book, const StoredEvent& stored, DisplayUnits units) {
    return std::visit(Told{book, stored, units}, static_cast<const AnyKind&>(stored.event.what));
}

const Columns<CircuitLine>& line_columns() {
    static const auto columns = Columns<CircuitLine>{
        {"circuit", "circuit", &CircuitLine::circuit},
        {"refrigerant", "gas",
         &CircuitLine::refrigerant}}.with(sums_columns(), &CircuitLine::sums);
    return columns;
}
const Columns<VisitGap>& gap_columns() {
    static const Columns<VisitGap> columns{{"what", "missing", &VisitGap::what}, {"next", "next", &VisitGap::next}};
    return columns;
}

std::string json_of(const Book& book, const VisitQuestion& q, const VisitView& v, Instant now) {
    Json page = versioned("visit");
    add_facts(page, {{"job", q.job},
                     {"site", q.site},
                     {"company", v.company},
                     {"opened", v.from},
                     {"ended", q.to ? Field(*v.to) : Field()},
                     {"events", act_columns().json(v.events)},
                     {"circuits", line_columns().json(v.circuits)},
                     {"cautions", Json::list(v.cautions)},
                     {"gaps", gap_columns().json(v.missing)}});
    add_visit_json(page, book, v.visit, now);
    return page.page();
}

void add_missing(Document& page, const VisitView& v) {
    if (v.missing.empty()) {
        page.gap().line("missing: nothing by this book");
        return;
    }
    page.gap().heading("Missing:");
    for (const auto& gap : v.missing) page.item(fmt::format("{}\n  {}\n", gap.what, gap.next));
}

Document status_document(const VisitQuestion& q, const VisitView& v, DisplayUnits units) {
    Document page(fmt::format("Visit to {}, job {}", q.site, q.job),
                  fmt::format("open since {}, {}", moment_text(*v.from),
                              q.people.empty() ? "no person named" : fmt::format("{}", fmt::join(q.people, " and "))),
                  ": ");
    if (v.events.empty()) page.line("nothing is recorded yet");
    for (const auto& stored : v.events)
        page.line(
            fmt::format("{}  {}  {}", moment_text(stored.event.when).substr(11), stored.name, act_of(stored.event)), 2);
    if (!v.circuits.empty())
        page.gap().table(line_columns().table({"circuit", "gas", "recovered", "reused", "charged"}, v.circuits, units),
                         "Refrigerant", 2);
    add_missing(page, v);
    return page;
}

Document sheet_document(const Book& book, const VisitQuestion& q, const VisitView& v, DisplayUnits units) {
    Document page(v.company, fmt::format("service visit, job {}", q.job), ": ");
    page.on_one_sheet();
    if (v.events.empty()) return std::move(page.line("nothing was recorded, so there is no sheet to sign"));
    for (const auto& place : v.visit.places)
        page.fact("site", fmt::format("{}{}{}", place.site, place.name.empty() ? "" : "  " + place.name,
                                      place.address.empty() ? "" : ", " + place.address));
    const auto from = moment_text(*v.from), to = moment_text(*v.to);
    page.fact("time", fmt::format("{} to {}", from, from.substr(0, 10) == to.substr(0, 10) ? to.substr(11) : to));
    for (const auto& person : v.visit.people)
        page.fact("technician", fmt::format("{}{}", person.name.empty() ? person.code : person.name,
                                            person.certificate.empty() ? "" : ", certificate " + person.certificate));
    std::vector<std::string> lines;
    for (const auto& stored : v.events) {
        auto text = told(book, stored, units);
        if (text.empty()) continue;
        lines.push_back(moment_text(stored.event.when).substr(11) + "  " + text);
    }
    if (!lines.empty()) page.gap().heading("Found and done:");
    for (const auto& line : lines) page.paragraph(line, 2);
    if (!v.circuits.empty()) {
        page.gap().heading("Refrigerant:");
        page.table(line_columns().table({"circuit", "gas", "recovered", "reused", "charged"}, v.circuits, units),
                   "Refrigerant", 2);
    }
    const auto more_parts = service_parts(v.visit.service);
    if (!v.visit.fitted.empty() || !more_parts.empty()) page.gap().heading("Parts:");
    for (const auto& stored : v.visit.fitted) {
        const auto& k = std::get<kinds::Fit>(stored.event.what);
        page.paragraph(fmt::format("{} x {}, {}{}{}", k.quantity.value_or(1), k.part, k.circuit,
                                   k.tag ? ", tag " + *k.tag : "", k.removed ? "; came out: " + *k.removed : ""),
                       2);
    }
    for (const auto& part : more_parts) page.paragraph(part, 2);
    std::vector<std::string> open;
    for (const auto& gap : v.missing)
        if (!gap.is_exception) open.push_back(gap.what);
    if (!open.empty()) page.gap().heading("Still open:");
    for (const auto& line : open) page.paragraph(line, 2);
    if (!v.cautions.empty()) page.gap();
    for (const auto& caution : v.cautions) page.paragraph("caution: " + caution);
    page.paragraph("This sheet informs. Local codes and a licensed person decide.");
    page.gap().gap().signature("technician").gap().gap().signature("customer");
    const auto head = book.head();
    page.gap().line(fmt::format("book: {} {}", event_name(head.seq), hex(head.digest).substr(0, 16)));
    return page;
}

Page page_of_visit(const Book& book, const VisitQuestion& q, const PageOptions& options, bool for_the_customer) {
    const auto view = view_of(book, q, options);
    Page page;
    page.has_exceptions = !for_the_customer && !view.missing.empty();
    if (options.format == Format::json)
        page.body = json_of(book, q, view, options.now);
    else if (options.format == Format::csv)
        page.body = line_columns().csv(view.circuits, "job", q.job);
    else
        page.body = page_body(
            for_the_customer ? sheet_document(book, q, view, options.units) : status_document(q, view, options.units),
            book, options);
    return page;
}

}  // namespace
}  // namespace report

Result<VisitQuestion> last_visit_of_job(const Book& book, std::string_view job) {
    auto events = book.events_of_job(job);
    std::erase_if(events, [](const StoredEvent& e) { return e.voided_by || e.quarantined; });
    if (events.empty())
        return fail({ErrorKind::refused, "job-unknown", fmt::format("no event of the book names job {}", job),
                     std::string(job), "a job that was given with --job",
                     "`tarebook report site` shows what moved at a site"});
    const auto day = events.back().event.when.date();
    VisitQuestion out;
    out.job = std::string(job);
    out.from = events.back().event.when.at;
    out.to = out.from;
    out.late_entries = false;
    for (const auto& stored : events) {
        const auto& e = stored.event;
        if (e.when.date() != day) continue;
        out.from = std::min(out.from, e.when.at);
        const auto circuit = circuit_named_by(e);
        const std::string place = circuit.empty() ? std::string(appliance_named_by(e)) : circuit;
        if (out.site.empty() && !place.empty()) out.site = site_of(place);
    }
    return out;
}

Page visit_page(const Book& book, const VisitQuestion& question, const PageOptions& options) {
    return report::page_of_visit(book, question, options, false);
}
Page visit_sheet(const Book& book, const VisitQuestion& question, const PageOptions& options) {
    return report::page_of_visit(book, question, options, true);
}

}  // namespace tarebook
