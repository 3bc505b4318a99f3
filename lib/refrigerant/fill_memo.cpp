#include "tarebook/refrigerant/fill_limit.hpp"

namespace tarebook {
namespace {

// The bytes of a value as part of a key. Equal values have equal bytes, and only these.
template <class T>
void append(std::string& key, const T& value) {
    key.append(reinterpret_cast<const char*>(&value), sizeof value);
}

}  // namespace

const std::optional<SmallestLimit>& FillLimitMemo::smallest(const FillQuestion& question) {
    std::string key;
    key.reserve(96);
    append(key, question.water_capacity.in_litres());
    append(key, question.stamped_limit_net ? question.stamped_limit_net->count() : -1);
    append(key, question.stored_at ? question.stored_at->in_celsius() : -1000.0);
    append(key, question.refrigerant);
    for (const auto* r : question.could_be) append(key, r);
    key += question.mixed ? 'm' : '-';
    key += question.unnamed ? 'u' : '-';
    key += question.hydrocarbon_or_ammonia_suspected ? 'h' : '-';
    key += question.us_transport ? '1' : '0';
    if (question.transport) {
        append(key, question.transport->of_density);
        append(key, question.transport->density_at.in_celsius());
        append(key, question.transport->not_full_at.in_celsius());
    }
    if (question.spec_mark) key += *question.spec_mark;
    const auto [it, fresh] = known_.try_emplace(std::move(key));
    if (fresh)
        if (const auto limits = fill_limits(question))
            it->second = SmallestLimit{limits->net(), limits->candidates[limits->binding].rule};
    return it->second;
}

}  // namespace tarebook
