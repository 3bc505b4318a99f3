#include "tarebook/import.hpp"

namespace tarebook {

tl::expected<ImportReport, FileProblems> import_movements(Book&, const ImportFiles& files, const ImportOptions&) {
    FileProblems problems;
    problems.add({files.movements.string(), 0, {}, {ErrorKind::usage, "csv-unread", "cannot import yet", {}, {}, {}}});
    return tl::unexpected(std::move(problems));
}

}  // namespace tarebook
