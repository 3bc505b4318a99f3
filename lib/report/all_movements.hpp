// What went into and out of all appliances, kept on one walk over the events (year_reading.hpp): for a page that asks
// for many appliances. Some 60 bytes of each movement.
#pragma once

#include <array>
#include <deque>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "leak_rates.hpp"
#include "tarebook/year/year.hpp"

namespace tarebook::report {

class AllMovements {
 public:
    explicit AllMovements(const Book& book) : book_(book) {}
    /// Precondition: called for every event, in total order, with its movements and words.
    void take(const BookedEvent& e, const std::vector<YearMovement>& movements, const YearWords& words,
              std::string_view job);
    /// Those of an appliance up to a day, in order of time, for leak_record; without their moments.
    [[nodiscard]] std::vector<KnownMovement> of(std::string_view appliance, Date until = last_day_of_all) const;

 private:
    struct Moved {
        std::int64_t at = 0, seq = 0, mass = 0;
        std::int32_t day = 0;
        std::uint32_t job = 0, more = 0;  ///< where the job's text begins; of what few have: 0 for nothing
        std::uint16_t job_size = 0, chain = 0;
        std::array<char, 6> digest{};  ///< its beginning, of an event that has no number here
        std::uint8_t reason = 0;
    };
    struct Chain {
        BookId book{};
        std::uint16_t branch = 0;
        bool numbered = false;
        friend bool operator==(const Chain&, const Chain&) = default;
    };
    struct More {
        std::string leak;
        std::optional<Percent> destroyed;
    };
    /// Whether both are of one event.
    static bool is_of(const Moved& a, const Moved& b);
    std::uint16_t chain_of(const OrderKey& order, bool numbered);
    std::uint32_t more_of(const BookedEvent& e, const YearWords& words);

    const Book& book_;
    std::map<std::string, std::deque<Moved>, std::less<>> moved_;
    std::vector<Chain> chains_;
    std::vector<More> more_{{}};
    std::string jobs_;
};

}  // namespace tarebook::report
