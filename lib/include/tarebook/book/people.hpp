// The names of people. They stand beside the chain, which cannot forget: an event has a code in place of a name, and
// the book has the name in a table from which it can be removed. A code is a digest over the name and a random salt: it
// says which name it was, and without the salt no one finds the name by trying.
//
// A name that is typed as the name of a technician, or as that of who types, gets a code when it is recorded. The same
// name has one code in a book. Register::find and each_entry show names.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tarebook/event/person_code.hpp"

namespace tarebook {

/// A name with what its code is made of.
struct PersonName {
    std::string code, salt, name;  ///< salt: 16 bytes
};
/// Who types: as the shop writes it, and the device.
struct Typing {
    std::optional<std::string> name;  ///< nothing where no one is named
    std::string device;
    friend bool operator==(const Typing&, const Typing&) = default;
};

/// A person of whom the book has a code.
struct KnownPerson {
    std::string code;
    std::string name;                       ///< empty where it was removed, or never came here
    std::optional<std::string> removed_by;  ///< name of the event that removed it
    std::vector<std::string> technicians;   ///< entries of the register that have or had this name
    bool typed = false;                     ///< an event says that the person typed
};

}  // namespace tarebook
