#include "touched_appliances.hpp"

namespace tarebook::report {

void TouchedAppliances::of(const Event& e, std::set<std::string>& appliances, std::set<std::string>& sites) const {
    std::visit(
        [&](const auto& k) {
            if constexpr (requires { std::optional<std::string>(k.circuit); })
                if (const auto circuit = std::optional<std::string>(k.circuit))
                    appliances.insert(appliance_of(*circuit));
        },
        e.what);
    if (const auto named = appliance_named_by(e); !named.empty()) appliances.insert(std::string(named));
    if (const auto leak = book_.leak_named_in(e); !leak.empty()) {
        if (where_.empty())
            for (const auto& known : book_.leaks()) where_[known.code] = known.appliance;
        if (const auto it = where_.find(leak); it != where_.end()) appliances.insert(it->second);
    }
    if (const auto* k = std::get_if<kinds::Pumpdown>(&e.what); k && k->to) appliances.insert(appliance_of(*k->to));
    if (const auto change = register_change(e)) {
        if (change->entry == EntryKind::appliance) appliances.insert(change->code);
        if (change->entry == EntryKind::site) sites.insert(change->code);
    }
}

}  // namespace tarebook::report
