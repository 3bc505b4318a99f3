// pages: the book as one folder of pages that link to each other.
#include <memory>

#include "session.hpp"
#include "tarebook/report/page_folder.hpp"
#include "tarebook/version.hpp"

namespace tarebook::cli {
namespace {

struct PagesCommandOptions {
    std::string to;
    PagesQuestion question;
};

int pages(const Session& s, const PagesCommandOptions& o) {
    const auto book = s.open(Access::read);
    const auto told = s.format == "html" ? PageOptions() : s.page_options(&book);  // refused before a page is written
    auto question = o.question;
    question.day = day_question(s, book);
    question.program = version;
    PageOptions options{Format::html, book.info().units, s.now};
    if (s.units) options.units = *s.units == "kg" ? DisplayUnits::kg : DisplayUnits::lb;
    const auto made = must(make_pages(book, question, o.to, options));
    return s.tell(pages_made_page(made, told));
}

}  // namespace

void setup_pages_command(CLI::App& root, Session& s) {
    auto o = std::make_shared<PagesCommandOptions>();
    auto* c =
        root.add_subcommand("pages", "all pages for a browser, linked, in one folder; renewed in place")->fallthrough();
    c->add_option("--to", o->to, "folder; it may be on a share")->required();
    c->add_option("--site", o->question.site, "the pages of one site");
    c->add_option("--owner", o->question.owner, "the pages of one owner, with nothing of another");
    c->callback([&s, o] { s.run = [&s, o] { return pages(s, *o); }; });
}

}  // namespace tarebook::cli
