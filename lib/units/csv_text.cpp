#include "csv_text.hpp"

#include <array>
#include <charconv>

#include "hex.hpp"
#include "tarebook/units/shown_text.hpp"

namespace tarebook {

void CsvText::comma() {
    if (!first_)
        out_ += ',';
    else if (!begins_.empty())
        out_.append(begins_) += ',';
    first_ = false;
}

CsvText& CsvText::cell(std::string_view text) {
    // one look at each letter: most cells stand as they are
    constexpr unsigned quoted = 1, strange = 2;
    static constexpr auto looks = [] {
        std::array<unsigned char, 256> out{};
        for (std::size_t c = 0; c < out.size(); ++c) out[c] = c < 0x20 || c >= 0x7f || c == '\\' ? strange : 0;
        for (const char c : std::string_view(",\"\r\n")) out[static_cast<unsigned char>(c)] |= quoted;
        return out;
    }();
    comma();
    unsigned seen = 0;
    for (const char c : text) seen |= looks[static_cast<unsigned char>(c)];
    std::string made;
    if ((seen & strange) != 0 || is_computed(text) || text.starts_with('\'')) {
        made = cell_text(text);
        text = made;
        seen = text.find_first_of(",\"\r\n") == std::string_view::npos ? 0 : quoted;
    }
    if ((seen & quoted) == 0) {
        out_ += text;
        return *this;
    }
    out_ += '"';
    for (const char c : text) {
        if (c == '"') out_ += c;
        out_ += c;
    }
    out_ += '"';
    return *this;
}
CsvText& CsvText::cell(const std::optional<Mass>& mass) {
    comma();
    if (mass) out_ += pounds_text(*mass);
    return *this;
}
CsvText& CsvText::count(std::int64_t number) {
    comma();
    std::array<char, 24> digits{};
    const auto* const end = std::to_chars(digits.data(), digits.data() + digits.size(), number).ptr;
    out_.append(digits.data(), static_cast<std::size_t>(end - digits.data()));
    return *this;
}
CsvText& CsvText::hex(std::string_view bytes) {
    comma();
    const auto begin = out_.size();
    out_.resize(begin + 2 * bytes.size());
    write_hex(bytes, out_.begin() + static_cast<std::ptrdiff_t>(begin));
    return *this;
}
void CsvText::end_row() {
    out_ += "\r\n";
    first_ = true;
}

}  // namespace tarebook
