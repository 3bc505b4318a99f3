// The rows of a person's file, read through a mapping: a field of ours is asked for, and its cell gives the value,
// checked. Complaints name the person's column and cell.
#pragma once

#include <memory>

#include "csv.hpp"
#include "import_map.hpp"
#include "tarebook/event/moment.hpp"
#include "tarebook/rules/reference_data.hpp"

namespace tarebook {

class MappedTable {
 public:
    MappedTable(const ReferenceData& data, const ImportMap& map, const std::string& map_name, ByteSource& source,
                const std::string& name, FileProblems& problems);

    /// Reads the first row. Problems: csv-*, header-twice, text-not-utf8, map-no-column, map-column-open.
    bool open();
    /// Reads the next row that can be read, and sets good() to true.
    bool next();

    /// The text of the field's cell, after words: and nothing:; absent if the cell is empty.
    [[nodiscard]] std::optional<std::string> text(std::string_view field) const;
    /// As text(), for a text that goes unchanged into the book. Problems: text-formula, text-too-long.
    std::optional<std::string> sound_text(std::string_view field);
    /// As text(), checked against the rule of the field; a problem if it breaks the rule.
    std::optional<FieldValue> value(std::string_view field);
    std::optional<Weight> weight(std::string_view field);
    /// One part of a code. Problems: cell-missing if it is needed, code-format.
    std::optional<std::string> code(std::string_view field, bool needed);
    /// A day without a time is the beginning of that day: all its movements come later. Problems: date-format, time-*.
    std::optional<Moment> moment(std::string_view day, std::string_view time, const std::string& zone, Instant now);
    /// Whether there is a time of day, in its own field or in the field of the day.
    [[nodiscard]] bool has_time(std::string_view day, std::string_view time) const;

    void problem(std::string_view field, Error error);
    /// Problem entry-twice, where a row before this one had the code too: `lines` keeps the line of each.
    void look_for_twice(std::string_view field, const std::string& code, std::map<std::string, std::int64_t>& lines);
    /// How many rows the mapping skipped.
    [[nodiscard]] std::size_t skipped() const { return skipped_; }
    [[nodiscard]] bool good() const { return good_; }
    [[nodiscard]] std::int64_t line() const { return csv_.line(); }
    [[nodiscard]] const std::string& name() const { return csv_.name(); }
    /// The person's name for the field: its column in the file.
    [[nodiscard]] std::string column_of(std::string_view field) const;

 private:
    [[nodiscard]] bool is_skipped() const;
    std::optional<FieldValue> checked(const MappedField& mapped, const std::string& text);
    template <class T>
    std::optional<T> taken(std::string_view field, Result<T> result) {
        if (result) return std::move(*result);
        problem(field, std::move(result.error()));
        return std::nullopt;
    }

    const ReferenceData& data_;
    const ImportMap& map_;
    const std::string& map_name_;
    FileProblems& problems_;
    CsvReader csv_;
    CsvColumns cells_;
    std::map<std::string, std::size_t> place_;  // by plain name
    std::vector<std::size_t> nameless_;
    bool good_ = true;
    std::size_t skipped_ = 0;
};

}  // namespace tarebook
