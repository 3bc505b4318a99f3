// The codes that the rows of a movements file refer to: on record, in the register lists, or unknown.
#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

#include "movements_rows.hpp"
#include "register_lists.hpp"
#include "tarebook/exchange/import.hpp"

namespace tarebook {

class MovementRegister {
 public:
    /// Keeps, of the listed entries and of the technicians in the rows, those that the book does not have yet; none if
    /// nothing may be added.
    MovementRegister(const Book& book, std::vector<ListedEntry> listed, const MovementRows& rows,
                     const std::string& movements_name, const ImportOptions& options);

    /// Reports each unknown code once, with the number of its rows, and each row that contradicts the gas of its
    /// cylinder or appliance. In the order of lines.
    void check(FileProblems& problems) const;

    /// The new entries as events, one minute before the first row.
    [[nodiscard]] std::vector<Event> events(Instant now) const;
    [[nodiscard]] const std::vector<ListedEntry>& added() const { return added_; }

 private:
    using Key = std::pair<EntryKind, std::string>;
    void say_use(ListedEntry& cylinder, const std::map<std::string, unsigned, std::less<>>& filled) const;
    [[nodiscard]] bool known(EntryKind kind, std::string_view code) const;
    [[nodiscard]] bool place_known(std::string_view place) const;
    [[nodiscard]] std::string gas_of(EntryKind kind, const std::string& code, Instant at, bool& changes) const;

    const Book& book_;
    const MovementRows& rows_;
    std::string name_;
    bool could_be_added_;
    std::vector<ListedEntry> added_;
    std::map<Key, std::size_t, std::less<>> new_;
};

}  // namespace tarebook
