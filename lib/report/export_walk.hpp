// The one walk over all events of an export: it writes two tables on the way, and keeps the little of each event that
// the other tables need.
#pragma once

#include <array>
#include <functional>
#include <map>
#include <set>
#include <string>
#include <unordered_set>
#include <vector>

#include "equipment_movements.hpp"
#include "event_row.hpp"
#include "export_file.hpp"
#include "export_scope.hpp"
#include "year_reclaim.hpp"
#include "year_seal.hpp"
#include "year_view.hpp"

namespace tarebook::report {

/// An event by the first 16 digits of its digest: the same in every book that has it.
using EventRef = std::uint64_t;
EventRef ref_of(const Digest& digest);
EventRef ref_of(std::string_view digest_bytes);
/// "d-5c0e11b29f3a7d04". The first letter keeps spreadsheets from reading digits, or 12e45, as a number.
class RefText {
 public:
    /// Valid until the next call.
    std::string_view of(EventRef ref);

 private:
    std::array<char, 18> text_{'d', '-'};
};
std::string text_of_ref(EventRef ref);

struct Shipment {
    EventRef event = 0;
    int n = 0;
    Date date{};
    std::string kind, cylinder, to, manifest, refrigerant, owner, condition;
    Mass mass;
    Basis basis = Basis::estimated;
    std::int64_t event_id = 0;
};
struct DisposedRecovery {
    EventRef event = 0;
    OrderKey order;
    Date date{};
    std::string appliance, refrigerant, by;
    Mass mass;
};
struct LeakRow {
    EventRef event = 0;
    Date date{};
    std::string kind, appliance, leak, by, what, result;
};

class ExportWalk {
 public:
    ExportWalk(const Book& book, const YearScope& scope, std::chrono::year year, const ExportFolder& folder);
    void run(const std::function<void(double)>& progress);

    [[nodiscard]] const YearSums& sums() const { return sums_; }
    [[nodiscard]] const ReclaimWatch& reclaim() const { return reclaim_; }
    [[nodiscard]] const StockWatch& stock() const { return stock_; }
    [[nodiscard]] SealWatch& seal() { return seal_; }
    [[nodiscard]] const SealWatch& seal() const { return seal_; }
    [[nodiscard]] const std::vector<Shipment>& shipments() const { return shipments_; }
    [[nodiscard]] const std::vector<DisposedRecovery>& disposed() const { return disposed_; }
    [[nodiscard]] const std::vector<LeakRow>& leaks() const { return leaks_; }
    [[nodiscard]] const std::map<std::string, std::int64_t>& technicians() const { return technicians_; }
    [[nodiscard]] std::set<std::string> cylinders() const;
    [[nodiscard]] const std::map<BookId, Head>& heads() const { return heads_; }
    [[nodiscard]] const std::vector<WrittenFile>& files() const { return files_; }
    [[nodiscard]] std::int64_t events() const { return rows_; }
    /// Whether an event of the year is in the export.
    [[nodiscard]] bool has(std::int64_t event_id) const { return scope_.all() || shown_.contains(event_id); }
    /// The event that set a value of the register.
    [[nodiscard]] std::string ref_at(const OrderKey& order) const;
    [[nodiscard]] const Redactor& withholder() const { return withholder_; }
    /// Up to the end of the year.
    [[nodiscard]] const EquipmentMovements& equipment() const { return equipment_; }

 private:
    void take(const BookedEvent& e);
    [[nodiscard]] bool concerns(const BookedEvent& e, const EventRow& row, const ReclaimWatch& reclaim);
    [[nodiscard]] bool touches_others(const BookedEvent& e, const EventRow& row);
    [[nodiscard]] std::string_view scope_owner(const OrderKey& when);
    void write_event(const BookedEvent& e, const EventRow& row, EventRef ref, bool withheld);
    void write_movements(const std::vector<YearMovement>& movements, EventRef ref);
    void keep_leak(const BookedEvent& e, const Event& event, EventRef ref);

    const Book& book_;
    YearScope scope_;
    YearSums sums_;
    SiteOwners owners_;
    SealWatch seal_;
    ReclaimWatch reclaim_;
    StockWatch stock_;
    EquipmentMovements equipment_;
    Redactor withholder_;
    EventRowReader reader_;
    OutFile events_file_, movements_file_;
    std::vector<YearPosting> postings_;
    std::map<OrderKey, EventRef> register_;
    std::map<std::string, std::string, std::less<>> appliance_of_leak_;
    std::vector<Shipment> shipments_;
    std::vector<DisposedRecovery> disposed_;
    std::vector<LeakRow> leaks_;
    std::map<std::string, std::int64_t> technicians_;
    ByCode<bool> cylinders_;
    std::map<BookId, Head> heads_;
    std::unordered_set<std::int64_t> shown_;
    std::set<std::string> shown_digests_;
    std::vector<WrittenFile> files_;
    std::int64_t rows_ = 0;
    BookId last_book_{};
    std::string book_id_, key_;
};

std::string balance_key(const StockKey& key);
std::string balance_key(const EquipmentKey& key);

}  // namespace tarebook::report
