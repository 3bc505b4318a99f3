// A second opinion on the fold, kept only for tests: slow, plain, written from the design's words and in another shape
// than lib/ledger. It takes the whole set of events, decides which of them count, sorts them, and replays all of them
// from the start for each question. There are no cylinder states in it: one ledger of accounts holds every count, and
// what a cylinder contains is what its account says. Sums are 128 bits wide.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "tarebook/ledger/ledger.hpp"

namespace tarebook::plain {

__extension__ using Count = __int128;
using Holding = std::map<LotKey, Count>;  ///< never a zero in it

struct Cylinder {
    Holding lots;
    std::optional<Count> shows;  ///< what a scale under it should show
    bool mixed = false;
    bool reclaim_only = false;
    bool gone = false;
    bool lost = false;
    friend bool operator==(const Cylinder&, const Cylinder&) = default;
};

struct ReadGap {
    std::string cylinder;
    Count gap = 0;
    bool within_tolerance = false;
    friend bool operator==(const ReadGap&, const ReadGap&) = default;
};

/// One counting event, in total order, and how it left the cylinders that it names.
struct Passage {
    OrderKey order;
    std::vector<ReadGap> gaps;
    std::map<std::string, Cylinder> after;
};

struct Answer {
    std::map<std::pair<Account, LotKey>, Count> balances;
    std::map<std::string, Cylinder> cylinders;
    std::vector<Passage> passages;
    std::size_t settled = 0;  ///< statements that settled a return
};

/// Events that no void takes out, in total order. A void that a void names counts all the same.
std::vector<Event> counting(const std::vector<Event>& events);

Answer fold(const std::vector<Event>& events);

}  // namespace tarebook::plain
