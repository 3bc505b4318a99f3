#include "qr_code.hpp"

#include <fmt/format.h>
#include <qrencode.h>

#include <memory>
#include <new>

namespace tarebook::report {

QrCode qr_code(std::string_view text) {
    // upper and lower case are kept apart: an ID is taken as it is written
    const std::unique_ptr<QRcode, void (*)(QRcode*)> code(
        QRcode_encodeData(static_cast<int>(text.size()), reinterpret_cast<const unsigned char*>(text.data()), 0,
                          QR_ECLEVEL_M),
        &QRcode_free);
    if (!code) throw std::bad_alloc();  // a code of the register is short enough for one
    QrCode out;
    out.modules = code->width;
    const auto dark = [&](int x, int y) { return (code->data[y * code->width + x] & 1U) != 0; };
    for (int y = 0; y < code->width; ++y)
        for (int x = 0; x < code->width;) {
            int run = 0;
            while (x + run < code->width && dark(x + run, y)) ++run;
            if (run > 0) out.path += fmt::format("M{} {}h{}v1h-{}z", x, y, run, run);
            x += run + 1;
        }
    return out;
}

}  // namespace tarebook::report
