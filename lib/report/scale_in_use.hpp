// The scale by which the weights to stop at are rounded down: a weight that the scale cannot show cannot be watched.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "tarebook/book/book.hpp"

namespace tarebook::report {

/// How a scale shows weights.
struct ScaleDivision {
    Mass division;
    std::optional<DisplayUnits> reads;  ///< where the register says it
};

class ScalesInUse {
 public:
    explicit ScalesInUse(const Book& book);
    /// Of the scale that is named, else of the one on which the cylinder was weighed last; nothing where its division
    /// is not on record. Looks at no more than the cylinder's newest 8 events.
    [[nodiscard]] std::optional<ScaleDivision> of(std::string_view cylinder,
                                                  const std::optional<std::string>& named = {}) const;

 private:
    [[nodiscard]] const ScaleDivision* find(const std::optional<std::string>& scale) const;
    const Book& book_;
    std::map<std::string, ScaleDivision, std::less<>> scales_;
};

}  // namespace tarebook::report
