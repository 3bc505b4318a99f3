// The rows of a movements file, kept small: sixty-four bytes a row, texts by number, weights in thousandths of a pound
// (finer is refused), so that a million rows fit in memory beside the book's own work.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "csv.hpp"
#include "movements_texts.hpp"
#include "tarebook/event/moment.hpp"
#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/units/mass.hpp"
#include "tarebook/units/money.hpp"

namespace tarebook {

enum class RowKind : std::uint8_t { purchase, charge, recover, give_back, loss };

/// Identifies a row in the next file: a digest of the meaning of its cells.
using RowDigest = std::array<std::uint8_t, 16>;

struct MovementRow {
    Instant at{};
    std::int32_t before_mlb = 0, after_mlb = 0;  ///< thousandths of a pound, gross
    std::uint32_t line = 0;
    TextId place = 0;  ///< SITE/APPLIANCE/CIRCUIT, or the known part of it
    TextId cylinder = 0, technician = 0, job = 0, note = 0;
    std::int16_t offset_min = 0;
    std::uint16_t repeat = 1;  ///< 2 for the second row with the same cells, and so on
    RowKind kind = RowKind::purchase;
    std::uint8_t gas = 0;  ///< 0 if the row does not give it
    std::uint8_t zone = 0;
    RowDigest digest{};
};
static_assert(sizeof(MovementRow) == 64, "a million rows are 64 MB");

/// A list that grows without moving its rows, so that memory never holds two copies.
class MovementRows {
 public:
    TextPool places, cylinders, technicians, jobs, notes;
    std::vector<const Refrigerant*> gases{nullptr};
    std::vector<std::string> zones;
    std::unordered_map<std::uint32_t, Price> prices;  ///< of purchases, by line of the file

    [[nodiscard]] std::size_t size() const { return size_; }
    [[nodiscard]] const MovementRow& operator[](std::size_t i) const { return blocks_[i / per_block][i % per_block]; }
    [[nodiscard]] MovementRow& operator[](std::size_t i) { return blocks_[i / per_block][i % per_block]; }
    void push_back(const MovementRow& row);

 private:
    static constexpr std::size_t per_block = 16 * 1024;
    std::vector<std::unique_ptr<MovementRow[]>> blocks_;
    std::size_t size_ = 0;
};

/// The time zone of a site; the book's zone for an empty site.
using ZoneOfSite = std::function<std::string(std::string_view site)>;

/// Reads a whole movements file. Needs no book: codes are looked up later. Every problem goes to `problems` with its
/// line and column; rows with one are left out. `progress` gets the number of bytes read from time to time. Problems:
/// those of CsvReader and CsvColumns; kind-unknown, date-format, time-*, code-missing, code-format,
/// refrigerant-unknown, weight-*, text-too-long, row-repeated.
MovementRows read_movements(const Catalogue& catalogue, ByteSource& source, const std::string& name,
                            const ZoneOfSite& zone_of, FileProblems& problems,
                            const std::function<void(std::size_t)>& progress = {});

/// One part of a code: letters, digits, - _ .
bool is_code_part(std::string_view text);

}  // namespace tarebook
