// The views as CSV, for tools that read no SQLite.
#include <fmt/format.h>

#include "fill.hpp"
#include "report/export_file.hpp"
#include "report/year_view.hpp"
#include "tarebook/book/judged_anew.hpp"
#include "tarebook/report/practice.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace analysis {
namespace {

// Rows in the order of the key, so that the same book gives the same bytes.
std::string question_of(const View& view) {
    std::string order;
    for (const auto key : view.key) order.append(order.empty() ? "" : ", ").append(key);
    if (order.empty())
        for (std::size_t n = 1; n <= 6; ++n) order += fmt::format("{}{}", n == 1 ? "" : ", ", n);
    return fmt::format("SELECT * FROM {} ORDER BY {}", view.name, order);
}

report::WrittenFile write_csv(AnalystsDb& file, const View& view, const report::ExportFolder& folder,
                              std::string_view practice) {
    const auto table = as_export_table(view);
    report::OutFile out(folder.file(table.file()), table.fields, practice);
    for (auto s = file.db.ask_once(question_of(view)); s.next();) {
        for (std::size_t n = 0; n < view.columns.size(); ++n) {
            const auto c = static_cast<int>(n);
            switch (s.type(c)) {
                case ColumnType::integer:
                    out.count(s.integer(c));
                    break;
                case ColumnType::real:
                    out.cell(fmt::format("{:.6f}", s.real(c)));
                    break;
                default:
                    out.cell(s.bytes(c));
            }
        }
        out.end_row();
    }
    return out.close();
}

AnalystsFileWritten write_tables(const Book& book, const report::ExportFolder& folder, const Progress& progress) {
    AnalystsDb file("", FileMode::make);  // a temporary file of SQLite's
    file.db.script("PRAGMA journal_mode = MEMORY; PRAGMA synchronous = OFF; PRAGMA cache_size = -16384");
    file.db.begin();
    const auto out = make_tables(book, file, progress);
    file.db.commit();
    std::vector<report::WrittenFile> files;
    std::vector<report::ExportTable> tables;
    const auto practice = practice_cell(book.info());
    for (const auto& view : views()) {
        tables.push_back(as_export_table(view));
        files.push_back(write_csv(file, view, folder, practice));
    }
    const auto title = fmt::format("{}Refrigerant, {}", practice.empty() ? "" : "PRACTICE: ", book.info().company);
    report::OutFile package(folder.file("datapackage.json"));
    package.put(
        report::data_package("tarebook-tables", title, tables, files, {}, report::year_reserve(), !practice.empty())
            .page());
    package.close();
    return out;
}

}  // namespace
}  // namespace analysis

Result<AnalystsFileWritten> export_analysts_tables(const Book& book, const std::filesystem::path& to,
                                                   const std::function<void(double)>& progress) {
    const auto not_written = [](const std::string& what) {
        return fail({ErrorKind::storage, "export-not-written", "the export could not be written", what,
                     "a folder that can be made, on a disk with room", "no part of it was left; try again elsewhere"});
    };
    if (auto not_yet = not_while_judged_anew(book)) return fail(std::move(*not_yet));
    auto folder = report::ExportFolder::make(to);
    if (!folder) return fail(folder.error());
    try {
        const auto out = analysis::write_tables(book, *folder, progress);
        folder->finish();
        return out;
    } catch (const report::NotWritten& e) {
        return not_written(e.what);
    } catch (const DbError& e) {
        return not_written(e.what());
    }
}

}  // namespace tarebook
