// A QR code (ISO/IEC 18004) as the path of an SVG: one square a dark module, a unit wide.
#pragma once

#include <string>
#include <string_view>

namespace tarebook::report {

struct QrCode {
    int modules = 0;   ///< on a side, without the quiet zone of four around it that the standard asks for
    std::string path;  ///< "M3 0h7v1h-7z ..."
};
/// Error correction level M: a label is still read without a seventh of it. `text`: UTF-8, at most 300 bytes.
QrCode qr_code(std::string_view text);

}  // namespace tarebook::report
