// Labels of cylinders: words for a terminal, a sheet for a browser and printer, one drawing, or rows for another
// program.
#include <fmt/format.h>

#include "columns.hpp"
#include "document.hpp"
#include "label_drawing.hpp"

namespace tarebook {
namespace report {
namespace {

// A drawing by itself brings the rules of the sheet with it.
std::string standalone(const Picture& p) {
    return fmt::format(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"label\" "
        "role=\"img\" width=\"{:.1f}mm\" height=\"{:.1f}mm\" viewBox=\"0 0 {} {}\" "
        "aria-label=\"{}\">\n<style>{}</style>\n<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n{}</svg>\n",
        p.width / 10.0, p.height / 10.0, p.width, p.height, escaped(p.title + ": " + p.told), label_style(), p.svg);
}

const Columns<Label>& label_columns() {
    using C = Column<Label>;
    static const Columns<Label> columns{
        {"cylinder", "", &Label::cylinder},
        {"place", "", &Label::place},
        {"refrigerant", "", &Label::gas},
        {"condition", "", &Label::condition},
        {"owner", "", &Label::owner},
        {"do_not_fill", "",
         [](const Label& l) { return l.bar.empty() ? std::vector<std::string>() : std::vector{l.bar}; }},
        {"stop_gross", "", &Label::stop},
        {"slow_gross", "", &Label::slow},
        {"tare", "", &Label::tare},
        {"water_capacity", "", &Label::water_capacity},
        {"test_due", "", &Label::test_due},
        {"safety_group", "", &Label::safety},
        {"un_number", "", &Label::un},
        {"shipping_name", "", &Label::shipping_name},
        {"division", "", &Label::division},
        C("shipping_from_memory", "", &Label::shipping_from_memory).no_csv(),
        C("qr", "", &Label::cylinder).no_csv(),
        C("cautions", "", &Label::cautions).csv_as([](const Label& l) { return joined(l.cautions, "; "); }),
        {"as_of", "", &Label::as_of}};
    return columns;
}

}  // namespace
}  // namespace report

Result<Page> label_page(const Book& book, const std::vector<std::string>& cylinders, const LabelSize& size,
                        const PageOptions& options) {
    std::vector<report::Label> labels;
    for (const auto& code : cylinders) {
        const auto question = room_question_for(book, code);
        if (!question) return fail(question.error());
        labels.push_back(report::label_of(book, *question, options));
    }
    switch (options.format) {
        case Format::json:
            return Page{report::versioned("labels").add("labels", report::label_columns().json(labels)).page()};
        case Format::csv:
            return Page{report::label_columns().csv(labels)};
        case Format::html: {
            auto sheet = report::Document::named("Labels");
            for (const auto& label : labels) sheet.picture(report::label_picture(label, size, options.units));
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
        out += (out.empty() ? "" : "\n") + page.text(options.width);
    }
    return Page{std::move(out)};
}

Result<Page> label_drawing(const Book& book, std::string_view cylinder, const LabelSize& size,
                           const PageOptions& options) {
    const auto question = room_question_for(book, cylinder);
    if (!question) return fail(question.error());
    return Page{
        report::standalone(report::label_picture(report::label_of(book, *question, options), size, options.units))};
}

}  // namespace tarebook
