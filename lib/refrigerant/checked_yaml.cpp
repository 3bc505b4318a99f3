#include "checked_yaml.hpp"

#include <fmt/format.h>
#include <yaml-cpp/eventhandler.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <sstream>

#include "tarebook/units/bounded_file.hpp"
#include "units/yaml_guard.hpp"

namespace tarebook::catalogue {

std::optional<double> decimal_number(std::string_view text) {
    double value = 0;
    const char* end = text.data() + text.size();
    const auto [stop, failed] = std::from_chars(text.data(), end, value, std::chars_format::fixed);
    if (failed != std::errc() || stop != end || !std::isfinite(value)) return std::nullopt;
    return value;
}

namespace {

constexpr std::size_t most_keys = 1000;  // the check for equal keys compares all of them

// Whether a text has control characters: an escape such as "\e" would reach the terminal on which it is shown.
bool has_control(std::string_view text) {
    return std::any_of(text.begin(), text.end(), [](char c) {
        const auto byte = static_cast<unsigned char>(c);
        return byte < 0x20 || byte == 0x7f;
    });
}

// The second look, at the library's events: what the guard took for text and the library does not, ends here. It comes
// first, as the library makes a tree of every document there is, and of some broken texts documents without end.
class SecondLook : public YAML::EventHandler {
 public:
    explicit SecondLook(const std::string& file) : file_(file) {}
    void OnDocumentStart(const YAML::Mark& mark) override {
        if (begun_)
            stop(mark,
                 *begun_ == mark.pos ? "this cannot be read as YAML" : "a second document begins here; expected one");
        begun_ = mark.pos;
    }
    void OnDocumentEnd() override {}
    void OnNull(const YAML::Mark& mark, YAML::anchor_t anchor) override { look(mark, "", anchor); }
    void OnAlias(const YAML::Mark& mark, YAML::anchor_t) override { stop(mark, "a document takes no alias"); }
    void OnScalar(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor, const std::string&) override {
        look(mark, tag, anchor);
    }
    void OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                         YAML::EmitterStyle::value) override {
        deeper(mark, tag, anchor);
    }
    void OnSequenceEnd() override { --depth_; }
    void OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                    YAML::EmitterStyle::value) override {
        deeper(mark, tag, anchor);
    }
    void OnMapEnd() override { --depth_; }

 private:
    [[noreturn]] void stop(const YAML::Mark& mark, const char* why) const {
        throw BadSource(fmt::format("{}:{}: {}", file_, std::max(1, mark.line + 1), why));
    }
    void look(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor) const {
        if (anchor != 0) stop(mark, "a document takes no anchor");
        if (!tag.empty() && tag != "?" && tag != "!") stop(mark, "a document takes no tag");
    }
    void deeper(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor) {
        look(mark, tag, anchor);
        if (++depth_ > deepest_yaml) stop(mark, "lists and keys are nested too deeply");
    }
    const std::string& file_;
    std::optional<int> begun_;  // where, in bytes
    std::size_t depth_ = 0;
};

}  // namespace

YAML::Node load_yaml(const std::string& file, std::size_t most_bytes) {
    const auto bytes = read_whole(file, most_bytes);
    if (!bytes)
        throw BadSource(bytes.error().name == "file-too-large"
                            ? fmt::format("{}: the file goes on beyond {} bytes", file, most_bytes)
                            : fmt::format("{}: cannot be read", file));
    FileProblems problems;
    guard_yaml(*bytes, file, {}, problems);
    if (!problems.empty()) {
        const auto& [name, line, column, error] = problems.listed.front();
        throw BadSource(fmt::format("{}:{}: {}", name, line, error.what));
    }
    const auto text = plain_yaml_text(*bytes);
    try {
        std::istringstream in(text);
        YAML::Parser parser(in);
        SecondLook look(file);
        while (parser.HandleNextDocument(look)) {
        }
        auto document = YAML::Load(text);
        if (document.IsNull()) throw BadSource(fmt::format("{}:1: the file is empty", file));
        return document;
    } catch (const YAML::Exception& e) {
        throw BadSource(fmt::format("{}:{}: {}", file, std::max(1, e.mark.line + 1), e.msg));
    }
}

CheckedMap::CheckedMap(std::string file, std::string path, const YAML::Node& node,
                       const std::vector<std::string_view>& known)
    : file_(std::move(file)), path_(std::move(path)), node_(node) {
    if (!node.IsMap()) throw BadSource(fmt::format("{}:{}: {}: expected a map", file_, node.Mark().line + 1, path_));
    for (const auto& pair : node) {
        if (!pair.first.IsScalar()) bad(pair.first, "", "a key must be plain text");
        const auto key = pair.first.Scalar();
        if (has_control(key)) bad(pair.first, "", "a key has a control character in it");
        if (entries_.size() == most_keys) bad(pair.first, "", fmt::format("more than {} keys", most_keys));
        if (!known.empty() && std::find(known.begin(), known.end(), key) == known.end())
            bad(pair.first, key, "unknown key");
        if (find(key)) bad(pair.first, key, "duplicate key");
        entries_.push_back({key, pair.first, pair.second});
    }
}

const CheckedMap::Entry* CheckedMap::find(std::string_view key) const {
    for (const auto& e : entries_)
        if (e.key == key) return &e;
    return nullptr;
}
bool CheckedMap::has(std::string_view key) const {
    return find(key) != nullptr;
}
std::string CheckedMap::path_of(std::string_view key) const {
    if (path_.empty()) return std::string(key);
    return key.empty() ? path_ : fmt::format("{}.{}", path_, key);
}
void CheckedMap::bad(const YAML::Node& where, std::string_view key, const std::string& why) const {
    throw BadSource(fmt::format("{}:{}: {}: {}", file_, where.Mark().line + 1, path_of(key), why));
}
void CheckedMap::bad(std::string_view key, const std::string& why) const {
    const auto* entry = find(key);
    bad(entry ? entry->key_node : node_, key, why);
}

YAML::Node CheckedMap::required(std::string_view key) const {
    const auto* entry = find(key);
    if (!entry) bad(key, "missing required key");
    return entry->value;
}
std::string CheckedMap::text(std::string_view key) const {
    const auto value = required(key);
    if (!value.IsScalar() || value.Scalar().empty()) bad(key, "expected a text");
    if (has_control(value.Scalar())) bad(key, "has a control character in it");
    return value.Scalar();
}
std::string CheckedMap::text_or_empty(std::string_view key) const {
    return has(key) ? text(key) : std::string();
}
double CheckedMap::number(std::string_view key) const {
    const auto typed = text(key);
    const auto value = decimal_number(typed);
    if (!value) bad(key, fmt::format("\"{}\" is not a number", typed));
    return *value;
}
void CheckedMap::not_negative(std::string_view key) const {
    if (has(key) && number(key) < 0) bad(key, "must not be negative");
}
std::optional<double> CheckedMap::optional_number(std::string_view key) const {
    if (!has(key)) return std::nullopt;
    return number(key);
}
std::optional<int> CheckedMap::optional_integer(std::string_view key) const {
    const auto value = optional_number(key);
    if (!value) return std::nullopt;
    if (std::abs(*value) > 1e9) bad(key, "is too large");
    const int whole = static_cast<int>(*value);
    if (whole != *value) bad(key, "expected a whole number");
    return whole;
}
bool CheckedMap::flag(std::string_view key) const {
    if (!has(key)) return false;
    const auto typed = text(key);
    if (typed != "true" && typed != "false") bad(key, "expected true or false");
    return typed == "true";
}
std::vector<std::string> CheckedMap::list(std::string_view key) const {
    const auto value = required(key);
    if (!value.IsSequence()) bad(key, "expected a list");
    std::vector<std::string> items;
    for (const auto& item : value) {
        if (!item.IsScalar()) bad(item, key, "expected a list of texts");
        if (has_control(item.Scalar())) bad(item, key, "has a control character in it");
        if (std::find(items.begin(), items.end(), item.Scalar()) != items.end())
            bad(item, key, fmt::format("{} is listed twice", item.Scalar()));
        items.push_back(item.Scalar());
    }
    return items;
}
void CheckedMap::each(const std::function<void(const std::string&, const YAML::Node&)>& visit) const {
    for (const auto& e : entries_) visit(e.key, e.value);
}

}  // namespace tarebook::catalogue
