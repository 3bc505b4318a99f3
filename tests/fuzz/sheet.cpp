// Job sheets, and mappings of a person's own file (they begin with "import"). Whatever the bytes: problems that each
// have a line, or drafts that an event's body can hold and give back; a mapping that says of each field where it comes
// from.
#include <algorithm>

#include "any_sheet_book.hpp"
#include "exchange/import_map.hpp"
#include "promise.hpp"
#include "tarebook/exchange/job_sheet.hpp"

using namespace tarebook;
using fuzz::promise;

namespace {

void holds(const Event& draft) {
    const auto body = canonical_body(draft);
    const auto read = event_from_body(body);
    promise(read.has_value(), "a draft becomes a body that can be read");
    promise(canonical_body(*read) == body, "and means the same when it is read");
}

void mapping(std::string_view text, MapKind kind) {
    FileProblems problems;
    const auto map = read_import_map(text, "list.yaml", kind, problems);
    const auto lines = std::ranges::count(text, '\n') + std::ranges::count(text, '\r') + 1;
    for (const auto& p : problems.listed) {
        fuzz::helpful(p.error);
        promise(p.file == "list.yaml", "a problem names its file");
        promise(p.line >= 0 && p.line <= lines, "a problem names a line of its mapping");
    }
    for (const auto& field : map.fields)
        promise(field.column.empty() == field.value.has_value(), "a field has a column, or one value for all rows");
    if (!problems.empty()) return;
    for (const auto& field : map_fields(kind))
        promise(!field.needed || map.find(field.name), "a mapping without a problem has what it needs");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto text = fuzz::text_of(data, size);
    if (text.starts_with("import")) {
        for (const auto kind : {MapKind::cylinders, MapKind::sites, MapKind::movements, MapKind::work})
            mapping(text, kind);
        return 0;
    }
    const auto now = *instant_from_text("2026-06-01T15:00:00Z");
    const auto sheet = parse_job_sheet(text, "visit.yaml", any_sheet_book(), now);

    const auto lines = std::ranges::count(text, '\n') + std::ranges::count(text, '\r') + 1;
    promise(sheet.problems.count >= sheet.problems.listed.size(), "all problems are counted");
    for (const auto& p : sheet.problems.listed) {
        fuzz::helpful(p.error);
        promise(p.file == "visit.yaml", "a problem names its file");
        promise(p.line >= 0 && p.line <= lines, "a problem names a line of its sheet");
    }
    promise(sheet.isolated <= sheet.lines.size(), "isolated circuits are lines");
    promise(sheet.isolated + sheet.set_first <= sheet.lines.size(), "what lines set first are lines");
    std::size_t number = 0;
    for (const auto& line : sheet.lines) {
        const auto place = static_cast<std::size_t>(&line - sheet.lines.data());
        // isolated circuits have numbers of their own; what a line sets first has its number, at most twice
        if (place == sheet.isolated || place == sheet.isolated + sheet.set_first) number = 0;
        const bool sets = sheet.isolated <= place && place < sheet.isolated + sheet.set_first;
        promise(sets ? line.number >= number : line.number > number, "lines are numbered in their order");
        number = line.number;
        promise(line.line >= 1 && line.line <= lines, "a line is a line of its sheet");
        if (!line.draft) {
            promise(!sheet.problems.empty(), "a line without a draft has its problem");
            continue;
        }
        holds(*line.draft);
    }
    promise(!sheet.problems.empty() || !sheet.id.empty(), "a sheet without a problem has its id");
    return 0;
}
