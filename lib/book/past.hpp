// Reads from the tables what was judged before, for events that are judged again.
#pragma once

#include <array>

#include "event_step.hpp"
#include "impl.hpp"

namespace tarebook {

struct StoredStep {
    Place place;
    std::int64_t row = 0, moved = 0, gap = 0;
    std::string state;  ///< packed
};

/// A statement about a return.
struct Tied {
    Place place;
    std::int64_t row = 0;
};
/// Which statements are about which returns; only those that count.
class Ties {
 public:
    Ties() = default;
    Ties(const Ties&) = default;
    Ties& operator=(const Ties&) = default;
    virtual ~Ties() = default;
    [[nodiscard]] virtual bool any() const = 0;
    [[nodiscard]] virtual std::optional<std::int64_t> returned_by(std::int64_t statement) const = 0;
    [[nodiscard]] virtual std::vector<Tied> statements_on(std::int64_t returned) const = 0;
};
class StoredTies : public Ties {
 public:
    explicit StoredTies(Book::Impl& book) : book_(book) {}
    [[nodiscard]] bool any() const override;
    [[nodiscard]] std::optional<std::int64_t> returned_by(std::int64_t statement) const override;
    [[nodiscard]] std::vector<Tied> statements_on(std::int64_t returned) const override;

 private:
    Book::Impl& book_;
};

class Past {
 public:
    explicit Past(Book::Impl& book) : book_(book) {}
    /// Steps of a cylinder, by its account: the last one, the last before a place, the first ones after a place.
    [[nodiscard]] std::optional<StoredStep> last(std::int64_t account) const;
    [[nodiscard]] std::optional<StoredStep> last_before(std::int64_t account, const Place& before) const;
    void after(std::int64_t account, const Place& place, std::int64_t most, std::deque<StoredStep>& out) const;
    /// The steps between two places that are within nearby_reach of the second.
    void nearby(std::int64_t account, const std::string& code, const Place& after, const Place& before,
                NearbyRows& out) const;
    /// Of these steps those that moved something, not read.
    void nearby_that_moved(std::int64_t account, const Place& after, const Place& before, NearbyRows& out) const;
    /// The steps behind a place, within nearby_reach of it, that moved about one of two amounts.
    [[nodiscard]] std::vector<std::pair<Place, std::int64_t>> about_as_much_after(std::int64_t account,
                                                                                  const Place& place,
                                                                                  std::array<Mass, 2> amounts) const;
    [[nodiscard]] Event event(std::int64_t row) const;
    [[nodiscard]] bool is_effective(std::int64_t row) const;
    /// What a return sent; empty if the return does not count.
    [[nodiscard]] std::optional<Sent> sent(std::int64_t returned) const;

 private:
    Book::Impl& book_;
};

}  // namespace tarebook
