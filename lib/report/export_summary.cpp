#include "export_summary.hpp"

#include <fmt/format.h>

namespace tarebook::report {
namespace {

std::string escaped(std::string_view text) {
    std::string out;
    for (const char c : text) switch (c) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            case '\'':
                out += "&#39;";
                break;
            default:
                out += c;
        }
    return out;
}

constexpr std::string_view style =
    "body{font:11pt/1.4 sans-serif;margin:2em auto;max-width:60em;color:#111}"
    "table{border-collapse:collapse;margin:.5em 0 1.5em}th,td{border:1px solid #999;padding:.2em .6em;text-align:left}"
    "td.n{text-align:right;font-variant-numeric:tabular-nums}caption{text-align:left;font-weight:bold}"
    "code{word-break:break-all}@media print{body{margin:0;font-size:9pt}table{page-break-inside:auto}"
    "tr{page-break-inside:avoid}}";

class PrintedTable {
 public:
    PrintedTable(std::string_view caption, const std::vector<std::string>& headings, std::size_t words)
        : words_(words) {
        out_ = fmt::format("<table><caption>{}</caption><thead><tr>", escaped(caption));
        for (const auto& heading : headings) out_ += fmt::format("<th>{}</th>", escaped(heading));
        out_ += "</tr></thead><tbody>\n";
    }
    void row(const std::vector<std::string>& cells) {
        out_ += "<tr>";
        for (std::size_t i = 0; i < cells.size(); ++i)
            out_ += fmt::format("<td{}>{}</td>", i < words_ ? "" : " class=\"n\"", escaped(cells[i]));
        out_ += "</tr>\n";
        any_ = true;
    }
    [[nodiscard]] std::string html() const {
        return out_ + (any_ ? "" : "<tr><td>none</td></tr>\n") + "</tbody></table>\n";
    }

 private:
    std::string out_;
    std::size_t words_;
    bool any_ = false;
};

std::string stock_html(const YearView& view, DisplayUnits units) {
    const auto m = [&](Mass mass) { return mass_text(mass, units); };
    PrintedTable table("Gas in cylinders, by whose it is",
                       {"gas", "owner", "start", "taken over", "received", "recovered", "charged", "reused", "returned",
                        "destroyed", "released", "lost", "unaccounted", "scale", "reclassified", "end", "counted"},
                       2);
    for (const auto& [key, s] : view.balance.stock) {
        std::vector<std::string> cells{key.refrigerant, key.owner, m(s.line.opening())};
        for (const auto term :
             {Term::taken_over, Term::received, Term::recovered, Term::charged, Term::reused, Term::returned,
              Term::destroyed, Term::released, Term::lost, Term::unaccounted, Term::scale, Term::reclassified})
            cells.push_back(m(s.line.sum(term)));
        cells.push_back(m(s.line.closing()));
        cells.push_back(m(s.counted));
        table.row(cells);
    }
    return table.html();
}

std::string equipment_html(const YearView& view, DisplayUnits units) {
    const auto m = [&](Mass mass) { return mass_text(mass, units); };
    PrintedTable table(
        "Into equipment (taken out: with a minus)",
        {"gas", "site", "owner", "charged", "reused", "by others", "recovered", "released", "pumped over", "net in"},
        3);
    for (const auto& [key, line] : by_site(view.balance)) {
        std::vector<std::string> cells{key.refrigerant, key.appliance, key.owner};
        for (const auto term :
             {Term::charged, Term::reused, Term::by_others, Term::recovered, Term::released, Term::pumped_over})
            cells.push_back(m(line.sum(term)));
        cells.push_back(m(line.closing() - line.opening()));
        table.row(cells);
    }
    return table.html();
}

std::string losses_html(const YearView& view, DisplayUnits units) {
    const GwpSets sets(view.packs);
    std::vector<std::string> headings{"gas", "where", "material balance", "simplified"};
    for (const auto& set : sets.sets()) headings.push_back("t CO2e, " + set.set);
    PrintedTable table("Lost, by the balances of EPA's guidance (equations from memory)", headings, 2);
    for (const auto& line : view.losses) {
        const Mass loss = line.loss.material.loss();
        std::vector<std::string> cells{
            line.refrigerant, line.site.empty() ? "cylinders, owner " + line.owner : line.site, mass_text(loss, units),
            line.site.empty() ? "-" : mass_text(line.loss.simplified.loss(), units)};
        for (const auto& set : sets.sets()) {
            const auto tonnes = sets.tonnes(line.refrigerant, loss, set);
            cells.push_back(tonnes ? fmt::format("{:.3f}", *tonnes) : "not known");
        }
        table.row(cells);
    }
    return table.html() +
           "<p>A loss below nothing is an error of data or scale and is shown as it is. Equivalents of two sets are "
           "never added; not known is not zero.</p>\n";
}

std::string list(std::string_view caption, const std::vector<std::string>& headings, std::size_t words,
                 const std::vector<std::vector<std::string>>& rows) {
    PrintedTable table(caption, headings, words);
    for (const auto& row : rows) table.row(row);
    return table.html();
}

}  // namespace

std::string export_summary(const Book& book, const YearView& view, const ExportWalk& walk, const ExportFigures& figures,
                           const AppliedRules& rules) {
    const auto units = book.info().units;
    const auto title = fmt::format("Refrigerant {}, {}{}", static_cast<int>(view.balance.year), book.info().company,
                                   view.scope.text());
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>{0}</title><style>{1}</style></head>"
        "<body>\n<h1>{0}</h1>\n<p>{2}</p>\n",
        escaped(title), style,
        escaped(fmt::format("{}. Each figure stands in the tables beside this page, with the events behind it. {}",
                            counted(walk.events(), "event"), year_reserve())));
    if (walk.seal().sealed()) out += fmt::format("<pre>{}</pre>\n", escaped(walk.seal().text(book, false)));
    if (view.scope.site)
        out += "<p>Gas in cylinders belongs to owners and not to sites: an owner's export has it.</p>\n";
    else
        out += stock_html(view, units);
    out += equipment_html(view, units) + losses_html(view, units);
    out += fmt::format("<p>{}: {} over the threshold of the day.</p>\n",
                       escaped(counted(figures.additions, "addition")), figures.additions_over);
    out += list("Additions over the threshold", {"appliance", "day", "added", "rate", "threshold", "event"}, 2,
                figures.over);
    out += list("Appliances disposed of, by month", {"month", "gas", "appliances", "recovered"}, 2, figures.disposals);
    out += list("Sent for reclaim or destruction", {"day", "to", "gas", "owner", "mass", "basis"}, 4, figures.sent);
    out += fmt::format("<p>{}: {} not settled. {} out of test, or with a test date that is not on record.</p>\n",
                       escaped(counted(figures.exceptions, "exception")), figures.unsettled,
                       escaped(counted(figures.out_of_test, "cylinder")));
    out += fmt::format("<p>Rule packs: {}.</p>\n", escaped(packs_text(view.packs)));
    PrintedTable open("Rules applied that are still to be confirmed against the clause",
                      {"pack", "date", "rule", "clause"}, 4);
    for (const auto& rule : rules.all())
        if (rule.status == "to-confirm") open.row({rule.pack, rule.date, rule.rule, rule.clause});
    out += open.html();
    PrintedTable heads("Heads: unchanged since these, for whoever holds them", {"book", "event", "digest"}, 3);
    for (const auto& [id, head] : walk.heads()) heads.row({hex(id), event_name(head.seq), hex(head.digest)});
    return out + heads.html() + "</body></html>\n";
}

}  // namespace tarebook::report
