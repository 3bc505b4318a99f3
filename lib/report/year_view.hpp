// A year of the book, or the part of one owner or one site: balances, losses and their equivalents.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"
#include "tarebook/report/report.hpp"
#include "tarebook/rules/gwp.hpp"
#include "tarebook/rules/rules.hpp"
#include "tarebook/year/year.hpp"
#include "year_pictures.hpp"
#include "year_reclaim.hpp"

namespace tarebook::report {

/// The part of a book that a reader may see.
struct YearScope {
    std::optional<std::string> owner, site;
    [[nodiscard]] bool all() const { return !owner && !site; }
    /// Stock has no site: the part of a site shows none.
    [[nodiscard]] bool shows_stock_of(std::string_view whose) const { return !site && (!owner || *owner == whose); }
    [[nodiscard]] bool shows_place(std::string_view place, std::string_view whose) const {
        return (!owner || *owner == whose) && (!site || place.substr(0, place.find('/')) == *site);
    }
    [[nodiscard]] std::string text() const;  ///< ", owner Bramble Dairy"; empty for the whole
};

/// Errors: unknown-site, unknown-owner (both refused, with the nearest), flags-together (usage).
Result<YearScope> scope_of(const Book& book, const YearQuestion& question);

/// A figure from those parts of a gas that a set has a value for. If the set lacks a part, the true figure is at least
/// this one.
struct KnownPart {
    double value = 0;
    bool at_least = false;
};
/// "at least 1.234"
std::string known_part_text(const std::optional<KnownPart>& figure);

/// Potentials by set, with the gases that each set lacks.
class GwpSets {
 public:
    GwpSets(Catalogue catalogue, RulePacks packs);
    [[nodiscard]] const std::vector<GwpValues>& sets() const { return sets_; }
    /// Empty if the set has no value for any part of the gas, which is never counted as zero.
    [[nodiscard]] std::optional<KnownPart> gwp(const std::string& refrigerant, const GwpValues& set) const;
    /// "R-448A by aim (no value for R-1234yf)"; empty if the set has the whole gas.
    [[nodiscard]] std::string gap_text(const std::string& refrigerant, const GwpValues& set) const;
    /// Empty, too, for a part of a negative loss.
    [[nodiscard]] std::optional<KnownPart> tonnes(const std::string& refrigerant, Mass mass,
                                                  const GwpValues& set) const;

 private:
    Catalogue catalogue_;
    std::vector<GwpValues> sets_;
};

struct LossLine {
    std::string refrigerant;
    std::string owner;
    std::string site;  ///< empty for storage
    YearLoss loss;
    /// Of the material balance: what equipment lost that the book has known only since this year, and of which it has
    /// no first charge beside a full charge. Its charge before is not on record.
    Mass charge_unknown_before;
};

struct YearView {
    YearScope scope;
    YearBalance balance;                      ///< only what the scope shows
    Digest whole_digest{};                    ///< of the whole book's balance
    std::map<StockKey, ReclaimLine> reclaim;  ///< what went to reclaimers, and what they stated
    std::vector<LossLine> losses;
    Catalogue catalogue;
    std::vector<const RulePack*> packs;
    std::vector<std::string> unknown_packs;
    std::set<std::string> countries_without_pack;  ///< where sites of the scope stand
    std::map<std::string, StockThroughYear> stock_days;
    Date stock_until{};
};

/// The packs that apply at the sites of the scope; for the whole book also those of the shop's country.
void take_packs(const Book& book, const YearScope& scope, YearView& view);
/// Precondition: `sums` and the watches have seen every event.
YearView year_view_of(const Book& book, const YearScope& scope, const YearSums& sums, const ReclaimWatch& reclaim,
                      const StockWatch& stock);
/// Local midnight in the book's zone at the start of the day.
Instant midnight(const Book& book, Date day);
/// Equipment by gas, owner and site.
std::map<EquipmentKey, YearLine> by_site(const YearBalance& balance);

/// The last lines of every page of a year.
std::string year_reserve();

}  // namespace tarebook::report
