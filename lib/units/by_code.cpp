#include "tarebook/units/by_code.hpp"

namespace tarebook {
namespace {

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}
// Takes the digits that `rest` begins with, without leading zeros.
std::string_view number_taken(std::string_view& rest) {
    std::size_t end = 0;
    while (end < rest.size() && is_digit(rest[end])) ++end;
    auto number = rest.substr(0, end);
    rest.remove_prefix(end);
    while (number.starts_with('0')) number.remove_prefix(1);
    return number;
}

}  // namespace

bool CodeOrder::operator()(std::string_view a, std::string_view b) const {
    auto x = a, y = b;
    while (!x.empty() && !y.empty()) {
        if (is_digit(x.front()) && is_digit(y.front())) {
            const auto m = number_taken(x), n = number_taken(y);
            if (m.size() != n.size()) return m.size() < n.size();
            if (m != n) return m < n;
            continue;
        }
        if (x.front() != y.front())
            return static_cast<unsigned char>(x.front()) < static_cast<unsigned char>(y.front());
        x.remove_prefix(1);
        y.remove_prefix(1);
    }
    return x.empty() == y.empty() ? a < b : x.empty();
}

}  // namespace tarebook
