#include "ask.hpp"
#include "tarebook/units/word_list.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <iostream>

namespace tarebook::cli {
namespace {

constexpr std::int64_t events_looked_at = 200;
constexpr std::size_t offers_shown = 5;

bool has(const std::vector<Offer>& offers, const std::string& value) {
    return std::any_of(offers.begin(), offers.end(), [&](const Offer& o) { return o.value == value; });
}

// Visits the latest events first, until `visit` returns false.
void look_back(const Book& book, const std::function<bool(const Event&)>& visit) {
    const auto last = book.event_count();  // events are numbered by their rows, from one on
    for (auto row = last; row > 0 && row > last - events_looked_at; --row) {
        const auto stored = book.event(row);
        if (stored && !stored->voided_by && !stored->quarantined && !visit(stored->event)) return;
    }
}

std::string content_words(const Book& book, const std::string& cylinder) {
    const auto state = book.state(cylinder);
    if (state.lots.empty()) return "empty";
    return fmt::format("{} of {}{}", mass_text(state.contents(), book.info().units),
                       state.mixed ? "mixed gas" : state.lots.front().key.refrigerant,
                       state.place.empty() ? "" : ", " + state.place);
}

std::optional<std::string> line_typed() {
    std::string line;
    if (!std::getline(std::cin, line)) return std::nullopt;
    const auto first = line.find_first_not_of(" \t\r");
    if (first == std::string::npos) return std::string();
    return line.substr(first, line.find_last_not_of(" \t\r") - first + 1);
}

constexpr std::string_view line_key = "line";

// The words without --anyway and its reason, which a person adds after a refusal.
std::string line_of(const std::vector<std::string>& words) {
    std::string out;
    for (std::size_t i = 1; i < words.size(); ++i) {
        if (words[i] == "--anyway")
            ++i;
        else if (!words[i].starts_with("--anyway="))
            add_word(out, words[i], " ");
    }
    // A file of lines returns control characters as blanks.
    std::replace_if(
        out.begin(), out.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; }, ' ');
    return out;
}

// "2" means the second offer, unless an offer has that name.
std::string meant(const std::string& typed, const std::vector<Offer>& offers) {
    if (typed.empty()) return offers.empty() ? typed : offers.front().value;
    std::size_t number = 0;
    const auto [end, error] = std::from_chars(typed.data(), typed.data() + typed.size(), number);
    if (error == std::errc() && end == typed.data() + typed.size() && number >= 1 && number <= offers.size() &&
        !has(offers, typed))
        return offers[number - 1].value;
    return typed;
}

}  // namespace

std::vector<Offer> latest_circuits(const Book& book) {
    std::vector<Offer> out;
    look_back(book, [&](const Event& event) {
        const auto circuit = circuit_named_by(event);
        if (!circuit.empty() && !has(out, circuit)) {
            const auto* entry = book.entries().find(EntryKind::circuit, circuit);
            const auto serves = entry ? entry->text("serves", {Instant::max(), {}, 0}) : std::nullopt;
            out.push_back({circuit, fmt::format("{}{}", serves ? *serves + ", " : "", date_text(event.when.date()))});
        }
        return out.size() < offers_shown;
    });
    return out;
}

std::vector<Offer> latest_cylinders(const Book& book) {
    std::vector<Offer> out;
    look_back(book, [&](const Event& event) {
        if (!std::holds_alternative<kinds::Entry>(event.what))
            for (const auto& code : cylinders_of(event))
                if (!has(out, code) && !book.state(code).gone) out.push_back({code, content_words(book, code)});
        return out.size() < offers_shown;
    });
    return out;
}

void Conversation::begin(std::filesystem::path book, const std::string& command, const std::vector<std::string>& words,
                         Instant now) {
    book_ = std::move(book);
    name_ = "asked-" + command;
    line_ = line_of(words);
    if (!holds_answers()) entry_.begun = now;
}

void Conversation::offer_what_was_kept() {
    looked_ = true;
    auto kept = begun_entry(book_, name_);
    if (!kept || kept->at(line_key) != line_) return;
    std::cerr << fmt::format("begun at {} and not recorded:\n", instant_text(kept->begun));
    for (const auto& [flag, typed] : kept->words)
        if (flag != line_key) std::cerr << fmt::format("  {:<10} {}\n", flag, typed);
    std::cerr << "go on with it? [Y/n] ";
    const auto said = line_typed();
    if (!said || said->starts_with('n') || said->starts_with('N'))
        drop_begun_entry(book_, name_);
    else
        entry_ = std::move(*kept);
}

std::optional<std::string> Conversation::answer(const Question& q) {
    if (!looked_) offer_what_was_kept();
    if (auto kept = entry_.at(q.flag)) {
        if (!q.check || q.check(*kept)) return kept;
    }
    std::cerr << q.text << "\n";
    for (std::size_t i = 0; i < q.offers.size(); ++i)
        std::cerr << fmt::format("  {}  {:<18} {}\n", i + 1, q.offers[i].value, q.offers[i].words);
    for (;;) {
        std::cerr << (q.offers.empty() ? "> " : fmt::format("[{}] > ", q.offers.front().value));
        const auto typed = line_typed();
        if (!typed) {
            std::cerr << "\n";
            return std::nullopt;
        }
        auto value = meant(*typed, q.offers);
        if (value.empty()) continue;
        if (q.check)
            if (const auto good = q.check(value); !good) {
                const auto& e = good.error();
                std::cerr << "  " << e.what << (e.expected.empty() ? "" : "; expected " + e.expected) << "\n";
                if (!e.next.empty()) std::cerr << "  " << e.next << "\n";
                continue;
            }
        entry_.set(std::string(line_key), line_);
        entry_.set(q.flag, value);
        keep_begun_entry(book_, name_, entry_);
        return value;
    }
}

void Conversation::done() {
    if (holds_answers()) drop_begun_entry(book_, name_);
    entry_.words.clear();
}

}  // namespace tarebook::cli
