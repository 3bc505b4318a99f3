#include "tarebook/units/utf8.hpp"

#include <cstddef>

namespace tarebook {

bool is_utf8(std::string_view s) {
    for (std::size_t i = 0; i < s.size();) {
        const auto c = static_cast<unsigned char>(s[i]);
        const std::size_t more = c < 0x80                ? 0
                                 : c >= 0xc2 && c < 0xe0 ? 1
                                 : c >= 0xe0 && c < 0xf0 ? 2
                                 : c >= 0xf0 && c < 0xf5 ? 3
                                                         : 9;
        if (more == 9 || i + more >= s.size()) return false;
        for (std::size_t k = 1; k <= more; ++k)
            if ((static_cast<unsigned char>(s[i + k]) & 0xc0U) != 0x80U) return false;
        if (more > 1) {  // refuses overlong forms, surrogates and numbers beyond Unicode
            const auto d = static_cast<unsigned char>(s[i + 1]);
            if ((c == 0xe0 && d < 0xa0) || (c == 0xed && d > 0x9f) || (c == 0xf0 && d < 0x90) ||
                (c == 0xf4 && d > 0x8f))
                return false;
        }
        i += more + 1;
    }
    return true;
}

}  // namespace tarebook
