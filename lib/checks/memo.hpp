// Answers about cylinders and gases that depend on nothing but their question, kept: in a book the same few cylinders
// are filled with the same gas again and again, and each answer is built from tables and words.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>

#include "tarebook/fill_limit.hpp"

namespace tarebook::checks {

struct Limit {
    Mass net;
    std::string rule;
};

class Memo {
 public:
    /// The smallest limit; empty where none can be computed. `also_unknown`: something in it has no name, so that the
    /// rule for unknown contents counts as well.
    const std::optional<Limit>& limit(const FillQuestion& question, bool also_unknown);
    const RatingVerdict& rating(const std::vector<const Refrigerant*>& gases, const std::string& spec);

 private:
    std::unordered_map<std::string, std::optional<Limit>> limits_;
    std::unordered_map<std::string, RatingVerdict> ratings_;
};

}  // namespace tarebook::checks
