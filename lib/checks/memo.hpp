// Keeps answers about cylinders and gases that depend on their question alone: in a book the same few cylinders are
// filled with the same gas again and again, and each answer is built from tables and text.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>

#include "tarebook/refrigerant/fill_limit.hpp"

namespace tarebook::checks {

class Memo {
 public:
    /// The smallest limit; empty if none can be computed.
    const std::optional<SmallestLimit>& limit(const FillQuestion& question) { return limits_.smallest(question); }
    const RatingVerdict& rating(const std::vector<const Refrigerant*>& gases, const std::string& spec,
                                bool us_transport, DisplayUnits units);

 private:
    FillLimitMemo limits_;
    std::unordered_map<std::string, RatingVerdict> ratings_;
};

}  // namespace tarebook::checks
