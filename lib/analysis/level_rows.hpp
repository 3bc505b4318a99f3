// Cylinders after each event, with their limits of that time.
#pragma once

#include <string>
#include <unordered_set>
#include <vector>

#include "table.hpp"
#include "tarebook/book/book.hpp"
#include "tarebook/refrigerant/fill_limit.hpp"

namespace tarebook::analysis {

class LevelRows {
 public:
    LevelRows(const Book& book, AnalystsDb& file);
    void write_all();
    /// The steps of a cylinder from a place on; those whose mark is the same and whose event is not in `events` stay.
    void update(const std::string& cylinder, const PlaceInFile& from, const std::unordered_set<std::int64_t>& events);
    /// The steps of a cylinder that the file has, from a place on.
    static std::vector<SeenStep> seen(AnalystsDb& file, std::string_view cylinder, const PlaceInFile& from);
    void finish() { levels_.finish(); }

 private:
    void write(const BookStep& step);
    struct Limit {
        const CylinderFacts* facts = nullptr;
        std::vector<std::string> gases;
        bool mixed = false;
        std::optional<SmallestLimit> smallest;
    };
    const std::optional<SmallestLimit>& limit_of(const CylinderFacts* facts, const CylinderState& state);

    const Book& book_;
    AnalystsDb& file_;
    Table levels_;
    FillLimitMemo memo_;
    Limit last_;
};

}  // namespace tarebook::analysis
