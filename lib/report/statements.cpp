#include "statements.hpp"

#include <fmt/format.h>

#include <map>
#include <set>

#include "shared_text.hpp"

namespace tarebook::report {
namespace {

std::string gases_of(const Lots& lots) {
    std::set<std::string> gases;
    for (const auto& lot : lots) gases.insert(lot.key.refrigerant);
    return gases.empty() ? "no gas, by the book" : "of " + joined({gases.begin(), gases.end()}, " and ");
}

std::string difference_text(const Settlement& split, DisplayUnits units) {
    const Mass rest = total(split.rest);
    return fmt::format("{}{}", mass_text(rest, units),
                       split.within_tolerance() ? fmt::format("  within {}", mass_text(split.tolerance, units))
                                                : fmt::format("  OUTSIDE {}", mass_text(split.tolerance, units)));
}

Lots lots_of(const Lots& lots, const std::string& owner) {
    Lots out;
    for (const auto& lot : lots)
        if (lot.key.owner == owner) out.push_back(lot);
    return out;
}

}  // namespace

ReturnView return_view(const Book& book, StoredEvent returned) {
    ReturnView out{std::move(returned), {}, {}};
    std::map<LotKey, MassTotal> sums;
    for (const auto& p : book.postings(out.event.id))
        if (p.account.kind == AccountKind::reclaimer) sums[p.lot] += p.mass;
    for (const auto& [key, sum] : sums)
        if (!sum.is_zero()) out.sent.push_back({key, sum.value()});
    out.statement = book.statement_on(out.event.id);
    return out;
}

std::vector<ReturnView> returns_among(const Book& book, std::vector<StoredEvent> events) {
    std::vector<ReturnView> out;
    out.reserve(events.size());  // thousands in a year, each with two events
    for (auto& stored : events)
        if (std::holds_alternative<kinds::Return>(stored.event.what) && !stored.voided_by)
            out.push_back(return_view(book, std::move(stored)));
    return out;
}

std::string statement_word(const Book& book, const ReturnView& view) {
    const auto* said = view.said();
    if (!said) return "statement awaited from " + view.what().to;
    return fmt::format("settled by {}{}", event_ref(book, *view.statement), said->outcome ? ", " + *said->outcome : "");
}

std::string settlement_text(const ReturnView& view, DisplayUnits units) {
    const auto* said = view.said();
    if (!said) return {};
    const auto m = [&](Mass mass) { return mass_text(mass, units); };
    const auto split = settlement_of(*said, view.sent);
    Table table;
    table.column("").column("", Side::right).column("");
    const auto row = [&](const char* what, const std::string& mass, std::string more = {}) {
        table.row({what, mass, std::move(more)});
    };
    row("sent", m(total(split.sent)), gases_of(view.sent));
    if (const auto received = said->received()) row("received", m(*received), "gross less tare, as stated");
    row("refrigerant", m(total(split.stated)),
        said->refrigerant ? "stated"
        : said->stated()  ? "what was received less what is none"
                          : "no weight stated");
    if (said->oil) row("oil", m(said->oil->mass));
    if (said->water) row("water", m(said->water->mass));
    if (said->air) row("air", m(said->air->mass));
    auto out = table.text(0);
    out.erase(0, out.find('\n') + 1);  // the columns need no headings
    out += fmt::format("difference   {}\n", difference_text(split, units));
    std::vector<std::string> more;
    if (said->gas) more.push_back("found to be " + *said->gas);
    if (said->purity) more.push_back(fmt::format("purity {} %", *said->purity));
    if (said->lab) more.push_back("analysis " + *said->lab);
    if (said->dated) more.push_back("dated " + *said->dated);
    more.push_back(said->outcome ? "outcome: " + *said->outcome : "outcome not on record");
    more.push_back(said->credit ? "credit " + *said->credit : "no credit on record");
    return out + wrapped(joined(more), 0);
}

Table returns_table(const Book& book, const std::vector<ReturnView>& views, DisplayUnits units,
                    const std::optional<std::string>& owner) {
    const auto m = [&](const Lots& lots) { return mass_cell(total(owner ? lots_of(lots, *owner) : lots), units); };
    Table table;
    table.column("return").column("when").column("to").column("sent", Side::right).column("stated", Side::right);
    table.column("oil, water, air", Side::right).column("difference", Side::right).column("statement");
    for (const auto& view : views) {
        const auto when = moment_cell(view.event.event.when);
        const auto ref = event_ref(book, view.event);
        const auto* said = view.said();
        if (!said) {
            const auto none = mass_cell(std::nullopt, units, "");
            table.typed_row({ref, when, view.what().to, m(view.sent), none, none, none, "awaited"});
            continue;
        }
        const auto split = settlement_of(*said, view.sent);
        table.typed_row(
            {ref, when, view.what().to, m(view.sent), m(split.stated), m(split.contaminants), m(split.rest),
             fmt::format("{}{}", event_ref(book, *view.statement), said->outcome ? ", " + *said->outcome : "")});
    }
    return table;
}

Json return_json_for(const Book& book, const ReturnView& view, const std::string& owner) {
    const auto* said = view.said();
    const auto split = said ? settlement_of(*said, view.sent) : Settlement{};
    const auto share = [&](const Lots& lots) {
        return said ? std::optional(total(lots_of(lots, owner))) : std::nullopt;
    };
    Json j = Json::object();
    j.add("event", Json::text(event_ref(book, view.event)))
        .add("at", Json::text(moment_iso(view.event.event.when)))
        .add("cylinder", Json::text(view.what().cylinder))
        .add("to", Json::text(view.what().to))
        .add_mass("sent", total(lots_of(view.sent, owner)))
        .add_mass("refrigerant", share(split.stated))
        .add_mass("not_refrigerant", share(split.contaminants))
        .add_mass("difference", share(split.rest))
        .add("statement", said ? Json::text(event_ref(book, *view.statement)) : Json::null())
        .add("outcome", said ? Json::text_or_null(said->outcome) : Json::null());
    return j;
}

Json return_json(const Book& book, const ReturnView& view) {
    Json j = Json::object();
    j.add("event", Json::text(event_ref(book, view.event)))
        .add("at", Json::text(moment_iso(view.event.event.when)))
        .add("cylinder", Json::text(view.what().cylinder))
        .add("to", Json::text(view.what().to))
        .add("manifest", Json::text_or_null(view.what().manifest))
        .add_mass("sent", total(view.sent));
    const auto* said = view.said();
    if (!said) return std::move(j.add("statement", Json::null()));
    const auto mass_of = [](const std::optional<Weight>& w) { return w ? std::optional(w->mass) : std::nullopt; };
    const auto split = settlement_of(*said, view.sent);
    Json s = Json::object();
    s.add("event", Json::text(event_ref(book, *view.statement)))
        .add("at", Json::text(moment_iso(view.statement->event.when)))
        .add("dated", Json::text_or_null(said->dated))
        .add("gas", Json::text_or_null(said->gas))
        .add_mass("gross", mass_of(said->gross))
        .add_mass("tare", mass_of(said->tare))
        .add_mass("refrigerant", total(split.stated))
        .add_mass("oil", mass_of(said->oil))
        .add_mass("water", mass_of(said->water))
        .add_mass("air", mass_of(said->air))
        .add_mass("not_refrigerant", total(split.contaminants))
        .add_mass("difference", total(split.rest))
        .add_mass("tolerance", split.tolerance)
        .add("within_tolerance", Json::boolean(split.within_tolerance()))
        .add("purity", Json::text_or_null(said->purity))
        .add("lab", Json::text_or_null(said->lab))
        .add("outcome", Json::text_or_null(said->outcome))
        .add("credit", Json::text_or_null(said->credit));
    return std::move(j.add("statement", std::move(s)));
}

}  // namespace tarebook::report

namespace tarebook {

std::vector<std::string> returns_to_settle(const Book& book, std::string_view cylinder) {
    std::vector<std::string> out;
    std::string latest;
    for (const auto& step : book.steps(cylinder)) {
        const auto event = book.event(step.event_id);
        if (!event || event->voided_by || !std::holds_alternative<kinds::Return>(event->event.what)) continue;
        latest = report::event_ref(book, *event);
        if (!book.statement_on(step.event_id)) out.push_back(latest);
    }
    if (out.empty() && !latest.empty()) out.push_back(latest);
    return out;
}

}  // namespace tarebook
