#include "label.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "document.hpp"
#include "qr_code.hpp"
#include "table.hpp"
#include "tarebook/rules/rules.hpp"
#include "tarebook/units/utf8.hpp"

namespace tarebook::report {
namespace {

std::string upper(std::string text) {
    for (auto& c : text)
        if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    return text;
}

void take_gas(const RoomQuestion& q, Label& label) {
    std::vector<std::string> names;
    for (const auto* gas : q.contents) names.emplace_back(gas->designation);
    for (const auto& strange : not_in_catalogue(q)) names.push_back(strange);
    if (q.mixed) {
        label.gas = "MIXED";
        label.condition = joined(names) + (holds_unknown(q) ? ", and unknown" : "") + ": never for reuse";
    } else if (holds_unknown(q)) {
        label.gas = "UNKNOWN";
        label.condition = "identify before anything else";
    } else if (names.empty()) {
        label.gas = "EMPTY";
    } else {
        label.gas = names.front();
    }
}

// A name of one gas is that gas's alone: of a mixture only who knows its parts can name it for transport.
void take_shipping(const RoomQuestion& q, Label& label) {
    if (q.mixed || holds_unknown(q) || q.contents.size() != 1) return;
    const auto& gas = *q.contents.front();
    label.safety = gas.safety_group;
    if (!gas.un_number) return;
    label.un = fmt::format("UN{:04}", *gas.un_number);
    label.shipping_name = gas.shipping_name;
    label.us = law_of_the_us(q.facts.country.value_or(""));
    label.division = label.us || !gas.hazard_class.ends_with("2.3 elsewhere") ? std::string(gas.hazard_class) : "2.3";
    label.shipping_from_memory = gas.status_of("un_number") == ValueStatus::from_memory ||
                                 gas.status_of("shipping_name") == ValueStatus::from_memory;
}

void take_cautions(const RoomQuestion& q, Label& label) {
    const auto any = [&](auto test) {
        return std::any_of(q.contents.begin(), q.contents.end(), [&](const Refrigerant* g) { return test(*g); });
    };
    if (any([](const Refrigerant& g) { return g.flammable(); }))
        label.cautions.emplace_back("FLAMMABLE: no flame or spark");
    if (any([](const Refrigerant& g) { return g.toxic(); })) label.cautions.emplace_back("TOXIC when breathed");
    if (label.gas == "UNKNOWN" || !not_in_catalogue(q).empty() ||
        (q.mixed && !any([](const Refrigerant& g) { return g.flammable(); })))
        label.cautions.emplace_back("may be flammable, until analysed");
    label.cautions.emplace_back("under pressure: never over 125 F / 52 C; upright, secured, capped");
    label.cautions.emplace_back("takes the place of air; liquid burns cold");
}

// At most so many letters.
std::string fitting(const std::string& text, std::size_t most) {
    return letters_in(text) <= most ? text : std::string(cut_to_letters(text, most - 3)) + "...";
}

}  // namespace

Label label_of(const Book& book, const RoomQuestion& q, const PageOptions& options) {
    Label label;
    label.cylinder = q.code;
    label.practice = book.info().practice();
    take_gas(q, label);
    const auto content = content_of(q.state, q.facts);
    if (!q.state.lots.empty()) {
        if (!q.mixed && label.gas != "UNKNOWN") label.condition = content.condition.value_or("");
        label.owner = owner_word(content).value_or("not on record");
    } else if (!q.contents.empty()) {
        label.condition = "empty, for " + q.facts.use;
    }
    if (q.state.reclaim_only && !q.mixed) label.condition += ", reclaim only";
    if (!q.state.spoiled.empty()) label.condition += ", " + upper(q.state.spoiled);
    if (q.facts.water_capacity) label.water_capacity = q.facts.water_capacity->filled_with(water_at_60f());
    label.tare = q.facts.tare;
    if (const auto bars = fill_bars(q, options.now); !bars.empty())
        label.bar = bars.front().brief;
    else if (const auto fill = fill_view(q, options.units)) {
        label.stop = fill->weights.stop_gross;
        label.slow = fill->weights.slow_gross;
    }
    label.test_due = test_due(book.rules(), q.facts);
    take_shipping(q, label);
    take_cautions(q, label);
    const auto head = book.head();
    label.as_of = fmt::format("{}, head {} {}", date_text(today_of(book, options.now)), event_name(head.seq),
                              hex(head.digest).substr(0, 8));
    return label;
}

namespace {
std::string test_text(const Label& label) {
    return label.test_due ? "to " + month_text(*label.test_due) : "see collar";
}
}  // namespace

std::vector<std::pair<std::string, std::string>> label_facts(const Label& l, DisplayUnits units) {
    std::vector<std::pair<std::string, std::string>> out{{"gas", l.gas}};
    if (l.practice) out.emplace(out.begin(), "PRACTICE", "nothing in this book is real");
    const auto add = [&](const char* name, const std::string& value) {
        if (!value.empty()) out.emplace_back(name, value);
    };
    add("condition", l.condition);
    add("owner of gas", l.owner);
    if (!l.bar.empty()) add("DO NOT FILL", l.bar);
    add("STOP AT", l.stop          ? mass_text_down(*l.stop, units) + " gross"
                   : l.bar.empty() ? "not known: ask `tarebook room`"
                                   : "");
    if (l.slow) add("slow down at", mass_text_down(*l.slow, units) + " gross");
    add("TW (tare)", l.tare ? mass_text(*l.tare, units) : "read the collar");
    add("WC (water)", l.water_capacity ? mass_text(*l.water_capacity, units) : "read the collar");
    add("test", test_text(l));
    add("safety group", l.safety);
    if (!l.un.empty())
        add("shipping", fmt::format("{}, {}, {}{}", l.un, l.shipping_name, l.division,
                                    !l.shipping_from_memory ? ""
                                    : l.us                  ? " (from memory: confirm by 49 CFR 172.101)"
                                                            : " (from memory: confirm by the rules of the place)"));
    else if (l.gas != "EMPTY")
        add("shipping", "to be named by a person who knows what is in it");
    for (const auto& caution : l.cautions) add("caution", caution);
    return out;
}

std::string_view label_style() {
    return R"(.label text{fill:#000;font-family:system-ui,sans-serif}
.label .s0{font-size:25px}.label .s1{font-size:32px}.label .s2{font-size:46px}
.label .s3{font-size:66px;font-weight:700}.label .s4{font-size:106px;font-weight:700}
.label .edge{fill:none;stroke:#000;stroke-width:3}.label .qr{fill:#000}
)";
}

Picture label_picture(const Label& l, DisplayUnits units) {
    // Tenths of a millimetre, 1000 wide and 700 high.
    Picture out;
    out.title = "Label of " + l.cylinder;
    for (const auto& [name, value] : label_facts(l, units)) add_word(out.told, name + " " + value, "; ");
    out.height = 700;
    out.width = 1000;
    out.of_class = "label";
    const auto text = [&](int x, int y, const char* of_class, const std::string& words) {
        out.svg += fmt::format("<text class=\"{}\" x=\"{}\" y=\"{}\">{}</text>\n", of_class, x, y, escaped(words));
    };
    // Words that are too long for their place are drawn closer; those of more than twice its length end in dots.
    const auto fitted = [&](int x, int y, const char* of_class, std::string words, int most, double letter) {
        const auto room = static_cast<std::size_t>(most / letter);
        words = fitting(std::move(words), 2 * room);
        if (letters_in(words) <= room)
            text(x, y, of_class, words);
        else
            out.svg += fmt::format(
                "<text class=\"{}\" x=\"{}\" y=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\">{}</text>\n",
                of_class, x, y, most, escaped(words));
    };
    out.svg += "<rect class=\"edge\" x=\"4\" y=\"4\" width=\"992\" height=\"692\" rx=\"18\"/>\n";
    const auto code = qr_code(l.cylinder);
    // four modules of quiet zone on each side
    const double module = 250.0 / (code.modules + 8);
    out.svg += fmt::format("<path class=\"qr\" transform=\"translate({:.2f} {:.2f}) scale({:.4f})\" d=\"{}\"/>\n",
                           730 + 4 * module, 20 + 4 * module, module, code.path);
    fitted(36, 84, "s3", l.cylinder, 680, 44);
    fitted(36, 196, "s4", (l.practice ? "PRACTICE " : "") + l.gas, 680, 72);
    fitted(36, 252, "s2", l.condition, 680, 28);
    fitted(36, 296, "s1",
           l.owner.empty()         ? ""
           : l.owner == shop_owner ? "the shop's gas"
                                   : "gas of " + l.owner,
           920, 19);
    out.svg += "<rect class=\"edge\" x=\"30\" y=\"318\" width=\"940\" height=\"104\" rx=\"10\"/>\n";
    if (!l.bar.empty()) {
        fitted(50, 392, "s3", "DO NOT FILL: " + l.bar, 900, 44);
    } else if (l.stop) {
        fitted(50, 392, "s3", "STOP AT " + mass_text_down(*l.stop, units), 590, 44);
        text(690, 364, "s1", "slow down at");
        text(690, 406, "s2", l.slow ? mass_text_down(*l.slow, units) : "");
    } else {
        text(50, 392, "s2", "STOP AT: not known; read the collar, ask the book");
    }
    const auto m = [&](const std::optional<Mass>& mass) {
        return mass ? mass_text(*mass, units) : std::string("see collar");
    };
    fitted(36, 468, "s2", "TW " + m(l.tare), 290, 28);
    fitted(346, 468, "s2", "WC " + m(l.water_capacity), 290, 28);
    fitted(656, 468, "s2", "test " + test_text(l), 310, 28);
    fitted(36, 512, "s1",
           l.un.empty() ? (l.gas == "EMPTY" ? std::string() : std::string("shipping name: not known"))
                        : fmt::format("{}  {}, {}{}", l.un, l.shipping_name, l.division,
                                      l.shipping_from_memory ? "  (confirm)" : ""),
           920, 19);
    int y = 554;
    for (const auto& caution : l.cautions) {
        const bool first = &caution == &l.cautions.front();
        fitted(36, y, "s1", first && !l.safety.empty() ? l.safety + "  " + caution : caution, 920, 19);
        y += 36;
    }
    fitted(36, 682, "s0", "as of " + l.as_of + "; local codes and licensed persons decide", 920, 15);
    return out;
}

}  // namespace tarebook::report
