// Entries of cylinders that voids have taken out of the register, while events still speak of the cylinder.
#pragma once

#include <map>
#include <string>

#include "impl.hpp"

namespace tarebook {

struct VoidedEntry {
    std::int64_t void_row = 0;
    CylinderFacts facts;  ///< what the entry said
};
/// Of the events that added a cylinder: by its code.
std::multimap<std::string, VoidedEntry, std::less<>> voided_cylinder_entries(Book::Impl& book);

/// A cylinder's last entry, which a void took out, and that void. No person gave a reason for the void, neither with
/// --anyway nor by resolving the finding.
struct VoidOfLastEntry {
    std::string code;
    StoredEvent by;
    std::optional<Mass> tare;  ///< as the entry said
};
/// By code; of the voids of one cylinder's entries the last.
std::vector<VoidOfLastEntry> unexplained_voids_of_entries(Book::Impl& book);

/// Tells of a cylinder why the register does not have it.
class Unregistered {
 public:
    explicit Unregistered(Book::Impl& book);
    /// Whether no entry counts that adds it; then it says so in `now`. `has_entry`: something of it is on record.
    bool takes(CylinderNow& now, bool has_entry);
    /// By its lots; or, where they rested on a tare that went with the entry, by that tare.
    [[nodiscard]] bool holds_gas(const CylinderNow& now) const;

 private:
    Book::Impl& book_;
    std::multimap<std::string, VoidedEntry, std::less<>> voided_;
};

}  // namespace tarebook
