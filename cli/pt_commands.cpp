// Pressure and temperature at saturation: pt. Opens no book.
#include <memory>

#include "session.hpp"
#include "tarebook/pt_page.hpp"

namespace tarebook::cli {
namespace {

struct PtOptions {
    Text refrigerant, at, altitude, barometer, pressures;
    bool about = false;
};

Barometer barometer(const PtOptions& o) {
    if (o.altitude && o.barometer)
        throw slip("altitude-and-barometer", "an altitude, or a barometer, not both", *o.barometer,
                   "--altitude, or --barometer", "the barometer is the better one: it was read");
    if (o.altitude) return Barometer::at(must(parse_altitude(*o.altitude)));
    if (o.barometer) return Barometer::read(must(parse_barometer(*o.barometer)));
    return {};
}

int pt(const Session& s, const PtOptions& o) {
    PtQuestion q;
    q.refrigerant = must(parse_refrigerant(s.need(o.refrigerant, "REFRIGERANT", "refrigerant, for example R-448A")));
    const auto options = s.page_options(nullptr);
    if (o.about) return s.tell(pt_about_page(*q.refrigerant, options));
    q.barometer = barometer(o);
    if (o.pressures)
        q.unit = *o.pressures == "psig"  ? PressureUnit::psig
                 : *o.pressures == "kPa" ? PressureUnit::kilopascals
                                         : PressureUnit::bar;
    if (o.at) q.at = must(parse_pt_at(*o.at));
    return s.tell(must(pt_page(q, options)));
}

}  // namespace

void setup_pt_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<PtOptions>();
    auto* c = root.add_subcommand("pt", "pressure and temperature at saturation: a point, or a table")->fallthrough();
    c->add_option("refrigerant", o->refrigerant, "refrigerant");
    c->add_option("--at", o->at, "a point: 70F, 21C, 118psig, 10inHg, 8bar; without it the table");
    c->add_option("--altitude", o->altitude, "where the gauge is: 5000ft, 1500m");
    c->add_option("--barometer", o->barometer, "read there: 84kPa, 840mbar, 24.9inHg");
    c->add_option("--pressures", o->pressures, "psig|kPa|bar (psig; kPa with --units kg)")
        ->check(CLI::IsMember({"psig", "kPa", "bar"}));
    c->add_flag("--about", o->about, "what the figures rest on and how good they are");
    c->callback([&s, o] { s.run = [&s, o] { return pt(s, *o); }; });
}

}  // namespace tarebook::cli
