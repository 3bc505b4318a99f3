// Reads schema files with checks. yaml-cpp keeps one of two equal keys in silence and reports "bad conversion" without
// a name, so every map is walked node by node, and every complaint has file, line and key.
#pragma once

#include <yaml-cpp/yaml.h>

#include <functional>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace tarebook::catalogue {

struct BadSource : std::runtime_error {
    using std::runtime_error::runtime_error;
};

/// A map of a schema file, checked when it is opened: keys are scalars, known, and each there once.
class CheckedMap {
 public:
    /// `path` names the place in the file for people: "refrigerants.R-448A". With an empty `known` any key is accepted.
    CheckedMap(std::string file, std::string path, const YAML::Node& node, const std::vector<std::string_view>& known);

    [[nodiscard]] bool has(std::string_view key) const;
    [[nodiscard]] YAML::Node required(std::string_view key) const;
    [[nodiscard]] std::string text(std::string_view key) const;
    [[nodiscard]] std::string text_or_empty(std::string_view key) const;
    [[nodiscard]] double number(std::string_view key) const;
    [[nodiscard]] std::optional<double> optional_number(std::string_view key) const;
    /// A key that is there must have a number of at least zero.
    void not_negative(std::string_view key) const;
    [[nodiscard]] std::optional<int> optional_integer(std::string_view key) const;
    [[nodiscard]] bool flag(std::string_view key) const;
    [[nodiscard]] std::vector<std::string> list(std::string_view key) const;
    void each(const std::function<void(const std::string& key, const YAML::Node& value)>& visit) const;

    [[nodiscard]] std::string path_of(std::string_view key) const;
    [[noreturn]] void bad(std::string_view key, const std::string& why) const;
    [[noreturn]] void bad(const YAML::Node& where, std::string_view key, const std::string& why) const;
    [[nodiscard]] const std::string& file() const { return file_; }

 private:
    struct Entry {
        std::string key;
        YAML::Node key_node;
        YAML::Node value;
    };
    [[nodiscard]] const Entry* find(std::string_view key) const;

    std::string file_;
    std::string path_;
    YAML::Node node_;
    std::vector<Entry> entries_;
};

/// A decimal number and no other text ("44", "0.6", "-40.8"), in any locale.
std::optional<double> decimal_number(std::string_view text);

inline constexpr std::size_t longest_schema_file = 1'000'000;  // bytes
/// Reads the file once it has passed the guard (units/yaml_guard.hpp) and is one document. Throws BadSource with file
/// and line: it cannot be read, is too large, is no such YAML, is empty.
YAML::Node load_yaml(const std::string& file, std::size_t most_bytes = longest_schema_file);

}  // namespace tarebook::catalogue
