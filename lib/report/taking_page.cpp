// Which cylinders can take a mass of a gas: the fewest, with the weights at which to slow down and to stop.
#include <fmt/format.h>

#include <algorithm>

#include "candidate_cylinders.hpp"
#include "cautions.hpp"
#include "columns.hpp"
#include "layout.hpp"

namespace tarebook {
namespace report {
namespace {

struct Share {
    const CandidateCylinder* taker;
    Mass put_in;
};
struct TakingView {
    const TakingQuestion& question;
    CandidateCylinders all;
    std::vector<Share> shares;
    Mass short_by;
};

// The most room first is the fewest cylinders. The rest then goes where it fits with the least to spare, so that the
// roomy ones stay free for the next job.
void share_out(TakingView& view) {
    Mass rest = view.question.amount;
    const auto& takers = view.all.takers;
    for (auto it = takers.begin(); it != takers.end() && rest > Mass(); ++it) {
        auto chosen = it;
        if (it->fill.weights.room >= rest)
            while (std::next(chosen) != takers.end() && std::next(chosen)->fill.weights.room >= rest) ++chosen;
        const auto put_in = std::min(rest, chosen->fill.weights.room);
        view.shares.push_back({&*chosen, put_in});
        rest -= put_in;
    }
    view.short_by = rest;
}

TakingView view_of(const Book& book, const TakingQuestion& question, const PageOptions& options) {
    const WantedGas wanted{question.gas, question.owner, question.place, question.job, question.stored_at};
    TakingView view{question,
                    candidate_cylinders(book, wanted, options.format == Format::text ? options.units : DisplayUnits::lb,
                                        options.now),
                    {},
                    {}};
    share_out(view);
    return view;
}

const Columns<Share>& share_columns() {
    using C = Column<Share>;
    const auto weight = [](Mass StopWeights::*which) {
        return [which](const Share& s) { return Field::down(s.taker->fill.weights.*which); };
    };
    static const Columns<Share> columns{
        {"cylinder", "cylinder", [](const Share& s) { return s.taker->code; }},
        {"place", "place", [](const Share& s) { return s.taker->place; }},
        {"holds", "holds now", [](const Share& s) { return s.taker->holds; }},
        C("put_in", "put in", [](const Share& s) { return Field::down(s.put_in); }).mass().summed(),
        C("room", "", weight(&StopWeights::room)).mass(),
        C("slow_gross", "SLOW DOWN AT", weight(&StopWeights::slow_gross)).mass(),
        C("stop_gross", "STOP AT", weight(&StopWeights::stop_gross)).mass(),
        C("not_on_record", "read the collar for", [](const Share& s) { return s.taker->read_collar; }).no_csv()};
    return columns;
}

Json taking_json(const TakingView& v) {
    return page_of("cylinders-for", {{"refrigerant", v.question.gas->designation},
                                     {"amount", v.question.amount},
                                     {"cylinders", share_columns().json(v.shares)},
                                     {"short", v.short_by},
                                     {"not_to_be_filled", v.all.barred}});
}

std::string taking_text(const TakingView& v, DisplayUnits units) {
    std::string out = fmt::format(
        "{} of {}: {}\n", mass_text(v.question.amount, units), v.question.gas->designation,
        v.shares.empty() ? "no cylinder of the book" : counted(static_cast<std::int64_t>(v.shares.size()), "cylinder"));
    if (v.short_by > Mass())
        out += fmt::format("SHORT OF ROOM FOR {}: bring another cylinder for {}\n", mass_text_up(v.short_by, units),
                           v.question.gas->designation);
    if (!v.shares.empty())
        out += "\n" + share_columns()
                          .table({"cylinder", "put in", "SLOW DOWN AT", "STOP AT", "place", "holds now",
                                  "read the collar for"},
                                 v.shares, units)
                          .text();
    if (!v.all.barred.empty()) out += bulleted("NOT to be filled now: " + joined(v.all.barred));
    out += "\nCautions:\n";
    for (const auto& caution : gas_cautions({v.question.gas}, units)) out += bulleted(caution);
    out += bulleted("stop by the scale, at the weight shown; local code and the maker come first");
    return out;
}

}  // namespace
}  // namespace report

Page taking_page(const Book& book, const TakingQuestion& question, const PageOptions& options) {
    const auto view = report::view_of(book, question, options);
    switch (options.format) {
        case Format::json:
            return Page{report::taking_json(view).page()};
        case Format::csv:
            return Page{report::share_columns().csv(view.shares)};
        case Format::text:
        case Format::html:  // the command line refuses both for this page
        case Format::xlsx:
            break;
    }
    return Page{report::laid_out(report::taking_text(view, options.units), options.width)};
}

}  // namespace tarebook
