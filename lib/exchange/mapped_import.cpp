// The import by mapping: two files into drafts, drafts into the book, all or none (I6); or a dry run.
#include "tarebook/exchange/mapped_import.hpp"

#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "csv.hpp"
#include "csv_guard.hpp"
#include "mapped_drafts.hpp"
#include "tarebook/record/record.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/refused.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

constexpr std::size_t first_shown = 8;
constexpr std::size_t longest_mapping = 1'048'576;

bool among(std::string_view name, std::initializer_list<std::string_view> names) {
    return std::find(names.begin(), names.end(), name) != names.end();
}

// The field that a refusal is about; empty if it is about none.
std::string_view field_of(const std::string& error, MapKind kind) {
    const bool moves = kind == MapKind::movements;
    if (kind == MapKind::work)
        return error == "future-time"         ? "date"
               : error == "unknown-circuit"   ? "circuit"
               : error == "unknown-appliance" ? "appliance"
               : error == "unknown-site"      ? "site"
               : error == "unknown-cylinder"  ? "cylinder"
                                              : "kind";
    if (among(error, {"fill-limit", "draw-exceeds-reading", "below-tare", "overdrawn", "weight-range"}))
        return moves ? "gross_after" : "gross";
    if (among(error, {"other-refrigerant", "circuit-refrigerant", "mixed-gas"})) return "refrigerant";
    if (error == "test-to-come") return "tested";
    if (error == "future-time") return moves ? "date" : "counted_on";
    if (error == "unknown-circuit") return "circuit";
    if (error == "unknown-appliance") return "appliance";
    if (error == "unknown-site") return "site";
    return kind == MapKind::sites ? "site" : "cylinder";
}

std::string word_of(const Event& e) {
    if (const auto* entry = std::get_if<kinds::Entry>(&e.what)) return std::string(text_of(entry->entry));
    return std::string(e.kind());
}

std::optional<std::string> whole_text(const std::filesystem::path& path, FileProblems& problems) {
    auto source = open_file(path);
    if (!source) {
        problems.add({path.string(), 0, {}, std::move(source.error())});
        return std::nullopt;
    }
    std::string text;
    std::vector<char> piece(64 * 1024);
    while (text.size() <= longest_mapping) {  // the guarded reader refuses a longer one
        const auto n = (*source)->read(piece.data(), piece.size());
        if (n == 0) break;
        text.append(piece.data(), n);
    }
    return text;
}

// A file whose columns have the names of our fields, in any case, with a blank or - for _.
ImportMap map_of_own_columns(MapKind kind, ByteSource& source, const std::string& file, FileProblems& problems) {
    ImportMap map;
    map.kind = kind;
    CsvReader csv(source, file, problems);
    CsvColumns columns;
    if (!CsvColumns::read_names(csv, columns, 1)) return map;
    std::vector<std::string> names;
    for (const auto& field : map_fields(kind)) names.push_back(field.name);
    for (const auto& column : columns.names()) {
        if (column.empty()) continue;
        auto name = plain_word(column);
        for (char& c : name)
            if (c == ' ' || c == '-') c = '_';
        MappedField mapped;
        mapped.field = map_field(kind, name);
        mapped.column = column;
        if (mapped.field)
            map.fields.push_back(std::move(mapped));
        else
            csv.problem(csv.line(), column,
                        csv_guard::error("header-unknown", fmt::format("column \"{}\" is not one that is read", column),
                                         column, joined(names),
                                         did_you_mean(name, names, "take it out, or say with --map what it is")));
    }
    for (const auto& field : map_fields(kind))
        if (field.needed && !map.find(field.name))
            csv.problem(csv.line(), field.name,
                        csv_guard::error("header-missing", fmt::format("column \"{}\" is missing", field.name), {},
                                         joined(names), "say with --map which column it is"));
    return map;
}

// The drafts, if every line could be read.
class LineDrafts : public Drafts {
 public:
    explicit LineDrafts(const std::vector<DraftLine>& lines) : lines_(lines) {}
    [[nodiscard]] std::size_t size() const override { return lines_.size(); }
    [[nodiscard]] Instant at(std::size_t i) const override { return lines_[i].draft->when.at; }
    void make(std::size_t i, Event& out) const override { out = *lines_[i].draft; }

 private:
    const std::vector<DraftLine>& lines_;
};

class MappedRun {
 public:
    MappedRun(Book& book, MapKind kind, const std::filesystem::path& file, const std::filesystem::path& map,
              const MappedOptions& options)
        : book_(book), kind_(kind), path_(file), file_(file.string()), map_name_(map.string()), options_(options) {}

    MappedImport run() {
        book_.hold_still();  // looks all rows up in one read of the book
        try {
            read();
        } catch (const Refused& refused) {
            out_.problems.add({file_, 0, {}, refused.error()});
        }
        std::stable_sort(out_.problems.listed.begin(), out_.problems.listed.end(),
                         [&](const FileProblem& a, const FileProblem& b) {
                             return std::pair(a.file == file_, a.line) < std::pair(b.file == file_, b.line);
                         });
        return std::move(out_);
    }

 private:
    void read() {
        ImportMap map;
        if (map_name_.empty()) {
            if (auto first = open_file(path_)) map = map_of_own_columns(kind_, **first, file_, out_.problems);
        } else {
            const auto text = whole_text(map_name_, out_.problems);
            if (!text) return;
            map = read_import_map(*text, map_name_, kind_, out_.problems);
        }
        auto source = open_file(path_);
        if (!source) out_.problems.add({file_, 0, {}, std::move(source.error())});
        if (!out_.problems.empty()) return;  // half a mapping would make wrong rows
        MappedTable table(book_.reference_data(), map, map_name_, **source, file_, out_.problems);
        if (!table.open()) return;
        auto drafts = kind_ == MapKind::cylinders
                          ? read_mapped_cylinders(book_, table, file_, options_.now, out_.problems)
                      : kind_ == MapKind::sites ? read_mapped_sites(book_, table, file_, options_.now, out_.problems)
                      : kind_ == MapKind::work  ? read_mapped_work(book_, table, options_.now)
                                                : read_mapped_movements(book_, table, options_.now);
        if (options_.anyway)
            for (auto& line : drafts.lines)
                if (line.draft) line.draft->anyway = options_.anyway;
        count(drafts);
        out_.skipped = table.skipped();
        if (!options_.dry_run && out_.problems.empty()) {
            const auto done = record_many(book_, LineDrafts(drafts.lines), {.anyway = options_.anyway});
            if (done) {
                out_.exceptions = done.exception_count;
                out_.cylinders.assign(new_cylinders_.begin(), new_cylinders_.end());
                out_.head = done.head;
                return;
            }
        }
        // Each line gets its refusals, also those that follow from the lines before it.
        const auto looked = record_each(book_, std::move(drafts.lines), {.dry_run = true});
        for (const auto& p : looked.problems)
            out_.problems.add(
                {file_, drafts.line_of[p.draft], table.column_of(field_of(p.error.name, kind_)), p.error});
        out_.exceptions = looked.exception_count;
        if (!options_.dry_run) return;
        for (const auto& found : looked.exceptions)
            if (out_.first_exceptions.size() < first_shown)
                out_.first_exceptions.push_back({drafts.line_of[found.draft], found.finding.text});
    }

    void count(MappedDrafts& drafts) {
        out_.rows = drafts.rows;
        out_.already = drafts.entries_already;
        out_.not_said = drafts.not_said;
        const bool may_be_there = book_.has_own_ids();
        for (std::size_t i = 0; i < drafts.lines.size(); ++i) {
            const auto& draft = drafts.lines[i].draft;
            if (!draft) continue;
            if (may_be_there && book_.event_with_own_id(*draft->own_id)) {
                ++out_.already;
                continue;
            }
            ++out_.new_by_kind[word_of(*draft)];
            out_.years.insert(static_cast<int>(std::chrono::year_month_day(draft->when.date()).year()));
            for (auto& code : cylinders_of(*draft)) new_cylinders_.insert(std::move(code));
            if (out_.first.size() < first_shown) out_.first.push_back({drafts.line_of[i], words_of_draft(*draft)});
        }
    }

    Book& book_;
    MapKind kind_;
    std::filesystem::path path_;
    std::string file_, map_name_;
    const MappedOptions& options_;
    MappedImport out_;
    std::set<std::string> new_cylinders_;
};

}  // namespace

MappedImport import_mapped(Book& book, MapKind kind, const std::filesystem::path& file,
                           const std::filesystem::path& map, const MappedOptions& options) {
    return MappedRun(book, kind, file, map, options).run();
}

}  // namespace tarebook
