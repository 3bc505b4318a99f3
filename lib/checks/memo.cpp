#include "memo.hpp"

namespace tarebook::checks {
namespace {

// The bytes of a value as part of a key. Equal values have equal bytes, and only these.
template <class T>
void append(std::string& key, const T& value) {
    key.append(reinterpret_cast<const char*>(&value), sizeof value);
}

}  // namespace

const RatingVerdict& Memo::rating(const std::vector<const Refrigerant*>& gases, const std::string& spec,
                                  bool us_transport, DisplayUnits units) {
    std::string key;
    key.reserve(48);
    for (const auto* r : gases) append(key, r);
    key += us_transport ? '1' : '0';
    key += units == DisplayUnits::kg ? 'k' : 'l';
    key += spec;
    const auto [it, fresh] = ratings_.try_emplace(std::move(key));
    if (fresh) it->second = pressure_rating(gases, spec, us_transport, units);
    return it->second;
}

}  // namespace tarebook::checks
