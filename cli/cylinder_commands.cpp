// Facts about a cylinder or an appliance: weigh, evacuate, requalify, move, condemn, lost, found, convert, reclassify.
#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "session.hpp"
#include "tarebook/report/air_check_page.hpp"

namespace tarebook::cli {
namespace {

struct CylinderOptions {
    Text id, gross, vacuum, rise, circuit, tested, mark, to, held_for, why, place, refrigerant, full_charge,
        charge_basis, evidence, lot_refrigerant, lot_owner, to_refrigerant, to_owner, to_condition, pressure,
        temperature, accuracy, thermometer, barometer, altitude;
    std::vector<std::string> ids;
    std::optional<std::int64_t> held_min;
    bool leaking = false;
};

Text designation(const Session& s, const Text& typed) {
    if (!typed) return typed;
    return std::string(s.refrigerant(*typed)->designation);
}

// Of gas that is on record: it may be on record as mixed, or as not known.
Text designation_in_the_book(const Session& s, const Text& typed) {
    return typed == gas_mixed || typed == gas_unknown ? typed : designation(s, typed);
}

int weigh(const Session& s, const CylinderOptions& o) {
    auto book = s.open(Access::write);
    kinds::Weigh k;
    k.cylinder = s.need_cylinder(book, o.id, "ID", "cylinder", {});
    k.gross = s.need_weight(book, o.gross, "--gross", "what the scale shows");
    k.leaking = o.leaking;
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

// The word names a cylinder of the book, or a circuit; at a terminal without a word a circuit is asked for.
bool is_of_a_circuit(const Session& s, const Book& book, const CylinderOptions& o) {
    if (o.circuit || (!o.id && s.has_terminal)) return true;
    return o.id &&
           (o.id->find('/') != std::string::npos || (s.visit && !book.entries().find(EntryKind::cylinder, *o.id)));
}

// "500micron, which the register asks of OAK/RACK-A"
Text level_asked(const Book& book, const Text& circuit) {
    const auto appliance = appliance_of(circuit.value_or(""));
    const auto* entry = book.entries().find(EntryKind::appliance, appliance);
    const auto level = entry ? entry->text("evacuate_to", {Instant::max(), {}, 0}) : std::nullopt;
    return level ? Text(fmt::format("{}, which the register asks of {}", *level, appliance)) : std::nullopt;
}

int evacuate(const Session& s, const CylinderOptions& o) {
    auto book = s.open(Access::write);
    kinds::Evacuate k;
    if (is_of_a_circuit(s, book, o))
        k.circuit = s.need_circuit(book, o.circuit ? o.circuit : o.id);
    else
        k.cylinder = s.need_cylinder(book, o.id, "ID", "cylinder, or a circuit: SITE/APPLIANCE/CIRCUIT", {});
    if (o.vacuum) k.vacuum = vacuum_text(*o.vacuum);
    if (o.rise) k.rise = vacuum_text(*o.rise);
    k.held_min = o.held_min;
    // A typed line is asked for its vacuum alone; where more had to be asked for, for all that an evacuation has.
    if (s.has_terminal && !k.vacuum)
        k.vacuum = asked_pressure(s, "--vacuum",
                                  fmt::format("vacuum that was reached, for example {} (- leaves it open)",
                                              level_asked(book, k.circuit).value_or("500micron")));
    const bool was_asked = s.has_terminal && s.asked.holds_answers() && k.vacuum;
    if (was_asked && !k.held_min)
        k.held_min = asked_minutes(s, "--held", "minutes it was held, for example 30 (- leaves it open)");
    if (was_asked && k.held_min && !k.rise)
        k.rise = asked_pressure(s, "--rise", "pressure after holding, for example 520micron (- leaves it open)");
    const auto site = k.circuit ? site_of(*k.circuit) : "";
    const auto whole = k.circuit ? s.with_person_and_job(book, *k.circuit) : s;
    return whole.record_and_tell(book, {whole.draft(book, std::move(k), site)});
}

int requalify(const Session& s, const CylinderOptions& o) {
    auto book = s.open(Access::write);
    kinds::Requalify k;
    k.cylinder = s.need_cylinder(book, o.id, "ID", "cylinder", {});
    k.tested = s.need(o.tested, "--tested", "month of the new mark, for example 2026-11");
    must(parse_month(k.tested));
    k.mark = o.mark;
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

int move(const Session& s, const CylinderOptions& o) {
    auto book = s.open(Access::write);
    std::vector<std::string> codes;
    for (const auto& id : o.ids) {
        auto code = s.need_cylinder(book, id, "ID", "cylinder", {});
        if (std::find(codes.begin(), codes.end(), code) == codes.end()) codes.push_back(std::move(code));
    }
    if (codes.empty()) codes.push_back(s.need_cylinder(book, {}, "ID", "cylinder", {}));
    const auto to = s.need(o.to, "--to", "place, for example truck-2");
    std::vector<Event> drafts;
    for (auto& cylinder : codes) drafts.push_back(s.draft(book, kinds::Move{std::move(cylinder), to, o.held_for}));
    return s.record_and_tell(book, std::move(drafts));
}

int condemn(const Session& s, const CylinderOptions& o) {
    auto book = s.open(Access::write);
    kinds::Condemn k{s.need_cylinder(book, o.id, "ID", "cylinder", {}), s.reason(o.why, "--why", "why")};
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

int lost(const Session& s, const CylinderOptions& o) {
    auto book = s.open(Access::write);
    kinds::Lost k{s.need_cylinder(book, o.id, "ID", "cylinder", {}), s.reason(o.why, "--why", "how it was lost")};
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

int found(const Session& s, const CylinderOptions& o) {
    auto book = s.open(Access::write);
    kinds::Found k{s.need_cylinder_or(book, o.id, "ID", "cylinder"), s.shown_weight(book, o.gross), o.place};
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

int convert(const Session& s, const CylinderOptions& o) {
    auto book = s.open(Access::write);
    kinds::Convert k;
    k.appliance = s.need_appliance(book, o.id);
    k.refrigerant = *designation(s, s.need(o.to, "--to", "refrigerant that it holds from now on"));
    if (o.full_charge) set_full_charge(s, k.values, *o.full_charge, ScaleReads::unknown);
    if (o.charge_basis)
        for (const auto& rule : field_rules(EntryKind::appliance))
            if (rule.name == "charge_basis")
                k.values["charge_basis"] = field_value(s, rule, *o.charge_basis, ScaleReads::unknown);
    const auto site = site_of(k.appliance);
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

int reclassify(const Session& s, const CylinderOptions& o) {
    auto book = s.open(Access::write);
    kinds::Reclassify k;
    k.cylinder = s.need_cylinder(book, o.id, "ID", "cylinder", {});
    k.evidence = s.need(o.evidence, "--evidence", "what it rests on, for example a laboratory number");
    k.lot_refrigerant = designation_in_the_book(s, o.lot_refrigerant);
    k.lot_owner = o.lot_owner;
    k.to_refrigerant = designation_in_the_book(s, o.to_refrigerant);
    k.to_owner = o.to_owner;
    if (o.to_condition && !condition_from(*o.to_condition))
        throw Stop{{ErrorKind::usage,
                    "word-unknown",
                    "that is not a condition",
                    *o.to_condition,
                    "virgin|reclaimed|recycled|recovered",
                    {}}};
    k.to_condition = o.to_condition;
    if (!k.to_refrigerant && !k.to_owner && !k.to_condition)
        throw Stop{{ErrorKind::usage,
                    "nothing-to-correct",
                    "nothing was said that it should be now",
                    {},
                    "--to-refrigerant, --to-owner or --to-condition",
                    {}}};
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

int air_check(const Session& s, const CylinderOptions& o) {
    auto book = s.open(Access::write);
    kinds::AirCheck k;
    k.cylinder = s.need_cylinder(book, o.id, "ID", "cylinder", {});
    k.pressure = s.need(o.pressure, "--pressure", "what the gauge shows, for example 142psig");
    k.temperature = s.need(o.temperature, "--temperature", "temperature of the cylinder, for example 75F");
    k.gauge_accuracy = o.accuracy;
    k.thermometer_accuracy = o.thermometer;
    k.barometer = o.barometer;
    k.altitude = o.altitude;
    must(air_check_readings(
        {k.pressure, k.temperature, k.gauge_accuracy, k.thermometer_accuracy, k.barometer, k.altitude}));
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

}  // namespace

void setup_cylinder_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<CylinderOptions>();
    auto command = [&](const char* name, const char* help, const char* word,
                       int (*run)(const Session&, const CylinderOptions&)) {
        return recording_command(root, s, o, name, help, &CylinderOptions::id, "id", word, run);
    };
    auto* c = command("weigh", "what the scale shows of a cylinder now", "cylinder", weigh);
    c->add_option("--gross", o->gross, "what the scale shows");
    c->add_flag("--leaking", o->leaking, "it leaks: barred from filling and transport");
    c = command("evacuate", "a cylinder or a circuit was evacuated", "cylinder, or SITE/APPLIANCE/CIRCUIT", evacuate);
    c->add_option("--circuit", o->circuit, "SITE/APPLIANCE/CIRCUIT");
    c->add_option("--vacuum", o->vacuum, "what was reached: 500micron");
    c->add_option("--held", o->held_min, "minutes it was held")->check(CLI::Range(0, 100000));
    c->add_option("--rise", o->rise,
                  "pressure after holding: 520micron; what is less than --vacuum is by how much it rose");
    c = command("air-check", "what gauge and thermometer show on a cylinder at rest: is there air in it", "cylinder",
                air_check);
    c->add_option("--pressure", o->pressure, "what the gauge shows: 142psig");
    c->add_option("--temperature", o->temperature, "of the cylinder, below the liquid level: 75F");
    c->add_option("--accuracy", o->accuracy, "how far the gauge may be off (5psi)");
    c->add_option("--thermometer", o->thermometer, "how far the thermometer may be off (2F)");
    c->add_option("--altitude", o->altitude, "where the gauge is: 5000ft, 1500m");
    c->add_option("--barometer", o->barometer, "read there: 84kPa, 840mbar, 24.9inHg");
    c = command("requalify", "a cylinder came back from its test", "cylinder", requalify);
    c->add_option("--tested", o->tested, "month of the new mark: 2026-11");
    c->add_option("--mark", o->mark, "the mark, as stamped");
    c = root.add_subcommand("move", "cylinders to another place")->fallthrough();
    c->add_option("ids", o->ids, "cylinders, one or several");
    add_recording_options(*c, s);
    c->callback([&s, o] { s.run = [&s, o] { return move(s, *o); }; });
    c->add_option("--to", o->to, "place");
    c->add_option("--held-for", o->held_for, "job or customer it is kept for");
    c = command("condemn", "a cylinder out of service for good", "cylinder", condemn);
    c->add_option("--why", o->why, "why");
    c = command("lost", "a cylinder that cannot be found", "cylinder", lost);
    c->add_option("--why", o->why, "how");
    c = command("found", "a lost cylinder that is back", "cylinder", found);
    c->add_option("--gross", o->gross, "what the scale shows");
    c->add_option("--place", o->place, "where it is now");
    c = command("convert", "an appliance to another refrigerant", "SITE/APPLIANCE", convert);
    c->add_option("--to", o->to, "refrigerant");
    c->add_option("--full-charge", o->full_charge, "new full charge, or a range");
    c->add_option("--charge-basis", o->charge_basis, "maker|calculated|measured|range");
    c = command("reclassify", "what a cylinder holds is something else, on evidence", "cylinder", reclassify);
    c->add_option("--evidence", o->evidence, "what it rests on");
    c->add_option("--lot-refrigerant", o->lot_refrigerant, "only lots of this refrigerant, or of mixed or unknown gas");
    c->add_option("--lot-owner", o->lot_owner, "only lots of this owner");
    c->add_option("--to-refrigerant", o->to_refrigerant, "what it is: R-404A; also mixed, or unknown");
    c->add_option("--to-owner", o->to_owner, "whose it is");
    c->add_option("--to-condition", o->to_condition, "virgin|reclaimed|recycled|recovered");
}

}  // namespace tarebook::cli
