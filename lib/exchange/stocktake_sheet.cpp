// A filled sheet of a stocktake: rows into drafts.
#include <fmt/format.h>

#include <array>
#include <map>
#include <set>

#include "csv.hpp"
#include "csv_guard.hpp"
#include "movements_cells.hpp"
#include "tarebook/exchange/stocktake_entry.hpp"
#include "tarebook/units/shown_text.hpp"

namespace tarebook {
namespace {

enum Column : std::size_t {
    stocktake_id,
    cylinder,
    gross,
    scale,
    cap,
    seen,
    label,
    pressure,
    temperature,
    at,
    note,
    first_read_over
};
constexpr std::array<CsvColumn, 19> heading = {{{"count"},
                                                {"cylinder"},
                                                {"gross"},
                                                {"scale", false},
                                                {"cap", false},
                                                {"seen", false},
                                                {"label", false},
                                                {"pressure", false},
                                                {"temperature", false},
                                                {"at", false},
                                                {"note", false},
                                                // printed for the person who weighs
                                                {"practice", false},
                                                {"schema_version", false},
                                                {"place", false},
                                                {"refrigerant", false},
                                                {"condition", false},
                                                {"tare_lb", false},
                                                {"expected_gross_lb", false},
                                                {"expected_net_lb", false}}};

class SheetReader {
 public:
    SheetReader(const Book& book, const KnownStocktake& count, const StocktakeReadOptions& options, CsvReader& csv)
        : book_(book), count_(count), options_(options), csv_(csv) {}

    void read() {
        if (!CsvColumns::read_header(csv_, heading, cells_)) return;
        while (cells_.next(csv_)) row();
    }
    std::vector<DraftLine> drafts;
    std::vector<std::int64_t> line_of;  ///< the line of each draft
    std::size_t rows = 0;

 private:
    [[nodiscard]] std::optional<std::string> text(Column column) const {
        const auto cell = cells_.cell(column);
        return cell.empty() ? std::nullopt : std::optional(text_of_cell(cell));
    }
    void problem(Column column, Error error) {
        csv_.problem(csv_.line(), heading[column].name, std::move(error));
        good_ = false;
    }
    template <class T>
    std::optional<T> taken(Column column, Result<T> result) {
        if (result) return std::move(*result);
        problem(column, std::move(result.error()));
        return std::nullopt;
    }
    std::optional<std::string> word(Column column, std::string_view one, std::string_view other) {
        auto typed = text(column);
        if (typed && *typed != one && *typed != other)
            problem(column,
                    csv_guard::error("word-unknown", fmt::format("\"{}\" is not a word for this column", *typed),
                                     *typed, fmt::format("{}, {}, or nothing", one, other)));
        return typed;
    }
    [[nodiscard]] ScaleReads reads(const std::optional<std::string>& code) const {
        const auto* entry = code ? book_.entries().find(EntryKind::scale, *code) : nullptr;
        const auto shows = entry ? entry->text("reads", {options_.now, {}, 0}).value_or("") : "";
        return shows == "lb"      ? ScaleReads::lb
               : shows == "kg"    ? ScaleReads::kg
               : shows == "lb-oz" ? ScaleReads::lb_oz
                                  : ScaleReads::unknown;
    }

    void row() {
        good_ = true;
        const auto typed_weight = text(gross);
        const auto seen_word = word(seen, "missing", "unknown");
        if (!typed_weight && !seen_word) return;  // not weighed yet
        ++rows;
        if (const auto id = text(stocktake_id); !id || id->size() < 8 || !count_.id().starts_with(*id))
            problem(stocktake_id,
                    csv_guard::error("count-elsewhere", "this row is of another count", id.value_or("an empty cell"),
                                     count_.id().substr(0, 16),
                                     "fill in the sheet of this count: tarebook count sheet --format csv"));
        StocktakeFound found;
        found.cylinder = std::string(cells_.cell(cylinder));
        if (found.cylinder.empty())
            problem(cylinder, missing("the cylinder is missing", "its code"));
        else if (!is_code_part(found.cylinder))
            problem(cylinder, no_code("cylinder", found.cylinder));
        else if (!seen_.insert(found.cylinder).second)
            problem(cylinder, csv_guard::error("entry-twice", fmt::format("{} is there twice", found.cylinder),
                                               found.cylinder, "each one once", "take one of them out"));
        auto by_scale = text(scale);
        if (!by_scale) by_scale = options_.scale;
        if (typed_weight) found.gross = taken(gross, parse_weight(*typed_weight, reads(by_scale)));
        found.missing = seen_word == "missing";
        found.not_in_the_book = seen_word == "unknown";
        found.cap = word(cap, "on", "off");
        if (const auto gas = text(label))
            if (const auto known = taken(label, book_.catalogue().parse(*gas)))
                found.label = std::string((*known)->designation);
        found.pressure = text(pressure);
        found.temperature = text(temperature);
        const auto when = moment();
        if (!good_ || !when) return unreadable(found.cylinder);
        auto acts = acts_of(book_, count_, found);
        if (!acts) {
            const bool of_code = acts.error().name == "unknown-cylinder";
            problem(of_code ? cylinder : found.pressure ? pressure : gross, std::move(acts.error()));
            return unreadable(found.cylinder);
        }
        // A recorded weight brought its cylinder here when it was recorded: a later move of the cylinder stays.
        const bool again = book_.event_with_own_id(own_id(found.cylinder, kinds::StocktakeWeigh::name)).has_value();
        for (std::size_t i = 0; i < acts->size(); ++i) {
            Event e;
            e.what = std::move((*acts)[i]);
            e.recorded = options_.now;
            e.when = *when;
            e.by = options_.by;
            e.note = text(note);
            const bool brings =
                std::holds_alternative<kinds::Move>(e.what) || std::holds_alternative<kinds::Found>(e.what);
            if (brings && again) continue;
            if (!brings && typed_weight) e.scale = by_scale;
            e.own_id = own_id(found.cylinder, e.kind());
            keep({std::move(e), {}, false});
        }
    }
    [[nodiscard]] std::string own_id(const std::string& code, std::string_view kind) const {
        return fmt::format("count/{}/{}/{}", count_.id().substr(0, 16), code, kind);
    }
    std::optional<Moment> moment() {
        auto typed = text(at);
        if (!typed) typed = options_.at;
        const auto& zone = book_.info().zone;
        return typed ? taken(at, parse_moment(*typed, zone, options_.now))
                     : taken(at, moment_in_zone(options_.now, zone));
    }
    void unreadable(const std::string& code) { keep({std::nullopt, {code}, code.empty()}); }
    void keep(DraftLine line) {
        drafts.push_back(std::move(line));
        line_of.push_back(csv_.line());
    }

    const Book& book_;
    const KnownStocktake& count_;
    const StocktakeReadOptions& options_;
    CsvReader& csv_;
    CsvColumns cells_;
    std::set<std::string> seen_;
    bool good_ = true;
};

}  // namespace

tl::expected<StocktakeRead, FileProblems> read_stocktake(Book& book, const KnownStocktake& count,
                                                         const std::filesystem::path& file,
                                                         const StocktakeReadOptions& options) {
    FileProblems problems;
    const auto name = file.string();
    auto source = open_file(file);
    if (!source) {
        problems.add({name, 0, {}, std::move(source.error())});
        return tl::unexpected(std::move(problems));
    }
    CsvReader csv(**source, name, problems);
    SheetReader reader(book, count, options, csv);
    reader.read();
    // If a row cannot be read, the others are judged, and not recorded.
    auto done = record_each(book, std::move(reader.drafts), {.ask = options.ask, .dry_run = !problems.empty()});
    if (!problems.empty() || !done) {
        for (const auto& p : done.problems) problems.add({name, reader.line_of[p.draft], {}, p.error});
        std::stable_sort(problems.listed.begin(), problems.listed.end(),
                         [](const FileProblem& a, const FileProblem& b) { return a.line < b.line; });
        return tl::unexpected(std::move(problems));
    }
    return StocktakeRead{reader.rows, std::move(done)};
}

}  // namespace tarebook
