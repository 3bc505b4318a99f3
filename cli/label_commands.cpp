// label: the label of a cylinder.
#include <memory>

#include "session.hpp"
#include "tarebook/report/report.hpp"

namespace tarebook::cli {
namespace {

struct LabelOptions {
    std::vector<std::string> cylinders;
    std::string size = "A4";
    bool svg = false, is_short = false;
};

int label(const Session& s, const LabelOptions& o) {
    const auto book = s.open(Access::read, o.svg ? Shown::as_it_is : Shown::headed);
    const auto options = s.report_options(book);
    auto size = must(label_size(o.size));
    size.is_short = o.is_short;
    if (!o.svg) return s.tell(must(label_page(book, o.cylinders, size, options)));
    if (o.cylinders.size() != 1)
        throw slip("one-label", "a drawing is of one cylinder", std::to_string(o.cylinders.size()) + " cylinders",
                   "label RC-03 --svg > RC-03.svg; --format html makes a sheet of many");
    if (s.format)
        throw slip("flags-together", "a drawing, or another form, not both", *s.format, "--svg, or --format html");
    return s.tell(must(label_drawing(book, o.cylinders.front(), size, options)));
}

}  // namespace

void setup_label_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<LabelOptions>();
    auto* c = root.add_subcommand("label", "what to stick on a cylinder, with its ID as a QR code")->fallthrough();
    c->add_option("id", o->cylinders, "cylinders")->required();
    c->add_flag("--svg", o->svg, "one label as a drawing; --format html makes a sheet to print, of many");
    c->add_option("--size", o->size, "A4 (a sheet to cut), or one a page on a roll: 4x3|4x2 (inches)|62mm");
    c->add_flag("--short", o->is_short, "ID, gas, STOP AT and the code to scan alone");
    c->callback([&s, o] { s.run = [&s, o] { return label(s, *o); }; });
}

}  // namespace tarebook::cli
