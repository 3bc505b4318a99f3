// Text that comes from outside is UTF-8, or it is refused.
#pragma once

#include <string_view>

namespace tarebook {

/// Whether all of it is UTF-8: no overlong forms, no surrogates, nothing beyond U+10FFFF.
bool is_utf8(std::string_view text);

}  // namespace tarebook
