// A year as files: tables, their description, a page to print, and their digests.
#include <fmt/format.h>

#include <algorithm>

#include "export_summary.hpp"
#include "tarebook/report/report.hpp"

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
    Json page = versioned();
    if (book.info().practice()) page.add("practice", Json::boolean(true));
    page.add("year", Json::whole(static_cast<int>(view.balance.year)))
        .add("owner", Json::text_or_null(view.scope.owner))
        .add("site", Json::text_or_null(view.scope.site))
        .add("company", Json::text(book.info().company))
        .add("events", Json::whole(walk.events()));
    Json heads = Json::array(), packs = Json::array(), list = Json::array(), open = Json::array();
    for (const auto& [id, head] : walk.heads()) {
        Json h = Json::object();
        h.add("book", Json::text(hex(id)))
            .add("seq", Json::whole(head.seq))
            .add("digest", Json::text(hex(head.digest)));
        heads.push(std::move(h));
    }
    for (const auto* pack : view.packs) {
        Json p = Json::object();
        packs.push(std::move(p.add("pack", Json::text(pack->id)).add("date", Json::text(date_text(pack->date)))));
    }
    for (const auto& rule : rules.all()) {
        if (rule.status != "to-confirm") continue;
        Json r = Json::object();
        open.push(std::move(r.add("rule", Json::text(rule.rule)).add("clause", Json::text(rule.clause))));
    }
    for (const auto& file : files) {
        Json f = Json::object();
        f.add("name", Json::text(file.name))
            .add("bytes", Json::whole(static_cast<std::int64_t>(file.bytes)))
            .add("sha256", Json::text(hex(file.sha256)));
        list.push(std::move(f));
    }
    page.add("seal", walk.seal().json(book, view.scope.all()));
    page.add("heads", std::move(heads))
        .add("rule_packs", std::move(packs))
        .add("rules_to_confirm", std::move(open))
        .add("reserve", Json::text(year_reserve()))
        .add("files", std::move(list));
    return page;
}

YearExported exported(const Book& book, const YearScope& scope, std::chrono::year year, const ExportFolder& folder,
                      const std::function<void(double)>& progress) {
    ExportWalk walk(book, scope, year, folder);
    walk.run(progress);
    const auto view = year_view_of(book, scope, walk.sums(), walk.reclaim());
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
    files.push_back(
        written(folder, "datapackage.json", data_package(name, title, files, rules, year_reserve(), practice).page()));
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
