// `tarebook` alone: the first screen of the day, or a new user's first step.
#include <fmt/format.h>

#include <filesystem>
#include <iostream>

#include "exit_code.hpp"
#include "session.hpp"
#include "tarebook/book/server_address.hpp"

namespace tarebook::cli {

DayQuestion day_question(const Session& s, const Book& book) {
    DayQuestion question;
    for (auto& visit : open_visits(s.book_path(), visitor())) {
        auto people = visit.by.value_or("");
        if (visit.with) people += (people.empty() ? "" : " and ") + *visit.with;
        question.visits.push_back({visit.site, visit.job, std::move(people), visit.opened});
    }
    question.begun = begun_recoveries(s);
    question.syncs = s.sync_folder(book).has_value();
    question.kept = s.rules ? std::filesystem::path() : cache_file(book, ".clocks");
    return question;
}

int first_screen(const Session& s) {
    if (!is_server_address(s.book_path()) && !std::filesystem::exists(s.book_path())) {
        std::cout << fmt::format(
            "Tarebook: a shop's own book of refrigerant in cylinders and equipment.\n"
            "There is no book yet at {}.\n\n"
            "  tarebook start --company \"NAME\" --units lb       begins one (--practice: one to learn with)\n"
            "  tarebook --help                                  all commands\n",
            s.book_path());
        return exit_done;
    }
    const auto book = s.open(Access::read);
    return s.tell(day_page(book, day_question(s, book), s.report_options(book)));
}

}  // namespace tarebook::cli
