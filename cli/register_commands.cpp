// start, and add / correct / show / list for each kind of entry.
#include <fmt/format.h>
#include <sys/stat.h>

#include <array>
#include <filesystem>
#include <iostream>
#include <map>
#include <memory>

#include "exit_code.hpp"
#include "scale_ports.hpp"
#include "session.hpp"
#include "sheets.hpp"
#include "tarebook/book/server_address.hpp"
#include "tarebook/checks/site_packs.hpp"
#include "tarebook/exchange/scale_port_file.hpp"
#include "tarebook/refrigerant/piping.hpp"
#include "tarebook/report/books_page.hpp"
#include "tarebook/rules/rules.hpp"
#include "tarebook/units/country.hpp"

namespace tarebook::cli {
namespace {

struct EntryOptions {
    std::string code;
    std::map<std::string, Text> fields;
    std::vector<std::string> close, pipes, volumes;
    Text full_charge, gross, owner, condition;
    bool counted = false;
    ScalePortOptions port;  // of a scale
};

std::string flag_of(std::string_view field) {
    std::string out = "--";
    for (const char c : field) out += c == '_' ? '-' : c;
    return out;
}

std::string lines_of(const std::vector<std::string>& list) {
    std::string lines;
    for (const auto& line : list) lines += (lines.empty() ? "" : "\n") + line;
    return lines;
}

// What is said of gas that is not identified, and of a mixture.
bool says_unknown(std::string_view word) {
    return word == gas_unknown || word == "not on record";
}
bool says_no_gas(std::string_view word) {
    return says_unknown(word) || word == gas_mixed;
}

FieldValues values_of(const Session& s, const EntryOptions& o, EntryKind kind, ScaleReads reads) {
    FieldValues values;
    for (const auto& rule : field_rules(kind)) {
        const auto it = o.fields.find(std::string(rule.name));
        if (it == o.fields.end() || !it->second) continue;
        // An empty text means "not on record".
        if (kind == EntryKind::cylinder && rule.name == "refrigerant" && says_no_gas(*it->second))
            values["refrigerant"] = {};
        else
            values[std::string(rule.name)] = field_value(s, rule, *it->second, reads);
    }
    if (!o.close.empty()) values["close"] = {lines_of(o.close), {}};
    // Kept as typed after it was read; an empty one empties the list.
    for (const auto& pipe : o.pipes)
        if (!pipe.empty()) must(parse_pipe(pipe));
    for (const auto& vessel : o.volumes)
        if (!vessel.empty()) must(parse_vessel(vessel));
    if (!o.pipes.empty()) values["pipes"] = {lines_of(o.pipes), {}};
    if (!o.volumes.empty()) values["volumes"] = {lines_of(o.volumes), {}};
    if (o.full_charge) set_full_charge(s, values, *o.full_charge, reads);
    if (const auto packs = values.find("rule_packs"); packs != values.end())
        for (const auto& name : rule_pack_names(packs->second.text)) must(s.data.rules.parse(name));
    return values;
}

// The help of a field, if its flag does not explain it; the words that it takes come from its rule.
std::string help_of(EntryKind kind, std::string_view field) {
    struct Line {
        std::string_view field, help;
        std::optional<EntryKind> kind = {};
    };
    static constexpr std::array lines = {
        Line{"name", "its name, as people say it"},
        Line{"owner", "who owns its equipment, and so the gas in it"},
        Line{"owner_group", "sister companies that share used gas have one group"},
        Line{"zone", "time zone of the site, for example America/Chicago (the book's)"},
        Line{"address", "address"},
        Line{"altitude", "height above the sea: 5000ft, 1500m; a gauge reads against the barometer there"},
        Line{"leak_rate_method", "how leak rates of all its appliances are computed"},
        Line{"rule_packs", "rule packs of a region, beside those of its country: us-ca"},
        Line{"country", "country in which it stands, two letters: DE (the shop's)", EntryKind::site},
        Line{"country", "country in which it is filled and carried, two letters: DE (the shop's)"},
        Line{"refrigerant", "as on the nameplate: R-404A, 404a, r448a", EntryKind::appliance},
        Line{"refrigerant", "what it is kept for, or holds: R-404A, 404a, unknown, mixed", EntryKind::cylinder},
        Line{"refrigerant", "what it is kept for: R-404A, 404a, r448a"},
        Line{"last_gas", "last gas that went through it"},
        Line{"drier_changed", "day of the last change of its filter-drier: 2026-11-20"},
        Line{"drier_gas", "gas that it pumps since then"},
        Line{"drier_oil", "oil that comes with that gas"},
        Line{"oil", "oil of its compressors"},
        Line{"evacuate_to", "vacuum that its maker or the customer asks for before it is charged: 500micron"},
        Line{"test_pressure", "most pressure that its plate marks for a test, that of its lowest side: 250psig"},
        Line{"side_test_pressure",
             "test pressure of this circuit's side, if the plate marks another one for it: 450psig"},
        Line{"model", "maker's model"},
        Line{"serial", "serial number"},
        Line{"linked_to", "the other appliance of a cascade"},
        Line{"installed", "day it was installed: 2019-05-20"},
        Line{"detection_system", "an automatic leak detection system watches it"},
        Line{"hermetic", "hermetically sealed, and labelled so"},
        Line{"listed_use", "a use of a hydrocarbon that 40 CFR 82.154(a)(1) lists as exempt"},
        Line{"residential", "stands in a residential building"},
        Line{"serves", "what it cools"},
        Line{"bring", "what to bring for isolating it: ladder, wrenches"},
        Line{"suction_group", "suction group that it is on: MT"},
        Line{"suction_pressure", "usual pressure of that group: 36psig"},
        Line{"wc", "water capacity (WC), as stamped: 47.6lb, 21.6kg, 21.6L"},
        Line{"tare", "tare weight (TW), as stamped or measured: 27.5lb"},
        Line{"spec", "specification mark, as stamped: DOT-4BA400"},
        Line{"tested", "month of the last test, as stamped: 2024-04"},
        Line{"test_mark", "the test mark, as stamped"},
        Line{"test_basis",
             "what a longer time than five years between tests rests on, 49 CFR 180.209: nothing but clean, "
             "non-corrosive "
             "gas was ever in it (e), tested last by proof pressure alone (e), a star on its mark (b), ammonia alone "
             "(h)"},
        Line{"flammable", "made for flammable gas", EntryKind::machine},
        Line{"flammable", "rated for flammable gas"},
        Line{"belongs_to", "whose cylinder it is: shop, wholesaler, customer"},
        Line{"place", "where it is: truck-1"},
        Line{"held_for", "job or customer it is kept for"},
        Line{"stamped_limit", "limit of contents (net), where one is stamped: 38lb"},
        Line{"cap", "weight of the cap over its valve, where it has one: 1.5lb"},
        Line{"category", "what it is used for"},
        Line{"full_charge", "full charge: 900lb, or a range 850lb..950lb"},
        Line{"charge_basis", "what the full charge rests on"},
        Line{"use", "what it is for"},
        Line{"reads", "what it shows"},
        Line{"division", "its smallest step: 0.05lb"},
        Line{"accuracy", "how far it may be off: 0.1lb, or 0.5% of the load (class III by its division)"},
        Line{"calibrated", "day of its last calibration: 2026-01-15"},
        Line{"made", "day it was made: 2021-03-01"},
        Line{"company", "whom they work for"},
        Line{"certificate", "number of their certificate"},
        Line{"certificate_type", "its type, 40 CFR 82.161"},
        Line{"left", "day on which they left: a copy of the certificate is kept for three years from then"},
    };
    for (const auto& line : lines)
        if (line.field == field && (!line.kind || *line.kind == kind)) {
            std::string words;
            for (const auto& rule : field_rules(kind))
                if (rule.name == field) words = rule.type == FieldType::flag ? "yes|no" : rule.words;
            return std::string(line.help) + (words.empty() ? "" : ": ") + words;
        }
    return {};
}

void require(const FieldValues& values, EntryKind kind, const char* field) {
    if (!values.contains(field))
        throw slip("flag-missing", fmt::format("{} is missing", flag_of(field)), {}, help_of(kind, field));
}

Question country_question(std::string text, std::vector<Offer> offers) {
    return {"--country", std::move(text), std::move(offers), [](const std::string& typed) -> Result<void> {
                if (auto code = parse_country(typed); !code) return fail(std::move(code.error()));
                return {};
            }};
}

// The country of a new site: that of its zone, if it differs from the shop's. At a terminal it is asked for then, and
// for each new site of a book without a country.
std::optional<std::string> country_of_new_site(const Session& s, const Book& book, const FieldValues& values) {
    const auto& of_book = book.info().country;
    const auto zone = values.find("zone");
    const auto of_zone = country_of_zone(zone == values.end() ? book.info().zone : zone->second.text);
    const bool another = zone != values.end() && of_zone && *of_zone != of_book;
    if (!s.has_terminal) {
        if (!another || of_book.empty()) return std::nullopt;
        std::cerr << fmt::format("country {}, by its zone {}; for another one: --country CC\n", country_text(*of_zone),
                                 zone->second.text);
        return of_zone;
    }
    if (!another && !of_book.empty()) return std::nullopt;
    std::vector<Offer> offers;
    if (of_zone) offers.push_back({*of_zone, country_name(*of_zone) + ", by its zone"});
    if (!of_book.empty()) offers.push_back({of_book, country_name(of_book) + ", the shop's"});
    return must(parse_country(s.need({}, country_question("country in which it stands, two letters", offers))));
}

// Refuses a pack of another country than the site's.
void refuse_packs_of_elsewhere(const Book& book, const std::string& site, const FieldValues& values, Instant now) {
    const auto packs = values.find("rule_packs");
    const auto said = values.find("country");
    const auto* entry = book.entries().find(EntryKind::site, site);
    const auto country = said != values.end() ? said->second.text : country_of(entry, {now, {}, 0});
    const auto named = packs != values.end() ? packs->second.text
                       : entry               ? entry->text("rule_packs", {now, {}, 0}).value_or("")
                                             : "";
    if (country.empty()) return;
    for (const auto& name : rule_pack_names(named)) {
        const auto* pack = book.rules().find(name);
        if (!pack || book.rules().speaks_in(*pack, country)) continue;
        throw Stop{{ErrorKind::usage, "rule-pack-elsewhere",
                    fmt::format("{} holds rules of {}, and {} stands in {}", name, pack->jurisdiction, site,
                                country_text(country)),
                    name, fmt::format("packs of {}", country_text(country)),
                    "packs of the country apply without being named; --rule-packs \"\" takes those back that were"}};
    }
}

ScaleReads reads_of(const Session& s, const Book& book) {
    if (!s.scale) return ScaleReads::unknown;
    return s.weight(book, std::string("0")).typed.ends_with("kg") ? ScaleReads::kg : ScaleReads::lb;
}

int record_entry(const Session& s, EntryKind kind, const EntryOptions& o);
int record_correction(const Session& s, EntryKind kind, const EntryOptions& o);

// The port of a scale is no fact of the book: of a scale that is on record it is set alone, and nothing is recorded.
template <class Record>
int with_port(const Session& s, EntryKind kind, const EntryOptions& o, Record record) {
    if (!o.port.typed()) return record(s, kind, o);
    checked_code(kind, o.code);
    const auto port = scale_port_of(s, o.code, o.port);  // refused before anything is recorded
    const bool has_fields = std::any_of(o.fields.begin(), o.fields.end(), [](const auto& f) { return f.second; });
    bool on_record = false;
    if (!has_fields) {
        const auto book = s.open(Access::read);
        on_record = book.entries().find(kind, o.code) != nullptr;
    }
    const int code = on_record ? exit_done : record(s, kind, o);
    const auto said = keep_port(s, o.code, port);
    (s.format && *s.format != "text" ? std::cerr : std::cout) << said;
    return code;
}

// `holds`: as in the entry; empty for a gas that was said to be unknown or mixed.
kinds::Opening opening_of(const Session& s, const Book& book, const EntryOptions& o, const Event& added,
                          const Text& holds) {
    const auto slip_of_stock = [](std::string text, std::string expected, std::string next) {
        return Stop{{ErrorKind::usage, "opening-stock", std::move(text), {}, std::move(expected), std::move(next)}};
    };
    if (!o.gross || !o.counted || !o.owner)
        throw slip_of_stock("opening stock is counted: weight, --counted and owner go together",
                            "--gross W --counted --owner NAME",
                            "gas that the shop bought: --owner shop; not known whose: --owner unknown");
    const auto* entry = std::get_if<kinds::Entry>(&added.what);
    if (!entry || !entry->values.contains("tare"))
        throw slip_of_stock("without a tare a gross weight does not say what is in it", "--tare W",
                            "read it on the collar (TW)");
    if (!holds)
        throw slip_of_stock("opening stock needs its refrigerant", "--refrigerant R",
                            "not known which: --refrigerant unknown; a mixture: --refrigerant mixed");
    kinds::Opening opening;
    opening.cylinder = o.code;
    opening.owner = says_unknown(*o.owner) ? "" : *o.owner;
    if (!holds->empty())
        opening.refrigerant = holds;
    else if (o.fields.at("refrigerant") == gas_mixed)
        opening.refrigerant = std::string(gas_mixed);
    opening.gross = s.shown_weight(book, *o.gross);
    opening.condition = *o.owner == shop_owner && !holds->empty() ? Condition::virgin : Condition::recovered;
    if (o.condition) {
        const auto c = condition_from(*o.condition);
        if (!c)
            throw Stop{{ErrorKind::usage,
                        "word-unknown",
                        "that is not a condition",
                        *o.condition,
                        "virgin|reclaimed|recycled|recovered",
                        {}}};
        opening.condition = *c;
    }
    return opening;
}

int add_entry(const Session& s, EntryKind kind, const EntryOptions& o) {
    return with_port(s, kind, o, record_entry);
}
int correct_entry(const Session& s, EntryKind kind, const EntryOptions& o) {
    return with_port(s, kind, o, record_correction);
}

int record_entry(const Session& s, EntryKind kind, const EntryOptions& o) {
    checked_code(kind, o.code);
    auto book = s.open(Access::write);
    kinds::Entry entry{kind, o.code, true, values_of(s, o, kind, reads_of(s, book))};
    if (kind == EntryKind::site) {
        require(entry.values, kind, "owner");
        if (!entry.values.contains("country"))
            if (auto country = country_of_new_site(s, book, entry.values)) entry.values["country"] = {*country, {}};
        refuse_packs_of_elsewhere(book, o.code, entry.values, s.now);
    }
    if (kind == EntryKind::appliance)
        for (const char* f : {"category", "refrigerant", "full_charge", "charge_basis"}) require(entry.values, kind, f);
    if (kind == EntryKind::cylinder) require(entry.values, kind, "use");
    if (kind == EntryKind::scale && !entry.values.contains("reads"))
        throw slip("flag-missing", "--reads is missing", {}, help_of(kind, "reads"),
                   fmt::format("tarebook scale add {} --reads lb --division 0.05lb", o.code));
    if (entry.values.empty()) entry.values["name"] = {o.code, {}};
    const auto refrigerant = entry.values.find("refrigerant");
    const Text holds = refrigerant == entry.values.end() ? Text{} : Text{refrigerant->second.text};
    if (holds && holds->empty()) entry.values.erase(refrigerant);
    std::vector<Event> drafts{s.draft(book, std::move(entry), site_of(o.code))};
    if (o.gross || o.counted || o.owner) drafts.push_back(s.draft(book, opening_of(s, book, o, drafts.front(), holds)));
    return s.record_and_tell(book, std::move(drafts));
}

int record_correction(const Session& s, EntryKind kind, const EntryOptions& o) {
    auto book = s.open(Access::write);
    kinds::Entry entry{kind, o.code, false, values_of(s, o, kind, reads_of(s, book))};
    if (entry.values.empty())
        throw Stop{{ErrorKind::usage,
                    "nothing-to-correct",
                    "no field was given",
                    {},
                    "at least one field",
                    fmt::format("tarebook {} correct --help", text_of(kind))}};
    if (kind == EntryKind::site) refuse_packs_of_elsewhere(book, o.code, entry.values, s.now);
    return s.record_and_tell(book, {s.draft(book, std::move(entry), site_of(o.code))});
}

void add_field_options(CLI::App& command, EntryKind kind, EntryOptions& o) {
    for (const auto& rule : field_rules(kind)) {
        if (rule.name == "full_charge_to" || rule.name == "close" || rule.name == "pipes" || rule.name == "volumes")
            continue;
        if (rule.name == "full_charge") {
            command.add_option("--full-charge", o.full_charge, help_of(kind, "full_charge"));
            continue;
        }
        command.add_option(flag_of(rule.name), o.fields[std::string(rule.name)], help_of(kind, rule.name));
    }
    if (kind == EntryKind::circuit) {
        command.add_option("--close", o.close, "an isolation point, in the order of closing; repeat it")
            ->allow_extra_args(false);
        command.add_option("--pipe", o.pipes, "a pipe: 'liquid 5/8 hard 120ft'; repeat it, all of them each time")
            ->allow_extra_args(false);
        command
            .add_option("--volume", o.volumes,
                        "a component: 'coil 0.42ft3 30% liquid'; repeat it, all of them each time")
            ->allow_extra_args(false);
    }
    if (kind == EntryKind::scale) add_scale_port_options(command, o.port);
    if (kind == EntryKind::cylinder) {
        command.add_option("--gross", o.gross, "opening stock: what the scale shows");
        command.add_flag("--counted", o.counted, "opening stock was counted now");
        command.add_option("--owner", o.owner,
                           "whose gas it is; shop: bought stock; unknown: the owner is not on record");
        command.add_option("--condition", o.condition, "virgin|reclaimed|recycled|recovered");
    }
}

void setup_entry(CLI::App& root, Session& s, EntryKind kind, const char* help) {
    auto* group = root.add_subcommand(std::string(text_of(kind)), help)->require_subcommand(1)->fallthrough();
    auto o = std::make_shared<EntryOptions>();
    auto* add = group->add_subcommand("add", "register one")->fallthrough();
    add->add_option("code", o->code, "its code")->required();
    add_field_options(*add, kind, *o);
    add_recording_options(*add, s, "--by", Work::at_the_desk);
    add->callback([&s, o, kind] { s.run = [&s, o, kind] { return add_entry(s, kind, *o); }; });
    auto c = std::make_shared<EntryOptions>();
    auto* correct =
        group->add_subcommand("correct", "change a field from --at on; the old value holds until then")->fallthrough();
    correct->add_option("code", c->code, "its code")->required();
    add_field_options(*correct, kind, *c);
    add_recording_options(*correct, s, "--by", Work::at_the_desk);
    correct->callback([&s, c, kind] { s.run = [&s, c, kind] { return correct_entry(s, kind, *c); }; });
    auto* show = group->add_subcommand("show", "one entry")->fallthrough();
    show->add_option("code", o->code, "its code")->required();
    auto file = std::make_shared<PageFile>();
    if (kind == EntryKind::circuit) file->add_option(*show);
    show->callback([&s, o, kind, file] {
        s.run = [&s, o, kind, file] {
            const auto book = s.open(Access::read);
            if (kind == EntryKind::circuit) {
                const auto options = file->options(s, book, Has::browser);
                return file->tell(s, must(circuit_page(book, o->code, options)));
            }
            auto page = must(entry_page(book, kind, o->code, s.page_options(&book),
                                        kind == EntryKind::scale ? scale_port(s.book_path(), o->code) : std::nullopt));
            if (kind == EntryKind::scale && s.page_options(&book).format == Format::text)
                page.body += ports_text(s, o->code);
            return s.tell(page);
        };
    });
    if (kind == EntryKind::circuit) setup_circuit_expect(*group, s);
    if (kind == EntryKind::scale) setup_scale_listen(*group, s);
    auto* list = group->add_subcommand("list", "all of them")->fallthrough();
    list->callback([&s, kind] {
        s.run = [&s, kind] {
            const auto book = s.open(Access::read);
            auto page = register_page(book, kind, s.page_options(&book));
            if (kind == EntryKind::scale && s.page_options(&book).format == Format::text)
                page.body += ports_text(s, {});
            return s.tell(page);
        };
    });
}

struct StartOptions {
    std::string company;
    Text zone, country, shop, number;
    bool practice = false;
};

std::string machine_zone() {
    std::error_code e;
    const auto link = std::filesystem::read_symlink("/etc/localtime", e).string();
    const auto at = link.find("zoneinfo/");
    return at == std::string::npos ? "UTC" : link.substr(at + 9);
}

// The country of a new book: typed or answered; without a terminal that of its zone, which is then shown.
struct CountryOfBook {
    std::string code, said;
};
CountryOfBook country_of_new_book(const Session& s, const StartOptions& o, const std::string& zone) {
    if (o.country) return {must(parse_country(*o.country)), {}};
    const auto of_zone = country_of_zone(zone);
    if (s.has_terminal && !std::filesystem::exists(s.book_path())) {
        std::vector<Offer> offers;
        if (of_zone) offers.push_back({*of_zone, country_name(*of_zone) + ", by the zone"});
        return {must(parse_country(s.need(
                    {}, country_question("country in which the shop works, two letters: its rules apply", offers)))),
                {}};
    }
    if (of_zone)
        return {*of_zone,
                fmt::format("country {}, by its zone; where that is wrong, start another book with --country\n",
                            country_text(*of_zone))};
    return {{},
            "country not on record, as the zone names none: the rules of the United States apply; for another one "
            "start\nanother book with --country, or say of each site where it stands\n"};
}

int start(const Session& s, const StartOptions& o) {
    const auto purpose = o.practice ? Purpose::practice : Purpose::real;
    s.take_clock(purpose);
    const std::string zone = o.zone.value_or(machine_zone());
    const auto now = must(moment_in_zone(s.now, zone));
    const std::filesystem::path path = s.book_path();
    if (!s.book_file && path.has_parent_path() && !is_server_address(path)) {
        std::error_code e;
        std::filesystem::create_directories(path.parent_path(), e);
    }
    const auto country = country_of_new_book(s, o, zone);
    const auto units = s.units && *s.units == "kg" ? DisplayUnits::kg : DisplayUnits::lb;
    std::optional<BookCard> card;
    const bool from_folder = o.shop && !looks_like_card(*o.shop) && std::filesystem::is_directory(*o.shop);
    if (from_folder && !o.number)
        throw slip("flag-missing", "--number is missing", {}, "the number of the office's book",
                   "its person reads it from the screen there: tarebook sync");
    if (o.number && !from_folder)
        throw slip("number-alone", "--number is the number of a card in a folder", o.shop.value_or(""),
                   "--shop FOLDER --number NUMBER", "with a card itself no number is needed");
    if (o.shop) card = must(from_folder ? card_numbered(*o.shop, must(number_typed(*o.number))) : parse_card(*o.shop));
    if (card && is_practice(card->shop) != o.practice)
        throw Stop{{ErrorKind::refused, "practice-apart",
                    o.practice
                        ? "that card is of a real book, and this one is to be a practice book: the two stay apart"
                        : "that card is of a practice book, and this one is to be real: the two stay apart",
                    *o.shop, o.practice ? "practice1.SHOP.BOOK.KEY" : "card1.SHOP.BOOK.KEY",
                    o.practice ? "leave --practice out, or --shop" : "add --practice, or leave --shop out"}};
    auto book = Book::create(path, o.company, units, zone, now, card ? std::optional(card->shop) : std::nullopt,
                             purpose, country.code, s.data);
    s.asked.done();
    s.write_heading(purpose);
    tell_remarks(book);
    if (card)  // the card of the book whose register this one takes
        if (const auto done =
                record(book, {s.draft(book, kinds::Trust{hex(card->book), card->public_key, "office", {}})}, {});
            !done)
            throw Stop{done.error()};
    std::cout << fmt::format("The book of {} is at {} (zone {}, {}).\n", o.company, path.string(), zone,
                             units == DisplayUnits::kg ? "kg" : "lb")
              << country.said;
    if (from_folder)
        return sync_and_tell(s, std::move(book), {std::filesystem::absolute(*o.shop).lexically_normal(), false}, true);
    if (card)
        std::cout
            << "next, in the book whose card that was: tarebook books trust NAME --card " << card_text(book.info())
            << "\nits register comes by: tarebook send --to FILE --register-only, and here: tarebook merge FILE\n";
    else
        std::cout << "next: tarebook site add CODE --name NAME --owner OWNER\n";
    return exit_done;
}

}  // namespace

void setup_register_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<StartOptions>();
    auto* begin = root.add_subcommand("start", "make a book")->fallthrough();
    begin->add_option("--company", o->company, "the shop's name")->required();
    begin->add_option("--zone", o->zone, "time zone, for example America/Chicago (the machine's)");
    begin->add_option("--country", o->country,
                      "country in which the shop works, two letters: US, DE (that of the zone)");
    begin->add_option("--shop", o->shop,
                      "card of the office's book, for a truck's: the two belong to one shop, and this one "
                      "trusts the office; or the folder of `sync` that has it, with --number");
    begin->add_option("--number", o->number,
                      "with --shop FOLDER: the number of the office's book, as its person reads it");
    begin->add_flag("--practice", o->practice,
                    "a book to learn with: all that is shown of it is headed PRACTICE, and no real book takes it");
    begin->callback([&s, o] { s.run = [&s, o] { return start(s, *o); }; });
    setup_entry(root, s, EntryKind::site, "sites: owner, owner group, zone");
    setup_entry(root, s, EntryKind::appliance, "appliances: one independent refrigerant loop each (SITE/APPLIANCE)");
    setup_entry(root, s, EntryKind::circuit,
                "circuits of an appliance (SITE/APPLIANCE/CIRCUIT) and how to isolate them");
    setup_entry(root, s, EntryKind::cylinder, "cylinders: use, water capacity, tare, mark, test date");
    setup_entry(root, s, EntryKind::scale, "scales: what they read, division");
    setup_entry(root, s, EntryKind::machine, "recovery machines");
    setup_entry(root, s, EntryKind::technician, "technicians and their certificates");
}

}  // namespace tarebook::cli
