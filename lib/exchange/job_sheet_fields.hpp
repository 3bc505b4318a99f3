// Reads the keys of one map of a sheet. Each complaint has file, line and key, and none ends the reading.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "checked_sheet.hpp"
#include "tarebook/exchange/job_sheet.hpp"

namespace tarebook::exchange {

Error slip(std::string name, std::string what, std::string seen, std::string expected, std::string next = {});

class SheetFields {
 public:
    /// Precondition: `node` is a map.
    SheetFields(const SheetNode& node, const std::string& name, FileProblems& problems)
        : node_(node), name_(name), problems_(problems) {}

    /// Refuses every other key. `elsewhere` are keys of other acts: an empty one is accepted, so that one form serves
    /// for all acts. `who` is named in the complaint: "weigh". `listed` stands there for the known keys.
    void only(std::span<const std::string_view> known, std::span<const std::string_view> elsewhere,
              std::string_view who, std::string_view listed = {});

    /// Null if the key is absent or empty.
    [[nodiscard]] const SheetNode* find(std::string_view key) const;
    [[nodiscard]] bool has(std::string_view key) const { return find(key) != nullptr; }
    /// The line of the key; that of the map if there is no such key.
    [[nodiscard]] std::int64_t line(std::string_view key) const;
    [[nodiscard]] std::int64_t line() const { return node_.line; }

    /// Empty if absent; a problem if it is a list or a map.
    std::optional<std::string> text(std::string_view key);
    /// A problem if absent. `expected` is shown.
    std::string need(std::string_view key, std::string_view expected);
    /// One of `words`, which are separated by |.
    std::optional<std::string> word(std::string_view key, std::string_view words);
    bool flag(std::string_view key);
    std::optional<std::int64_t> whole(std::string_view key, std::int64_t most);
    /// A text, or a list of texts.
    std::vector<std::string> texts(std::string_view key);
    /// A map of free names to texts, in its order.
    std::vector<std::pair<std::string, std::string>> named_texts(std::string_view key);

    void wrong(std::string_view key, Error error);
    /// The value, or its error as a problem of `key`.
    template <class T>
    std::optional<T> take(std::string_view key, Result<T> result) {
        if (result) return std::move(*result);
        wrong(key, std::move(result.error()));
        return std::nullopt;
    }
    /// Every key that has a single value.
    [[nodiscard]] std::vector<SheetWord> words() const;
    /// Whether there was no problem so far.
    [[nodiscard]] bool good() const { return good_; }

 private:
    void add(std::int64_t line, std::string field, Error error);

    const SheetNode& node_;
    const std::string& name_;
    FileProblems& problems_;
    bool good_ = true;
};

}  // namespace tarebook::exchange
