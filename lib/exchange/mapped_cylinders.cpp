// A list of cylinders: each row is an entry of the register, with the contents of the cylinder on the day of the list.
#include <fmt/format.h>

#include "csv_guard.hpp"
#include "mapped_drafts.hpp"
#include "movements_cells.hpp"

namespace tarebook {
namespace {

class CylinderRows : MappedEntries {
 public:
    using MappedEntries::MappedEntries;

    MappedDrafts read() {
        each_row(table_, out_, [&] { row(); });
        return std::move(out_);
    }

 private:
    void row() {
        const auto code = table_.code("cylinder", true);
        if (code) table_.look_for_twice("cylinder", *code, lines_);
        MappedEntry entry;
        entry.kind = EntryKind::cylinder;
        entry.line = table_.line();
        for (const auto& field : map_fields(MapKind::cylinders)) {
            if (field.of != EntryKind::cylinder) continue;
            if (auto value = table_.value(field.name)) {
                const std::string name(field.rule.name);
                entry.places[name] = {table_.line(), table_.column_of(field.name)};
                entry.values[name] = std::move(*value);
            }
        }
        const auto gross = table_.weight("gross");
        const auto net = table_.weight("net");
        auto counted = table_.moment("counted_on", "counted_at", book_.info().zone, now_);
        const auto condition = table_.value("condition");
        if ((gross || net) && !counted && table_.good())
            table_.problem("counted_on",
                           missing("a weight without the day on which it was read", "the day of the count"));
        if (!table_.good() || !code) return out_.keep_unread(code, table_.line());
        entry.code = *code;
        const auto now = moment_in_zone(now_, book_.info().zone);
        const bool weighed = gross || net;
        const auto when = weighed ? *counted : now.value_or(Moment{now_, {}, "UTC"});
        draft_entry(book_, entry, when, now_, file_, MapKind::cylinders, problems_, out_);
        if (weighed) counted_stock(entry, gross, net, condition, when);
    }

    [[nodiscard]] std::optional<Mass> tare_of(const MappedEntry& entry) const {
        if (const auto it = entry.values.find("tare"); it != entry.values.end()) return it->second.mass;
        const auto* known = book_.entries().find(EntryKind::cylinder, entry.code);
        return known ? known->mass("tare", {now_, {}, INT64_MAX}) : std::nullopt;
    }

    void counted_stock(const MappedEntry& entry, const std::optional<Weight>& gross, const std::optional<Weight>& net,
                       const std::optional<FieldValue>& condition, const Moment& when) {
        Event e;
        e.when = when;
        e.recorded = now_;
        e.by = table_.sound_text("technician");
        e.note = table_.sound_text("note");
        const auto owner = table_.sound_text("owner");
        if (!table_.good()) return out_.keep_unread(entry.code, table_.line());
        e.own_id = fmt::format("counted:{}@{}", entry.code, instant_text(when.at));
        if (!book_.event_with_own_id(*e.own_id))
            if (const auto step = book_.last_step(entry.code)) {
                table_.problem(gross ? "gross" : "net",
                               {ErrorKind::refused,
                                "opening-late",
                                fmt::format("the book has what is in {} already ({})", entry.code,
                                            event_name(book_.event(step->event_id)->event.seq)),
                                {},
                                "opening stock of a cylinder that nothing is recorded of",
                                "what it weighs now is a count: tarebook count, or tarebook weigh"});
                return out_.keep_unread(entry.code, table_.line());
            }
        const auto tare = tare_of(entry);
        if (gross && (!tare || *tare == gross->mass)) {
            // Without a tare a gross weight does not tell the contents, and at its tare a cylinder is empty: then only
            // the weight is on record.
            if (!tare) ++out_.not_said["contents"];
            kinds::Weigh weigh;
            weigh.cylinder = entry.code;
            weigh.gross = *gross;
            e.what = std::move(weigh);
            return out_.keep(std::move(e), table_.line());
        }
        kinds::Opening opening;
        opening.cylinder = entry.code;
        opening.owner = owner.value_or("");
        if (opening.owner.empty()) ++out_.not_said["owner"];
        if (const auto gas = entry.values.find("refrigerant"); gas != entry.values.end())
            opening.refrigerant = gas->second.text;
        opening.gross = gross;
        opening.net = net;
        // Without a statement about its condition it counts as the worst.
        opening.condition = Condition::recovered;
        if (condition)
            if (const auto known = condition_from(condition->text)) opening.condition = *known;
        if (!condition) ++out_.not_said["condition"];
        e.what = std::move(opening);
        out_.keep(std::move(e), table_.line());
    }

    std::map<std::string, std::int64_t> lines_;
};

}  // namespace

MappedDrafts read_mapped_cylinders(const Book& book, MappedTable& table, const std::string& file, Instant now,
                                   FileProblems& problems) {
    return CylinderRows(book, table, file, now, problems).read();
}

}  // namespace tarebook
