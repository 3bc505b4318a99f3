#include "tarebook/exchange/job_sheet.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "job_sheet_id.hpp"
#include "job_sheet_lines.hpp"

namespace tarebook {
namespace exchange {

bool good_sheet_id(std::string_view id) {
    return !id.empty() && id.size() <= longest_sheet_id && id.front() != '.' && id.front() != '-' &&
           id.find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.") ==
               std::string_view::npos;
}

std::string own_id_of_line(const std::string& sheet, std::size_t number) {
    return fmt::format("{}/{}", sheet, number);
}

namespace {

constexpr std::string_view sheet_keys[] = {"sheet", "site", "job",      "day",      "by",
                                           "scale", "note", "isolated", "readings", "weighings"};
constexpr std::size_t most_sheet_lines = 1000;
constexpr std::string_view isolated_keys[] = {"circuit", "close", "at", "note"};

std::string with(const std::optional<std::string>& note, const std::string& more) {
    return note ? *note + "; " + more : more;
}

// Whether `line` is about the isolated circuit: the circuit itself, its appliance, or a circuit of it.
bool concerns(std::string_view line, std::string_view isolated) {
    const auto within = [](std::string_view inner, std::string_view outer) {
        return inner.starts_with(outer) && (inner.size() == outer.size() || inner[outer.size()] == '/');
    };
    return !line.empty() && (within(line, isolated) || within(isolated, line));
}

class Reader {
 public:
    Reader(JobSheet& sheet, const std::string& name, const SheetBook& book, Instant now)
        : sheet_(sheet), name_(name), book_(book), now_(now) {}

    void read(const SheetNode& root) {
        if (root.kind != SheetNode::Kind::map) {
            add(root.line, "",
                slip("sheet-shape", "a sheet is a set of keys", {}, "sheet: ID, site: SITE ...",
                     "tarebook job blank --site SITE"));
            return;
        }
        SheetFields top(root, name_, sheet_.problems);
        top.only(sheet_keys, {}, "a sheet");
        head(top);
        lines(top);
        // The note of the whole visit goes to its first line.
        auto visit = top.text("note");
        std::string readings;
        for (const auto& [name, value] : top.named_texts("readings"))
            readings += (readings.empty() ? "visit readings: " : ", ") + name + " " + value;
        if (!readings.empty()) visit = with(visit, readings);
        if (visit && !sheet_.lines.empty() && sheet_.lines[0].draft)
            sheet_.lines[0].draft->note =
                sheet_.lines[0].draft->note ? *visit + "; " + *sheet_.lines[0].draft->note : *visit;
        isolated(top);
        sheet_.set_first = set_first_.size();
        sheet_.lines.insert(sheet_.lines.begin() + static_cast<std::ptrdiff_t>(sheet_.isolated),
                            std::make_move_iterator(set_first_.begin()), std::make_move_iterator(set_first_.end()));
    }

 private:
    void add(std::int64_t line, std::string field, Error error) {
        sheet_.problems.add({name_, line, std::move(field), std::move(error)});
    }

    void head(SheetFields& top) {
        const auto id = top.need("sheet", "an id of its own, as tarebook job blank writes it");
        if (!id.empty() && !good_sheet_id(id))
            top.wrong("sheet", slip("sheet-id", "that cannot be the id of a sheet", id,
                                    fmt::format("at most {} letters, digits, - _ .", longest_sheet_id)));
        else
            sheet_.id = id;
        head_.id = sheet_.id;
        head_.site = top.need("site", "site that was visited");
        head_.zone = "UTC";
        if (!head_.site.empty())
            if (auto zone = top.take("site", book_.zone_of(head_.site))) head_.zone = std::move(*zone);
        const auto day = top.need("day", "day of the visit, 2026-11-25");
        if (!day.empty() && top.take("day", parse_date(day))) head_.day = day;
        // a time of day must not be reported too if the day cannot be read
        if (head_.day.empty()) head_.day = "2000-01-01";
        head_.job = top.text("job");
        head_.by = top.text("by");
        head_.scale = top.text("scale");
        if (head_.scale) top.take("scale", book_.reads_of(*head_.scale, now_));
    }

    void lines(SheetFields& top) {
        const auto* list = top.find("weighings");
        if (!list || list->kind != SheetNode::Kind::list) {
            if (list)
                top.wrong("weighings", slip("sheet-shape", "a list of lines is expected", {}, "- act: recover"));
            else
                top.need("weighings", "a list: what was weighed, in the order in which it happened");
            return;
        }
        if (too_many(top, "weighings", *list)) return;
        std::optional<Moment> when;
        for (const auto& item : list->items) {
            if (left_empty(item)) continue;
            if (item.kind != SheetNode::Kind::map) {
                add(item.line, "weighings", slip("sheet-shape", "a line is a set of keys", {}, "- act: recover"));
                sheet_.lines.push_back({item.line, sheet_.lines.size() + 1, {}, true, {}, {}});
                continue;
            }
            SheetFields fields(item, name_, sheet_.problems);
            auto line = exchange::read_sheet_line(fields, head_, book_, now_, when);
            line.number = sheet_.lines.size() + 1;
            if (line.draft) line.draft->own_id = own_id_of_line(sheet_.id, line.number);
            for (auto& event : line.set_first) {
                const bool is_place = std::holds_alternative<kinds::Move>(event.what);
                event.own_id = fmt::format("{}/{}-{}", sheet_.id, line.number, is_place ? "place" : "tare");
                auto& first = set_first_.emplace_back(line);
                first.draft = std::move(event);
                first.set_first.clear();
            }
            line.set_first.clear();
            sheet_.lines.push_back(std::move(line));
        }
        if (sheet_.lines.empty())
            top.wrong("weighings", slip("sheet-empty", "no line is filled in", {}, "- act: recover"));
    }
    static bool too_many(SheetFields& top, std::string_view key, const SheetNode& list) {
        if (list.items.size() <= most_sheet_lines) return false;
        top.wrong(key, slip("sheet-shape", "there are too many lines for one visit", std::to_string(list.items.size()),
                            fmt::format("at most {}", most_sheet_lines), "old records come in with tarebook import"));
        return true;
    }
    // A line of the blank sheet that was left empty.
    static bool left_empty(const SheetNode& node) {
        return node.empty() ||
               (node.kind != SheetNode::Kind::text && std::all_of(node.items.begin(), node.items.end(), left_empty));
    }

    // Each isolated circuit is an event of its own before the lines, with the own id SHEET/isolated-N. It happened when
    // it says so, else at the time of the first line that names the circuit, else at that of the first line.
    void isolated(SheetFields& top) {
        const auto* list = top.find("isolated");
        if (!list) return;
        if (list->kind != SheetNode::Kind::list) {
            top.wrong("isolated", slip("sheet-shape", "a list of circuits is expected", {}, "- circuit: C"));
            return;
        }
        if (too_many(top, "isolated", *list)) return;
        std::vector<SheetLine> before;
        std::vector<std::string> circuits;
        for (const auto& line : sheet_.lines) circuits.push_back(line.draft ? circuit_named_by(*line.draft) : "");
        for (const auto& item : list->items) {
            if (left_empty(item)) continue;
            if (item.kind != SheetNode::Kind::map) {
                add(item.line, "isolated", slip("sheet-shape", "a set of keys is expected", {}, "- circuit: C"));
                continue;
            }
            SheetFields fields(item, name_, sheet_.problems);
            fields.only(isolated_keys, {}, "isolated");
            before.push_back(isolation(fields, circuits, before.size() + 1));
        }
        sheet_.isolated = before.size();
        sheet_.lines.insert(sheet_.lines.begin(), std::make_move_iterator(before.begin()),
                            std::make_move_iterator(before.end()));
    }
    SheetLine isolation(SheetFields& fields, const std::vector<std::string>& circuits, std::size_t number) {
        SheetLine line;
        line.line = fields.line();
        line.number = number;
        line.words = fields.words();
        kinds::Isolate k;
        k.circuit = fields.need("circuit", "SITE/APPLIANCE/CIRCUIT, or SITE/APPLIANCE");
        if (!k.circuit.empty() && !head_.site.empty() && site_of(k.circuit) != head_.site)
            fields.wrong("circuit", circuit_elsewhere(k.circuit, head_.site));
        // The words that an older program put into the note of the first line that names the circuit.
        line.as_noted = "isolated " + k.circuit;
        const auto first = std::find_if(circuits.begin(), circuits.end(),
                                        [&](const std::string& circuit) { return concerns(circuit, k.circuit); });
        if (first != circuits.end()) line.noted_on = static_cast<std::size_t>(first - circuits.begin()) + 1;
        std::optional<Moment> at;
        if (const auto typed = fields.text("at"))
            if (auto said = fields.take("at", sheet_moment(*typed, head_, now_))) {
                line.as_noted += " at " + moment_text(*said);
                at = std::move(*said);
            }
        const auto* named = line.noted_on ? &sheet_.lines[line.noted_on - 1] : nullptr;
        if (!at && named && named->draft) at = named->draft->when;
        if (!at && !sheet_.lines.empty() && sheet_.lines[0].draft) at = sheet_.lines[0].draft->when;
        std::string points;
        for (const auto& point : fields.texts("close")) points += (points.empty() ? "" : ", then ") + point;
        if (!points.empty()) line.as_noted += ": " + points, k.points = points;
        Event event;
        event.note = fields.text("note");
        if (event.note) line.as_noted += " (" + *event.note + ")";
        event.when = at.value_or(Moment{now_, {}, head_.zone});
        event.recorded = now_;
        event.job = head_.job;
        event.by = head_.by;
        event.own_id = fmt::format("{}/isolated-{}", sheet_.id, number);
        event.what = std::move(k);
        // Without a time of its own or of a line, that line has its problem already.
        if (fields.good() && at) line.draft = std::move(event);
        return line;
    }

    JobSheet& sheet_;
    const std::string& name_;
    const SheetBook& book_;
    Instant now_;
    SheetHead head_;
    std::vector<SheetLine> set_first_;
};

}  // namespace
}  // namespace exchange

JobSheet parse_job_sheet(std::string_view text, const std::string& name, const SheetBook& book, Instant now) {
    JobSheet sheet;
    if (const auto root = exchange::read_sheet_tree(text, name, sheet.problems))
        exchange::Reader(sheet, name, book, now).read(*root);
    std::stable_sort(sheet.problems.listed.begin(), sheet.problems.listed.end(),
                     [](const FileProblem& a, const FileProblem& b) { return a.line < b.line; });
    return sheet;
}

}  // namespace tarebook
