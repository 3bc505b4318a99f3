// The visit form as one HTML file. What is written here can be printed and filled in by hand; the script adds fields
// that keep and add up what is typed. It gets the book's words as JSON in a block that no browser runs.
#include "visit_form.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "cautions.hpp"
#include "content_policy.hpp"
#include "document.hpp"
#include "json.hpp"
#include "tarebook/report/practice.hpp"

namespace tarebook {
namespace report {
namespace {

using Data = VisitFormData;

Json count_or_null(const std::optional<Mass>& mass) {
    return mass ? Json::text(std::to_string(mass->count())) : Json::null();
}
// A division as the scale shows it: an ounce scale's half ounce is no hundredth of a pound.
std::string division_text(Mass division) {
    const auto exact = [&](std::int64_t unit, std::int64_t parts) { return division.count() % (unit / parts) == 0; };
    if (exact(Mass::counts_per_pound, 1000)) return pounds_text(division, 2) + " lb";
    if (exact(Mass::counts_per_gram, 10)) return kilograms_text(division, 2) + " kg";
    return fmt::format("{:g} oz", static_cast<double>(division.count()) / static_cast<double>(Mass::counts_per_ounce));
}
std::string clock_text(const Moment& when) {
    return moment_text(when).substr(std::string_view("2026-11-25 ").size());
}

Json cylinder_json(const Data::Cylinder& c, DisplayUnits units) {
    Json stops = Json::array();
    for (const auto& s : c.stops) {
        Json stop = Json::object();
        const auto& w = s.fill.weights;
        stop.add("gas", Json::text(s.gas))
            .add("stop_count", count_or_null(w.stop_gross))
            .add("slow_count", count_or_null(w.slow_gross))
            .add("stop", Json::text(watched_text(w.stop_gross, s.fill, units)));
        stops.push(std::move(stop));
    }
    Json out = Json::object();
    out.add("cylinder", Json::text(c.code))
        .add("gas", Json::text(c.gas))
        .add("holds", Json::text(c.holds))
        .add("supply", Json::boolean(c.supply))
        .add("tare", Json::text(mass_or(c.tare, units, "")))
        .add("tare_count", count_or_null(c.tare))
        .add("stops", std::move(stops))
        .add("not_known", Json::text(c.not_known))
        .add("do_not_fill", Json::list(c.do_not_fill));
    return out;
}

Json named_json(const char* key, const char* name, const std::vector<Data::Named>& all) {
    Json out = Json::array();
    for (const auto& one : all) {
        Json item = Json::object();
        item.add(key, Json::text(one.code)).add(name, Json::text(one.name));
        out.push(std::move(item));
    }
    return out;
}

Json form_json(const Data& data, const VisitFormQuestion& question, const Book& book, const PageOptions& options) {
    Json circuits = Json::array(), cylinders = Json::array(), scales = Json::array(), leaks = Json::array();
    for (const auto& c : data.circuits) {
        Json item = Json::object();
        item.add("circuit", Json::text(c.code))
            .add("serves", Json::text(c.serves))
            .add("gas", Json::text(c.gas))
            .add("close", Json::list(c.close));
        circuits.push(std::move(item));
    }
    for (const auto& c : data.cylinders) cylinders.push(cylinder_json(c, options.units));
    for (const auto& s : data.scales) {
        Json item = Json::object();
        item.add("scale", Json::text(s.code))
            .add("reads", Json::text(s.reads))
            .add("division", Json::text(s.division ? division_text(*s.division) : ""))
            .add("division_count", s.division && Mass() < *s.division ? count_or_null(s.division) : Json::null());
        scales.push(std::move(item));
    }
    for (const auto& l : data.leaks) {
        Json item = Json::object();
        item.add("leak", Json::text(l.code))
            .add("appliance", Json::text(l.appliance))
            .add("place", Json::text(l.place));
        leaks.push(std::move(item));
    }
    Json out = versioned("visit-form");
    out.add("id", Json::text(question.id))
        .add("site", Json::text(question.site))
        .add("job", Json::text(question.job.value_or("")))
        .add("zone", Json::text(data.zone))
        .add("made", Json::text(instant_text(data.as_of.at)))
        .add("as_of", Json::text(moment_text(data.as_of)))
        .add("as_of_time", Json::text(clock_text(data.as_of)))
        .add("units", Json::text(options.units == DisplayUnits::kg ? "kg" : "lb"))
        .add("practice", Json::boolean(book.info().practice()))
        .add("circuits", std::move(circuits))
        .add("appliances", named_json("appliance", "gas", data.appliances))
        .add("cylinders", std::move(cylinders))
        .add("scales", std::move(scales))
        .add("people", named_json("person", "name", data.people))
        .add("machines", named_json("machine", "name", data.machines))
        .add("leaks", std::move(leaks));
    return out;
}

// JSON inside of a script element: no letter of it can end the element or begin a comment, and all are ASCII, as a
// letter that a terminal obeys would be shown as an escape that JSON does not know.
std::string in_a_block(const std::string& json) {
    constexpr char indent = ' ';
    std::string out;
    for (const char c : nlohmann::ordered_json::parse(json).dump(1, indent, true)) {
        if (c == '<' || c == '>' || c == '&')
            out += fmt::format("\\u{:04x}", static_cast<unsigned>(c));
        else
            out += c;
    }
    return out;
}
// The table of lines is JSON already, and becomes one more key of the object.
std::string with_lines(std::string json) {
    json.erase(json.find_last_not_of("}\n") + 1);
    return fmt::format("{},\n\"lines\": {}}}\n", json, visit_form_lines);
}

std::string paragraph(std::string_view words, std::string_view attributes = {}) {
    return fmt::format("<p{}>{}</p>\n", attributes, escaped(words));
}
std::string heading(std::string_view words) {
    return fmt::format("<h2>{}</h2>\n", escaped(words));
}

std::string circuits_html(const Data& data) {
    std::string out = heading("Circuits and what closes them");
    if (data.circuits.empty()) return out + paragraph("No circuit of this site is on record.");
    out += paragraph(
        "Tick each point as it is closed, in the order of closing. The book does not prove what a valve does.");
    for (const auto& c : data.circuits) {
        out += fmt::format("<fieldset class=\"circuit\">\n<legend>{}{}{}</legend>\n", escaped(c.code),
                           c.serves.empty() ? "" : ": " + escaped(c.serves),
                           c.gas.empty() ? "" : fmt::format(", <span class=\"s\">{}</span>", escaped(c.gas)));
        if (!c.bring.empty()) out += paragraph("Bring: " + joined(c.bring));
        if (c.close.empty())
            out += paragraph("Its isolation points are not on record: write what was closed.") +
                   "<div class=\"blank by-hand\"></div>\n";
        else
            out += "<ol class=\"points\">\n";
        for (const auto& point : c.close)
            out += fmt::format("<li><label><input type=\"checkbox\" autocomplete=\"off\">{}</label></li>\n",
                               escaped(point));
        if (!c.close.empty()) out += "</ol>\n";
        out += "</fieldset>\n";
    }
    return out;
}

std::string stop_html(const Data::Cylinder& c, const Data& data, DisplayUnits units) {
    if (c.supply) return "for supply: nothing is recovered into it";
    if (!c.do_not_fill.empty())
        return fmt::format("<strong class=\"stop\">DO NOT FILL: {}</strong>", escaped(joined(c.do_not_fill, "; ")));
    std::string out;
    for (const auto& s : c.stops) {
        const auto& w = s.fill.weights;
        out += fmt::format(
            "{0}<span class=\"stop-at\"><strong class=\"stop\">STOP AT {1}</strong>{2}, {3}</span>, as of {4}",
            out.empty() ? "" : "<br>", escaped(watched_text(w.stop_gross, s.fill, units)),
            s.gas.empty() ? "" : " with " + escaped(s.gas),
            w.room <= Mass() ? "no room" : "room " + escaped(watched_text(w.room, s.fill, units)),
            clock_text(data.as_of));
    }
    if (out.empty()) out = "<strong>STOP AT is not known</strong>: " + escaped(c.not_known);
    return out;
}

std::string cylinders_html(const Data& data, const VisitFormQuestion& question, DisplayUnits units) {
    std::string out = heading("Cylinders");
    if (data.cylinders.empty()) return out + paragraph("The book has no cylinder that fits the gases of this site.");
    out += paragraph(question.place ? fmt::format("At {}, by the book.", *question.place)
                                    : "Those that fit the gases of this site, by the book.");
    out += paragraph("", " id=\"age\" role=\"status\"");
    out += "<ul class=\"cylinders\">\n";
    for (const auto& c : data.cylinders)
        out += fmt::format("<li><strong>{}</strong>: {}{}, tare {}<br>{}</li>\n", escaped(c.code), escaped(c.holds),
                           c.place.empty() || question.place ? "" : ", at " + escaped(c.place),
                           mass_or(c.tare, units, "not on record"), stop_html(c, data, units));
    return out +
           "</ul>\n<div id=\"latest-box\" hidden>\n<h3>By the weights typed here</h3>\n<ul "
           "id=\"latest\"></ul>\n</div>\n";
}

std::string cautions_html(const Data& data, DisplayUnits units) {
    auto cautions = gas_cautions(data.gases, units);
    cautions.push_back(heat_caution(units));
    for (auto& caution : opening_cautions(data.gases.size() == 1 ? data.gases.front() : nullptr))
        cautions.push_back(std::move(caution));
    std::string out = heading("Cautions") + "<ul>\n";
    for (const auto& caution : cautions) out += fmt::format("<li>{}</li>\n", escaped(caution));
    return out + "</ul>\n";
}

// For a pen, where no script runs.
std::string paper_html() {
    constexpr int rows = 12;
    std::string out =
        "<div class=\"by-hand\">\n<h2>What was done</h2>\n<p>Day, technician, scale:</p>\n<div class=\"blank\"></div>\n"
        "<table>\n<caption>In the order in which it happened, each weight with its unit</caption>\n<thead><tr>";
    for (const char* column : {"Time", "What", "Circuit", "Cylinder", "Before", "After", "Note"})
        out += fmt::format("<th scope=\"col\">{}</th>", column);
    out += "</tr></thead>\n<tbody>\n";
    for (int i = 0; i < rows; ++i) out += "<tr><td></td><td></td><td></td><td></td><td></td><td></td><td></td></tr>\n";
    return out +
           "</tbody>\n</table>\n<p>Vacuum and how long it held, leak tests, parts, readings:</p>\n"
           "<div class=\"blank\"></div>\n<div class=\"blank\"></div>\n</div>\n";
}

constexpr std::string_view fields_html = R"(<div class="by-script" hidden>
<h2>Visit</h2>
<div id="head"></div>
<h2>Lines</h2>
<p>One line for each thing done, in its order.</p>
<div id="lines"></div>
<h3 id="add-heading">Add a line</h3>
<div id="add" class="buttons" role="group" aria-labelledby="add-heading"></div>
<h2>Give the sheet to the office</h2>
<p id="lack" role="status"></p>
<div id="give" class="buttons"></div>
<p id="said" role="status"></p>
<div class="field"><label for="sheet">The sheet as text</label>
<textarea id="sheet" readonly spellcheck="false"></textarea></div>
</div>
)";

std::string form_html(const Data& data, const VisitFormQuestion& question, const Book& book,
                      const PageOptions& options) {
    const auto title = fmt::format("{}Visit form: {}{}", book.info().practice() ? "PRACTICE: " : "", question.site,
                                   question.job ? ", job " + *question.job : "");
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src {}; script-src {}; "
        "base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'; trusted-types 'none'\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<meta name=\"format-detection\" content=\"telephone=no\">\n"
        "<title>{}</title>\n<style>{}</style>\n</head>\n<body>\n<main>\n<h1>{}</h1>\n",
        policy_hash(visit_form_style), policy_hash(visit_form_script), escaped(title), visit_form_style,
        escaped(title));
    if (book.info().practice()) out += paragraph(practice_words, " class=\"warning\"");
    out += paragraph(
        "NO SCRIPT RUNS HERE: this page is a form to print and to fill in by hand. It adds up nothing, keeps nothing "
        "and "
        "warns of nothing. Its figures are good for 12 hours.",
        " id=\"state\" class=\"warning\" role=\"status\"");
    out += paragraph(fmt::format("{}{}figures of the book as of {} ({}).", data.site_name,
                                 data.site_name.empty() ? "The " : ": ", moment_text(data.as_of), data.zone));
    out += circuits_html(data) + cylinders_html(data, question, options.units) + paper_html();
    out += fields_html;
    out += cautions_html(data, options.units);
    out += fmt::format(
        "</main>\n<footer>\n<p>{}</p>\n<p>Figures from the book. The page informs: local codes and a licensed person "
        "decide. `tarebook job record` decides what is recorded.</p>\n</footer>\n"
        "<script type=\"application/json\" id=\"book\">{}</script>\n"
        "<script type=\"application/json\" id=\"entries\">null</script>\n<script>{}</script>\n</body>\n</html>\n",
        escaped(book.info().company), in_a_block(with_lines(form_json(data, question, book, options).page())),
        visit_form_script);
    return out;
}

}  // namespace
}  // namespace report

Result<Page> visit_form_page(const Book& book, const VisitFormQuestion& question, const PageOptions& options) {
    const auto data = report::visit_form_data(book, question, options);
    if (!data) return fail(data.error());
    return Page{report::form_html(*data, question, book, options)};
}

}  // namespace tarebook
