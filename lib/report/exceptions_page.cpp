// Open exceptions, and whether the book itself is sound.
#include <fmt/format.h>

#include "document.hpp"
#include "layout.hpp"
#include "no_longer_over.hpp"
#include "shared_text.hpp"

namespace tarebook {

using namespace report;

Page exceptions_page(const Book& book, const PageOptions& options) {
    const auto open = book.open_findings();
    Page page;
    page.has_exceptions = !open.empty();
    if (options.format == Format::json) {
        page.body = page_of("exceptions", {{"items", exception_columns(book).json(open)}}).page();
    } else if (options.format == Format::csv) {
        page.body = exception_columns(book).csv(open);
    } else {
        Document list(open.empty() ? "no exceptions" : counted(static_cast<std::int64_t>(open.size()), "exception"),
                      "");
        for (const auto& f : open) {
            auto text = finding_text(f.id, f.finding);
            if (const auto ended = no_longer_over_text(book, f); !ended.empty()) text += wrapped(ended, 2);
            list.gap().item(text);
        }
        if (!open.empty()) list.gap().line("Resolve one with: tarebook resolve FINDING --why TEXT");
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
