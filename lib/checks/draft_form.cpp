#include "tarebook/checks/draft_form.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "tarebook/checks/entry_field.hpp"
#include "tarebook/checks/needed_vacuum.hpp"
#include "tarebook/checks/ownership.hpp"
#include "tarebook/refrigerant/piping.hpp"
#include "tarebook/rules/identified.hpp"
#include "tarebook/rules/purged.hpp"
#include "tarebook/units/oil_quantity.hpp"
#include "tarebook/units/quantity.hpp"
#include "tarebook/units/ratio.hpp"
#include "tarebook/units/shown_text.hpp"
#include "tarebook/units/utf8.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

enum class Form {
    words,  // one of the words in `words`
    not_blank,
    pressure,
    temperature,
    month,
    date,
    refrigerant,
    refrigerant_or_mixed,
    refrigerant_shown,
    identified,
    oil_quantity,
    condition,
    percent,
    code,
    book_id,
    digest,
    vacuum_exception,
    ownership_exception,
    destroyed,
};

struct TextRule {
    std::string_view kind, field;
    Form form;
    std::string_view words = {};
};
constexpr std::array text_rules = {
    TextRule{"opening", "refrigerant", Form::refrigerant_or_mixed},
    TextRule{"receive", "refrigerant", Form::refrigerant},
    TextRule{"recover", "vacuum", Form::pressure},
    TextRule{"recover", "rise", Form::pressure},
    TextRule{"recover", "drier", Form::words, "yes|no"},
    TextRule{"recover", "gas", Form::words, "clean|burnt-out|acid"},
    TextRule{"recover", "compressor", Form::words, "runs|does-not-run"},
    TextRule{"recover", "vacuum_exception", Form::vacuum_exception},
    TextRule{"charge", "ownership_exception", Form::ownership_exception},
    TextRule{"reuse", "ownership_exception", Form::ownership_exception},
    TextRule{"charge", "destroyed", Form::destroyed},
    TextRule{"reuse", "destroyed", Form::destroyed},
    TextRule{"transfer", "hose_loss", Form::words, "atmosphere|lost"},
    TextRule{"exchange", "for_cylinder", Form::code},
    TextRule{"release", "why", Form::not_blank},
    TextRule{"pumpdown", "left", Form::pressure},
    TextRule{"evacuate", "vacuum", Form::pressure},
    TextRule{"evacuate", "rise", Form::pressure},
    TextRule{"requalify", "tested", Form::month},
    TextRule{"condemn", "why", Form::not_blank},
    TextRule{"convert", "refrigerant", Form::refrigerant},
    TextRule{"reclassify", "evidence", Form::not_blank},
    TextRule{"reclassify", "to_refrigerant", Form::refrigerant_shown},
    TextRule{"reclassify", "to_condition", Form::condition},
    TextRule{"lost", "why", Form::not_blank},
    TextRule{"air_check", "pressure", Form::pressure},
    TextRule{"air_check", "temperature", Form::temperature},
    TextRule{"void", "why", Form::not_blank},
    TextRule{"resolve", "why", Form::not_blank},
    TextRule{"inspect", "of", Form::words, "detection-system"},
    TextRule{"leak-test", "stage", Form::words, "initial|follow-up"},
    TextRule{"leak-test", "result", Form::words, "pass|fail"},
    TextRule{"plan", "plan", Form::words, "retrofit|retire"},
    TextRule{"plan", "by", Form::date},
    TextRule{"plan", "to", Form::refrigerant},
    TextRule{"mothball", "pressure", Form::pressure},
    TextRule{"extension", "of", Form::words, "repair|plan-work"},
    TextRule{"extension", "ground", Form::words, terms::extension_grounds},
    TextRule{"extension", "until", Form::date},
    TextRule{"extension", "asked", Form::date},
    TextRule{"settle", "gas", Form::refrigerant_or_mixed},
    TextRule{"settle", "purity", Form::percent},
    TextRule{"settle", "outcome", Form::words, "reclaimed|destroyed|rejected"},
    TextRule{"settle", "dated", Form::date},
    TextRule{"recycle", "acid_test", Form::words, "pass|fail"},
    TextRule{"recycle", "moisture_test", Form::words, "pass|fail"},
    TextRule{"count-weigh", "cap", Form::words, "on|off"},
    TextRule{"count-weigh", "label", Form::refrigerant},
    TextRule{"count-unknown", "cap", Form::words, "on|off"},
    TextRule{"count-unknown", "label", Form::refrigerant},
    TextRule{"pressure-test", "pressure", Form::pressure},
    TextRule{"pressure-test", "end", Form::pressure},
    TextRule{"pressure-test", "temperature", Form::temperature},
    TextRule{"pressure-test", "end_temperature", Form::temperature},
    TextRule{"pressure-test", "result", Form::words, "pass|fail"},
    TextRule{"oil", "oil", Form::words, oil_words},
    TextRule{"oil", "taken_out", Form::oil_quantity},
    TextRule{"oil", "put_in", Form::oil_quantity},
    TextRule{"oil", "acid_test", Form::words, "pass|fail"},
    TextRule{"filter-drier", "refrigerant", Form::refrigerant},
    TextRule{"filter-drier", "oil", Form::words, oil_words},
    TextRule{"identify", "refrigerant", Form::refrigerant_shown},
    TextRule{"identify", "composition", Form::identified},
    TextRule{"identify", "air", Form::percent},
    TextRule{"identify", "result", Form::words, "pass|fail"},
    TextRule{"compressor", "why", Form::not_blank},
    TextRule{"compressor", "acid_test", Form::words, "pass|fail"},
    TextRule{"note", "photo_sha256", Form::digest},
    TextRule{"trust", "book", Form::book_id},
    TextRule{"trust", "key", Form::digest},
    TextRule{"trust", "from", Form::date},
    TextRule{"withdraw", "book", Form::book_id},
    TextRule{"withdraw", "why", Form::not_blank},
    TextRule{"remove-name", "asked", Form::not_blank},
    TextRule{"remove-name", "people", Form::not_blank},
};

// Names and codes go into lists that owners open with a spreadsheet, so they may not begin like a formula. Remarks may.
bool is_name(std::string_view field) {
    constexpr std::array<std::string_view, 16> names = {
        "by",        "called", "code",  "company",     "from",  "job",   "label", "lab",
        "lot_owner", "name",   "owner", "owner_group", "place", "scale", "to",    "to_owner"};
    return std::find(names.begin(), names.end(), field) != names.end();
}
bool is_blank(std::string_view text) {
    return text.find_first_not_of(" \t\r\n") == std::string_view::npos;
}

// The form that a text must have; empty if it has it.
std::string expected_of(const Catalogue& catalogue, const TextRule& rule, const std::string& text) {
    const auto of = [](const auto& read) { return read ? std::string() : read.error().expected; };
    switch (rule.form) {
        case Form::words:
            return is_among(text, rule.words) ? "" : std::string(rule.words);
        case Form::not_blank:
            return is_blank(text) ? "words" : "";
        case Form::pressure:
            return of(parse_pressure(text));
        case Form::temperature:
            return of(parse_temperature(text));
        case Form::month:
            return of(parse_month(text));
        case Form::date:
            return of(parse_date(text));
        case Form::identified: {
            const auto parts = parse_identified(catalogue, text);
            if (!parts) return parts.error().expected;
            return *parts == text ? "" : *parts;
        }
        case Form::oil_quantity:
            return of(parse_oil_quantity(text));
        case Form::refrigerant_shown:
            if (text == "unknown") return {};
            [[fallthrough]];
        case Form::refrigerant_or_mixed:
            if (text == "mixed") return {};
            [[fallthrough]];
        case Form::refrigerant: {
            const auto gas = catalogue.parse(text);
            if (!gas) return gas.error().expected;
            return (*gas)->designation == text ? "" : std::string((*gas)->designation);
        }
        case Form::condition:
            return condition_from(text) ? "" : "virgin|reclaimed|recycled|recovered";
        case Form::percent: {
            const auto share = Percent::parse(text);
            return share && *share <= Percent::whole(100) ? "" : "percent by mass, such as 99.6";
        }
        case Form::code:
            return of(check_code(EntryKind::cylinder, text));
        case Form::book_id:
            return book_id_from_hex(text) ? "" : "the id of a book, 32 hexadecimal digits";
        case Form::digest:
            return digest_from_hex(text) ? "" : "64 hexadecimal digits";
        case Form::vacuum_exception:
            return of(parse_vacuum_exception(text));
        case Form::ownership_exception:
            return of(parse_ownership_exception(text));
        case Form::destroyed:
            return of(parse_destroyed(text));
    }
    return {};
}

// Walks every part of an event of any kind.
class FormCheck {
 public:
    /// `tables`: also checks against the refrigerants, rule packs and time zones of this machine.
    FormCheck(const ReferenceData& data, const Event& e, bool tables)
        : data_(data), e_(e), rules_(rules_of(e)), tables_(tables) {}

    std::vector<Error> run() {
        envelope();
        std::visit(
            [this](const auto& k) {
                using K = std::decay_t<decltype(k)>;
                K::fields(k, *this);
            },
            e_.what);
        if (const auto* k = std::get_if<kinds::Entry>(&e_.what)) entry(*k);
        if (const auto* k = std::get_if<kinds::Inspect>(&e_.what)) result_of(*k);
        if (const auto* k = std::get_if<kinds::Extension>(&e_.what)) day_of(*k);
        if (const auto* k = std::get_if<kinds::Charge>(&e_.what)) purge_of(*k);
        if (const auto* k = std::get_if<kinds::Reuse>(&e_.what)) purge_of(*k);
        if (const auto* k = std::get_if<kinds::Oil>(&e_.what); k && !k->taken_out && !k->put_in && !k->acid_test)
            slip("oil-nothing", "nothing is said of the oil", {}, "what came out, what went in, or an acid test",
                 "--out 12oz, --in 16oz or --acid-test pass");
        if (const auto* k = std::get_if<kinds::FilterDrier>(&e_.what);
            k && k->circuit.has_value() == k->machine.has_value())
            slip("filter-drier-where", "a filter-drier is that of a circuit or that of a recovery machine", {},
                 "one of the two");
        if (const auto* k = std::get_if<kinds::Identify>(&e_.what)) shown_by(*k);
        if (const auto* k = std::get_if<kinds::Evacuate>(&e_.what)) rise_of(*k);
        if (const auto* k = std::get_if<kinds::Settle>(&e_.what)) money_in_words("credit", k->credit);
        if (const auto* k = std::get_if<kinds::Exchange>(&e_.what)) money_in_words("deposit", k->deposit);
        if (const auto* k = std::get_if<kinds::Convert>(&e_.what))
            values(EntryKind::appliance, k->appliance, k->values);
        return std::move(problems_);
    }

    void operator()(const char* field, const std::string& text) {
        if (!utf8(field, text)) return;
        for (const auto& rule : rules_)
            if (rule.field == field) form(rule, text);
    }
    void operator()(const char* field, const std::optional<std::string>& text) {
        if (text) (*this)(field, *text);
    }
    void operator()(const char* field, const Weight& weight) { typed(field, weight.typed, weight.mass); }
    void operator()(const char* field, const std::optional<Weight>& weight) {
        if (weight) (*this)(field, *weight);
    }
    void operator()(const char* field, const Weighing& weighing) {
        if (weighing.net && (weighing.before || weighing.after))
            slip("weighing-twice", fmt::format("{} has a net weight beside a pair", field), weighing.net->typed,
                 "a pair, or a net weight");
        Weighing::fields(weighing, *this);
    }
    void operator()(const char* field, const std::optional<Money>& amount) {
        if (amount) money(field, *amount);
    }
    void operator()(const char* field, const std::optional<Price>& price) {
        if (price) money(field, price->amount);
    }
    // Minutes, pieces, passes: what no person means is refused for every way in.
    void operator()(const char* field, const std::optional<std::int64_t>& number) {
        constexpr std::int64_t most = 100'000;
        if (number && (*number < 0 || *number > most))
            slip("field-form", fmt::format("{} is not a number of that kind", field), std::to_string(*number),
                 "0 to 100000");
    }
    template <class T>
    void operator()(const char*, const T&) {}

 private:
    static const std::vector<TextRule>& rules_of(const Event& e) {
        static const auto by_kind = [] {
            std::map<std::string_view, std::vector<TextRule>> out;
            for (const auto& rule : text_rules) out[rule.kind].push_back(rule);
            return out;
        }();
        static const std::vector<TextRule> none;
        const auto it = by_kind.find(e.kind());
        return it == by_kind.end() ? none : it->second;
    }

    void slip(std::string name, std::string what, std::string seen, std::string expected, std::string next = {}) {
        problems_.push_back({ErrorKind::usage, std::move(name), std::move(what), std::move(seen), std::move(expected),
                             std::move(next)});
    }

    void envelope() {
        for (const auto& [field, text] : {std::pair<const char*, const std::optional<std::string>&>{"by", e_.by},
                                          {"job", e_.job},
                                          {"scale", e_.scale},
                                          {"note", e_.note},
                                          {"own_id", e_.own_id},
                                          {"anyway", e_.anyway}})
            if (text) (void)utf8(field, *text);
        if (e_.own_id && e_.own_id->empty())
            slip("own-id-empty", "the own id is empty", {}, "an id of your own, or none");
        if (e_.anyway && is_blank(*e_.anyway))
            slip("reason-empty", "the reason of --anyway is empty", {}, "the reason, in words");
        moment();
    }
    void moment() {
        if (e_.when.at == Instant() || e_.when.zone.empty() || e_.recorded == Instant()) {
            slip("moment-missing",
                 e_.recorded == Instant() ? "the event does not say when it was recorded"
                                          : "the event does not say when it happened, by which zone's clock",
                 e_.when.at == Instant() ? "" : instant_text(e_.when.at), "a time and its zone",
                 "moment_in_zone() or parse_moment() gives both");
            return;
        }
        // Without a zone only the typed offset is known.
        constexpr std::chrono::minutes farthest{14 * 60 + 59};
        if (e_.when.zone == "UTC") {
            if (std::chrono::abs(e_.when.offset) > farthest) wrong_offset("within 15 hours");
            return;
        }
        if (!tables_) return;
        const auto there = moment_in_zone(e_.when.at, e_.when.zone);
        if (!there)
            problems_.push_back(there.error());
        else if (there->offset != e_.when.offset)
            wrong_offset(fmt::format("{} min, as in {} then", there->offset.count(), e_.when.zone));
    }
    void wrong_offset(std::string expected) {
        slip("moment-offset", "the offset from UTC is not that of the zone's clock",
             fmt::format("{} min at {} in {}", e_.when.offset.count(), instant_text(e_.when.at), e_.when.zone),
             std::move(expected));
    }

    bool utf8(const char* field, const std::string& text) {
        auto problem = text_form_problem(field, text, field);
        if (!problem) return true;
        problems_.push_back(std::move(*problem));
        return false;
    }
    void form(const TextRule& rule, const std::string& text) {
        const bool by_table = rule.form == Form::refrigerant || rule.form == Form::refrigerant_or_mixed ||
                              rule.form == Form::refrigerant_shown || rule.form == Form::identified;
        if (!tables_ && by_table) return;
        auto expected = expected_of(data_.catalogue, rule, text);
        if (expected.empty()) return;
        if (rule.form == Form::not_blank)
            slip("reason-empty", fmt::format("{} of this {} event is empty", rule.field, rule.kind), {},
                 "the reason, in words");
        else
            slip(rule.form == Form::code ? "code-format" : "field-form",
                 fmt::format("{} of this {} event does not take that", rule.field, rule.kind), text,
                 std::move(expected));
    }
    void typed(const char* field, const std::string& text, Mass mass) {
        if (!utf8(field, text)) return;
        const auto read = parse_weight(text, ScaleReads::unknown);
        if (mass.is_negative())
            slip("weight-range", fmt::format("{} is below zero", field), text, "a weight as a scale shows it");
        else if (!read || read->mass != mass)
            slip("weight-typed", fmt::format("the mass of {} is not the weight that was typed", field),
                 fmt::format("{} typed, {} as a mass", text, mass_text_to_thousandth(mass, DisplayUnits::lb)),
                 "a weight with its unit and its exact mass", "parse_weight() gives both");
    }

    void money(const char* field, const Money& amount) {
        if (amount.minor < 0 || amount.minor > most_money)
            slip("field-form", fmt::format("{} is not an amount that is paid or credited", field), money_text(amount),
                 "an amount of zero or more");
        else if (tables_ && !amount.currency.decimals())
            slip("field-form", fmt::format("{} is in no currency that is known here", field), money_text(amount),
                 "a code of ISO 4217: USD, EUR, JPY");
    }
    // Events on record have money in words; what is recorded now has an amount and a currency.
    void money_in_words(const char* field, const std::optional<std::string>& words) {
        if (tables_ && words)
            slip("money-in-words", fmt::format("the {} is in words", field), *words,
                 "an amount and the code of its currency, such as 41.50 USD",
                 fmt::format("give it with --{0}: an event has it as {0}_amount", field));
    }

    // The lists of words for a result depend on what was inspected.
    void result_of(const kinds::Inspect& k) {
        const std::string_view words = k.of ? "pass|fail" : "no-leak|leak";
        if (!is_among(k.result, words))
            slip("field-form",
                 k.of ? "result of an audit does not take that" : "result of this inspect event does not take that",
                 k.result, std::string(words));
    }

    // A ground needs a day if its rule does not give one.
    void day_of(const kinds::Extension& k) {
        if (!k.until && !terms::names_its_day(k.ground))
            slip("extension-day", fmt::format("more time for {} needs its last day", k.ground), {}, "a day, 2026-11-25",
                 "give it with --until, as it was granted");
    }
    // What a gauge shows after holding: not above the air, and not deeper than what the same gauge showed before.
    void rise_of(const kinds::Evacuate& k) {
        const auto rise = k.rise ? parse_pressure(*k.rise) : Result<PressureReading>(fail(Error{}));
        const auto* after = rise ? std::get_if<GaugePressure>(&rise->value) : nullptr;
        if (!after) return;
        const auto vacuum = k.vacuum ? parse_pressure(*k.vacuum) : Result<PressureReading>(fail(Error{}));
        const auto* before = vacuum ? std::get_if<GaugePressure>(&vacuum->value) : nullptr;
        const bool above_air = 0 < after->in_kilopascals();
        if (!above_air && !(before && *after < *before)) return;
        slip("rise-form",
             above_air ? "a vacuum that is held does not rise above the pressure of the air"
                       : fmt::format("after holding, the gauge cannot show a deeper vacuum than {} before", *k.vacuum),
             *k.rise, "what the gauge showed after holding, or by how much it rose: 750micron, 29inHg",
             "where the vacuum was lost, 0psig says so; gas under pressure is not a vacuum: record what came in as a "
             "note");
    }
    void shown_by(const kinds::Identify& k) {
        if (k.circuit.has_value() == k.cylinder.has_value())
            slip("identify-where", "an identifier looks at a cylinder or at a circuit", {}, "one of the two");
        if (!k.refrigerant && !k.composition && !k.air && !k.result)
            slip("identify-nothing", "nothing is said of what the identifier showed", {},
                 "the gas that it named, its parts, air, or pass or fail",
                 "--refrigerant R-22, --part \"R-22 98.5\", --air 0.5 or --result pass");
    }
    void purge_of(const kinds::Put& k) {
        if ((k.reason == Reason::purged) == k.destroyed.has_value()) return;
        slip("purged-record",
             k.destroyed ? "only what takes the place of purged gas says that it was destroyed"
                         : "the reason purged needs the record of the destruction",
             std::string(text_of(k.reason)), "the reason purged and the record of the destruction, both or neither",
             "say both: --reason purged --destroyed \"98: log of the oxidizer, page 14\"");
    }

    void entry(const kinds::Entry& k) {
        if (auto form = check_code(k.entry, k.code); !form) problems_.push_back(std::move(form.error()));
        values(k.entry, k.code, k.values);
    }
    void values(EntryKind kind, const std::string& code, const FieldValues& all) {
        for (const auto& [name, value] : all) {
            if (!utf8(name.c_str(), value.text)) continue;
            // Each entry may have a name: an entry without any other field is recorded with its code as its name.
            if (name == "name") continue;
            const auto& rules = field_rules(kind);
            const auto rule = std::find_if(rules.begin(), rules.end(),
                                           [&field = name](const FieldRule& r) { return r.name == field; });
            if (rule == rules.end()) {
                std::string names;
                for (const auto& r : rules) add_word(names, r.name);
                slip("field-unknown", fmt::format("a {} has no field {}", text_of(kind), name), name, names);
                continue;
            }
            if (value.text.empty() && !value.mass) continue;  // an empty value takes back what was on record
            const bool by_table = rule->type == FieldType::refrigerant || rule->type == FieldType::zone ||
                                  rule->type == FieldType::price || rule->name == std::string_view("rule_packs");
            if (by_table && !tables_) continue;
            if (auto error = value_problem(*rule, value))
                slip("field-form",
                     fmt::format("{} of {} {} does not take that: {}", name, text_of(kind), code, error->what),
                     value.text, error->expected, error->next);
        }
        const auto from = all.find("full_charge");
        const auto to = all.find("full_charge_to");
        if (from != all.end() && to != all.end() && from->second.mass && to->second.mass &&
            *to->second.mass < *from->second.mass)
            slip("range-backwards", "the range of the full charge ends below its start",
                 from->second.text + ".." + to->second.text, "40lb..60lb");
    }
    [[nodiscard]] std::optional<Error> value_problem(const FieldRule& rule, const FieldValue& value) const {
        auto read = parse_field(data_.catalogue, rule, value.text, ScaleReads::unknown);
        if (!read) return read.error();
        if (read->mass != value.mass)
            return Error{ErrorKind::usage,           {}, "its exact mass is not what was typed", {},
                         "parse_field() gives both", {}};
        if (rule.type == FieldType::refrigerant && read->text != value.text)
            return Error{ErrorKind::usage, {}, "it is not the designation", {}, read->text, {}};
        if (rule.type == FieldType::country && read->text != value.text)
            return Error{ErrorKind::usage, {}, "it is not the code", {}, read->text, {}};
        if (rule.type == FieldType::price && read->text != value.text)
            return Error{ErrorKind::usage, {}, "it is not as a price is kept", {}, read->text, {}};
        return lines_problem(rule.name, value.text);
    }
    // Fields whose text is a list with a form of its own.
    [[nodiscard]] std::optional<Error> lines_problem(std::string_view field, const std::string& text) const {
        const auto each = [&](auto parse) -> std::optional<Error> {
            for (const auto line : split(text, '\n'))
                if (!line.empty())
                    if (auto read = parse(std::string(line)); !read) return read.error();
            return std::nullopt;
        };
        if (field == "pipes") return each([](const std::string& line) { return parse_pipe(line); });
        if (field == "volumes") return each([](const std::string& line) { return parse_vessel(line); });
        if (field == "rule_packs")
            for (const auto& name : rule_pack_names(text))
                if (auto pack = data_.rules.parse(name); !pack) return pack.error();
        return std::nullopt;
    }

    const ReferenceData& data_;
    const Event& e_;
    const std::vector<TextRule>& rules_;
    const bool tables_;
    std::vector<Error> problems_;
};

}  // namespace

std::optional<Error> text_form_problem(std::string_view field, std::string_view text, std::string_view shown) {
    constexpr std::size_t longest = 10'240;
    const auto slip = [](const char* name, std::string what, std::string seen, std::string expected,
                         std::string next = {}) {
        return Error{ErrorKind::usage, name, std::move(what), std::move(seen), std::move(expected), std::move(next)};
    };
    if (!is_utf8(text)) return slip("text-not-utf8", fmt::format("{} is not UTF-8 text", shown), {}, "UTF-8");
    if (text.size() > longest)
        return slip("text-too-long", fmt::format("{} is {} bytes long", shown, text.size()), {},
                    fmt::format("at most {} bytes", longest), "keep the long text in a file and name that");
    if (text.find('\0') != std::string_view::npos)
        return slip("text-not-utf8", fmt::format("{} has a zero byte in it", shown), {}, "text");
    if (is_computed(text) && is_name(field))
        return slip("text-formula", fmt::format("{} begins like the formula of a spreadsheet", shown),
                    std::string(text), "a name or code that begins with a letter or digit",
                    "type it without the sign before it");
    return std::nullopt;
}

std::vector<Error> draft_form_problems(const ReferenceData& data, const Event& event) {
    return FormCheck(data, event, true).run();
}
std::vector<Error> form_problems_on_every_machine(const Event& event) {
    return FormCheck({}, event, false).run();
}

}  // namespace tarebook
