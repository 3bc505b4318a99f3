// A visit: one presence at a site, for a job. Its events are those of the job from an instant to another one. A page
// for the person who works, with what is missing, and a sheet for the customer.
//
//     const VisitQuestion question{"OAK", "2207", {"ana"}, opened};
//     std::cout << visit_page(book, question, options).body;
//     for (const auto& gap : missing_of_visit(book, question, now)) ... gap.what, gap.next
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/report/report.hpp"

namespace tarebook {

/// A recovery that was begun and is not recorded (see begun_entry.hpp).
struct BegunRecovery {
    std::string circuit, cylinder;
    std::string before_typed;  ///< the weight before, as typed
    Instant begun{};
};

/// Which visit.
struct VisitQuestion {
    std::string site, job;
    std::vector<std::string> people;  ///< technicians who were there, besides those whom the events name
    Instant from{};                   ///< what happened from then on belongs to it
    std::optional<Instant> to = {};   ///< and until then; nothing: it still goes on
    bool late_entries = true;         ///< so does what happened before and was recorded from then on
    std::vector<BegunRecovery> begun = {};
};
/// The last visit of a job by its events alone: those of its last local day. Error (refused): job-unknown.
Result<VisitQuestion> last_visit_of_job(const Book& book, std::string_view job);

/// What a visit left open, and the command that goes on.
struct VisitGap {
    std::string what;           ///< "OAK/RACK-A/4 is closed off since 08:10"
    std::string next;           ///< "tarebook isolate OAK/RACK-A/4 --reopened"
    bool is_exception = false;  ///< the shop's own matter: not on the customer's sheet
};
/// Exceptions of this visit that are open. Recoveries without both weights or not recorded, circuits not put back in
/// service, leaks without repair or test, gas that was taken out to be put back and is out: these of the whole job, not
/// of this visit alone.
std::vector<VisitGap> missing_of_visit(const Book& book, const VisitQuestion& question);

/// For the person who works: what was recorded, and what is missing.
Page visit_page(const Book& book, const VisitQuestion& question, const PageOptions& options);
/// For the customer: who, when, what was found and done, pounds, parts, tests, cautions, two lines to sign. In JSON the
/// same as visit_page.
Page visit_sheet(const Book& book, const VisitQuestion& question, const PageOptions& options);

}  // namespace tarebook
