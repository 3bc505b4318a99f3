#include "tarebook/job_sheet.hpp"

namespace tarebook {

tl::expected<Recorded, FileProblems> record_job_sheet(Book&, std::string_view, const std::string& name, Instant) {
    FileProblems problems;
    problems.add({name, 0, {}, {ErrorKind::usage, "sheet-unread", "job sheets cannot be read yet", {}, {}, {}}});
    return tl::unexpected(std::move(problems));
}

Result<std::string> blank_job_sheet(const Book&, std::string_view) {
    return usage("sheet-unread", "job sheets cannot be written yet", {}, {});
}

}  // namespace tarebook
