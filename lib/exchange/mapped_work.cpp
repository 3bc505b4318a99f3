// A list of work on equipment that moves no gas: pressure tests, oil, filter-driers, what identifiers showed,
// compressors. Its columns are the keys of a job sheet.
#include <fmt/format.h>

#include "mapped_drafts.hpp"
#include "movements_cells.hpp"
#include "tarebook/rules/identified.hpp"
#include "tarebook/units/oil_quantity.hpp"
#include "tarebook/units/quantity.hpp"

namespace tarebook {
namespace {

constexpr std::int64_t longest_hold_min = 100'000;

class MappedWorkRows {
 public:
    MappedWorkRows(const Book& book, MappedTable& table, Instant now) : book_(book), table_(table), now_(now) {}

    MappedDrafts read() {
        each_row(table_, out_, [&] { row(); });
        return std::move(out_);
    }

 private:
    void row() {
        const auto kind = table_.value("kind");
        if (!kind && table_.good()) table_.problem("kind", missing("the kind is missing", std::string(work_kinds)));
        const auto site = table_.code("site", false);
        const auto when = table_.moment("date", "time", zone_of(site), now_);
        if (!when && table_.good()) table_.problem("date", missing("the date is missing", "the day of the work"));
        if (when && !table_.has_time("date", "time"))
            table_.problem("date", missing("nothing says the time of day",
                                           "a column time, or in a mapping time: "
                                           "{value: \"12:00\"}"));
        const auto cylinder = table_.code("cylinder", false);
        const auto circuit = place(site);
        if (!table_.good() || !kind || !when) return out_.keep_unread(cylinder, table_.line());
        Event e;
        auto what = act(kind->text, circuit, cylinder);
        e.when = *when;
        e.recorded = now_;
        e.by = table_.sound_text("technician");
        e.job = table_.sound_text("job");
        e.note = table_.sound_text("note");
        if (!what || !table_.good()) return out_.keep_unread(cylinder, table_.line());
        e.what = std::move(*what);
        e.own_id = own_id(*when, kind->text, circuit.value_or(cylinder.value_or("")));
        out_.keep(std::move(e), table_.line());
    }

    [[nodiscard]] std::string zone_of(const std::optional<std::string>& site) const {
        if (site)
            if (const auto* entry = book_.entries().find(EntryKind::site, *site))
                if (auto zone = entry->text("zone", {now_, {}, 0})) return *zone;
        return book_.info().zone;
    }

    std::optional<std::string> place(const std::optional<std::string>& site) {
        const auto appliance = table_.code("appliance", false);
        const auto circuit = table_.code("circuit", false);
        if (!site || !appliance) return std::nullopt;
        return fmt::format("{}/{}{}{}", *site, *appliance, circuit ? "/" : "", circuit.value_or(""));
    }
    std::string needed_place(const std::optional<std::string>& circuit) {
        if (!circuit)
            table_.problem("appliance", missing("the appliance is missing",
                                                "the circuit, or the appliance, that it was "
                                                "done on, with its site"));
        return circuit.value_or("");
    }

    // A text that `parse` takes, as it was typed.
    template <class Parse>
    std::optional<std::string> read(const char* field, Parse parse) {
        auto typed = table_.sound_text(field);
        if (!typed) return typed;
        if (auto got = parse(*typed); !got) {
            table_.problem(field, std::move(got.error()));
            return std::nullopt;
        }
        return typed;
    }
    std::optional<std::string> pressure(const char* field) {
        return read(field, [](const std::string& text) { return parse_pressure(text); });
    }
    std::optional<std::string> temperature(const char* field) {
        return read(field, [](const std::string& text) { return parse_temperature(text); });
    }
    std::optional<std::string> oil_quantity(const char* field) {
        return read(field, [](const std::string& text) { return parse_oil_quantity(text); });
    }
    std::optional<std::string> word(const char* field) {
        const auto value = table_.value(field);
        return value && !value->text.empty() ? std::optional(value->text) : std::nullopt;
    }
    std::optional<std::int64_t> minutes(const char* field) {
        const auto typed = table_.sound_text(field);
        if (!typed) return std::nullopt;
        std::int64_t out = 0;
        for (const char c : *typed) {
            if (c < '0' || c > '9' || longest_hold_min < out) {
                table_.problem(
                    field, usage_error("sheet-number", "that is not a number of minutes", *typed, "whole minutes: 30"));
                return std::nullopt;
            }
            out = out * 10 + (c - '0');
        }
        return out;
    }
    std::string verdict() {
        const auto said = word("result");
        if (!said && table_.good()) table_.problem("result", missing("the result is missing", "pass or fail"));
        return said.value_or("");
    }
    static Error usage_error(const char* name, std::string what, std::string seen, std::string expected) {
        return {ErrorKind::usage, name, std::move(what), std::move(seen), std::move(expected), {}};
    }

    std::optional<What> act(const std::string& kind, const std::optional<std::string>& circuit,
                            const std::optional<std::string>& cylinder) {
        if (kind == "pressure-test") {
            kinds::PressureTest k;
            k.circuit = needed_place(circuit);
            const auto start = pressure("pressure");
            if (!start && table_.good())
                table_.problem("pressure", missing("the pressure is missing", "at its start: 300psig"));
            k.pressure = start.value_or("");
            k.end = pressure("end");
            k.held_min = minutes("held");
            k.temperature = temperature("temperature");
            k.end_temperature = temperature("end_temperature");
            k.gas = table_.sound_text("gas");
            k.result = verdict();
            return k;
        }
        if (kind == "oil") {
            kinds::Oil k;
            k.circuit = needed_place(circuit);
            k.oil = word("oil");
            k.grade = table_.sound_text("grade");
            k.taken_out = oil_quantity("out");
            k.put_in = oil_quantity("in");
            k.acid_test = word("acid_test");
            return k;
        }
        if (kind == "filter-drier") {
            kinds::FilterDrier k;
            k.machine = table_.code("machine", false);
            if (!k.machine) k.circuit = needed_place(circuit);
            k.fitted = table_.sound_text("fitted");
            k.removed = table_.sound_text("removed");
            k.refrigerant = word("refrigerant");
            k.oil = word("oil");
            k.why = table_.sound_text("why");
            return k;
        }
        if (kind == "identify") return identified(circuit, cylinder);
        kinds::Compressor k;
        k.circuit = needed_place(circuit);
        k.of = table_.sound_text("of");
        k.fitted = table_.sound_text("fitted");
        k.fitted_serial = table_.sound_text("fitted_serial");
        k.removed = table_.sound_text("removed");
        k.removed_serial = table_.sound_text("removed_serial");
        k.acid_test = word("acid_test");
        k.why = table_.sound_text("why").value_or("");
        if (k.why.empty() && table_.good())
            table_.problem("why", missing("the reason is missing", "why it was replaced"));
        return k;
    }

    What identified(const std::optional<std::string>& circuit, const std::optional<std::string>& cylinder) {
        kinds::Identify k;
        if (cylinder)
            k.cylinder = cylinder;
        else
            k.circuit = needed_place(circuit);
        const auto shown = table_.text("refrigerant");
        k.refrigerant = shown == gas_mixed || shown == gas_unknown ? shown : word("refrigerant");
        if (const auto parts = table_.sound_text("parts")) {
            if (auto read = parse_identified(book_.catalogue(), *parts))
                k.composition = std::move(*read);
            else
                table_.problem("parts", std::move(read.error()));
        }
        if (const auto air = table_.sound_text("air")) {
            const auto percent = Percent::parse(*air);
            if (percent && *percent <= Percent::whole(100))
                k.air = air;
            else
                table_.problem("air", usage_error("field-form", "that is not a share of air", *air, "percent: 0.5"));
        }
        k.result = word("result");
        k.instrument = table_.sound_text("instrument");
        return k;
    }

    // Made of all that a row says, but who did it, for which job, and notes.
    std::string own_id(const Moment& when, const std::string& kind, const std::string& of) {
        std::string words = kind + '\0' + of;
        for (const auto& field : map_fields(MapKind::work))
            if (field.name != "technician" && field.name != "job" && field.name != "note")
                words += '\0' + table_.text(field.name).value_or("");
        return ids_.of(when, words);
    }

    const Book& book_;
    MappedTable& table_;
    Instant now_;
    MappedDrafts out_;
    MappedRowIds ids_;
};

}  // namespace

MappedDrafts read_mapped_work(const Book& book, MappedTable& table, Instant now) {
    return MappedWorkRows(book, table, now).read();
}

}  // namespace tarebook
