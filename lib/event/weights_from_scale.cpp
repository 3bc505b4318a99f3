// Which weights of an event a scale sent: a walk over the fields of its kind.
#include "tarebook/event/event.hpp"

namespace tarebook {
namespace {

class NamesOfRead {
 public:
    void operator()(const char* key, const Weight& weight) { add(key, weight); }
    void operator()(const char* key, const std::optional<Weight>& weight) {
        if (weight) add(key, *weight);
    }
    void operator()(const char* key, const Weighing& weighing) {
        const std::string name = key;
        const auto side = name.starts_with("from_") ? "from " : name.starts_with("into_") ? "into " : "";
        for (const auto& [part, weight] : {std::pair{"before", &weighing.before}, std::pair{"after", &weighing.after},
                                           std::pair{"net", &weighing.net}})
            if (*weight) add(std::string(side) + part, **weight);
    }
    template <class T>
    void operator()(const char* /*key*/, const T& /*not a weight*/) {}
    std::vector<std::string> names;

 private:
    void add(std::string name, const Weight& weight) {
        if (weight.from_scale) names.push_back(std::move(name));
    }
};

}  // namespace

std::vector<std::string> weights_from_scale(const Event& event) {
    NamesOfRead read;
    std::visit([&]<class K>(const K& kind) { K::fields(kind, read); }, static_cast<const AnyKind&>(event.what));
    return std::move(read.names);
}

}  // namespace tarebook
