#include "morning.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "check_text.hpp"
#include "clock_cards.hpp"
#include "clock_summary.hpp"
#include "fill.hpp"
#include "gathered.hpp"
#include "shared_text.hpp"

namespace tarebook::report {
namespace {

constexpr std::size_t rows_of_a_screen = 12;

struct Wanted {
    std::string code, why;
    Content content;
    std::optional<Mass> net;
    std::string place;
    int rank = 0;
};
struct Place {
    std::int64_t cylinders = 0;
    Mass net;
};
struct Cylinders {
    std::vector<Wanted> wanted;
    std::map<std::string, Place, CodeOrder> places;
};

// Why a person looks for this cylinder first: over, leaking, lost, out of test. Empty where by the book nothing is.
std::string why_wanted(const RoomQuestion& q, FillLimitMemo& limits, const PageOptions& options, int& rank) {
    const auto fill = fill_weights_of(limits, q, options.units);
    std::string out;
    const auto take = [&](int as, std::string words) {
        if (out.empty()) rank = as;
        add_word(out, words);
    };
    if (fill && !fill->draw_down.is_zero())
        take(0, "OVER its limit by " + mass_text_up(fill->draw_down, options.units));
    if (q.state.leaking) take(1, words_of_flag("leaking"));
    if (q.state.lost) take(2, "missing");
    if (test_is_over(q.data.rules, q.facts, options.now) && q.facts.use != "supply")
        take(3, words_of_flag("out-of-test"));
    return out;
}

Cylinders cylinders_of(const Book& book, const PageOptions& options) {
    Cylinders out;
    FillLimitMemo limits;
    const ScalesInUse scales(book);
    book.each_cylinder([&](CylinderNow&& cylinder) {
        if (cylinder.state.gone) return;
        const auto scale = scales.of(cylinder.code);
        const auto q = room_question_of(book.reference_data(), std::move(cylinder), scale);
        const auto place = q.state.place.empty() ? q.facts.place.value_or("") : q.state.place;
        if (!q.state.lost) {
            auto& there = out.places[place];
            ++there.cylinders;
            there.net += q.state.contents();
        }
        Wanted one{q.code, {}, content_of(q.state, q.facts), {}, place, 0};
        one.why = why_wanted(q, limits, options, one.rank);
        if (one.why.empty()) return;
        if (!contents_unknown(q.state, q.facts)) one.net = q.state.contents();
        out.wanted.push_back(std::move(one));
    });
    std::stable_sort(out.wanted.begin(), out.wanted.end(),
                     [](const Wanted& a, const Wanted& b) { return a.rank < b.rank; });
    return out;
}

template <class Row>
std::string cut_to_a_screen(std::vector<Row>& rows, std::string_view page) {
    if (rows.size() <= rows_of_a_screen) return {};
    const auto more = rows.size() - rows_of_a_screen;
    rows.erase(rows.begin() + rows_of_a_screen, rows.end());
    return fmt::format("{} more: {}", more, page);
}

}  // namespace

std::string morning_answer(const std::vector<DayLine>& lines) {
    std::vector<std::string> parts;
    for (const auto& line : lines)
        if (!line.in_short.empty()) parts.push_back(line.in_short);
    return parts.empty() ? "nothing is begun, late, over or missing by this book; it does not say that all is well"
                         : joined(parts, "; ");
}

Document morning(const Book& book, const std::vector<DayLine>& lines, const DayQuestion& question,
                 const PageOptions& options) {
    Document page;
    if (!lines.empty()) {
        Table today;
        today.column("what").column("now");
        for (const auto& line : lines) today.row({line.what, line.now});
        page.heading("Today").table(std::move(today), "What is begun, late, over, missing or not sent");
    }
    const auto on = today_of(book, options.now);
    const auto clocks =
        options.gathered ? options.gathered->clocks : clock_summary(book, {on, {}, rows_of_a_screen, question.kept});
    std::vector<ClockRow> shown;
    for (const auto& row : clock_rows(clocks.first, on))
        if (days_late(row.clock, on) && shown.size() < rows_of_a_screen) shown.push_back(row);
    if (!shown.empty())
        page.heading("What is late").table(clocks_in_short(shown), "Open on record, and its day has passed");
    if (const auto more = clocks.late.late - std::ssize(shown); more > 0) page.line(fmt::format("{} more", more));
    auto cylinders = cylinders_of(book, options);
    const auto more = cut_to_a_screen(cylinders.wanted, "every cylinder");
    static const Columns<Wanted> columns{{"", "cylinder", &Wanted::code},
                                         {"", "why", &Wanted::why},
                                         {"", "gas", [](const Wanted& w) { return w.content.refrigerant; }},
                                         {"", "net", &Wanted::net},
                                         {"", "place", &Wanted::place}};
    if (!cylinders.wanted.empty())
        page.heading("What is over, missing or out of test")
            .table(columns.table(cylinders.wanted, options.units), "Cylinders to look at");
    if (!more.empty()) page.line(more);
    Table places;
    places.column("place").column("cylinders", Side::right).column("gas in them", Side::right, Figures::summed);
    for (const auto& [name, place] : cylinders.places)
        places.typed_row(
            {name.empty() ? "not on record" : name, count_cell(place.cylinders), mass_cell(place.net, options.units)});
    return std::move(page.heading("What is where").table(std::move(places), "Cylinders by place"));
}

}  // namespace tarebook::report
