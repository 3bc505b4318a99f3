#include "job_sheet_lines.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "tarebook/checks/needed_vacuum.hpp"
#include "tarebook/checks/ownership.hpp"
#include "tarebook/refrigerant/refrigerant.hpp"
#include "tarebook/rules/identified.hpp"
#include "tarebook/rules/purged.hpp"
#include "tarebook/units/hours.hpp"
#include "tarebook/units/money.hpp"
#include "tarebook/units/oil_quantity.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::exchange {
namespace {

using Keys = std::vector<std::string_view>;

constexpr std::string_view reasons = "open|put-back|leak|initial|conversion|seasonal|overcharge|disposal|purged";
constexpr std::string_view conditions = "virgin|reclaimed|recycled|recovered";
constexpr std::string_view circuit_form = "SITE/APPLIANCE/CIRCUIT, or SITE/APPLIANCE";
constexpr std::string_view leak_form = "leak, as it was recorded: L-3";
constexpr std::int64_t most_passes = 1000;
constexpr std::int64_t most_parts = 1000;
constexpr std::int64_t longest_hold_min = 100'000;

class LineReader {
 public:
    LineReader(SheetFields& fields, const SheetHead& head, const SheetBook& book, ScaleReads reads, Instant at)
        : f_(fields), head_(head), book_(book), reads_(reads), at_(at) {}

    What recover() {
        kinds::Recover k;
        k.circuit = circuit(true);
        k.into = f_.need("into", "cylinder that it goes into");
        k.weighing = weighing();
        k.reason = reason(Reason::open);
        k.vacuum = pressure("vacuum");
        k.rise = pressure("rise");
        k.vacuum_exception = vacuum_exception();
        k.held_min = f_.whole("held", longest_hold_min);
        k.drier = f_.word("drier", "yes|no");
        k.machine = f_.text("machine");
        k.gas = f_.word("gas", "clean|burnt-out|acid");
        k.compressor = f_.word("compressor", "runs|does-not-run");
        return k;
    }
    template <class Kind>
    What put() {
        Kind k;
        k.circuit = circuit(true);
        k.from = f_.need("from", "cylinder that it comes from, or outside:NAME");
        if (k.from.starts_with("outside:") && (!f_.has("net") || k.from.size() == 8)) {
            f_.wrong("from", slip("outside-net", "what others put in is known by its stated weight", k.from,
                                  "from: outside:NAME, and net: W"));
            return k;
        }
        k.weighing = weighing();
        k.reason = reason(std::is_same_v<Kind, kinds::Reuse> ? Reason::put_back : Reason::leak);
        k.invoice = f_.text("invoice");
        k.leak = f_.text("leak");
        if (const auto typed = f_.text("ownership_exception"))
            k.ownership_exception = f_.take("ownership_exception", parse_ownership_exception(*typed));
        if (const auto typed = f_.text("destroyed"))
            if (f_.take("destroyed", parse_destroyed(*typed))) k.destroyed = *typed;
        k.emptied = f_.flag("emptied");
        return k;
    }
    What leak() { return kinds::Leak{appliance(), f_.need("place", "where on it, in words")}; }
    What inspect() {
        kinds::Inspect k;
        k.appliance = appliance();
        k.of = f_.word("of", "detection-system");
        k.method = f_.need("method", "how it was looked for");
        k.parts = f_.text("parts");
        k.result = needed_word("result", k.of ? "pass|fail" : "no-leak|leak");
        return k;
    }
    What repair() { return kinds::Repair{f_.need("leak", leak_form), f_.need("done", "what was done")}; }
    What leak_test() {
        kinds::LeakTest k;
        k.leak = f_.need("leak", leak_form);
        k.stage = needed_word("stage", "initial|follow-up");
        k.result = needed_word("result", "pass|fail");
        return k;
    }
    What plan() {
        kinds::Plan k;
        k.appliance = appliance();
        k.plan = needed_word("plan", "retrofit|retire");
        if (const auto typed = f_.text("to"))
            if (const auto gas = f_.take("to", book_.catalogue.parse(*typed))) k.to = std::string((*gas)->designation);
        k.to_charge = f_.text("to-charge");
        k.procedure = f_.text("procedure");
        k.gas_goes = f_.text("gas-goes");
        k.appliance_goes = f_.text("appliance-goes");
        k.signed_by = f_.text("signed");
        const auto typed = f_.need("until", "day, 2026-11-25");
        if (!typed.empty())
            if (const auto day = f_.take("until", parse_date(typed))) k.by = date_text(*day);
        return k;
    }
    What isolate() {
        kinds::Isolate k;
        k.circuit = circuit(true);
        k.reopened = f_.flag("reopened");
        std::string points;
        for (const auto& point : f_.texts("close")) points += (points.empty() ? "" : ", then ") + point;
        if (!points.empty()) k.points = points;
        if (k.points.has_value() == k.reopened)
            f_.wrong("close", slip("isolated-or-reopened", "a circuit is closed off, or back in service", {},
                                   "close: [liquid: ball valve 5/8, ...], or reopened: true"));
        return k;
    }
    What fit() {
        kinds::Fit k;
        k.circuit = circuit(true);
        k.part = f_.need("part", "what was fitted");
        k.tag = f_.text("tag");
        k.removed = f_.text("removed");
        k.quantity = f_.whole("quantity", most_parts);
        return k;
    }
    What pressure_test() {
        kinds::PressureTest k;
        k.circuit = circuit(true);
        if (!f_.has("pressure")) f_.need("pressure", "pressure at its start, for example 300psig");
        k.pressure = pressure("pressure").value_or("");
        k.end = pressure("end");
        k.temperature = temperature("temperature");
        k.end_temperature = temperature("end-temperature");
        k.gas = f_.text("gas");
        k.held_min = f_.whole("held", longest_hold_min);
        k.result = needed_word("result", "pass|fail");
        return k;
    }
    What oil() {
        kinds::Oil k;
        k.circuit = circuit(true);
        k.oil = f_.word("kind", oil_words);
        k.grade = f_.text("grade");
        k.taken_out = oil_quantity("out");
        k.put_in = oil_quantity("in");
        k.acid_test = f_.word("acid-test", "pass|fail");
        if (!f_.has("out") && !f_.has("in") && !f_.has("acid-test"))
            f_.wrong("out", slip("oil-nothing", "nothing is said of the oil", {}, "out: 12oz, in: 16oz or acid-test"));
        return k;
    }
    What filter_drier() {
        kinds::FilterDrier k;
        k.machine = f_.text("machine");
        if (!k.machine) k.circuit = circuit(true);
        if (k.machine && f_.has("circuit"))
            f_.wrong("machine",
                     slip("filter-drier-where", "a filter-drier is that of a circuit or that of a recovery machine",
                          *k.machine, "circuit, or machine"));
        k.fitted = f_.text("fitted");
        k.removed = f_.text("removed");
        k.refrigerant = gas("refrigerant");
        k.oil = f_.word("oil", oil_words);
        k.why = f_.text("why");
        return k;
    }
    What identify() {
        kinds::Identify k;
        where("identify-where", "an identifier looks at a cylinder or at a circuit", k.circuit, k.cylinder);
        const auto shown = f_.text("refrigerant");
        k.refrigerant = shown == "mixed" || shown == "unknown" ? shown : gas("refrigerant");
        std::string parts;
        for (const auto& part : f_.texts("parts")) parts += (parts.empty() ? "" : ", ") + part;
        if (!parts.empty()) k.composition = f_.take("parts", parse_identified(book_.catalogue, parts));
        k.air = f_.text("air");
        k.result = f_.word("result", "pass|fail");
        k.instrument = f_.text("instrument");
        if (!f_.has("refrigerant") && !f_.has("parts") && !f_.has("air") && !f_.has("result"))
            f_.wrong("refrigerant", slip("identify-nothing", "nothing is said of what the identifier showed", {},
                                         "refrigerant, parts, air or result"));
        return k;
    }
    What compressor() {
        kinds::Compressor k;
        k.circuit = circuit(true);
        k.of = f_.text("of");
        k.fitted = f_.text("fitted");
        k.fitted_serial = f_.text("fitted-serial");
        k.removed = f_.text("removed");
        k.removed_serial = f_.text("removed-serial");
        k.acid_test = f_.word("acid-test", "pass|fail");
        k.why = f_.need("why", "why it was replaced");
        return k;
    }
    What remark() {
        kinds::Note k;
        if (f_.has("circuit")) k.circuit = circuit(true);
        if (const auto typed = f_.text("hours")) k.minutes = f_.take("hours", parse_hours(*typed));
        if (k.minutes)
            k.text = f_.text("text");
        else
            k.text = f_.need("text", "the remark");
        return k;
    }
    What recycle() {
        kinds::Recycle k;
        k.cylinder = f_.need("cylinder", "cylinder");
        k.oil_separated = f_.flag("oil-separated");
        k.drier_passes = f_.whole("drier-passes", most_passes);
        k.machine = f_.text("machine");
        k.acid_test = f_.word("acid-test", "pass|fail");
        k.moisture_test = f_.word("moisture-test", "pass|fail");
        return k;
    }
    What transfer() {
        kinds::Transfer k;
        k.from = f_.need("from", "cylinder that it comes from");
        k.into = f_.need("into", "cylinder that it goes into");
        k.from_weighing = {weight("from-before"), weight("from-after"), weight("net")};
        k.into_weighing = {weight("into-before"), weight("into-after"), {}};
        if (f_.has("net") &&
            (f_.has("from-before") || f_.has("from-after") || f_.has("into-before") || f_.has("into-after")))
            f_.wrong("net", slip("weighing-twice", "net stands in place of a pair, not beside it", *f_.text("net"),
                                 "a pair, or net"));
        const auto pair = [&](const char* one, const char* two) { return f_.has(one) && f_.has(two); };
        if (!f_.has("net") && !pair("from-before", "from-after") && !pair("into-before", "into-after"))
            f_.wrong("act", slip("transfer-weights", "a transfer needs both weights of one cylinder", {},
                                 "from-before and from-after, or into-before and into-after, or net"));
        k.hose_loss = f_.word("hose-loss", "atmosphere|lost");
        k.emptied = f_.flag("emptied");
        return k;
    }
    What give_back() {
        kinds::Return k;
        k.cylinder = f_.need("cylinder", "cylinder that goes");
        k.to = f_.need("to", "who takes it");
        k.gross = weight("gross");
        if (f_.has("before") || f_.has("after")) k.weighing = weighing();
        k.manifest = f_.text("manifest");
        return k;
    }
    What receive() {
        kinds::Receive k;
        k.cylinder = f_.need("cylinder", "cylinder that came, as registered");
        k.from = f_.need("from", "supplier");
        if (const auto typed = f_.text("refrigerant"))
            if (const auto gas = f_.take("refrigerant", book_.catalogue.parse(*typed)))
                k.refrigerant = std::string((*gas)->designation);
        k.lot = f_.text("lot");
        k.invoice = f_.text("invoice");
        if (const auto typed = f_.text("price")) k.price = f_.take("price", parse_price(*typed));
        if (const auto typed = f_.word("condition", conditions)) k.condition = *condition_from(*typed);
        k.gross = weight("gross");
        if (f_.has("before") || f_.has("after") || f_.has("net")) k.weighing = weighing();
        if (!f_.has("gross") && !f_.has("net") && !f_.has("before") && !f_.has("after"))
            f_.wrong("gross", slip("sheet-key-missing", "a weight is missing", {},
                                   "gross: W (on the scale now) or net: W (stamped)"));
        if (const auto tare = weight("tare"))
            set_first_.push_back(
                kinds::Entry{EntryKind::cylinder, k.cylinder, false, {{"tare", {tare->typed, tare->mass}}}});
        if (const auto place = f_.text("place")) set_first_.push_back(kinds::Move{k.cylinder, *place, {}});
        if (k.gross && !f_.has("tare") && !k.weighing.net && book_.has_tare && !k.cylinder.empty() &&
            !book_.has_tare(k.cylinder, at_))
            f_.wrong("gross", slip("no-tare", "without a tare a gross weight does not say what came in", k.cylinder,
                                   "net: W, as stamped",
                                   fmt::format("or set its tare: tarebook cylinder correct {} --tare W", k.cylinder)));
        return k;
    }
    What release() {
        kinds::Release k;
        where("release-where", "a release is from a circuit or from a cylinder", k.circuit, k.cylinder);
        k.mass = weight("mass");
        if (f_.has("before") || f_.has("after")) {
            // Two weights give the mass; an estimate beside them would be a second mass.
            if (f_.has("mass") || !f_.has("cylinder"))
                f_.wrong("before", slip("weighing-twice", "a pair stands in place of mass, of a cylinder", {},
                                        "cylinder, before and after; or mass"));
            k.weighing = weighing();
        } else if (!f_.has("mass")) {
            f_.need("mass", "estimated mass, for example 2.5lb");
        }
        k.method = f_.need("method", "how the mass was estimated");
        k.why = f_.need("why", "why it was released");
        return k;
    }
    What weigh() {
        kinds::Weigh k;
        k.cylinder = f_.need("cylinder", "cylinder");
        if (const auto gross = weight("gross"))
            k.gross = *gross;
        else
            f_.need("gross", "what the scale shows");
        k.leaking = f_.flag("leaking");
        return k;
    }
    What evacuate() {
        kinds::Evacuate k;
        where("evacuate-where", "either a circuit or a cylinder was evacuated", k.circuit, k.cylinder);
        k.vacuum = pressure("vacuum");
        k.rise = pressure("rise");
        k.held_min = f_.whole("held", longest_hold_min);
        return k;
    }

    /// Of the line that was read: what it sets before its own event.
    [[nodiscard]] const std::vector<What>& set_first() const { return set_first_; }

 private:
    std::string appliance() {
        const auto typed = f_.need("appliance", "SITE/APPLIANCE");
        if (!typed.empty() && !head_.site.empty() && site_of(typed) != head_.site)
            f_.wrong("appliance",
                     {ErrorKind::refused, "sheet-circuit-elsewhere", fmt::format("{} is not at {}", typed, head_.site),
                      typed, fmt::format("an appliance of {}", head_.site), "one sheet is one visit to one site"});
        return typed;
    }
    std::string needed_word(std::string_view key, std::string_view words) {
        if (!f_.has(key)) return f_.need(key, words);
        return f_.word(key, words).value_or("");
    }
    std::string circuit(bool needed) {
        const auto typed = needed ? f_.need("circuit", circuit_form) : f_.text("circuit").value_or("");
        if (!typed.empty() && !head_.site.empty() && site_of(typed) != head_.site)
            f_.wrong("circuit", circuit_elsewhere(typed, head_.site));
        return typed;
    }
    void where(const char* error, const char* what, std::optional<std::string>& of_circuit,
               std::optional<std::string>& of_cylinder) {
        if (f_.has("circuit") == f_.has("cylinder"))
            f_.wrong("circuit", slip(error, what, {}, "circuit: C, or cylinder: ID"));
        if (f_.has("circuit")) of_circuit = circuit(false);
        of_cylinder = f_.text("cylinder");
    }
    std::optional<Weight> weight(std::string_view key) {
        const auto typed = f_.text(key);
        if (!typed) return std::nullopt;
        return f_.take(key, parse_weight(*typed, reads_));
    }
    std::optional<std::string> pressure(std::string_view key) {
        const auto typed = f_.text(key);
        if (!typed) return std::nullopt;
        const auto reading = f_.take(key, parse_pressure(*typed));
        return reading ? std::optional(reading->typed) : std::nullopt;
    }
    std::optional<std::string> temperature(std::string_view key) {
        const auto typed = f_.text(key);
        if (!typed || !f_.take(key, parse_temperature(*typed))) return std::nullopt;
        return typed;
    }
    std::optional<std::string> oil_quantity(std::string_view key) {
        const auto typed = f_.text(key);
        if (!typed || !f_.take(key, parse_oil_quantity(*typed))) return std::nullopt;
        return typed;
    }
    std::optional<std::string> gas(std::string_view key) {
        const auto typed = f_.text(key);
        if (!typed) return std::nullopt;
        const auto known = f_.take(key, book_.catalogue.parse(*typed));
        return known ? std::optional(std::string((*known)->designation)) : std::nullopt;
    }
    std::optional<std::string> vacuum_exception() {
        const auto typed = f_.text("vacuum_exception");
        if (!typed) return std::nullopt;
        return f_.take("vacuum_exception", parse_vacuum_exception(*typed));
    }
    Weighing weighing() {
        Weighing w{weight("before"), weight("after"), weight("net")};
        if (f_.has("net")) {
            if (f_.has("before") || f_.has("after"))
                f_.wrong("net", slip("weighing-twice", "net stands in place of a pair, not beside it",
                                     f_.text("net").value_or(""), "before and after, or net"));
            return w;
        }
        if (!f_.has("before")) f_.need("before", "gross weight before, for example 31.20lb; or net");
        if (!f_.has("after")) f_.need("after", "gross weight after, for example 44.85lb; or net");
        return w;
    }
    Reason reason(Reason standard) {
        const auto typed = f_.word("reason", reasons);
        return typed ? *reason_from(*typed) : standard;
    }

    SheetFields& f_;
    const SheetHead& head_;
    const SheetBook& book_;
    ScaleReads reads_;
    Instant at_;
    std::vector<What> set_first_;
};

struct Act {
    std::string_view name;
    Keys keys;
    What (LineReader::*read)();
};

const std::vector<Act>& acts() {
    static const std::vector<Act> list = {
        {"recover",
         {"circuit", "into", "before", "after", "net", "reason", "vacuum", "held", "rise", "drier", "machine", "gas",
          "vacuum_exception", "compressor"},
         &LineReader::recover},
        {"reuse",
         {"circuit", "from", "before", "after", "net", "reason", "invoice", "leak", "ownership_exception", "destroyed",
          "emptied"},
         &LineReader::put<kinds::Reuse>},
        {"charge",
         {"circuit", "from", "before", "after", "net", "reason", "invoice", "leak", "ownership_exception", "destroyed",
          "emptied"},
         &LineReader::put<kinds::Charge>},
        {"recycle",
         {"cylinder", "oil-separated", "drier-passes", "machine", "acid-test", "moisture-test"},
         &LineReader::recycle},
        {"isolate", {"circuit", "close", "reopened"}, &LineReader::isolate},
        {"fit", {"circuit", "part", "tag", "quantity", "removed"}, &LineReader::fit},
        {"note", {"circuit", "text", "hours"}, &LineReader::remark},
        {"pressure-test",
         {"circuit", "pressure", "held", "end", "temperature", "end-temperature", "gas", "result"},
         &LineReader::pressure_test},
        {"oil", {"circuit", "out", "in", "kind", "grade", "acid-test"}, &LineReader::oil},
        {"filter-drier",
         {"circuit", "machine", "fitted", "removed", "refrigerant", "oil", "why"},
         &LineReader::filter_drier},
        {"identify",
         {"circuit", "cylinder", "refrigerant", "parts", "air", "result", "instrument"},
         &LineReader::identify},
        {"compressor",
         {"circuit", "of", "fitted", "fitted-serial", "removed", "removed-serial", "why", "acid-test"},
         &LineReader::compressor},
        {"leak", {"appliance", "place"}, &LineReader::leak},
        {"inspect", {"appliance", "method", "result", "of", "parts"}, &LineReader::inspect},
        {"repair", {"leak", "done"}, &LineReader::repair},
        {"leak-test", {"leak", "stage", "result"}, &LineReader::leak_test},
        {"plan",
         {"appliance", "plan", "until", "to", "to-charge", "procedure", "gas-goes", "appliance-goes", "signed"},
         &LineReader::plan},
        {"transfer",
         {"from", "into", "from-before", "from-after", "into-before", "into-after", "net", "hose-loss", "emptied"},
         &LineReader::transfer},
        {"return", {"cylinder", "to", "gross", "before", "after", "manifest"}, &LineReader::give_back},
        {"receive",
         {"cylinder", "from", "gross", "before", "after", "net", "condition", "refrigerant", "lot", "invoice", "price",
          "place", "tare"},
         &LineReader::receive},
        {"weigh", {"cylinder", "gross", "leaking"}, &LineReader::weigh},
        {"evacuate", {"circuit", "cylinder", "vacuum", "held", "rise"}, &LineReader::evacuate},
        {"release", {"circuit", "cylinder", "mass", "before", "after", "method", "why"}, &LineReader::release},
    };
    return list;
}

constexpr std::string_view act_words =
    "recover|reuse|charge|transfer|return|receive|weigh|evacuate|release|recycle|leak|inspect|repair|leak-test|plan|"
    "isolate|fit|note|pressure-test|oil|filter-drier|identify|compressor";
const Keys line_keys = {"act", "at", "by", "scale", "note", "anyway", "readings"};

std::vector<std::string> named_cylinders(const std::vector<SheetWord>& words) {
    std::vector<std::string> out;
    for (const auto& word : words)
        if (word.key == "cylinder" || word.key == "into" || word.key == "from") out.push_back(word.text);
    return out;
}

// Whether a line that cannot be read leaves open which cylinders it is about.
bool any_cylinder(const SheetFields& fields, const Act* act) {
    if (!act) return true;
    if (fields.has("circuit") && (act->name == "evacuate" || act->name == "release" || act->name == "identify"))
        return false;
    for (const char* key : {"cylinder", "into", "from"})
        if (std::find(act->keys.begin(), act->keys.end(), key) != act->keys.end() && !fields.has(key)) return true;
    return false;
}

const Act* act_of(SheetFields& fields) {
    if (!fields.has("act")) fields.need("act", act_words);
    const auto word = fields.word("act", act_words);
    const auto it = std::find_if(acts().begin(), acts().end(), [&](const Act& a) { return a.name == word; });
    Keys elsewhere;
    for (const auto& a : acts()) elsewhere.insert(elsewhere.end(), a.keys.begin(), a.keys.end());
    const bool found = it != acts().end();
    // Without an act, the key of any act may be right.
    Keys known = found ? it->keys : elsewhere;
    known.insert(known.end(), line_keys.begin(), line_keys.end());
    if (found)
        fields.only(known, elsewhere, it->name);
    else
        fields.only(known, {}, "a line", joined(line_keys) + ", and those of its act");
    return found ? &*it : nullptr;
}

}  // namespace

Error circuit_elsewhere(const std::string& typed, const std::string& site) {
    return {ErrorKind::refused,
            "sheet-circuit-elsewhere",
            fmt::format("{} is not at {}", typed, site),
            typed,
            fmt::format("a circuit of {}", site),
            "one sheet is one visit to one site"};
}

Result<Moment> sheet_moment(const std::string& typed, const SheetHead& head, Instant now) {
    if (!is_time_alone(typed)) return parse_moment(typed, head.zone, now);
    if (head.day.empty())
        return usage("time-format", "a time of day needs the sheet's day", typed,
                     "day: 2026-11-25 at the top of the sheet");
    auto moment = parse_moment(head.day + " " + typed, head.zone, now);
    if (!moment) moment.error().seen = typed;
    return moment;
}

SheetLine read_sheet_line(SheetFields& fields, const SheetHead& head, const SheetBook& book, Instant now,
                          std::optional<Moment>& when) {
    SheetLine line;
    line.line = fields.line();
    line.words = fields.words();
    line.cylinders = named_cylinders(line.words);
    const auto* act = act_of(fields);
    line.any_cylinder = any_cylinder(fields, act);
    if (const auto typed = fields.text("at")) {
        when = fields.take("at", sheet_moment(*typed, head, now));
        // the next line must not be reported for this one
        if (!when) when = Moment{now, {}, head.zone};
    } else if (!when) {
        fields.wrong("at", slip("sheet-key-missing", "the first line needs its time", {}, "at: 14:30",
                                "a line without a time happened at the time of the line before it"));
        when = Moment{now, {}, head.zone};
    }
    Event event;
    event.when = *when;
    event.recorded = now;
    event.job = head.job;
    event.by = head.by;
    event.scale = head.scale;
    if (auto typed = fields.text("by")) event.by = std::move(typed);
    auto reads = ScaleReads::unknown;
    if (auto typed = fields.text("scale")) event.scale = std::move(typed);
    if (event.scale) {
        const auto known = book.reads_of(*event.scale, when->at);
        // The unit of a scale that is not on record is unknown; its name is the problem, not the weights.
        reads = known.value_or(ScaleReads::lb);
        if (!known && fields.has("scale")) fields.wrong("scale", known.error());
    }
    event.note = fields.text("note");
    event.anyway = fields.text("anyway");
    std::string readings;
    for (const auto& [name, value] : fields.named_texts("readings"))
        readings += (readings.empty() ? "readings: " : ", ") + name + " " + value;
    if (!readings.empty()) event.note = event.note ? *event.note + "; " + readings : readings;
    if (!act) return line;
    LineReader reader(fields, head, book, reads, when->at);
    event.what = (reader.*act->read)();
    if (!fields.good()) return line;
    for (const auto& what : reader.set_first()) {
        auto& first = line.set_first.emplace_back(event);
        first.what = what;
        first.note.reset();
    }
    line.draft = std::move(event);
    return line;
}

}  // namespace tarebook::exchange
