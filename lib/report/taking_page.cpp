// Which cylinders can take a mass of a gas: the fewest, with the weights at which to slow down and to stop.
#include <fmt/format.h>

#include <algorithm>

#include "candidate_cylinders.hpp"
#include "cautions.hpp"

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

Json taking_json(const TakingView& v) {
    Json page = versioned();
    page.add("refrigerant", Json::text(v.question.gas->designation)).add_mass("amount", v.question.amount);
    Json cylinders = Json::array();
    for (const auto& share : v.shares) {
        const auto& w = share.taker->fill.weights;
        Json collar = Json::array();
        for (const auto& what : share.taker->read_collar) collar.push(Json::text(what));
        Json j = Json::object();
        j.add("cylinder", Json::text(share.taker->code))
            .add("place", Json::text(share.taker->place))
            .add("holds", Json::text(share.taker->holds))
            .add_mass("put_in", share.put_in)
            .add_mass("room", w.room)
            .add_mass("slow_gross", w.slow_gross)
            .add_mass("stop_gross", w.stop_gross)
            .add("not_on_record", std::move(collar));
        cylinders.push(std::move(j));
    }
    page.add("cylinders", std::move(cylinders)).add_mass("short", v.short_by);
    Json barred = Json::array();
    for (const auto& one : v.all.barred) barred.push(Json::text(one));
    return std::move(page.add("not_to_be_filled", std::move(barred)));
}

std::string taking_csv(const TakingView& v) {
    Csv csv({"cylinder", "place", "holds", "put_in_lb", "room_lb", "slow_gross_lb", "stop_gross_lb"});
    for (const auto& share : v.shares) {
        const auto& w = share.taker->fill.weights;
        csv.row({share.taker->code, share.taker->place, share.taker->holds, pounds_cell(share.put_in),
                 pounds_cell(w.room), pounds_cell(w.slow_gross), pounds_cell(w.stop_gross)});
    }
    return csv.page();
}

std::string taking_text(const TakingView& v, DisplayUnits units) {
    std::string out = fmt::format(
        "{} of {}: {}\n", mass_text(v.question.amount, units), v.question.gas->designation,
        v.shares.empty() ? "no cylinder of the book" : counted(static_cast<std::int64_t>(v.shares.size()), "cylinder"));
    if (v.short_by > Mass())
        out += fmt::format("SHORT OF ROOM FOR {}: bring another cylinder for {}\n", mass_text_up(v.short_by, units),
                           v.question.gas->designation);
    if (!v.shares.empty()) {
        Table table;
        table.column("cylinder").column("put in", Side::right).column("SLOW DOWN AT", Side::right);
        table.column("STOP AT", Side::right).column("place").column("holds now").column("read the collar for");
        for (const auto& share : v.shares) {
            const auto& w = share.taker->fill.weights;
            table.row({share.taker->code, mass_text_down(share.put_in, units), mass_text_down(w.slow_gross, units),
                       mass_text_down(w.stop_gross, units), or_dash(share.taker->place), share.taker->holds,
                       joined(share.taker->read_collar)});
        }
        out += "\n" + table.text();
    }
    if (!v.all.barred.empty()) out += bulleted("NOT to be filled now: " + joined(v.all.barred));
    out += "\nCautions:\n";
    for (const auto& caution : gas_cautions({v.question.gas})) out += bulleted(caution);
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
            return Page{report::taking_csv(view)};
        case Format::text:
        case Format::html:  // the command line refuses both for this page
        case Format::xlsx:
            break;
    }
    return Page{report::taking_text(view, options.units)};
}

}  // namespace tarebook
