#include "tarebook/year/seal.hpp"
#include "tarebook/units/word_list.hpp"

#include <charconv>

namespace tarebook {
namespace {

void put_line(std::string& out, const std::string& key, const YearLine& line) {
    const auto row = [&](std::string_view term, std::string_view basis, Mass mass) {
        out.append(key).append("\t").append(term).append("\t").append(basis).append("\t");
        out.append(std::to_string(mass.count())).append("\n");
    };
    row("opening", "all", line.opening());
    for (const auto term : all_terms())
        for (const auto basis : {Basis::weighed, Basis::stated, Basis::estimated})
            if (line.moved(term, basis)) row(text_of(term), text_of(basis), line.sum(term, basis));
    row("closing", "all", line.closing());
}

}  // namespace

Digest digest_of(const YearBalance& balance) {
    std::string out;
    for (const auto& [key, stock] : balance.stock)
        put_line(out, "stock\t" + key.refrigerant + "\t" + key.owner, stock.line);
    for (const auto& [key, line] : balance.equipment)
        if (!line.is_empty())
            put_line(out, "equipment\t" + key.refrigerant + "\t" + key.owner + "\t" + key.appliance, line);
    return digest_of(std::string_view(out));
}

std::string heads_text(const std::vector<SealedHead>& heads) {
    std::string out;
    for (const auto& head : heads)
        add_word(out, hex(head.book) + ":" + std::to_string(head.seq) + ":" + hex(head.digest), " ");
    return out;
}

std::optional<std::vector<SealedHead>> heads_from(std::string_view text) {
    std::vector<SealedHead> out;
    for (const auto word : split(text, ' ')) {
        const auto first = word.find(':');
        const auto second = word.find(':', first == std::string_view::npos ? first : first + 1);
        if (second == std::string_view::npos) return std::nullopt;
        const auto book = book_id_from_hex(word.substr(0, first));
        const auto digest = digest_from_hex(word.substr(second + 1));
        const auto digits = word.substr(first + 1, second - first - 1);
        SealedHead head;
        const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), head.seq);
        if (!book || !digest || error != std::errc() || end != digits.data() + digits.size()) return std::nullopt;
        head.book = *book, head.digest = *digest;
        out.push_back(head);
    }
    return out;
}

}  // namespace tarebook
