#include "tarebook/report/practice.hpp"

namespace tarebook {

std::string PracticeHeading::operator()(std::string_view piece) {
    std::string out;
    if (piece.empty()) return out;
    if (format_ == Format::text) {
        if (!begun_) out.append(practice_words).append("\n");
        begun_ = true;
        return out.append(piece);
    }
    if (format_ == Format::json) {
        const auto brace = begun_ ? std::string_view::npos : piece.find('{');
        if (brace == std::string_view::npos) return out.append(piece);
        begun_ = true;
        return out.append(piece.substr(0, brace + 1)).append("\n  \"practice\": true,").append(piece.substr(brace + 1));
    }
    if (format_ != Format::csv) return std::string(piece);
    // a line end between quotes belongs to a cell
    for (const char c : piece) {
        if (row_begins_) out += begun_ ? "PRACTICE," : "practice,";
        begun_ = true;
        row_begins_ = false;
        out += c;
        if (c == '"') in_quotes_ = !in_quotes_;
        row_begins_ = c == '\n' && !in_quotes_;
    }
    return out;
}

}  // namespace tarebook
