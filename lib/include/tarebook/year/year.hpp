// What a year amounts to: per refrigerant, what was there, what came and went, what is there, as double entry.
//
//     YearSums sums(std::chrono::year(2026), book.entries());
//     ... sums.take(event) for every event that is effective, in total order, from the first one of the book on
//     YearBalance year = sums.balance();
//
// A year is that of the local date that the event carries. Two things are balanced, because gas is in two places:
//   - stock, what is in cylinders: by refrigerant and the owner of the lot. Cylinders serve many sites, so stock has no
//     site; it belongs to the owner of the gas.
//   - equipment, what went into and out of circuits: by refrigerant, appliance (so site) and the owner of the site at
//     the moment of the event. It is a flow: opening and closing say what was put in, net, since the book began, which
//     may be less than nothing where gas was recovered that was there before. It is never "the charge in the circuit".
// In both, opening + all terms = closing, exactly; opening is the closing of the year before; the sum over owners,
// sites and appliances is the shop's. Nothing is cut off at zero: negative stock, or a negative loss, says that a
// weight or a record is wrong, and is shown.
//
// Each term is split by how its mass is known: weighed, stated (maker's stamp, invoice) or estimated (also: taken from
// the book without a weighing). Pure: values in, values out. A sum beyond what a Mass can hold throws
// Refused (too-large).
#pragma once

#include <array>
#include <chrono>
#include <compare>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "tarebook/event/body_view.hpp"
#include "tarebook/ledger/gas_balance.hpp"
#include "tarebook/ledger/ledger.hpp"

namespace tarebook {

/// How a mass is known.
enum class Basis { weighed, stated, estimated };
/// How many there are.
inline constexpr std::size_t basis_count = 3;
/// For programs: "weighed".
std::string_view text_of(Basis basis);

/// The other side of a movement. In stock a positive mass came in; in equipment a positive mass was put in.
enum class Term {
    taken_over,    ///< counted when the book took the cylinder over
    received,      ///< from a supplier
    recovered,     ///< out of equipment
    charged,       ///< into equipment
    reused,        ///< recovered gas put back into equipment
    by_others,     ///< equipment only: what others put in
    pumped_over,   ///< equipment only: from one appliance into another; nothing in the sum of all
    returned,      ///< to a reclaimer, or to a supplier in exchange
    destroyed,     ///< to a destruction facility
    released,      ///< to the atmosphere
    lost,          ///< with the cylinder, or found again
    unaccounted,   ///< a scale and the book differed beyond tolerance
    scale,         ///< within the tolerance of two weighings
    reclassified,  ///< turned out to be another refrigerant, or another owner's
    other          ///< accounts that have no word of their own here
};
/// How many there are.
inline constexpr std::size_t term_count = static_cast<std::size_t>(Term::other) + 1;
/// For programs: "taken-over".
std::string_view text_of(Term term);
/// All terms in the order of the enumeration.
std::span<const Term> all_terms();

/// A posting whose account and lot are kept elsewhere: equal ones have the same address.
struct YearPosting {
    const Account* account = nullptr;
    const LotKey* lot = nullptr;
    Mass mass;
};
/// An event with what it did. Accounts and lots of its postings must live as long as the sums do.
struct YearEvent {
    std::string_view body;  ///< canonical bytes
    OrderKey order;
    Date day{};
    std::string_view kind;
    std::span<const YearPosting> postings;
    std::uint64_t reference = 0;  ///< chosen by the caller; a balance names the event by it
};

/// What the event's body says: how its masses are known, and what for.
struct YearWords {
    Basis basis = Basis::estimated;
    Reason reason = Reason::leak;
    /// Cylinders whose gross weight the event has; the last weight is the one after all movement but a departure.
    std::array<std::string_view, 2> weighed;
};
/// Reads the words of events one after another.
class YearWordsReader {
 public:
    /// The event's words. The views are good until the next call, and no longer than the body.
    YearWords read(const YearEvent& event);

 private:
    BodyReader reader_;
    BodyView event_;
};

/// One line of the classified ledger: every figure of a year is a sum of these.
struct YearMovement {
    Term term = Term::other;
    Basis basis = Basis::estimated;
    Reason reason = Reason::leak;
    std::string_view refrigerant, owner, condition;  ///< of the lot; the condition is empty where the term has none
    std::string_view place;  ///< circuit or appliance; supplier, reclaimer ... where the term has one
    std::string_view site_owner;
    std::optional<Mass> stock;      ///< into cylinders; negative: out of them
    std::optional<Mass> equipment;  ///< into equipment; negative: out of it
};

/// The owners of sites over time.
class SiteOwners {
 public:
    /// `reg` must outlive it.
    explicit SiteOwners(const Register& reg) : reg_(reg) {}
    /// The owner of a place's site; "unassigned" where the register does not say. Good until the register changes.
    std::string_view owner_of(std::string_view place, const OrderKey& when);

 private:
    const Register& reg_;
    std::map<std::string, const std::vector<DatedValue>*, std::less<>> by_site_;
};

/// The movements of events. Those of stock sum to what the event's cylinders gained, those of equipment to what its
/// circuits gained, per refrigerant and owner.
class YearMovements {
 public:
    /// `reg` must outlive it.
    explicit YearMovements(const Register& reg) : owners_(reg) {}
    /// The movements of one event; good until the next call.
    const std::vector<YearMovement>& of(const YearEvent& event, const YearWords& words);

 private:
    SiteOwners owners_;
    std::vector<YearMovement> out_;
};

/// One line of a balance.
class YearLine {
 public:
    /// Opening, and opening with all terms.
    [[nodiscard]] Mass opening() const { return opening_.value(); }
    [[nodiscard]] Mass closing() const;
    /// A term, or the part of it that is known in one way.
    [[nodiscard]] Mass sum(Term term) const;
    [[nodiscard]] Mass sum(Term term, Basis basis) const;
    /// Whether there was any movement, also where it sums to zero.
    [[nodiscard]] bool moved(Term term, Basis basis) const {
        return moved_[static_cast<std::size_t>(term)][static_cast<std::size_t>(basis)];
    }
    /// Of equipment: what was put in in the year for a reason, without releases and what was pumped over.
    [[nodiscard]] Mass put_in(Reason reason) const { return by_reason_[0][static_cast<std::size_t>(reason)].value(); }
    /// Of equipment: what was taken out in the year for a reason, as a positive mass; without releases and what was
    /// pumped over.
    [[nodiscard]] Mass taken_out(Reason reason) const {
        return by_reason_[1][static_cast<std::size_t>(reason)].value();
    }
    /// Of equipment: what was taken out and not put back, at the start of the year and at its end. What is put in fills
    /// up first what was taken out; overcharge, and what goes for good, leave nothing to put back. Negative where gas
    /// of other equipment was pumped in.
    [[nodiscard]] Mass left_out_at_start() const { return left_out_at_start_.value(); }
    [[nodiscard]] Mass left_out_at_end() const { return left_out_.value(); }
    /// Whether nothing was there and nothing moved.
    [[nodiscard]] bool is_empty() const;
    /// Adds each figure of another line.
    YearLine& operator+=(const YearLine& other);

 private:
    friend class YearSums;
    MassTotal opening_;
    std::array<std::array<MassTotal, basis_count>, term_count> terms_{};
    std::array<std::array<bool, basis_count>, term_count> moved_{};
    static constexpr std::size_t reason_count = static_cast<std::size_t>(Reason::purged) + 1;
    std::array<std::array<MassTotal, reason_count>, 2>
        by_reason_{};  // of equipment: what was put in, what was taken out
    MassTotal left_out_at_start_, left_out_;
};

/// What a line of stock is for.
struct StockKey {
    std::string refrigerant, owner;
    friend auto operator<=>(const StockKey&, const StockKey&) = default;
};
/// A line of stock, and what weighings say of its closing.
struct StockLine {
    YearLine line;
    /// What the last weighings up to the end of the year found in cylinders that were ever weighed against a tare.
    Mass counted;
    Mass not_counted;  ///< closing contents, by the book, of all other cylinders
};
/// What a line of equipment is for.
struct EquipmentKey {
    std::string refrigerant, owner, appliance;
    friend auto operator<=>(const EquipmentKey&, const EquipmentKey&) = default;
};
/// A cylinder at the end of the year.
struct CylinderLine {
    /// One lot, by the book and by the last weighing.
    struct Part {
        LotKey lot;
        Mass closing, counted;
    };
    std::vector<Part> parts;
    std::optional<Date> weighed_on;  ///< the last time up to the end of the year, against a tare on record
    std::uint64_t weighing = 0;      ///< reference of that event
};

/// A year of the whole book.
struct YearBalance {
    std::chrono::year year{};
    std::map<StockKey, StockLine> stock;
    /// Also lines that are empty but for what was left out of them.
    std::map<EquipmentKey, YearLine> equipment;
    std::map<std::string, CylinderLine> cylinders;  ///< those that held something at the end, or were weighed
    std::int64_t events = 0;                        ///< of the year
};

/// Adds up a year, event by event.
class YearSums {
 public:
    /// `reg` must outlive it.
    YearSums(std::chrono::year year, const Register& reg);
    /// Adds an event and returns its movements, also of other years; they are good until the next call. Precondition:
    /// the event follows the one before it in total order.
    const std::vector<YearMovement>& take(const YearEvent& event);
    /// The same with words and movements that another one found, so that several years at once read each event once.
    /// Precondition as above; what the movements view lives as long as this does.
    void take(const YearEvent& event, const YearWords& words, const std::vector<YearMovement>& movements);
    /// Adds what an event put into equipment and took out of it, and nothing else: movements that another one found, so
    /// that several years at once read each event once. Precondition as of take; the movements' words live as long as
    /// this does.
    void take_equipment(const OrderKey& order, Date day, const std::vector<YearMovement>& movements);
    [[nodiscard]] const YearWords& words() const { return words_; }  ///< of the event that was taken last
    /// 1 January and 31 December.
    [[nodiscard]] Date first_day() const { return first_; }
    [[nodiscard]] Date last_day() const { return last_; }
    /// The year as of the event that was taken last.
    [[nodiscard]] YearBalance balance() const;
    /// Whether the cylinder has gas of an owner other than `owner` and the shop, as of the event that was taken last.
    [[nodiscard]] bool holds_gas_of_others(std::string_view cylinder, std::string_view owner) const;

 private:
    struct Holding {
        const LotKey* lot = nullptr;
        MassTotal now, counted;
    };
    struct Cylinder {
        std::vector<Holding> holdings;
        std::optional<Date> weighed_on;
        std::uint64_t weighing = 0;
    };
    YearLine& stock_line(const YearMovement& m);
    YearLine& equipment_line(const YearMovement& m);
    static void add(YearLine& line, const YearMovement& m, Mass mass, bool before);
    void add_equipment(const YearMovement& m, const OrderKey& order, bool before);
    /// Keeps what is left out of a line's equipment.
    void leave_out(YearLine& line, const YearMovement& m, const OrderKey& when) const;
    Cylinder& cylinder(const Account* account);
    void look_into_cylinders(const YearEvent& event, const YearWords& words);
    /// Lines by the addresses of their words: an account, a lot and an owner keep theirs, and a line has few of each.
    using Place = std::array<const char*, 3>;
    struct PlaceHash {
        std::size_t operator()(const Place& p) const {
            std::size_t out = 0;
            for (const auto* at : p) out = (out ^ std::hash<const char*>()(at)) * 0x9e3779b97f4a7c15U;
            return out ^ out >> 32U;
        }
    };

    const Register& reg_;
    std::chrono::year year_;
    Date first_, last_;
    YearWordsReader reader_;
    YearMovements movements_;
    YearWords words_;
    std::map<StockKey, YearLine> stock_;
    std::map<EquipmentKey, YearLine> equipment_;
    std::map<std::string, Cylinder, std::less<>> cylinders_;
    std::unordered_map<Place, YearLine*, PlaceHash> known_lines_;
    std::unordered_map<const Account*, Cylinder*> known_cylinders_;
    std::int64_t events_ = 0;
};

/// What was lost of a gas, by the two balances of gas_balance.hpp; a part of a year's balance, or a sum of such parts.
struct YearLoss {
    MaterialBalance material;
    SimplifiedBalance simplified;
    /// Adds each figure of another part.
    YearLoss& operator+=(const YearLoss& other);
};
/// The loss of one line of equipment between two instants: what its site put in and took out, against the full charges
/// of the register at both, less what was taken out and not put back. Equipment that was first charged in the year had
/// no charge at its start, and what was emptied for disposal has none at its end; so with a conversion, for the old gas
/// and the new one.
YearLoss equipment_loss(const EquipmentKey& key, const YearLine& line, const Register& reg, Instant start, Instant end);
/// The loss of one line of stock: cylinders only. What went into and came out of equipment stands in both parts with
/// opposite signs, and cancels where they are added.
YearLoss stock_loss(const YearLine& line);

}  // namespace tarebook
