// circuit expect: the expected pounds of the piping on record.
#include <memory>

#include "session.hpp"
#include "tarebook/report/expect_page.hpp"
#include "tarebook/report/pt_page.hpp"

namespace tarebook::cli {
namespace {

struct ExpectOptions {
    std::string circuit;
    Text pressure, at, liquid_at, left, altitude, barometer;
};

int expect(const Session& s, const ExpectOptions& o) {
    ExpectQuestion q;
    q.circuit = o.circuit;
    if (o.pressure) q.pressure = must(parse_pressure(*o.pressure));
    if (o.at) q.at = must(parse_temperature(*o.at));
    if (o.liquid_at) q.liquid_at = must(parse_temperature(*o.liquid_at));
    if (o.left) q.left = must(parse_pressure(*o.left));
    q.barometer = must(parse_place(o.altitude, o.barometer));
    const auto book = s.open(Access::read);
    return s.tell(must(expect_page(book, q, s.page_options(&book))));
}

}  // namespace

void setup_circuit_expect(CLI::App& group, Session& s) {
    auto o = std::make_shared<ExpectOptions>();
    auto* c = group.add_subcommand("expect", "pounds that the isolated circuit would hold, from its piping on record")
                  ->fallthrough();
    c->add_option("code", o->circuit, "its code")->required();
    c->add_option("--pressure", o->pressure, "all of it stands at this: 36psig; without it: working, valves just shut");
    c->add_option("--at", o->at, "temperature of the vapour: 60F");
    c->add_option("--liquid-at", o->liquid_at, "temperature of the liquid line of a working circuit: 80F");
    c->add_option("--left", o->left, "what it is emptied to: 10inHg, 500microns");
    c->add_option("--altitude", o->altitude, "where the gauge is: 5000ft, 1500m");
    c->add_option("--barometer", o->barometer, "read there: 84kPa, 840mbar, 24.9inHg");
    c->callback([&s, o] { s.run = [&s, o] { return expect(s, *o); }; });
}

}  // namespace tarebook::cli
