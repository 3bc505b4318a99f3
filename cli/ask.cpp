#include "ask.hpp"
#include "tarebook/units/word_list.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iostream>

namespace tarebook::cli {
namespace {

constexpr std::size_t events_looked_at = 200;
constexpr std::size_t offers_shown = 5;

bool has(const std::vector<Offer>& offers, const std::string& value) {
    return std::any_of(offers.begin(), offers.end(), [&](const Offer& o) { return o.value == value; });
}

// Visits the latest events first, until `visit` returns false.
void look_back(const Book& book, const std::function<bool(const Event&)>& visit) {
    book.each_event_back(Instant::max(), events_looked_at, "", [&](const StoredEvent& stored) {
        const bool counts = !stored.voided_by && !stored.quarantined;
        return !counts || visit(stored.event) ? Walk::on : Walk::stop;
    });
}

std::optional<std::string> line_typed() {
    std::string line;
    if (!std::getline(std::cin, line)) return std::nullopt;
    const auto first = line.find_first_not_of(" \t\r");
    if (first == std::string::npos) return std::string();
    return line.substr(first, line.find_last_not_of(" \t\r") - first + 1);
}

constexpr std::string_view line_key = "line";
// Behind a flag: the key of the device that its answer was read from.
constexpr std::string_view device_key = ":device";

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

// Offers have letters: a number may be that of a circuit, and never means a line of the menu.
char letter_of(std::size_t offer) {
    return static_cast<char>('a' + offer);
}
std::string meant(const std::string& typed, const Question& q) {
    if (typed.empty()) return q.offers.empty() ? typed : q.offers.front().value;
    const bool is_letter = typed.size() == 1 && typed.front() >= 'a' && typed.front() <= 'z';
    const auto offer = is_letter ? static_cast<std::size_t>(typed.front() - 'a') : q.offers.size();
    if (offer < std::min(q.offers.size(), offers_shown) && !has(q.offers, typed)) return q.offers[offer].value;
    return q.meant ? q.meant(typed) : typed;
}

void show(const Question& q) {
    std::cerr << q.text << "\n";
    const auto shown = std::min(q.offers.size(), offers_shown);
    for (std::size_t i = 0; i < shown; ++i)
        std::cerr << fmt::format("  {})  {:<18} {}\n", letter_of(i), q.offers[i].value, q.offers[i].words);
    if (const auto more = q.offers.size() - shown; more > 0) std::cerr << fmt::format("  and {} more\n", more);
}

void tell_slip(const Error& e) {
    std::cerr << "  " << e.what << (e.seen.empty() || e.kind == ErrorKind::usage ? "" : ": " + e.seen)
              << (e.expected.empty() ? "" : "; expected " + e.expected) << "\n";
    if (!e.next.empty()) std::cerr << "  " << e.next << "\n";
}

std::string prompt_of(const Question& q) {
    if (q.read) return fmt::format("[Enter reads {}] > ", q.device);
    if (q.offers.empty()) return "> ";
    constexpr std::size_t longest = 30;  // a longer one stands above, and its letter is enough
    const auto& first = q.offers.front().value;
    return fmt::format("[{}] > ", first.size() > longest ? std::string(1, letter_of(0)) : first);
}

}  // namespace

namespace {
std::string serves(const Book& book, const std::string& circuit) {
    const auto* entry = book.entries().find(EntryKind::circuit, circuit);
    return entry ? entry->text("serves", {Instant::max(), {}, 0}).value_or("") : std::string();
}
// Of one site, or of all (empty).
std::vector<Offer> latest_circuits_of(const Book& book, std::string_view site) {
    std::vector<Offer> out;
    look_back(book, [&](const Event& event) {
        const auto circuit = circuit_named_by(event);
        if (!circuit.empty() && !has(out, circuit) && (site.empty() || site_of(circuit) == site)) {
            auto words = serves(book, circuit);
            add_word(words, date_text(event.when.date()));
            out.push_back({circuit, std::move(words)});
        }
        return out.size() < offers_shown;
    });
    return out;
}
}  // namespace

std::vector<Offer> latest_circuits(const Book& book) {
    return latest_circuits_of(book, {});
}
std::vector<Offer> circuits_at(const Book& book, std::string_view site) {
    auto out = latest_circuits_of(book, site);
    for (const auto kind : {EntryKind::circuit, EntryKind::appliance})
        for (const auto& code : book.codes(kind))
            if (site_of(code) == site && !has(out, code) &&
                std::none_of(out.begin(), out.end(), [&](const Offer& o) { return o.value.starts_with(code + "/"); }))
                out.push_back({code, serves(book, code)});
    return out;
}

namespace {
// What `of` says of the latest events, each once.
template <class Of>
std::vector<Offer> latest(const Book& book, Of of) {
    std::vector<Offer> out;
    look_back(book, [&](const Event& event) {
        if (const auto& value = of(event); value && !has(out, *value))
            out.push_back({*value, date_text(event.when.date())});
        return out.size() < offers_shown;
    });
    return out;
}
}  // namespace

std::vector<Offer> latest_persons(const Book& book) {
    return latest(book, [](const Event& event) { return event.by; });
}
std::vector<Offer> latest_jobs(const Book& book) {
    return latest(book, [](const Event& event) { return event.job; });
}
std::vector<Offer> jobs_of_today(const Book& book, std::string_view circuit, Date today) {
    const auto site = site_of(circuit);
    return latest(book, [&](const Event& event) -> std::optional<std::string> {
        const auto here = circuit_named_by(event);
        return event.when.date() == today && !here.empty() && site_of(here) == site ? event.job : std::nullopt;
    });
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
    const auto begun = moment_in_zone(kept->begun, zone_);
    std::cerr << fmt::format("begun at {} and not recorded:\n",
                             begun ? moment_text(*begun) : instant_text(kept->begun));
    for (const auto& [flag, typed] : kept->words) {
        if (flag == line_key || flag.ends_with(device_key)) continue;
        const auto device = kept->at(flag + std::string(device_key)).value_or("");
        std::cerr << fmt::format("  {:<10} {}{}\n", flag, typed, device.empty() ? "" : ", read from " + device);
    }
    // Only a yes takes up what was answered: a code that is typed here is the answer to another question.
    for (;;) {
        std::cerr << "go on with it? [Y/n] ";
        const auto said = line_typed();
        if (!said || *said == "n" || *said == "N" || *said == "no") return drop_begun_entry(book_, name_);
        if (said->empty() || *said == "y" || *said == "Y" || *said == "yes") break;
        std::cerr << "  y, or n to begin anew\n";
    }
    entry_ = std::move(*kept);
}

std::optional<std::string> Conversation::answer(const Question& q) {
    if (!looked_) offer_what_was_kept();
    if (auto kept = entry_.at(q.flag)) {
        if (!q.check || q.check(*kept)) return kept;
    }
    show(q);
    std::string doubted;
    for (;;) {
        std::cerr << prompt_of(q);
        const auto typed = line_typed();
        if (!typed) {
            std::cerr << "\n";
            return std::nullopt;
        }
        const bool reads = q.read && (typed->empty() || *typed == "scale");
        auto read = reads ? q.read() : Result<std::string>();
        if (!read) {
            tell_slip(read.error());
            continue;
        }
        auto value = reads ? std::move(*read) : meant(*typed, q);
        if (q.may_be_empty && value == "-") value.clear();
        if (value.empty() && !q.may_be_empty) continue;
        if (q.check && !value.empty())
            if (const auto good = q.check(value); !good) {
                tell_slip(good.error());
                continue;
            }
        if (const auto why = q.doubt && !value.empty() ? q.doubt(value) : ""; !why.empty() && value != doubted) {
            std::cerr << fmt::format("  {} was not offered: {}\n  type it again to take it anyway\n", value, why);
            doubted = value;
            continue;
        }
        if (q.words && !value.empty()) std::cerr << fmt::format("  = {}  {}\n", value, q.words(value));
        entry_.set(std::string(line_key), line_);
        entry_.set(q.flag, value);
        if (const auto key = q.flag + std::string(device_key); reads || entry_.at(key))
            entry_.set(key, reads ? q.device : "");
        keep_begun_entry(book_, name_, entry_);
        return value;
    }
}

std::optional<std::string> Conversation::device_of(const std::string& flag) const {
    auto device = entry_.at(flag + std::string(device_key));
    return device && !device->empty() ? device : std::nullopt;
}

void Conversation::done() {
    if (holds_answers()) drop_begun_entry(book_, name_);
    entry_.words.clear();
}

}  // namespace tarebook::cli
