// Entries of cylinders that voids took out of the register, while events still name the cylinder.
#pragma once

#include <map>
#include <string>

#include "impl.hpp"

namespace tarebook {

struct VoidedEntry {
    std::int64_t void_row = 0;
    CylinderFacts facts;  ///< from the voided entry
};
/// The voided events that added a cylinder, by its code.
std::multimap<std::string, VoidedEntry, std::less<>> voided_cylinder_entries(Book::Impl& book);

/// The last entry of a cylinder, which a void took out. Precondition: no person gave a reason for the void, neither
/// with --anyway nor by a resolution.
struct VoidOfLastEntry {
    std::string code;
    StoredEvent by;
    std::optional<Mass> tare;  ///< from the voided entry
};
/// By code. Of several voids of one cylinder's entries the last one.
std::vector<VoidOfLastEntry> unexplained_voids_of_entries(Book::Impl& book);

/// Says why the register does not have a cylinder.
class Unregistered {
 public:
    explicit Unregistered(Book::Impl& book);
    /// Whether no entry that counts adds the cylinder; then it writes that into `now`. `has_entry`: the register has a
    /// field of it.
    bool takes(CylinderNow& now, bool has_entry);
    /// By its lots; or, if they relied on a tare that went with the entry, by that tare.
    [[nodiscard]] bool holds_gas(const CylinderNow& now) const;

 private:
    Book::Impl& book_;
    std::multimap<std::string, VoidedEntry, std::less<>> voided_;
};

}  // namespace tarebook
