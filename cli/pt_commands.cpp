// pt: pressure and temperature at saturation. Needs a book only for the air check of one of its cylinders; of one that
// is there it takes the units.
#include <memory>

#include "sheets.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "tarebook/report/air_check_page.hpp"

namespace tarebook::cli {
namespace {

struct PtOptions {
    Text refrigerant, point, at, altitude, barometer, pressures, cylinder_pressure, accuracy, thermometer, cylinder,
        could_be;
    bool about = false;
    PageFile file;
};

std::optional<PressureUnit> unit_of(const PtOptions& o) {
    if (!o.pressures) return std::nullopt;
    return *o.pressures == "psig"   ? PressureUnit::psig
           : *o.pressures == "kPa"  ? PressureUnit::kilopascals
           : *o.pressures == "barg" ? PressureUnit::bar_gauge
                                    : PressureUnit::bar;
}

int air(const Session& s, const PtOptions& o) {
    std::optional<Book> book;
    AirCheckPage page;
    if (o.cylinder) {
        book.emplace(s.open(Access::read));
        page.question = must(air_check_question_for(*book, *o.cylinder));
        page.cylinder = o.cylinder;
        page.country = country_of(book->entries().find(EntryKind::cylinder, *o.cylinder), OrderKey{s.now, {}, 0});
    }
    if (o.refrigerant) page.question.could_be = {s.refrigerant(*o.refrigerant)};
    if (o.could_be) page.question.could_be = refrigerants_in(s, *o.could_be);
    if (!o.cylinder && page.question.could_be.empty())
        (void)s.need({}, "REFRIGERANT", "refrigerant, for example R-448A; or --cylinder, of the book");
    set(page, must(air_check_readings({*o.cylinder_pressure,
                                       s.need(o.at, "--at", "temperature of the cylinder, for example 75F"), o.accuracy,
                                       o.thermometer, o.barometer, o.altitude})));
    page.unit = unit_of(o);
    const auto options = o.file.options(s, book ? &*book : nullptr, Has::no_more);
    return o.file.tell(s, must(air_check_page(page, options)));
}

int pt(const Session& s, PtOptions o) {
    if (o.point && o.at) throw slip("flags-together", "one point at a time", *o.point, "--at T, or the point alone");
    if (o.point) o.at = o.point;
    if (o.cylinder_pressure) return air(s, o);
    if (o.cylinder || o.could_be || o.accuracy || o.thermometer)
        throw slip("flag-missing", "--cylinder, --could-be, --accuracy and --thermometer belong to an air check", {},
                   "--cylinder-pressure P --at T");
    PtQuestion q;
    q.refrigerant = s.refrigerant(s.need(o.refrigerant, "REFRIGERANT", "refrigerant, for example R-448A"));
    const auto options = o.file.options(s, nullptr, o.about ? Has::no_more : Has::browser);
    if (o.about) return o.file.tell(s, pt_about_page(*q.refrigerant, options));
    q.barometer = must(parse_place(o.altitude, o.barometer));
    q.unit = unit_of(o);
    if (o.at) q.at = must(parse_pt_at(*o.at));
    return o.file.tell(s, must(pt_page(q, options)));
}

}  // namespace

void setup_pt_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<PtOptions>();
    auto* c = root.add_subcommand("pt", "pressure and temperature at saturation: a point, or a table")->fallthrough();
    c->add_option("refrigerant", o->refrigerant, "refrigerant");
    c->add_option("point", o->point, "the same as --at: 70F, 118psig");
    c->add_option("--at", o->at, "a point: 70F, 21C, 118psig, 10inHg, 8bar; without it the table");
    c->add_option("--altitude", o->altitude, "where the gauge is: 5000ft, 1500m");
    c->add_option("--barometer", o->barometer, "read there: 84kPa, 840mbar, 24.9inHg");
    c->add_option("--pressures", o->pressures, "psig|kPa|bar|barg; kPa and bar absolute (psig; barg with --units kg)")
        ->check(CLI::IsMember({"psig", "kPa", "bar", "barg"}));
    c->add_option("--cylinder-pressure", o->cylinder_pressure, "air check: what the gauge shows, 142psig");
    c->add_option("--accuracy", o->accuracy, "how far the gauge may be off (5psi)");
    c->add_option("--thermometer", o->thermometer, "how far the thermometer may be off (2F)");
    c->add_option("--cylinder", o->cylinder, "air check of a cylinder of the book");
    c->add_option("--could-be", o->could_be, "air check where it may be one of several: R-22,R-404A");
    o->file.add_option(*c);
    c->add_flag("--about", o->about, "what the figures rest on and how good they are");
    c->callback([&s, o] { s.run = [&s, o] { return pt(s, *o); }; });
}

}  // namespace tarebook::cli
