// Whether a row of the transport table names a mark.
#pragma once

#include "tarebook/refrigerant/spec_mark.hpp"

namespace tarebook {

/// "Same type with higher service pressure also": a mark covers a listed one of its type with no higher pressure.
inline bool covers(const SpecMark& mark, const ListedMark& listed) {
    if (mark.type != listed.type) return false;
    if (!listed.service_psig) return true;
    return mark.service_psig && *mark.service_psig >= *listed.service_psig;
}

inline bool covers_one_of(const SpecMark& mark, std::span<const ListedMark> listed) {
    for (const auto& l : listed)
        if (covers(mark, l)) return true;
    return false;
}

}  // namespace tarebook
