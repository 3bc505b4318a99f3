// What went into and out of equipment, by appliance, kept on one walk over the events: for a page about many
// appliances. Some 60 bytes of each movement.
#pragma once

#include <array>
#include <deque>
#include <map>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "leak_rates.hpp"
#include "tarebook/year/year.hpp"
#include "year_view.hpp"

namespace tarebook::report {

/// What few movements have, all of them into equipment.
struct MovedFor {
    std::string leak;                  ///< "L-3", as this book names it
    std::optional<Percent> destroyed;  ///< of the purged gas that it replaces
};
/// Reads the whole event only where it has any of that.
MovedFor moved_for(const Book& book, const BookedEvent& e, const YearMovement& m);

/// Whether any of the movements is one of equipment.
bool move_equipment(const std::vector<YearMovement>& movements);

class EquipmentMovements {
 public:
    /// How a movement names its event: as the book does, or by sixteen digits of its digest, the same in every book.
    enum class Named { by_book, by_digest };
    /// Keeps what moved at places that the scope shows.
    explicit EquipmentMovements(const Book& book, YearScope scope = {}, Named named = Named::by_book)
        : book_(book), scope_(std::move(scope)), named_(named) {}
    /// Precondition: called in total order, on one walk, for every event whose movements move_equipment.
    void take(const BookedEvent& e, const std::vector<YearMovement>& movements, std::string_view job);
    /// Those of an appliance up to a day, in order of time, for leak_record; without their moments.
    [[nodiscard]] std::vector<KnownMovement> of(std::string_view appliance, Date until = last_day_of_all) const;
    /// The appliances that gas went into or out of.
    [[nodiscard]] std::vector<std::string> appliances() const;

 private:
    struct Moved {
        std::int64_t at = 0, seq = 0, mass = 0;
        std::array<char, 8> digest{};  ///< its beginning
        std::int32_t day = 0;
        std::uint32_t event = 0, chain = 0;  ///< which one of those that were taken; which one of the chains
        std::uint32_t job = 0, more = 0;     ///< where the job's text begins; of what few have: 0 for nothing
        std::uint16_t job_size = 0;
        std::uint8_t reason = 0;
    };
    struct Chain {
        BookId book{};
        std::uint16_t branch = 0;
        bool numbered = false;
        friend auto operator<=>(const Chain&, const Chain&) = default;
    };
    [[nodiscard]] std::string source_of(const Moved& m) const;

    const Book& book_;
    const YearScope scope_;
    const Named named_;
    std::map<std::string, std::deque<Moved>, std::less<>> moved_;
    std::unordered_map<const char*, std::deque<Moved>*> moved_at_;  // by the address of the place's code
    std::vector<const Chain*> chains_;
    std::map<Chain, std::uint32_t> number_of_chain_;
    std::vector<MovedFor> more_{{}};
    std::string jobs_;
    std::uint32_t events_ = 0;
};

}  // namespace tarebook::report
