// A year as files: tables, their description, a page to print, and their digests.
#include <fmt/format.h>

#include <algorithm>

#include "export_summary.hpp"
#include "tarebook/book/judged_anew.hpp"
#include "tarebook/report/report.hpp"
#include "year_document.hpp"

namespace tarebook {
namespace report {
namespace {

WrittenFile written(const ExportFolder& folder, const std::string& name, const std::string& bytes) {
    OutFile out(folder.file(name));
    out.put(bytes);
    return out.close();
}

Json manifest(const Book& book, const YearView& view, const ExportWalk& walk, const AppliedRules& rules,
              const std::vector<WrittenFile>& files) {
    Json heads = Json::array(), open = Json::array(), list = Json::array(), page = versioned("year-export");
    for (const auto& [id, head] : walk.heads())
        heads.push(facts({{"book", hex(id)}, {"seq", head.seq}, {"digest", hex(head.digest)}}));
    for (const auto& rule : rules.all())
        if (rule.status == "to-confirm")
            open.push(facts({{"rule_id", Json::text(rule.rule)}, {"rule", Json::text(rule.clause)}}));
    for (const auto& file : files)
        list.push(facts({{"name", file.name}, {"bytes", file.bytes}, {"sha256", hex(file.sha256)}}));
    if (book.info().practice()) page.add("practice", Json::boolean(true));
    return std::move(add_facts(page, {{"year", static_cast<int>(view.balance.year)},
                                      {"owner", view.scope.owner},
                                      {"site", view.scope.site},
                                      {"company", Json::text(book.info().company)},
                                      {"number_of_events", walk.events()},
                                      {"seal", walk.seal().json(book, view.scope.all())},
                                      {"heads", std::move(heads)},
                                      {"rule_packs", packs_json(view)},
                                      {"rules_to_confirm", std::move(open)},
                                      {"reserve", year_reserve()},
                                      {"files", std::move(list)}}));
}

YearExported exported(const Book& book, const YearScope& scope, std::chrono::year year, const ExportFolder& folder,
                      const std::function<void(double)>& progress) {
    ExportWalk walk(book, scope, year, folder);
    walk.run(progress);
    const auto view = year_view_of(book, scope, walk.sums(), walk.reclaim(), walk.stock());
    walk.seal().finish(view.whole_digest);
    AppliedRules rules;
    auto files = walk.files();
    const auto end = midnight(book, walk.sums().last_day() + std::chrono::days(1)) - std::chrono::seconds(1);
    ExportTables tables{book, folder, walk, view, walk.withholder(), rules, files, {}, order_at(end)};
    tables.write();
    const auto name = fmt::format("tarebook-{}", static_cast<int>(year));
    const bool practice = book.info().practice();
    const auto title = fmt::format("{}Refrigerant {}, {}{}", practice ? "PRACTICE: " : "", static_cast<int>(year),
                                   book.info().company, scope.text());
    files.push_back(written(folder, "datapackage.json",
                            data_package(name, title, export_tables(), files, rules, year_reserve(), practice).page()));
    files.push_back(written(folder, "summary.html", export_summary(book, view, walk, tables.figures, rules)));
    std::sort(files.begin(), files.end(), [](const auto& a, const auto& b) { return a.name < b.name; });
    files.push_back(written(folder, "manifest.json", manifest(book, view, walk, rules, files).page()));
    std::string sums;
    for (const auto& file : files) sums += fmt::format("{}  {}\n", hex(file.sha256), file.name);
    const auto last = written(folder, "SHA256SUMS", sums);
    YearExported out{walk.events(), static_cast<std::int64_t>(files.size() + 1), hex(last.sha256)};
    return out;
}

}  // namespace
}  // namespace report

Result<YearExported> export_year(const Book& book, const YearQuestion& question, const std::filesystem::path& to,
                                 const std::function<void(double)>& progress) {
    const auto scope = report::scope_of(book, question);
    if (!scope) return fail(scope.error());
    if (auto not_yet = not_while_judged_anew(book)) return fail(std::move(*not_yet));
    auto folder = report::ExportFolder::make(to);
    if (!folder) return fail(folder.error());
    try {
        const auto out = report::exported(book, *scope, question.year, *folder, progress);
        folder->finish();
        return out;
    } catch (const report::NotWritten& e) {
        return fail({ErrorKind::storage, "export-not-written", "the export could not be written", e.what,
                     "a folder that can be made, on a disk with room", "no part of it was left; try again elsewhere"});
    }
}

}  // namespace tarebook
