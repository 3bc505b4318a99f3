// A list of movements: each row is one event, of the kind that the mapping gives it.
#include <fmt/format.h>

#include "csv_guard.hpp"
#include "mapped_drafts.hpp"
#include "movements_cells.hpp"

namespace tarebook {
namespace {

constexpr std::string_view supplier_not_named = "Supplier";
constexpr std::string_view reclaimer_not_named = "Reclaimer";

// Digits without a unit and without zeros at their end, so that a weight is the same in a sheet that was saved again.
std::string bare_figures(std::string_view typed) {
    std::string out;
    for (const char c : typed)
        if ((c >= '0' && c <= '9') || c == '.' || c == ' ') out += c;
    while (out.ends_with(' ')) out.pop_back();
    if (out.find('.') != std::string::npos)
        while (out.ends_with('0') || out.ends_with('.')) {
            const bool point = out.ends_with('.');
            out.pop_back();
            if (point) break;
        }
    return out;
}

class MappedMovementRows {
 public:
    MappedMovementRows(const Book& book, MappedTable& table, Instant now) : book_(book), table_(table), now_(now) {}

    MappedDrafts read() {
        each_row(table_, out_, [&] { row(); });
        return std::move(out_);
    }

 private:
    void row() {
        const auto kind = table_.value("kind");
        if (!kind && table_.good())
            table_.problem("kind", missing("the kind is missing", "purchase, charge, recover, return, loss or weigh"));
        const auto cylinder = table_.code("cylinder", true);
        const auto site = table_.code("site", false);
        const auto appliance = table_.code("appliance", false);
        const auto circuit = table_.code("circuit", false);
        std::string place = site.value_or("");
        if (appliance) place += "/" + *appliance;
        if (circuit) place += "/" + *circuit;
        const auto when = table_.moment("date", "time", zone_of(site), now_);
        if (!when && table_.good()) table_.problem("date", missing("the date is missing", "the day of the movement"));
        if (when && !table_.has_time("date", "time"))
            table_.problem("date",
                           missing("nothing says the time of day",
                                   "time: \"Column\" in the mapping, or time: {value: \"12:00\"} if it was not noted"));
        const auto gas = table_.value("refrigerant");
        Weighing w{table_.weight("gross_before"), table_.weight("gross_after"), table_.weight("net")};
        look_at_net(w);
        if (!table_.good() || !kind || !cylinder || !when) return out_.keep_unread(cylinder, table_.line());
        auto what = act(kind->text, *cylinder, place, appliance.has_value(), gas, w);
        if (!what || !table_.good()) return out_.keep_unread(cylinder, table_.line());
        look_at_gas(gas, *cylinder, place, std::holds_alternative<kinds::Receive>(*what), *when);
        if (!table_.good()) return out_.keep_unread(cylinder, table_.line());
        Event e;
        e.when = *when;
        e.recorded = now_;
        e.by = table_.sound_text("technician");
        e.job = table_.sound_text("job");
        e.note = table_.sound_text("note");
        if (!table_.good()) return out_.keep_unread(cylinder, table_.line());
        const bool place_is_told = std::holds_alternative<kinds::Charge>(*what) ||
                                   std::holds_alternative<kinds::Reuse>(*what) ||
                                   std::holds_alternative<kinds::Recover>(*what);
        // What a purchase cost; on another row it stays as a remark.
        if (const auto price = table_.value("price"); price && !price->text.empty()) {
            if (auto* received = std::get_if<kinds::Receive>(&*what)) {
                if (const auto read = parse_price(price->text)) received->price = *read;
            } else {
                e.note = (e.note ? *e.note + "; " : "") + "price " + price->text;
            }
        }
        if (!place_is_told && !place.empty())  // these kinds have no place: it goes into the note
            e.note = e.note ? *e.note + "; at " + place : "at " + place;
        e.own_id = own_id(*when, *cylinder, place);
        e.what = std::move(*what);
        out_.keep(std::move(e), table_.line());
    }

    [[nodiscard]] std::string zone_of(const std::optional<std::string>& site) const {
        if (site)
            if (const auto* entry = book_.entries().find(EntryKind::site, *site))
                if (auto zone = entry->text("zone", {now_, {}, 0})) return *zone;
        return book_.info().zone;
    }

    // The scale showed the pair; a net weight beside it that differs is a slip in one of the three.
    void look_at_net(Weighing& w) {
        if (!w.is_pair() || !w.net) return;
        constexpr std::int64_t rounding =
            Mass::counts_per_pound / 10;  // common practice, no source: sheets round to 0.1 lb
        const Mass pair = w.gained().magnitude();
        if ((pair - w.net->mass).magnitude().count() > rounding)
            table_.problem("net",
                           csv_guard::error("net-differs", "the net is not what the two weights make", w.net->typed,
                                            pounds_text(pair) + " lb", "one of the three is a slip"));
        w.net.reset();
    }

    // The refrigerant of a row must be that of its circuit; without a circuit, that of its cylinder.
    void look_at_gas(const std::optional<FieldValue>& gas, const std::string& cylinder, const std::string& place,
                     bool comes_in, const Moment& when) {
        if (!gas || comes_in) return;
        const OrderKey then{when.at, {}, INT64_MAX};
        std::string expected;
        std::string of = cylinder;
        if (const auto facts = place.empty() ? std::nullopt : place_facts(book_.entries(), place, then);
            facts && !facts->refrigerant.empty()) {
            expected = facts->refrigerant;
            of = facts->appliance;
        } else if (const auto* facts_of = cylinder_facts(book_.entries(), cylinder, then);
                   facts_of && facts_of->refrigerant) {
            expected = *facts_of->refrigerant;
        }
        if (!expected.empty() && expected != gas->text)
            table_.problem("refrigerant",
                           {ErrorKind::refused, "refrigerant-differs",
                            fmt::format("the row says {}, and {} is on record with {}", gas->text, of, expected),
                            gas->text, expected, "correct the row, or the register"});
    }

    void no_weight(const char* field, const char* what) {
        table_.problem(field, missing("the weight is missing", what));
    }

    std::optional<What> act(const std::string& kind, const std::string& cylinder, const std::string& place,
                            bool has_appliance, const std::optional<FieldValue>& gas, const Weighing& w) {
        const bool at_circuit = kind == "charge" || kind == "reuse" || kind == "recover";
        if (at_circuit && !has_appliance)
            table_.problem("appliance",
                           missing("the appliance is missing", "the circuit, or the appliance, that was opened"));
        const bool told = w.is_pair() || w.net;
        std::optional<Reason> reason;
        if (const auto said = table_.value("reason")) reason = reason_from(said->text);
        if (kind == "weigh") {
            if (!w.after) return no_weight("gross_after", "what the scale showed"), std::nullopt;
            kinds::Weigh k;
            k.cylinder = cylinder;
            k.gross = *w.after;
            return k;
        }
        if (kind == "return") {
            kinds::Return k;
            k.cylinder = cylinder;
            k.to = table_.sound_text("to").value_or(std::string(reclaimer_not_named));
            if (w.is_pair())
                k.weighing = {w.before, w.after, {}};
            else if (w.before)
                k.gross = w.before;
            else
                return no_weight("gross_before", "what the cylinder weighed when it went"), std::nullopt;
            return k;
        }
        if (kind == "purchase") {
            kinds::Receive k;
            k.cylinder = cylinder;
            k.from = table_.sound_text("from").value_or(std::string(supplier_not_named));
            if (gas) k.refrigerant = gas->text;
            if (told)
                k.weighing = w;
            else if (w.after)
                k.gross = w.after;
            else
                return no_weight("gross_after", "what the cylinder weighed when it came, or net"), std::nullopt;
            return k;
        }
        if (!told) return no_weight("gross_after", "the weight before and after, or net"), std::nullopt;
        if (kind == "loss") {
            kinds::Release k;
            k.cylinder = cylinder;
            if (w.is_pair()) {
                k.weighing = w;
                k.method = "weighed";
            } else {
                k.mass = w.net;
                k.method = "as stated";
            }
            k.why = "entered as a loss in the records that were imported";
            return k;
        }
        if (kind == "recover") {
            kinds::Recover k;
            k.circuit = place;
            k.into = cylinder;
            k.weighing = w;
            if (reason) k.reason = *reason;
            return k;
        }
        const auto put = [&](auto k) {
            k.circuit = place;
            k.from = cylinder;
            k.weighing = w;
            k.reason = reason.value_or(std::is_same_v<decltype(k), kinds::Reuse> ? Reason::put_back : Reason::leak);
            return What(std::move(k));
        };
        return kind == "reuse" ? put(kinds::Reuse{}) : put(kinds::Charge{});
    }

    // Made of day, cylinder, place and figures.
    std::string own_id(const Moment& when, const std::string& cylinder, const std::string& place) {
        std::string words = cylinder + '\0' + place;
        for (const char* field : {"gross_before", "gross_after", "net"})
            words += '\0' + bare_figures(table_.text(field).value_or(""));
        return ids_.of(when, words);
    }

    const Book& book_;
    MappedTable& table_;
    Instant now_;
    MappedDrafts out_;
    MappedRowIds ids_;
};

}  // namespace

MappedDrafts read_mapped_movements(const Book& book, MappedTable& table, Instant now) {
    return MappedMovementRows(book, table, now).read();
}

}  // namespace tarebook
