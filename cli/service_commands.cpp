// Service work on equipment that moves no gas: pressure-test, oil, filter-drier, identify, compressor.
#include <memory>

#include "session.hpp"
#include "tarebook/rules/identified.hpp"
#include "tarebook/units/oil_quantity.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::cli {
namespace {

struct ServiceOptions {
    Text subject, pressure, end, gas, temperature, end_temperature, result, kind, grade, out, in, acid_test, machine,
        fitted, fitted_serial, removed, removed_serial, refrigerant, oil, why, air, instrument, of;
    std::vector<std::string> parts;
    std::optional<std::int64_t> held_min;
};

std::string circuit_of(const Session& s, const Book& book, const ServiceOptions& o) {
    return s.need_circuit(book, o.subject, "CIRCUIT");
}
// An answer that cannot be read is asked for again.
template <class Read>
std::string needed(const Session& s, const Text& value, const char* flag, const char* text, Read read) {
    Question q{flag, text};
    q.check = [read](const std::string& typed) -> Result<void> {
        const auto got = read(typed);
        return got ? Result<void>() : fail(got.error());
    };
    return s.need(value, q);
}
Result<std::string> verdict(const std::string& typed) {
    if (typed == "pass" || typed == "fail") return typed;
    return fail(slip("word-unknown", "that is not a verdict", typed, "pass|fail").error);
}
Text oil_word(const Text& typed, const char* flag) {
    std::vector<std::string> words;
    for (const auto word : split(oil_words, '|')) words.emplace_back(word);
    return word_of(typed, flag, words);
}
Text pass_or_fail(const Text& typed, const char* flag) {
    return word_of(typed, flag, {"pass", "fail"});
}
Text quantity(const Text& typed) {
    if (typed) (void)must(parse_oil_quantity(*typed));
    return typed;
}
Text pressure_read(const Text& typed) {
    return typed ? Text(vacuum_text(*typed)) : Text();
}
Text temperature_read(const Text& typed) {
    if (typed) (void)must(parse_temperature(*typed));
    return typed;
}

int pressure_test(const Session& s, const ServiceOptions& o) {
    auto book = s.open(Access::write);
    kinds::PressureTest k;
    k.circuit = circuit_of(s, book, o);
    k.pressure =
        vacuum_text(needed(s, o.pressure, "--pressure", "pressure at its start, for example 300psig", parse_pressure));
    const bool was_asked = s.has_terminal && s.asked.holds_answers();
    k.held_min = o.held_min;
    if (was_asked && !k.held_min)
        k.held_min = asked_minutes(s, "--held", "minutes it was held, for example 60 (- leaves it open)");
    k.end = pressure_read(o.end);
    if (was_asked && !k.end)
        k.end = asked_pressure(s, "--end", "pressure at its end, for example 298psig (- leaves it open)");
    k.gas = o.gas;
    k.temperature = temperature_read(o.temperature);
    k.end_temperature = temperature_read(o.end_temperature);
    k.result = must(verdict(needed(s, o.result, "--result", "result: pass or fail", verdict)));
    const auto site = site_of(k.circuit);
    const auto whole = s.with_person_and_job(book, k.circuit);
    return whole.record_and_tell(book, {whole.draft(book, std::move(k), site)});
}

int oil(const Session& s, const ServiceOptions& o) {
    auto book = s.open(Access::write);
    kinds::Oil k;
    k.circuit = circuit_of(s, book, o);
    k.oil = oil_word(o.kind, "--kind");
    k.grade = o.grade;
    k.taken_out = quantity(o.out);
    k.put_in = quantity(o.in);
    k.acid_test = pass_or_fail(o.acid_test, "--acid-test");
    const auto site = site_of(k.circuit);
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

int filter_drier(const Session& s, const ServiceOptions& o) {
    auto book = s.open(Access::write);
    kinds::FilterDrier k;
    k.machine = o.machine;
    if (!k.machine)
        k.circuit = circuit_of(s, book, o);
    else if (o.subject)
        throw slip("flags-together", "one filter-drier is changed at a time", *o.subject, "a circuit, or --machine M1");
    k.fitted = o.fitted;
    k.removed = o.removed;
    k.why = o.why;
    if (o.refrigerant) k.refrigerant = std::string(s.refrigerant(*o.refrigerant)->designation);
    k.oil = oil_word(o.oil, "--oil");
    const auto site = site_of(k.circuit.value_or(""));
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

int identify(const Session& s, const ServiceOptions& o) {
    auto book = s.open(Access::write);
    kinds::Identify k;
    const bool is_circuit = o.subject && (o.subject->find('/') != std::string::npos ||
                                          (s.visit && !book.entries().find(EntryKind::cylinder, *o.subject)));
    if (is_circuit)
        k.circuit = circuit_of(s, book, o);
    else
        k.cylinder = s.need_cylinder(book, o.subject, "ID", "cylinder, or a circuit: SITE/APPLIANCE/CIRCUIT", {});
    if (o.refrigerant)
        k.refrigerant = *o.refrigerant == "mixed" || *o.refrigerant == "unknown"
                            ? *o.refrigerant
                            : std::string(s.refrigerant(*o.refrigerant)->designation);
    if (!o.parts.empty()) k.composition = must(parse_identified(s.data.catalogue, joined(o.parts)));
    k.air = o.air;
    k.result = pass_or_fail(o.result, "--result");
    k.instrument = o.instrument;
    const auto site = site_of(k.circuit.value_or(""));
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

int compressor(const Session& s, const ServiceOptions& o) {
    auto book = s.open(Access::write);
    kinds::Compressor k;
    k.circuit = circuit_of(s, book, o);
    k.of = o.of;
    k.fitted = o.fitted;
    k.fitted_serial = o.fitted_serial;
    k.removed = o.removed;
    k.removed_serial = o.removed_serial;
    k.acid_test = pass_or_fail(o.acid_test, "--acid-test");
    k.why = s.reason(o.why, "--why", "why it was replaced");
    const auto site = site_of(k.circuit);
    return s.record_and_tell(book, {s.draft(book, std::move(k), site)});
}

}  // namespace

void setup_service_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<ServiceOptions>();
    auto command = [&](const char* name, const char* help, const char* word,
                       int (*run)(const Session&, const ServiceOptions&)) {
        return recording_command(root, s, o, name, help, &ServiceOptions::subject, "subject", word, run);
    };
    constexpr const char* place = "circuit or appliance";
    const std::string oils(oil_words);
    auto* c = command("pressure-test", "a circuit was tested with nitrogen", place, pressure_test);
    c->add_option("--pressure", o->pressure, "at its start: 300psig, 20barg");
    c->add_option("--held", o->held_min, "minutes it was held")->check(CLI::Range(0, 100000));
    c->add_option("--end", o->end, "what the gauge showed at its end: 298psig");
    c->add_option("--temperature", o->temperature, "of the circuit at its start: 75F");
    c->add_option("--end-temperature", o->end_temperature, "of the circuit at its end: 68F");
    c->add_option("--gas", o->gas, "what it was filled with (nitrogen), for example \"nitrogen and helium\"");
    c->add_option("--result", o->result, "pass|fail");
    c = command("oil", "oil was taken out of a circuit, or put in", place, oil);
    c->add_option("--out", o->out, "what came out: 12oz (fluid), 350ml, 2lb");
    c->add_option("--in", o->in, "what went in: 16oz (fluid), 475ml, 2lb");
    c->add_option("--kind", o->kind, oils);
    c->add_option("--grade", o->grade, "as its can says, for example \"ISO 32\"");
    c->add_option("--acid-test", o->acid_test, "of what came out: pass|fail");
    c = command("filter-drier", "a filter-drier was changed: the system's, or a recovery machine's", place,
                filter_drier);
    c->add_option("--machine", o->machine, "recovery machine, as registered, in place of a circuit");
    c->add_option("--fitted", o->fitted, "the new one, as it reads");
    c->add_option("--removed", o->removed, "what came out");
    c->add_option("--refrigerant", o->refrigerant, "of a machine: the gas that it pumps from now on");
    c->add_option("--oil", o->oil, "of a machine: the oil that comes with that gas: " + oils);
    c->add_option("--why", o->why, "why");
    c = command("identify", "what a refrigerant identifier showed", "cylinder, or SITE/APPLIANCE/CIRCUIT", identify);
    c->add_option("--refrigerant", o->refrigerant, "the gas that it named, mixed or unknown");
    c->add_option("--part", o->parts, "a part and its percent, once each: \"R-22 98.5\" (also HC, other)");
    c->add_option("--air", o->air, "percent of air");
    c->add_option("--result", o->result, "its own verdict: pass|fail");
    c->add_option("--instrument", o->instrument, "which one, as it reads");
    c = command("compressor", "a compressor was replaced", place, compressor);
    c->add_option("--of", o->of, "which one, where there are several: C2");
    c->add_option("--fitted", o->fitted, "model of the new one, as its plate reads");
    c->add_option("--fitted-serial", o->fitted_serial, "its serial number");
    c->add_option("--removed", o->removed, "model of the old one");
    c->add_option("--removed-serial", o->removed_serial, "its serial number");
    c->add_option("--why", o->why, "why it was replaced: burn-out, seized");
    c->add_option("--acid-test", o->acid_test, "of the old oil: pass|fail");
}

}  // namespace tarebook::cli
