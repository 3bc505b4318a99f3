// What a page's content policy says of an inline style or script.
#pragma once

#include <string>
#include <string_view>

namespace tarebook::report {

/// 'sha256-...' of the text between the tags, quotes included.
std::string policy_hash(std::string_view inline_text);

}  // namespace tarebook::report
