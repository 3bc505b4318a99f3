#include "job_sheet_fields.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "tarebook/checks/draft_form.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/utf8.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::exchange {
namespace {

constexpr std::size_t problems_listed_most = 1000;  // as many as FileProblems keeps

bool among(std::span<const std::string_view> words, std::string_view word) {
    return std::find(words.begin(), words.end(), word) != words.end();
}

// A text for a message, cut between letters if it is long.
std::string shown(std::string_view text) {
    return shortened(text, 80);
}

// {before: 27,5} is read as the keys "before" and "5".
bool is_after_a_decimal_comma(std::string_view key) {
    return key.find_first_not_of("0123456789") == std::string_view::npos;
}

}  // namespace

Error slip(std::string name, std::string what, std::string seen, std::string expected, std::string next) {
    return {ErrorKind::usage, std::move(name), std::move(what), std::move(seen), std::move(expected), std::move(next)};
}

void SheetFields::add(std::int64_t line, std::string field, Error error) {
    good_ = false;
    problems_.add({name_, line, std::move(field), std::move(error)});
}
void SheetFields::wrong(std::string_view key, Error error) {
    error.seen = shown(error.seen);
    add(line(key), std::string(key), std::move(error));
}

void SheetFields::only(std::span<const std::string_view> known, std::span<const std::string_view> elsewhere,
                       std::string_view who, std::string_view listed) {
    for (std::size_t i = 0; i < node_.keys.size(); ++i) {
        const auto& key = node_.keys[i];
        if (among(known, key.text)) continue;
        if (problems_.count >= problems_listed_most && !(among(elsewhere, key.text) && node_.items[i].empty())) {
            good_ = false;
            ++problems_.count;  // it would not be listed: skips the search for the nearest word
            continue;
        }
        if (among(elsewhere, key.text)) {
            if (!node_.items[i].empty())
                add(key.line, key.text,
                    slip("sheet-key-of-other-act", fmt::format("{1} does not take {0}", key.text, who),
                         shown(node_.items[i].text), joined(known)));
            continue;
        }
        add(key.line, shown(key.text),
            slip("sheet-unknown-key", "there is no such key", shown(key.text),
                 fmt::format("keys of {}: {}", who, listed.empty() ? joined(known) : std::string(listed)),
                 is_after_a_decimal_comma(key.text) ? "write weights with a point: 27.5"
                                                    : did_you_mean(key.text, known)));
    }
}

const SheetNode* SheetFields::find(std::string_view key) const {
    for (std::size_t i = 0; i < node_.keys.size(); ++i)
        if (node_.keys[i].text == key) return node_.items[i].empty() ? nullptr : &node_.items[i];
    return nullptr;
}
std::vector<SheetWord> SheetFields::words() const {
    std::vector<SheetWord> out;
    for (std::size_t i = 0; i < node_.keys.size(); ++i)
        if (node_.items[i].kind == SheetNode::Kind::text && !node_.items[i].empty())
            out.push_back({node_.keys[i].text, node_.items[i].text, node_.keys[i].line});
    return out;
}
std::int64_t SheetFields::line(std::string_view key) const {
    for (const auto& k : node_.keys)
        if (k.text == key) return k.line;
    return node_.line;
}

std::optional<std::string> SheetFields::text(std::string_view key) {
    const auto* value = find(key);
    if (!value) return std::nullopt;
    if (value->kind == SheetNode::Kind::text) {
        auto problem = text_form_problem(key, value->text, "the text");
        if (!problem) return value->text;
        wrong(key, std::move(*problem));
        return std::nullopt;
    }
    wrong(key, slip("sheet-shape", "one value is expected", value->kind == SheetNode::Kind::list ? "a list" : "keys",
                    fmt::format("{}: value", key)));
    return std::nullopt;
}
std::string SheetFields::need(std::string_view key, std::string_view expected) {
    if (!has(key)) {
        wrong(key, slip("sheet-key-missing", fmt::format("{} is missing", key), {}, std::string(expected)));
        return {};
    }
    return text(key).value_or("");
}
std::optional<std::string> SheetFields::word(std::string_view key, std::string_view words) {
    auto typed = text(key);
    if (!typed) return std::nullopt;
    const auto list = split(words, '|');
    if (among(list, *typed)) return typed;
    wrong(key, slip("sheet-word", fmt::format("{1} does not take \"{0}\"", shown(*typed), key), *typed,
                    std::string(words), did_you_mean(*typed, list)));
    return std::nullopt;
}
bool SheetFields::flag(std::string_view key) {
    const auto typed = word(key, "yes|no|true|false");
    return typed == "yes" || typed == "true";
}
std::optional<std::int64_t> SheetFields::whole(std::string_view key, std::int64_t most) {
    const auto typed = text(key);
    if (!typed) return std::nullopt;
    std::int64_t value = 0;
    const char* end = typed->data() + typed->size();
    const auto [stop, failed] = std::from_chars(typed->data(), end, value);
    if (failed == std::errc() && stop == end && value >= 0 && value <= most) return value;
    wrong(key, slip("sheet-number", "that is not a whole number in range", *typed, fmt::format("0 to {}", most)));
    return std::nullopt;
}
std::vector<std::string> SheetFields::texts(std::string_view key) {
    const auto* value = find(key);
    if (!value) return {};
    if (value->kind == SheetNode::Kind::text) return {value->text};
    std::vector<std::string> out;
    if (value->kind == SheetNode::Kind::list) {
        for (const auto& item : value->items)
            if (item.kind == SheetNode::Kind::text)
                out.push_back(item.text);
            else if (!item.empty())
                add(item.line, std::string(key),
                    slip("sheet-shape", "a list of texts is expected", {}, fmt::format("{}: [\"one\", \"two\"]", key)));
        return out;
    }
    wrong(key, slip("sheet-shape", "a text or a list of texts is expected", "keys", fmt::format("{}: \"text\"", key),
                    "text with a colon and a space goes into \"quotes\""));
    return {};
}
std::vector<std::pair<std::string, std::string>> SheetFields::named_texts(std::string_view key) {
    const auto* value = find(key);
    if (!value) return {};
    std::vector<std::pair<std::string, std::string>> out;
    if (value->kind != SheetNode::Kind::map) {
        wrong(key, slip("sheet-shape", "names and values are expected", {},
                        fmt::format("{}: {{suction: 42psig, discharge: 210psig}}", key)));
        return out;
    }
    for (std::size_t i = 0; i < value->keys.size(); ++i) {
        const auto& item = value->items[i];
        if (item.empty()) continue;
        if (item.kind == SheetNode::Kind::text)
            out.emplace_back(value->keys[i].text, item.text);
        else
            add(value->keys[i].line, fmt::format("{}.{}", key, shown(value->keys[i].text)),
                slip("sheet-shape", "one value is expected", {}, "a value as read, with its unit"));
    }
    return out;
}

}  // namespace tarebook::exchange
