#include "tarebook/units/nearest.hpp"

#include <algorithm>

#include "decimal.hpp"

namespace tarebook {

std::size_t edit_distance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t substituted = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
            diagonal = row[j];
            row[j] = std::min({row[j] + 1, row[j - 1] + 1, substituted});
        }
    }
    return row[b.size()];
}

std::string nearest(std::string_view word, const std::vector<std::string>& candidates) {
    const auto wanted = decimal::lower(word.substr(0, 200));
    std::string best;
    std::size_t fewest = 0;
    for (const auto& c : candidates) {
        const auto edits = edit_distance(wanted, decimal::lower(c));
        const auto allowed = std::max<std::size_t>(1, (c.size() + 2) / 3);
        if (edits <= allowed && (best.empty() || edits < fewest)) {
            best = c;
            fewest = edits;
        }
    }
    return best;
}

}  // namespace tarebook
