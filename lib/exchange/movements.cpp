// The import: files into rows, rows into drafts, drafts into the book, all or none (I6).
#include <algorithm>

#include "movements_drafts.hpp"
#include "movements_register.hpp"
#include "register_lists.hpp"
#include "tarebook/exchange/import.hpp"
#include "tarebook/units/refused.hpp"

namespace tarebook {
namespace {

// Reading the file is a small part of an import; judging and writing take the rest.
constexpr double share_of_reading = 0.1;

template <class Read>
void from_file(const std::filesystem::path& path, FileProblems& problems, Read&& read) {
    auto source = open_file(path);
    if (!source) {
        problems.add({path.string(), 0, {}, source.error()});
        return;
    }
    try {
        read(**source);
    } catch (const Refused& refused) {
        problems.add({path.string(), 0, {}, refused.error()});
    }
}

// Joins two lists, each in the order of lines, into one in that order.
FileProblems merged(FileProblems a, FileProblems b) {
    FileProblems out;
    std::vector<FileProblem> all;
    std::merge(std::make_move_iterator(a.listed.begin()), std::make_move_iterator(a.listed.end()),
               std::make_move_iterator(b.listed.begin()), std::make_move_iterator(b.listed.end()),
               std::back_inserter(all), [](const FileProblem& x, const FileProblem& y) { return x.line < y.line; });
    for (auto& problem : all) out.add(std::move(problem));
    out.count = a.count + b.count;
    return out;
}

// The column that a refusal is about; empty if it is about none.
std::string column_of(const std::string& check) {
    if (check == "fill-limit" || check == "draw-exceeds-reading") return "gross_after_lb";
    if (check == "other-refrigerant" || check == "circuit-refrigerant" || check == "mixed-gas") return "refrigerant";
    if (check == "future-time") return "date";
    if (check == "own-id-other-content") return {};
    return "cylinder";
}

}  // namespace

tl::expected<ImportReport, FileProblems> import_movements(Book& book, const ImportFiles& files,
                                                          const ImportOptions& options) {
    FileProblems problems;
    std::vector<ListedEntry> listed;
    const auto take = [&](std::vector<ListedEntry> more) {
        std::move(more.begin(), more.end(), std::back_inserter(listed));
    };
    if (files.circuits)
        from_file(*files.circuits, problems,
                  [&](ByteSource& s) { take(read_circuits(book.catalogue(), s, files.circuits->string(), problems)); });
    if (files.cylinders)
        from_file(*files.cylinders, problems, [&](ByteSource& s) {
            take(read_cylinders(book.catalogue(), s, files.cylinders->string(), problems));
        });

    const auto name = files.movements.string();
    const ZoneOfSite zone_of = [&](std::string_view site) {
        if (!site.empty())
            if (const auto* entry = book.entries().find(EntryKind::site, site))
                if (auto zone = entry->text("zone", {options.now, {}, 0})) return *zone;
        return book.info().zone;
    };
    MovementRows rows;
    FileProblems in_rows;
    from_file(files.movements, in_rows, [&](ByteSource& source) {
        const auto size = static_cast<double>(std::max<std::size_t>(source.size(), 1));
        const auto progress = [&](std::size_t bytes) {
            if (options.progress) options.progress(share_of_reading * static_cast<double>(bytes) / size);
        };
        rows = read_movements(book.catalogue(), source, name, zone_of, in_rows, progress);
    });

    const bool lists_sound = problems.empty();
    const MovementRegister found(book, std::move(listed), rows, name, options);
    FileProblems unknown_codes;
    if (lists_sound) found.check(unknown_codes);  // unknown codes would only follow from the problems of the lists
    in_rows = merged(std::move(in_rows), std::move(unknown_codes));
    for (auto& problem : in_rows.listed) problems.add(std::move(problem));
    problems.count += in_rows.count - in_rows.listed.size();
    if (!problems.empty()) return tl::unexpected(std::move(problems));

    const MovementDrafts drafts(found.events(options.now), rows, options.now);
    RecordOptions many{.anyway = options.anyway};
    if (options.progress)
        many.progress = [&](double done) { options.progress(share_of_reading + (1 - share_of_reading) * done); };
    const auto recorded = record_many(book, drafts, many);
    if (!recorded) {
        for (const auto& p : recorded.problems) {
            if (p.draft < drafts.entries()) {
                const auto& entry = found.added()[p.draft];
                problems.add({entry.file, entry.line, {}, p.error});
            } else {
                problems.add({name, rows[p.draft - drafts.entries()].line, column_of(p.error.name), p.error});
            }
        }
        problems.count = recorded.problem_count;
        return tl::unexpected(std::move(problems));
    }
    ImportReport report;
    report.rows = rows.size();
    report.entries = drafts.entries();
    report.recorded = recorded.recorded_count - drafts.entries();
    report.already = recorded.already_count;
    report.exceptions = recorded.exception_count;
    report.years = recorded.years;
    report.head = recorded.head;
    return report;
}

}  // namespace tarebook
