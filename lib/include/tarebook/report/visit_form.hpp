// The form of a visit for a phone: one HTML file that works without a network, with what the book has of a site and of
// the cylinders aboard. It gives the text of a job sheet, which record_job_sheet takes; it decides nothing itself.
//
//     const auto id = fresh_sheet_id("OAK");
//     auto page = visit_form_page(book, {.site = "OAK", .job = "2208", .place = "truck-1", .id = id}, options);
//
// The only page with a script: inline, under a content policy that names its hash; it asks for nothing from outside.
#pragma once

#include <optional>
#include <string>

#include "tarebook/report/report.hpp"

namespace tarebook {

/// For which visit a form is made.
struct VisitFormQuestion {
    std::string site;
    std::optional<std::string> job = {};
    std::optional<std::string> place = {};  ///< cylinders there; else those that fit the gases of the site
    std::string id;  ///< of this page, as fresh_sheet_id makes it; each phone that fills it in adds letters of its own
};
/// The form, for a browser; the format of the options is not asked. Errors (refused): unknown-site, place-empty.
Result<Page> visit_form_page(const Book& book, const VisitFormQuestion& question, const PageOptions& options);

}  // namespace tarebook
