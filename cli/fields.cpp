// Turns typed words into values of the register, each checked against its rule.
#include <fmt/format.h>

#include "session.hpp"
#include "tarebook/checks/entry_field.hpp"
#include "tarebook/units/nearest.hpp"

namespace tarebook::cli {
namespace {

std::vector<std::string> split(std::string_view words, char by) {
    std::vector<std::string> out;
    while (!words.empty()) {
        const auto end = words.find(by);
        out.emplace_back(words.substr(0, end));
        words.remove_prefix(end == std::string_view::npos ? words.size() : end + 1);
    }
    return out;
}

}  // namespace

FieldValue field_value(const FieldRule& rule, const std::string& typed, ScaleReads reads) {
    return must(parse_field(rule, typed, reads));
}

std::string_view article(std::string_view word) {
    return !word.empty() && std::string_view("aeiou").find(word.front()) != std::string_view::npos ? "an" : "a";
}

std::string checked_code(EntryKind kind, const std::string& code) {
    must(check_code(kind, code));
    return code;
}

void set_full_charge(FieldValues& values, const std::string& typed, ScaleReads reads) {
    const FieldRule rule{"full_charge", FieldType::mass, {}};
    const auto dots = typed.find("..");
    values["full_charge"] = field_value(rule, typed.substr(0, dots), reads);
    values["full_charge_to"] =
        dots == std::string::npos ? FieldValue{} : field_value(rule, typed.substr(dots + 2), reads);
    const auto& to = values["full_charge_to"];
    if (to.mass && *to.mass < *values["full_charge"].mass)
        throw slip("range-backwards", "the range of the full charge ends below its start", typed, "40lb..60lb");
}

Reason reason(const Text& typed, Reason standard) {
    if (!typed) return standard;
    if (const auto r = reason_from(*typed)) return *r;
    const std::string words = "open|put-back|leak|initial|conversion|seasonal|overcharge|disposal|purged";
    const auto near = nearest(*typed, split(words, '|'));
    throw slip("word-unknown", fmt::format("\"{}\" is no reason", *typed), *typed, words,
               near.empty() ? "" : fmt::format("did you mean {}?", near));
}

std::string vacuum_text(const std::string& typed) {
    return must(parse_pressure(typed)).typed;
}

Text word_of(const Text& typed, const char* flag, const std::vector<std::string>& words) {
    if (!typed) return typed;
    std::string all;
    for (const auto& w : words) {
        if (w == *typed) return typed;
        all += (all.empty() ? "" : "|") + w;
    }
    throw slip("word-unknown", fmt::format("\"{}\" is nothing that {} takes", *typed, flag), *typed, all);
}

}  // namespace tarebook::cli
