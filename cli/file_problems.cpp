#include "file_problems.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iostream>
#include <nlohmann/json.hpp>

#include "exit_code.hpp"

namespace tarebook::cli {
namespace {

using Json = nlohmann::ordered_json;

bool is_usage(const FileProblem& p) {
    return p.error.kind == ErrorKind::usage;
}

bool is_of_a_check(const FileProblem& p) {
    return p.error.kind == ErrorKind::refused &&
           std::any_of(all_checks().begin(), all_checks().end(),
                       [&](const CheckInfo& check) { return check.name == p.error.name; });
}

// visit.yaml:12: before: what
//   seen ...; expected ...
//   next: what to do now
void tell(const FileProblem& p) {
    std::cerr << p.file << ':';
    if (p.line > 0) std::cerr << p.line << ':';
    std::cerr << ' ' << (p.field.empty() ? "" : p.field + ": ") << p.error.what << '\n';
    std::string line;
    if (!p.error.seen.empty()) line += "seen " + p.error.seen;
    if (!p.error.expected.empty()) line += (line.empty() ? "expected " : "; expected ") + p.error.expected;
    if (!line.empty()) std::cerr << "  " << line << '\n';
    if (!p.error.next.empty()) std::cerr << "  next: " << p.error.next << '\n';
}

Json object(const FileProblem& p) {
    Json j;
    j["file"] = p.file;
    j["line"] = p.line;
    j["field"] = p.field;
    j["error"] = p.error.name;
    j["kind"] = is_usage(p) ? "usage" : "refused";
    j["what"] = p.error.what;
    j["seen"] = p.error.seen;
    j["expected"] = p.error.expected;
    j["next"] = p.error.next;
    return j;
}

std::string summary(const FileProblems& problems, const std::string& file) {
    return fmt::format("{} problem{} in {}", problems.count, problems.count == 1 ? "" : "s", file);
}

void tell_json(const FileProblems& problems, const std::string& file, const AfterProblems& after, bool usage) {
    Json j;
    j["schema_version"] = page_schema_version;
    j["page"] = "file-problems";
    j["error"] = "file-problems";
    j["kind"] = usage ? "usage" : "refused";
    j["what"] = summary(problems, file);
    j["next"] = after.next;
    j["written"] = false;
    j["number_of_problems"] = problems.count;
    j["kept"] = after.kept;
    auto list = Json::array();
    for (const auto& p : problems.listed) list.push_back(object(p));
    j["file_problems"] = std::move(list);
    // The file may have bytes that are no UTF-8; the JSON of the message must be valid.
    std::cerr << j.dump(2, ' ', false, Json::error_handler_t::replace) << '\n';
}

}  // namespace

int tell_file_problems(const Session& session, const FileProblems& problems, const std::string& file,
                       const AfterProblems& after) {
    const bool usage = std::any_of(problems.listed.begin(), problems.listed.end(), is_usage);
    const int code = usage ? exit_usage : exit_refused;
    if (session.format == "json") {
        tell_json(problems, file, after, usage);
        return code;
    }
    for (const auto& p : problems.listed) tell(p);
    if (problems.count > problems.listed.size())
        std::cerr << fmt::format("and {} more\n", problems.count - problems.listed.size());
    std::cerr << (usage ? "cannot take that: " : "refused: ") << summary(problems, file) << ". Nothing was written.\n";
    if (!after.kept.empty()) std::cerr << "  kept as a draft: " << after.kept << '\n';
    if (!after.next.empty()) std::cerr << "  next: " << after.next << '\n';
    if (!after.if_it_did_happen.empty() && std::any_of(problems.listed.begin(), problems.listed.end(), is_of_a_check))
        std::cerr << "  " << after.if_it_did_happen << '\n';
    return code;
}

}  // namespace tarebook::cli
