#include "statements.hpp"

#include <fmt/format.h>

#include <map>
#include <set>

#include "money_field.hpp"
#include "shared_text.hpp"

namespace tarebook::report {
namespace {

std::string gases_of(const Lots& lots) {
    std::set<std::string> gases;
    for (const auto& lot : lots) gases.insert(lot.key.refrigerant);
    return gases.empty() ? "no gas, by the book" : "of " + joined(gases, " and ");
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

// "E50, reclaimed"; `view` has a statement.
std::string statement_and_outcome(const ReturnView& view) {
    const auto& outcome = view.said()->outcome;
    return view.statement->name + (outcome ? ", " + *outcome : "");
}

// A return and what of it is an owner's, or all of it.
struct ReturnRow {
    const ReturnView* view;
    Mass sent;
    std::optional<Mass> stated, contaminants, rest;
};
ReturnRow row_of(const ReturnView& view, const std::optional<std::string>& owner) {
    const auto mass = [&](const Lots& lots) { return total(owner ? lots_of(lots, *owner) : lots); };
    ReturnRow out{&view, mass(view.sent), {}, {}, {}};
    if (!view.said()) return out;
    const auto split = settlement_of(*view.said(), view.sent);
    out.stated = mass(split.stated), out.contaminants = mass(split.contaminants), out.rest = mass(split.rest);
    return out;
}
const Columns<ReturnRow>& row_columns() {
    using C = Column<ReturnRow>;
    const auto statement = [](const ReturnRow& r) { return r.view->said() ? r.view->statement->name : std::string(); };
    static const Columns<ReturnRow> columns{
        {"event", "return", [](const ReturnRow& r) { return r.view->event.name; }},
        {"at", "when", [](const ReturnRow& r) { return r.view->event.event.when; }},
        {"cylinder", "", [](const ReturnRow& r) { return r.view->what().cylinder; }},
        {"to", "to", [](const ReturnRow& r) { return r.view->what().to; }},
        C("sent", "sent", &ReturnRow::sent).summed(),
        C("refrigerant", "stated", &ReturnRow::stated).blank().summed(),
        C("not_refrigerant", "not refrigerant", &ReturnRow::contaminants).blank().summed(),
        C("difference", "difference", &ReturnRow::rest).blank().summed(),
        C("statement", "statement", statement).shown([](const ReturnRow& r, DisplayUnits) {
            return Cell(r.view->said() ? statement_and_outcome(*r.view) : "awaited");
        }),
        {"outcome", "", [](const ReturnRow& r) { return r.view->said() ? r.view->said()->outcome : std::nullopt; }}};
    return columns;
}

Json said_json(const ReturnView& view) {
    const auto* said = view.said();
    if (!said) return Json::null();
    const auto mass = [](const std::optional<Weight>& w) { return w ? std::optional(w->mass) : std::nullopt; };
    const auto split = settlement_of(*said, view.sent);
    return facts(
        {{"event", view.statement->name},
         {"at", view.statement->event.when},
         {"date", said->dated},
         {"refrigerant", said->gas},
         {"gross", mass(said->gross)},
         {"tare", mass(said->tare)},
         {"refrigerant", total(split.stated)},
         {"oil", mass(said->oil)},
         {"water", mass(said->water)},
         {"air", mass(said->air)},
         {"not_refrigerant", total(split.contaminants)},
         {"difference", total(split.rest)},
         {"tolerance", split.tolerance},
         {"within_tolerance", split.within_tolerance()},
         {"purity_percent",
          Field::decimal(said->purity ? std::optional(std::strtod(said->purity->c_str(), nullptr)) : std::nullopt, 4)},
         {"lab", said->lab},
         {"outcome", said->outcome},
         {"credit", money_or_words(said->credit_amount, said->credit)},
         {"credit_amount", amount_field(said->credit_amount)},
         {"credit_currency", currency_field(said->credit_amount)}});
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

std::string statement_word(const ReturnView& view) {
    const auto* said = view.said();
    if (!said) return "statement awaited from " + view.what().to;
    return "settled by " + statement_and_outcome(view);
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
        : said->stated()  ? "what was received, less oil, water and air"
                          : "no weight stated");
    if (said->oil) row("oil", m(said->oil->mass));
    if (said->water) row("water", m(said->water->mass));
    if (said->air) row("air", m(said->air->mass));
    auto out = table.text(0);
    out += fmt::format("difference   {}\n", difference_text(split, units));
    std::vector<std::string> more;
    if (said->gas) more.push_back("found to be " + *said->gas);
    if (said->purity) more.push_back(fmt::format("purity {} %", *said->purity));
    if (said->lab) more.push_back("analysis " + *said->lab);
    if (said->dated) more.push_back("dated " + *said->dated);
    more.push_back(said->outcome ? "outcome: " + *said->outcome : "outcome not on record");
    const auto credit = money_or_words(said->credit_amount, said->credit);
    more.push_back(credit ? "credit " + *credit : "no credit on record");
    return out + wrapped(joined(more), 0);
}

Table returns_table(const std::vector<ReturnView>& views, DisplayUnits units, const std::optional<std::string>& owner) {
    std::vector<ReturnRow> rows;
    for (const auto& view : views) rows.push_back(row_of(view, owner));
    return row_columns().table(rows, units);
}

Json return_json_for(const ReturnView& view, const std::string& owner) {
    return row_columns().object(row_of(view, owner));
}

Json return_json(const ReturnView& v) {
    return facts({{"event", v.event.name},
                  {"at", v.event.event.when},
                  {"cylinder", v.what().cylinder},
                  {"to", v.what().to},
                  {"manifest", v.what().manifest},
                  {"sent", total(v.sent)},
                  {"statement", said_json(v)}});
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
