// Open exceptions, and whether the book itself is sound.
#include <fmt/format.h>

#include <algorithm>

#include "document.hpp"
#include "exception_cards.hpp"
#include "layout.hpp"
#include "shared_text.hpp"

namespace tarebook {

using namespace report;

Page exceptions_page(const Book& book, const PageOptions& options) {
    const auto shown = shown_exceptions(book, book.open_findings());
    const auto number = static_cast<std::int64_t>(shown.size());
    const auto today = today_of(book, options.now);
    Page page;
    page.has_exceptions = !shown.empty();
    if (options.format == Format::json) {
        page.body = page_of("exceptions", {{"number_of_exceptions", number},
                                           {"number_over", std::count_if(shown.begin(), shown.end(),
                                                                         [](const auto& e) { return e.is_over(); })},
                                           {"items", exception_columns().json(shown)}})
                        .page();
    } else if (options.format == Format::csv) {
        page.body = exception_columns().csv(shown);
    } else {
        Document list(shown.empty() ? "no exceptions" : counted(number, "exception"), exceptions_answer(shown, today),
                      ": ");
        if (shown.size() > 1)
            list.paragraph(
                "in this order: over a limit, what can hurt (burns, not fit, mixed), all others; each by time");
        if (!shown.empty()) {
            list.gap().cards(exception_cards(shown, options.units));
            list.gap().line("Resolve one with: tarebook resolve FINDING --why TEXT");
        }
        page.body = page_body(list, book, options);
    }
    return page;
}

Page check_page(const BookCheck& check, const PageOptions& options) {
    Page page;
    const bool whole = check.problems.empty();
    const bool ok = whole && check.not_as_noted.empty();
    std::vector<std::string> problem_list = check.problems;
    for (const auto& one : check.not_as_noted) problem_list.push_back("NOT AS NOTED: " + one);
    if (options.format == Format::json) {
        page.body = page_of("check", {{"ok", ok},
                                      {"number_of_events", check.events},
                                      {"problems", problem_list},
                                      {"remarks", check.remarks}})
                        .page();
    } else if (options.format == Format::csv) {
        Csv csv({"kind", "text"});
        for (const auto& problem : problem_list) csv.row({"problem", problem});
        for (const auto& remark : check.remarks) csv.row({"remark", remark});
        page.body = csv.page();
    } else {
        const auto events = counted(check.events, "event");
        if (!whole)
            page.body = fmt::format("THE BOOK IS DAMAGED: {} in {}\n",
                                    counted(static_cast<std::int64_t>(check.problems.size()), "problem"), events);
        else if (!ok)
            page.body = fmt::format("THE BOOK IS NOT AS NOTED, though its {} agree with one another\n", events);
        else
            page.body = fmt::format("the book is in order: {}; digests, chain, fold and balances agree\n", events);
        for (const auto& problem : problem_list) page.body += bulleted(problem);
        for (const auto& remark : check.remarks) page.body += wrapped("remark: " + remark, 0);
        if (!whole)
            page.body += "next: keep this file as it is, and go on from the last backup that checks clean\n";
        else if (!ok)
            page.body += wrapped(
                "next: it is an older copy, a copy that went on by itself, or it was changed: see where "
                "the head was noted, and compare the backups",
                0);
        page.body = laid_out(page.body, options.width);
    }
    return page;
}

}  // namespace tarebook
