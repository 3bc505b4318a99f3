// The register: sites, appliances, circuits, cylinders, scales, machines, technicians, stock of gases. An entry is its
// fields over time; a value holds from its moment on, and the first value of a field also holds for all earlier times.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "tarebook/event/event.hpp"
#include "tarebook/units/by_code.hpp"
#include "tarebook/units/quantity.hpp"

namespace tarebook {

/// The form of a field's value. Text is checked against it before it is recorded.
enum class FieldType {
    text,
    mass,
    water_capacity,
    month,
    date,
    refrigerant,
    word,
    flag,
    zone,
    pressure,
    scale_accuracy,
    country,
    altitude,
    price
};

/// The oils of compressors, as their cans name them, separated by |.
inline constexpr std::string_view oil_words = "mineral|AB|POE|PVE|PAG|PAO";

/// A field that entries of one kind may have.
struct FieldRule {
    std::string_view name;
    FieldType type;
    std::string_view words;  ///< for FieldType::word: the words taken, separated by |
};
/// The fields that an entry of this kind may have, as long as the program runs.
const std::vector<FieldRule>& field_rules(EntryKind kind);

/// A value, and the place of the event that set it: it holds from there on.
struct DatedValue {
    OrderKey from;
    FieldValue value;
};

/// What a cylinder's entry says at a moment. Absent means "not on record", never "fine".
struct CylinderFacts {
    std::string use = "recovery";  ///< recovery | consolidation | supply
    std::optional<std::string> refrigerant, spec, tested, test_basis, serial, belongs_to, place;
    std::optional<std::string> country;  ///< in which the shop fills and carries it
    std::optional<Volume> water_capacity;
    std::optional<Mass> tare, stamped_limit;
    std::optional<bool> flammable_rated;

    /// Sets the fact of that name; an empty text means "not on record". A field that is no fact here changes nothing.
    void take(std::string_view field, std::string_view text, const std::optional<Mass>& mass);
};
/// What one entry of a cylinder says, without those before it. Precondition: the entry is of a cylinder.
CylinderFacts facts_said_by(const kinds::Entry& entry);
/// The entry, if the event adds a cylinder; else nullptr. Good as long as the event.
const kinds::Entry* added_cylinder(const Event& event);

/// An entry of the register: its fields over time.
class Entry {
 public:
    Entry() = default;
    /// An entry without fields.
    Entry(EntryKind kind, std::string code) : kind_(kind), code_(std::move(code)) {}
    /// As constructed.
    [[nodiscard]] EntryKind kind() const { return kind_; }
    /// As constructed.
    [[nodiscard]] const std::string& code() const { return code_; }

    /// The field has this value from there on, up to its next value. A value from the same place is replaced.
    void set(const std::string& field, const OrderKey& from, FieldValue value);
    /// Takes out all that the event at this place set, because it was voided.
    void unset(const OrderKey& from);
    /// Whether no field was ever set.
    [[nodiscard]] bool empty() const { return fields_.empty(); }

    /// The value in force at `when`, or the first one for an earlier moment; nullptr where the field was never set.
    /// Good until the entry changes.
    [[nodiscard]] const FieldValue* at(std::string_view field, const OrderKey& when) const;
    /// The text of that value; nothing where the field was never set, or was emptied.
    [[nodiscard]] std::optional<std::string> text(std::string_view field, const OrderKey& when) const;
    /// The mass of that value; nothing where the field was never set, or is no weight.
    [[nodiscard]] std::optional<Mass> mass(std::string_view field, const OrderKey& when) const;
    /// All values by field, each list in total order.
    [[nodiscard]] const std::map<std::string, std::vector<DatedValue>, std::less<>>& fields() const { return fields_; }

    /// The fields of a cylinder as facts, parsed once: a history of a million events asks for them again and again. The
    /// reference is good until the entry changes. Precondition: the entry is of a cylinder.
    [[nodiscard]] const CylinderFacts& facts_at(const OrderKey& when) const;

 private:
    EntryKind kind_ = EntryKind::site;
    std::string code_;
    std::map<std::string, std::vector<DatedValue>, std::less<>> fields_;  // each list in total order
    // Facts from each moment on at which a field changes, the earliest first; empty until they are asked for.
    mutable std::vector<std::pair<OrderKey, CylinderFacts>> facts_;
};

/// The register that the fold and the checks ask: in memory for tests and imports, in the book for a recording.
class Register {
 public:
    Register() = default;
    Register(const Register&) = default;
    Register& operator=(const Register&) = default;
    virtual ~Register() = default;
    /// nullptr where there is no such entry. The pointer is good until the register changes.
    virtual const Entry* find(EntryKind kind, std::string_view code) const = 0;
    /// The owner group that `owner` belongs to, by the last entry of any of its sites that names one; the owner's own
    /// name where none does.
    virtual std::string group_of(std::string_view owner) const = 0;
    /// Those of the book, in which findings word what they saw.
    DisplayUnits units = DisplayUnits::lb;
};

/// A register of the events that were applied to it. Not for several threads, const or not.
class RegisterInMemory : public Register {
 public:
    /// Takes what the event sets; other events change nothing. In any order of events.
    void apply(const Event& event);
    /// Takes out what the event had set.
    void retract(const Event& event);
    /// As Register says.
    const Entry* find(EntryKind kind, std::string_view code) const override;
    /// As Register says.
    std::string group_of(std::string_view owner) const override;
    /// The number of entries of all kinds.
    [[nodiscard]] std::size_t size() const;

 private:
    std::array<ByCode<Entry>, entry_kind_count> entries_;  // by kind
    /// The last answer of each kind: one event asks for it several times.
    mutable std::array<const ByCode<Entry>::value_type*, entry_kind_count> latest_{};
    mutable ByCode<std::string> groups_;  // by owner, as far as they were asked for
};

/// The facts of a cylinder's entry at a moment; nullptr where it has no entry. Good until the register changes.
const CylinderFacts* cylinder_facts(const Register& reg, std::string_view code, const OrderKey& when);

/// What the register says at a moment of the place of a movement (SITE/APPLIANCE/CIRCUIT, or SITE/APPLIANCE).
struct PlaceFacts {
    std::string site, appliance;  ///< codes: OAK, OAK/RACK-B
    std::string refrigerant;      ///< designation; empty where not on record
    std::string owner;            ///< of the site; empty where not on record
    std::optional<Mass> full_charge;
};
/// Nothing where the appliance has no entry.
std::optional<PlaceFacts> place_facts(const Register& reg, std::string_view circuit, const OrderKey& when);

/// The full charge of an appliance entry; the midpoint where a range is on record (40 CFR 82.152, full charge (4));
/// nothing where none is.
std::optional<Mass> full_charge(const Entry& appliance, const OrderKey& when);

/// "OAK" of OAK, OAK/RACK-B and OAK/RACK-B/4.
std::string site_of(std::string_view circuit);
/// "OAK/RACK-B" of OAK/RACK-B/4; the words themselves where they name no circuit.
std::string appliance_of(std::string_view circuit);
/// The same as a part of the words, good as long as they are.
std::string_view appliance_in(std::string_view circuit);

/// The code of the register's entry about a gas in stock: of a place, or of the whole shop where the place is empty.
/// "truck-2/R-448A", "R-1234ze_E". Letters that no code has become hyphens.
std::string stock_code(std::string_view refrigerant, std::string_view place);

/// "E12": the name of this book's own event number 12.
std::string event_name(std::int64_t seq);

}  // namespace tarebook
