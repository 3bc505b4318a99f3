// Turns typed words into values of the register, each checked against its rule.
#include <fmt/format.h>

#include <charconv>

#include "session.hpp"
#include "tarebook/checks/entry_field.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::cli {

FieldValue field_value(const Session& session, const FieldRule& rule, const std::string& typed, ScaleReads reads) {
    return must(parse_field(session.data.catalogue, rule, typed, reads));
}

std::string_view article(std::string_view word) {
    return !word.empty() && std::string_view("aeiou").find(word.front()) != std::string_view::npos ? "an" : "a";
}

std::string checked_code(EntryKind kind, const std::string& code) {
    must(check_code(kind, code));
    return code;
}

void set_full_charge(const Session& session, FieldValues& values, const std::string& typed, ScaleReads reads) {
    const FieldRule rule{"full_charge", FieldType::mass, {}};
    const auto dots = typed.find("..");
    values["full_charge"] = field_value(session, rule, typed.substr(0, dots), reads);
    values["full_charge_to"] =
        dots == std::string::npos ? FieldValue{} : field_value(session, rule, typed.substr(dots + 2), reads);
    const auto& to = values["full_charge_to"];
    if (to.mass && *to.mass < *values["full_charge"].mass)
        throw slip("range-backwards", "the range of the full charge ends below its start", typed, "40lb..60lb");
}

Reason reason(const Text& typed, Reason standard) {
    if (!typed) return standard;
    if (const auto r = reason_from(*typed)) return *r;
    const std::string words = "open|put-back|leak|initial|conversion|seasonal|overcharge|disposal|purged";
    throw slip("word-unknown", fmt::format("\"{}\" is not a reason", *typed), *typed, words,
               did_you_mean(*typed, split(words, '|')));
}

std::string begun_name(const std::string& cylinder) {
    constexpr std::size_t longest = 80;  // letters of a code in a file's name
    return "begun-" + (cylinder.size() <= longest ? cylinder : hex(digest_of(cylinder)));
}

std::string vacuum_text(const std::string& typed) {
    return must(parse_pressure(typed)).typed;
}

Text asked_pressure(const Session& session, const char* flag, const std::string& question) {
    Question q{flag, question};
    q.may_be_empty = true;
    q.check = [](const std::string& typed) -> Result<void> {
        const auto pressure = parse_pressure(typed);
        return pressure ? Result<void>() : fail(pressure.error());
    };
    auto said = session.need({}, q);
    return said.empty() ? Text() : Text(vacuum_text(said));
}

namespace {
std::optional<std::int64_t> minutes_in(std::string_view typed) {
    constexpr std::int64_t most = 100'000;
    std::int64_t minutes = 0;
    const auto [end, error] = std::from_chars(typed.data(), typed.data() + typed.size(), minutes);
    const auto rest = trimmed(typed.substr(static_cast<std::size_t>(end - typed.data())));
    const bool is_good = error == std::errc() && minutes >= 0 && minutes <= most && (rest.empty() || rest == "min");
    return is_good ? std::optional(minutes) : std::nullopt;
}
}  // namespace

std::optional<std::int64_t> asked_minutes(const Session& session, const char* flag, const std::string& question) {
    Question q{flag, question};
    q.may_be_empty = true;
    q.check = [](const std::string& typed) -> Result<void> {
        if (minutes_in(typed)) return {};
        return fail(slip("minutes-format", "cannot read how many minutes", typed, "whole minutes, such as 30").error);
    };
    return minutes_in(session.need({}, q));
}

Text word_of(const Text& typed, const char* flag, const std::vector<std::string>& words) {
    if (!typed) return typed;
    if (std::find(words.begin(), words.end(), *typed) != words.end()) return typed;
    throw slip("word-unknown", fmt::format("{1} does not take \"{0}\"", *typed, flag), *typed, joined(words, "|"));
}

std::vector<const Refrigerant*> refrigerants_in(const Session& session, std::string list) {
    list += ',';  // so that an empty name is refused wherever it stands
    std::vector<const Refrigerant*> all;
    for (const auto name : split(list, ',')) all.push_back(session.refrigerant(name));
    return all;
}

}  // namespace tarebook::cli
