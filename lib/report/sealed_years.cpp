#include "tarebook/report/sealed_years.hpp"

#include <fmt/format.h>

#include <cstdlib>
#include <map>

#include "shared_text.hpp"
#include "table.hpp"

namespace tarebook {

std::vector<SealedYear> sealed_among(const Book& book, const std::set<int>& years) {
    if (years.empty()) return {};
    std::map<int, SealedYear> sealed;
    for (const auto& stored : book.events_of_kind(kinds::Seal::name))
        if (const auto* seal = std::get_if<kinds::Seal>(&stored.event.what)) {
            const int year = std::atoi(seal->year.c_str());
            if (years.contains(year)) sealed[year] = {year, stored, report::event_ref(book, stored)};
        }
    std::vector<SealedYear> out;
    for (auto& [year, last] : sealed) out.push_back(std::move(last));
    return out;
}

std::string amended_text(const std::vector<SealedYear>& years) {
    std::string out;
    for (const auto& y : years)
        out += report::wrapped(
            fmt::format("SEALED YEAR: {0} was sealed by {1} on {2}. This is an amendment of it: the seal stays as it "
                        "is and does not cover it, and the figures of {0} can differ from those that were sealed. "
                        "Tell those who have them; `tarebook report year {0}` shows both, `tarebook seal {0}` "
                        "seals the year anew",
                        y.year, y.name, date_text(y.seal.event.when.date())),
            0);
    return out;
}

}  // namespace tarebook
