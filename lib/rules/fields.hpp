// Reads the keys of one entry of a pack one by one. A key that is left at the end is unknown, and reported with its
// line.
#pragma once

#include <fmt/format.h>

#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "pack_source.hpp"

namespace tarebook::rules {

class Fields {
 public:
    Fields(std::string file, std::string path, const Catalogue& catalogue)
        : file_(std::move(file)), path_(std::move(path)), catalogue_(catalogue) {}
    void add(const Cell& cell) {
        if (line_ == 0) line_ = cell.line;
        cells_[cell.key].push_back(&cell);
    }

    /// Whose names the refrigerants of the pack get.
    [[nodiscard]] const Catalogue& catalogue() const { return catalogue_; }
    [[nodiscard]] bool has(std::string_view key) const { return cells_.contains(std::string(key)); }
    [[noreturn]] void bad(std::string_view key, const std::string& why) const;
    /// Throws if a key is left that was not read.
    void nothing_else() const;

    std::string text(std::string_view key);
    std::string text_or_empty(std::string_view key) { return has(key) ? text(key) : std::string(); }
    std::vector<std::string> list(std::string_view key);
    std::vector<std::pair<std::string, std::string>> map(std::string_view key);

    int integer(std::string_view key);
    double number(std::string_view key) { return to_number(key, text(key)); }
    double to_number(std::string_view key, const std::string& text) const;
    Percent percent(std::string_view key);
    Mass mass(std::string_view key);
    Date date(std::string_view key);
    Period period(std::string_view key);
    std::chrono::month_day month_day(std::string_view key);
    Temperature temperature(std::string_view key);
    PressureLevel level(std::string_view key);
    GaugePressure gauge(std::string_view key);
    AbsolutePressure absolute(std::string_view key);
    /// One of `words`; returns its position in the list.
    std::size_t word(std::string_view key, const std::vector<std::string_view>& words);
    std::size_t word_in(std::string_view key, const std::string& text,
                        const std::vector<std::string_view>& words) const;

    template <class Take>
    auto optional(std::string_view key, Take take) -> std::optional<decltype(take())> {
        if (!has(key)) return std::nullopt;
        return take();
    }

 private:
    const std::vector<const Cell*>& cells(std::string_view key);
    std::string file_, path_;
    const Catalogue& catalogue_;
    std::map<std::string, std::vector<const Cell*>> cells_;
    std::set<std::string> taken_;
    int line_ = 0;
};

/// Reads the terms of a rule of this kind. Throws BadPack.
RuleTerms read_terms(std::string_view kind, Fields& fields);

}  // namespace tarebook::rules
