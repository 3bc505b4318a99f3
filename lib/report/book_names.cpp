#include "book_names.hpp"

#include <fmt/format.h>

namespace tarebook::report {

std::string BookNames::of(const BookId& id) {
    if (id == book_.info().id) return {};
    if (!called_) {
        called_.emplace();
        for (auto& one : book_.trusted()) called_->emplace(one.id, std::move(one.called));
    }
    const auto digits = hex(id).substr(0, 12);
    const auto it = called_->find(id);
    return it == called_->end() ? "book " + digits : fmt::format("{} (book {})", it->second, digits);
}

std::string BookNames::recorded_by(const Event& event) {
    const auto name = of(event.book);
    return name.empty() ? name : "recorded by " + name;
}

}  // namespace tarebook::report
