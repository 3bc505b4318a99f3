// What a job had that an invoice lists. Quantities are those of the record; a price is the one that the shop has put on
// record for the gas, and what was paid for it stands beside it: a page for the office.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "document.hpp"
#include "money_field.hpp"
#include "shared_text.hpp"
#include "statements.hpp"
#include "stock.hpp"
#include "tarebook/units/hours.hpp"

namespace tarebook {
namespace report {
namespace {

enum class InvoiceKind { gas, credit, part, hours };
std::string_view key_of(InvoiceKind kind) {
    constexpr std::array<std::string_view, 4> words{"gas", "credit", "part", "hours"};
    return words[static_cast<std::size_t>(kind)];
}

struct InvoiceLine {
    InvoiceKind kind = InvoiceKind::gas;
    std::string what;  // for people
    std::string refrigerant, owner, condition, technician, tag;
    std::optional<Mass> mass;
    std::optional<std::int64_t> pieces, minutes;
    std::optional<Price> price;   // asked, for a unit
    std::optional<Money> amount;  // a credit is below zero
    std::optional<Money> paid;    // by the shop, for what went out
    std::vector<std::string> events;
};

struct InvoiceView {
    std::string job;
    std::set<std::string> sites;
    std::optional<Moment> first, last;
    std::vector<InvoiceLine> lines;
};

std::string whose_gas(const std::string& owner) {
    return owner == shop_owner ? "the shop's" : owner == "unassigned" ? "owner not on record" : "of " + owner;
}

class InvoiceCollector {
 public:
    InvoiceCollector(const Book& book, InvoiceView& view) : book_(book), view_(view) {}

    void run(const std::vector<StoredEvent>& events) {
        for (const auto& stored : events) {
            if (stored.voided_by || stored.quarantined) continue;
            const auto& event = stored.event;
            if (!view_.first || event.when.at < view_.first->at) view_.first = event.when;
            if (!view_.last || view_.last->at < event.when.at) view_.last = event.when;
            if (const auto circuit = circuit_named_by(event); !circuit.empty()) view_.sites.insert(site_of(circuit));
            if (const auto* charge = std::get_if<kinds::Charge>(&event.what)) gas(stored, *charge, "charged");
            if (const auto* reuse = std::get_if<kinds::Reuse>(&event.what)) gas(stored, *reuse, "put back");
            if (const auto* fit = std::get_if<kinds::Fit>(&event.what)) part(stored, *fit);
            if (const auto* note = std::get_if<kinds::Note>(&event.what); note && note->minutes)
                hours(stored, *note->minutes);
            if (std::holds_alternative<kinds::Return>(event.what))
                if (const auto statement = book_.statement_on(stored.id)) credit(*statement);
            if (std::holds_alternative<kinds::Settle>(event.what)) credit(stored);
        }
        for (auto& [key, line] : gases_) view_.lines.push_back(std::move(line));
        for (auto* list : {&parts_, &credits_})
            view_.lines.insert(view_.lines.end(), std::make_move_iterator(list->begin()),
                               std::make_move_iterator(list->end()));
        for (auto& [person, line] : hours_) view_.lines.push_back(std::move(line));
    }

 private:
    // What others put in is on their invoice.
    void gas(const StoredEvent& stored, const kinds::Put& put, const char* did) {
        if (put.from.starts_with("outside:")) return;
        const auto order = stored.event.order();
        std::optional<Paid> paid;
        bool looked = false;
        for (const auto& p : book_.postings(stored.id)) {
            if (p.account.kind != AccountKind::circuit) continue;
            const auto& lot = p.lot;
            const bool ours = lot.owner == shop_owner;
            const auto price = ours ? asked_for(book_.entries(), lot.refrigerant, order) : std::nullopt;
            auto& line = gases_[{lot.refrigerant, lot.owner, lot.condition, did, price ? price_text(*price) : ""}];
            const bool first = !line.mass;
            line.refrigerant = lot.refrigerant, line.owner = lot.owner;
            line.condition = tarebook::text_of(lot.condition);
            line.what = fmt::format("{} {}, {}, {}", lot.refrigerant, did, line.condition, whose_gas(lot.owner));
            line.price = price;
            line.mass = line.mass.value_or(Mass()) + p.mass;
            line.amount = price ? price->of(*line.mass) : std::nullopt;
            if (ours && !looked) paid = paid_for(book_, put.from, order), looked = true;
            add_paid(line, first, ours && paid ? paid->of(p.mass) : std::nullopt);
            if (line.events.empty() || line.events.back() != stored.name) line.events.push_back(stored.name);
        }
    }
    // A sum of which a part is not known is not known.
    static void add_paid(InvoiceLine& line, bool first, const std::optional<Money>& paid) {
        if (first)
            line.paid = paid;
        else if (!paid || !line.paid || paid->currency != line.paid->currency)
            line.paid.reset();
        else
            line.paid->minor += paid->minor;
    }
    void part(const StoredEvent& stored, const kinds::Fit& fit) {
        InvoiceLine line;
        line.kind = InvoiceKind::part;
        line.tag = fit.tag.value_or("");
        line.what = fit.part + (line.tag.empty() ? "" : ", " + line.tag);
        line.pieces = fit.quantity.value_or(1);
        line.events = {stored.name};
        parts_.push_back(std::move(line));
    }
    void hours(const StoredEvent& stored, std::int64_t minutes) {
        const auto who = stored.event.by.value_or("");
        auto& line = hours_[who];
        line.kind = InvoiceKind::hours;
        line.technician = who;
        line.what = who.empty() ? "work, by whom is not on record" : "work, " + who;
        line.minutes = line.minutes.value_or(0) + minutes;
        line.events.push_back(stored.name);
    }
    // Once, whether the return or the statement names the job.
    void credit(const StoredEvent& statement) {
        const auto& said = std::get<kinds::Settle>(statement.event.what);
        if ((!said.credit && !said.credit_amount) || !credited_.insert(statement.id).second) return;
        InvoiceLine line;
        line.kind = InvoiceKind::credit;
        line.refrigerant = said.gas.value_or("");
        line.what = fmt::format("reclaim credit for {}", said.cylinder);
        if (!said.credit_amount) line.what += ", on record as \"" + *said.credit + "\"";
        line.mass = said.stated();
        if (said.credit_amount) line.amount = Money{-said.credit_amount->minor, said.credit_amount->currency};
        line.events = {statement.name};
        credits_.push_back(std::move(line));
    }

    const Book& book_;
    InvoiceView& view_;
    std::map<std::tuple<std::string, std::string, Condition, std::string, std::string>, InvoiceLine> gases_;
    std::vector<InvoiceLine> parts_, credits_;
    std::map<std::string, InvoiceLine> hours_;
    std::set<std::int64_t> credited_;
};

std::string invoice_quantity(const InvoiceLine& l, DisplayUnits units) {
    return l.mass      ? mass_text(*l.mass, units)
           : l.minutes ? hours_text(*l.minutes)
           : l.pieces  ? std::to_string(*l.pieces)
                       : std::string();
}

const Columns<InvoiceLine>& invoice_columns() {
    using C = Column<InvoiceLine>;
    const auto asked = [](const InvoiceLine& l) { return l.price ? std::optional(l.price->amount) : std::nullopt; };
    static const Columns<InvoiceLine> columns{
        {"line_kind", "", [](const InvoiceLine& l) { return key_of(l.kind); }},
        {"text", "what", &InvoiceLine::what},
        {"refrigerant", "", &InvoiceLine::refrigerant},
        {"owner", "", &InvoiceLine::owner},
        {"condition", "", &InvoiceLine::condition},
        {"technician", "", &InvoiceLine::technician},
        {"tag", "", &InvoiceLine::tag},
        {"net", "", &InvoiceLine::mass},
        {"quantity", "", &InvoiceLine::pieces},
        {"minutes", "", &InvoiceLine::minutes},
        C("", "quantity", [](const InvoiceLine&) { return ""; })
            .right()
            .shown([](const InvoiceLine& l, DisplayUnits units) { return Cell(invoice_quantity(l, units)); }),
        C("price", "price", [](const InvoiceLine& l) { return l.price ? price_text(*l.price) : std::string(); })
            .right()
            .blank(),
        {"price_amount", "", [asked](const InvoiceLine& l) { return amount_field(asked(l)); }},
        {"price_currency", "", [asked](const InvoiceLine& l) { return currency_field(asked(l)); }},
        {"price_per", "", [](const InvoiceLine& l) { return l.price ? tarebook::text_of(l.price->per) : ""; }},
        C("amount", "amount", [](const InvoiceLine& l) { return amount_field(l.amount); }).right(),
        C("amount_currency", "currency", [](const InvoiceLine& l) { return currency_field(l.amount); }).blank(),
        C("paid", "paid", [](const InvoiceLine& l) { return l.paid ? money_text(*l.paid) : std::string(); })
            .right()
            .blank(),
        {"paid_amount", "", [](const InvoiceLine& l) { return amount_field(l.paid); }},
        {"paid_currency", "", [](const InvoiceLine& l) { return currency_field(l.paid); }},
        C("event_names", "events", &InvoiceLine::events).shown([](const InvoiceLine& l, DisplayUnits) {
            return Cell(joined(l.events, " "));
        })};
    return columns;
}

// AmountSums of what has an amount, by currency; and how many lines have none.
struct AmountSums {
    MoneyTotal total;
    std::int64_t without = 0;
};
AmountSums sums_of(const InvoiceView& v) {
    AmountSums out;
    for (const auto& line : v.lines)
        if (line.amount)
            out.total += *line.amount;
        else
            ++out.without;
    return out;
}

Document invoice_document(const InvoiceView& v, DisplayUnits units) {
    const auto sums = sums_of(v);
    std::vector<std::string> answer;
    if (!sums.total.empty()) answer.push_back(sums.total.text());
    answer.push_back(counted(std::ssize(v.lines), "line"));
    if (sums.without > 0) answer.push_back(fmt::format("{} without an amount", sums.without));
    Document page(
        fmt::format("For the invoice of job {}, {}{}", v.job,
                    joined(std::vector<std::string>(v.sites.begin(), v.sites.end())),
                    v.first ? fmt::format("{}{}", v.sites.empty() ? "" : ", ", date_text(v.first->date())) : ""),
        joined(answer), ": ");
    if (v.lines.empty()) {
        page.paragraph("The job has no gas charged, no credit, no part and no hours on record.");
        return page;
    }
    page.gap().table(
        invoice_columns().table({"what", "quantity", "price", "amount", "currency", "paid", "events"}, v.lines, units),
        "Lines");
    page.gap();
    if (!sums.total.empty()) page.line("sum of the amounts: " + sums.total.text());
    if (sums.without > 0)
        page.paragraph(fmt::format("{} without an amount: no price is on record, or the gas is the customer's own",
                                   counted(sums.without, "line")));
    return std::move(page.paragraph(
        "Quantities are as recorded. A price is what the shop asks (`tarebook stock price`); paid is what its "
        "cylinder cost, and is for the office alone. Taxes, travel and what is not on record are not in it."));
}

Json invoice_totals(const MoneyTotal& total) {
    using Sum = std::pair<const Currency, Money>;
    static const Columns<Sum> columns{{"amount", "", [](const Sum& s) { return amount_field(s.second); }},
                                      {"amount_currency", "", [](const Sum& s) { return currency_field(s.second); }}};
    return columns.json(total.sums());
}

}  // namespace
}  // namespace report

Result<Page> invoice_page(const Book& book, std::string_view job, const PageOptions& options) {
    using namespace report;
    const auto events = book.events_of_job(job);
    if (events.empty()) return fail(unknown_job(job));
    InvoiceView view;
    view.job = std::string(job);
    InvoiceCollector(book, view).run(events);
    switch (options.format) {
        case Format::json: {
            const auto sums = sums_of(view);
            return Page{page_of("invoice", {{"job", view.job},
                                            {"sites", std::vector<std::string>(view.sites.begin(), view.sites.end())},
                                            {"lines", invoice_columns().json(view.lines)},
                                            {"totals", invoice_totals(sums.total)},
                                            {"lines_without_amount", sums.without}})
                            .page()};
        }
        case Format::csv:
            return Page{invoice_columns().csv(view.lines, "job", view.job)};
        case Format::text:
        case Format::html:
        case Format::xlsx:
            break;
    }
    return Page{page_body(invoice_document(view, options.units), book, options)};
}

}  // namespace tarebook
