// The refrigerants and the rule packs by which a book is read and judged. A value, and a cheap copy.
//
//     auto own = Catalogue::with_own("own-refrigerants.yaml").value();
//     auto book = Book::open("shop.tarebook", Access::read, {.catalogue = own});
#pragma once

#include "tarebook/refrigerant/catalogue.hpp"
#include "tarebook/rules/rulebook.hpp"

namespace tarebook {

/// Both; without more said, the compiled ones alone.
struct ReferenceData {
    Catalogue catalogue = {};
    Rulebook rules = {};
};

}  // namespace tarebook
