// The register: sites, appliances, circuits, cylinders, scales, machines, technicians. An entry is its fields over
// time; a value holds from its moment on, and the first value of a field also holds for all earlier times.
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

/// What a field of an entry must look like; typed text is checked against it at the edge.
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
    country
};

struct FieldRule {
    std::string_view name;
    FieldType type;
    std::string_view words;  ///< for FieldType::word: the words taken, separated by |
};
/// The fields that an entry of this kind may have.
const std::vector<FieldRule>& field_rules(EntryKind kind);

struct DatedValue {
    OrderKey from;
    FieldValue value;
};

/// What a cylinder's entry says at a moment. Absent means "not on record", never "fine".
struct CylinderFacts {
    std::string use = "recovery";
    std::optional<std::string> refrigerant, spec, tested, test_basis, serial, belongs_to, place;
    std::optional<std::string> country;  ///< in which the shop fills and carries it
    std::optional<Volume> water_capacity;
    std::optional<Mass> tare, stamped_limit;
    std::optional<bool> flammable_rated;

    /// What a field of the entry says; one that is no fact here changes nothing.
    void take(std::string_view field, std::string_view text, const std::optional<Mass>& mass);
};
/// What an entry of a cylinder says by itself.
CylinderFacts facts_said_by(const kinds::Entry& entry);
/// The entry, where the event adds a cylinder.
const kinds::Entry* added_cylinder(const Event& event);

class Entry {
 public:
    Entry() = default;
    Entry(EntryKind kind, std::string code) : kind_(kind), code_(std::move(code)) {}
    [[nodiscard]] EntryKind kind() const { return kind_; }
    [[nodiscard]] const std::string& code() const { return code_; }

    void set(const std::string& field, const OrderKey& from, FieldValue value);
    void unset(const OrderKey& from);  ///< takes out what one event set (it was voided)
    [[nodiscard]] bool empty() const { return fields_.empty(); }

    /// The value in force at `when`; the first one where `when` is earlier; nullptr where the field was never set.
    [[nodiscard]] const FieldValue* at(std::string_view field, const OrderKey& when) const;
    [[nodiscard]] std::optional<std::string> text(std::string_view field, const OrderKey& when) const;
    [[nodiscard]] std::optional<Mass> mass(std::string_view field, const OrderKey& when) const;
    [[nodiscard]] const std::map<std::string, std::vector<DatedValue>, std::less<>>& fields() const { return fields_; }

    /// The fields of a cylinder as facts, parsed once: a history of a million events asks for them again and again.
    /// The reference lives until the entry changes.
    [[nodiscard]] const CylinderFacts& facts_at(const OrderKey& when) const;

 private:
    EntryKind kind_ = EntryKind::site;
    std::string code_;
    std::map<std::string, std::vector<DatedValue>, std::less<>> fields_;  // each list in total order
    // Facts from each moment on at which a field changes, the earliest first; empty until they are asked for.
    mutable std::vector<std::pair<OrderKey, CylinderFacts>> facts_;
};

/// Where the fold and the checks look things up. In memory for tests and imports, in the book for a recording.
class Register {
 public:
    Register() = default;
    Register(const Register&) = default;
    Register& operator=(const Register&) = default;
    virtual ~Register() = default;
    /// nullptr where there is no such entry. The pointer lives until the register changes.
    virtual const Entry* find(EntryKind kind, std::string_view code) const = 0;
    /// The owner group that `owner` belongs to; the owner's own name where it belongs to none.
    virtual std::string group_of(std::string_view owner) const = 0;
};

class RegisterInMemory : public Register {
 public:
    void apply(const Event& event);
    void retract(const Event& event);
    const Entry* find(EntryKind kind, std::string_view code) const override;
    std::string group_of(std::string_view owner) const override;
    [[nodiscard]] std::size_t size() const;

 private:
    std::array<ByCode<Entry>, 7> entries_;  // by kind
    /// The last answer of each kind: one event asks for it several times.
    mutable std::array<const ByCode<Entry>::value_type*, 7> latest_{};
    mutable ByCode<std::string> groups_;  // by owner, as far as they were asked for
};

/// nullptr where the cylinder has no entry; lives until the register changes.
const CylinderFacts* cylinder_facts(const Register& reg, std::string_view code, const OrderKey& when);

/// What the place of a movement (SITE/APPLIANCE/CIRCUIT, or SITE/APPLIANCE) was at a moment.
struct PlaceFacts {
    std::string site, appliance;  ///< codes: OAK, OAK/RACK-B
    std::string refrigerant;      ///< designation; empty where not on record
    std::string owner;
    std::optional<Mass> full_charge;
};
std::optional<PlaceFacts> place_facts(const Register& reg, std::string_view circuit, const OrderKey& when);

/// The full charge of an appliance entry; the midpoint where a range is on record (40 CFR 82.152, full charge (4)).
std::optional<Mass> full_charge(const Entry& appliance, const OrderKey& when);

std::string site_of(std::string_view circuit);
std::string appliance_of(std::string_view circuit);

/// "E12": the event with sequence 12 of this book.
std::string event_name(std::int64_t seq);

}  // namespace tarebook
