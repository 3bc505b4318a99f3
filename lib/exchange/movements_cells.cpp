#include "movements_cells.hpp"

#include <fmt/format.h>

#include "csv_guard.hpp"
#include "tarebook/units/nearest.hpp"

namespace tarebook {
namespace {

struct KindWord {
    std::string_view word;
    RowKind kind;
};
constexpr std::array<KindWord, 7> kind_words = {{{"purchase", RowKind::purchase},
                                                 {"charge", RowKind::charge},
                                                 {"recover", RowKind::recover},
                                                 {"return", RowKind::give_back},
                                                 {"loss", RowKind::loss},
                                                 {"receive", RowKind::purchase},
                                                 {"release", RowKind::loss}}};

bool same_word(std::string_view typed, std::string_view word) {
    if (typed.size() != word.size()) return false;
    for (std::size_t i = 0; i < word.size(); ++i) {
        const char c = typed[i];
        if (word[i] != (c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c)) return false;
    }
    return true;
}

}  // namespace

std::optional<RowKind> row_kind_from(std::string_view typed) {
    for (const auto& k : kind_words)
        if (same_word(typed, k.word)) return k.kind;
    return std::nullopt;
}

Error unknown_row_kind(std::string_view typed) {
    if (typed.empty()) return missing("the kind is missing", "purchase, charge, recover, return or loss");
    std::vector<std::string> words;
    for (const auto& k : kind_words) words.emplace_back(k.word);
    return csv_guard::error("kind-unknown", fmt::format("\"{}\" is not a kind of movement", typed), std::string(typed),
                            "purchase, charge, recover, return or loss", did_you_mean(typed, words));
}

std::optional<std::int32_t> plain_pounds(std::string_view typed) {
    std::size_t i = 0;
    std::int32_t value = 0;
    while (i < typed.size() && i < 6 && typed[i] >= '0' && typed[i] <= '9') value = value * 10 + (typed[i++] - '0');
    if (i == 0) return std::nullopt;
    std::int32_t scale = 1000;
    if (i < typed.size() && typed[i] == '.') {
        ++i;
        const std::size_t begin = i;
        while (i < typed.size() && i < begin + 3 && typed[i] >= '0' && typed[i] <= '9') {
            value = value * 10 + (typed[i++] - '0');
            scale /= 10;
        }
        if (i == begin) return std::nullopt;
    }
    if (i != typed.size()) return std::nullopt;
    return value * scale;
}

Result<std::int32_t> pounds_cell(std::string_view typed) {
    const auto weight = parse_weight(typed, ScaleReads::lb);
    if (!weight) return fail(weight.error());
    const auto letters = typed.find_first_not_of("0123456789. ");
    if (letters != std::string_view::npos && !same_word(typed.substr(letters), "lb") &&
        !same_word(typed.substr(letters), "lbs"))
        return fail(csv_guard::error("weight-unit", "the column is in pounds", std::string(typed), "43.25",
                                     "write the reading in decimal pounds"));
    constexpr std::int64_t step = Mass::counts_per_pound / 1000;
    if (weight->mass.count() % step != 0)
        return fail(csv_guard::error("weight-step", "finer than a row of weights can hold", std::string(typed),
                                     "steps of 0.001 lb", "round it to what the scale showed"));
    const auto thousandths = weight->mass.count() / step;
    if (thousandths > 999'999'999)
        return fail(csv_guard::error("weight-range", "heavier than any cylinder", std::string(typed),
                                     "below 1 000 000 lb", "check the reading"));
    return static_cast<std::int32_t>(thousandths);
}

void write_pounds(std::int32_t thousandths, std::string& out) {
    out.clear();
    const fmt::format_int whole(thousandths / 1000);
    out.append(whole.data(), whole.size());
    const int rest = thousandths % 1000;
    out += '.';
    out += static_cast<char>('0' + rest / 100);
    out += static_cast<char>('0' + rest / 10 % 10);
    if (rest % 10 != 0) out += static_cast<char>('0' + rest % 10);
    out += "lb";
}

Error missing(std::string what, std::string expected) {
    return csv_guard::error("cell-missing", std::move(what), "an empty cell", std::move(expected));
}
Error no_code(std::string_view column, std::string_view typed) {
    return csv_guard::error("code-format", fmt::format("that is not a code for a {}", column), std::string(typed),
                            "letters, digits, - _ . and no blanks, at most 64");
}

}  // namespace tarebook
