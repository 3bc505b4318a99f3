// Labels of cylinders: words for a terminal, a sheet for a browser and printer, one drawing, or rows for another
// program.
#include <fmt/format.h>

#include "document.hpp"
#include "label.hpp"

namespace tarebook {
namespace report {
namespace {

// A drawing by itself brings the rules of the sheet with it.
std::string standalone(const Picture& p) {
    return fmt::format(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"label\" "
        "role=\"img\" width=\"95mm\" height=\"66.5mm\" viewBox=\"0 0 {} {}\" "
        "aria-label=\"{}\">\n<style>{}</style>\n<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n{}</svg>\n",
        p.width, p.height, escaped(p.title + ": " + p.told), label_style(), p.svg);
}

Json label_json(const Label& l) {
    Json j = Json::object();
    j.add("cylinder", Json::text(l.cylinder))
        .add("gas", Json::text(l.gas))
        .add("condition", Json::text(l.condition))
        .add("owner", Json::text(l.owner))
        .add("do_not_fill", l.bar.empty() ? Json::null() : Json::text(l.bar))
        .add_mass("stop_gross", l.stop)
        .add_mass("slow_gross", l.slow)
        .add_mass("tare", l.tare)
        .add_mass("water_capacity", l.water_capacity)
        .add("test", Json::text(l.test))
        .add("safety_group", Json::text(l.safety))
        .add("un_number", Json::text(l.un))
        .add("shipping_name", Json::text(l.shipping_name))
        .add("division", Json::text(l.division))
        .add("shipping_from_memory", Json::boolean(l.shipping_from_memory))
        .add("qr", Json::text(l.cylinder));
    Json cautions = Json::array();
    for (const auto& caution : l.cautions) cautions.push(Json::text(caution));
    return std::move(j.add("cautions", std::move(cautions)).add("as_of", Json::text(l.as_of)));
}

std::string labels_csv(const std::vector<Label>& labels) {
    Csv csv({"cylinder", "gas", "condition", "owner", "do_not_fill", "stop_gross_lb", "slow_gross_lb", "tare_lb",
             "water_capacity_lb", "test", "safety_group", "un_number", "shipping_name", "division", "cautions",
             "as_of"});
    for (const auto& l : labels)
        csv.row({l.cylinder, l.gas, l.condition, l.owner, l.bar, pounds_cell(l.stop), pounds_cell(l.slow),
                 pounds_cell(l.tare), pounds_cell(l.water_capacity), l.test, l.safety, l.un, l.shipping_name,
                 l.division, joined(l.cautions, "; "), l.as_of});
    return csv.page();
}

}  // namespace
}  // namespace report

Result<Page> label_page(const Book& book, const std::vector<std::string>& cylinders, const PageOptions& options) {
    std::vector<report::Label> labels;
    for (const auto& code : cylinders) {
        const auto question = room_question_for(book, code);
        if (!question) return fail(question.error());
        labels.push_back(report::label_of(book, *question, options));
    }
    switch (options.format) {
        case Format::json: {
            auto page = report::versioned();
            auto list = report::Json::array();
            for (const auto& label : labels) list.push(report::label_json(label));
            return Page{page.add("labels", std::move(list)).page()};
        }
        case Format::csv:
            return Page{report::labels_csv(labels)};
        case Format::html: {
            auto sheet = report::Document::named("Labels");
            for (const auto& label : labels) sheet.picture(report::label_picture(label, options.units));
            return Page{page_body(sheet, book, options)};
        }
        case Format::xlsx:  // the command line refuses it for this page
        case Format::text:
            break;
    }
    std::string out;
    for (const auto& label : labels) {
        report::Document page(label.cylinder, "");
        for (const auto& [name, value] : report::label_facts(label, options.units)) page.fact(name, value);
        out += (out.empty() ? "" : "\n") + page.text();
    }
    return Page{std::move(out)};
}

Result<Page> label_drawing(const Book& book, std::string_view cylinder, const PageOptions& options) {
    const auto question = room_question_for(book, cylinder);
    if (!question) return fail(question.error());
    return Page{report::standalone(report::label_picture(report::label_of(book, *question, options), options.units))};
}

}  // namespace tarebook
