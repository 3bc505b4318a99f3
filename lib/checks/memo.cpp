#include "memo.hpp"

namespace tarebook::checks {
namespace {

// The bytes of a value as part of a key: equal exactly where the values are.
template <class T>
void append(std::string& key, const T& value) {
    key.append(reinterpret_cast<const char*>(&value), sizeof value);
}

std::optional<Limit> computed(FillQuestion question, bool also_unknown) {
    const auto answer = fill_limits(question);
    if (!answer) return std::nullopt;
    Limit limit{answer->net(), answer->candidates[answer->binding].rule};
    if (also_unknown) {
        question.refrigerant = nullptr;
        question.could_be.clear();
        if (const auto lower = fill_limits(question); lower && lower->net() < limit.net)
            limit = {lower->net(), lower->candidates[lower->binding].rule};
    }
    return limit;
}

}  // namespace

const std::optional<Limit>& Memo::limit(const FillQuestion& question, bool also_unknown) {
    std::string key;
    key.reserve(96);
    append(key, question.water_capacity.in_litres());
    append(key, question.stamped_limit_net ? question.stamped_limit_net->count() : -1);
    append(key, question.refrigerant);
    for (const auto* r : question.could_be) append(key, r);
    key += question.mixed ? 'm' : '-';
    key += question.hydrocarbon_or_ammonia_suspected ? 'h' : '-';
    key += also_unknown ? 'u' : '-';
    if (question.spec_mark) key += *question.spec_mark;
    const auto [it, fresh] = limits_.try_emplace(std::move(key));
    if (fresh) it->second = computed(question, also_unknown);
    return it->second;
}

const RatingVerdict& Memo::rating(const std::vector<const Refrigerant*>& gases, const std::string& spec) {
    std::string key;
    key.reserve(48);
    for (const auto* r : gases) append(key, r);
    key += spec;
    const auto [it, fresh] = ratings_.try_emplace(std::move(key));
    if (fresh) it->second = pressure_rating(gases, spec);
    return it->second;
}

}  // namespace tarebook::checks
