// Values of a JSON page, in the order in which they were added. Numbers are kept as the digits to print: printing a
// double may give 33.050000000000004, and a mass has at most six decimals.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "tarebook/report/report.hpp"
#include "tarebook/units/mass.hpp"

namespace tarebook::report {

class Json {
 public:
    static Json object() { return Json(Shape::object, {}); }
    static Json array() { return Json(Shape::array, {}); }
    static Json null() { return Json(Shape::scalar, "null"); }
    static Json text(std::string_view text);
    template <class Words>
    static Json list(const Words& words) {
        Json out = array();
        for (const auto& word : words) out.push(text(word));
        return out;
    }
    static Json text_or_null(const std::optional<std::string>& text) { return text ? Json::text(*text) : null(); }
    static Json whole(std::int64_t number) { return Json(Shape::scalar, std::to_string(number)); }
    static Json decimal(double number, int decimals);
    static Json boolean(bool value) { return Json(Shape::scalar, value ? "true" : "false"); }
    static Json pounds(Mass mass);

    Json& add(std::string key, Json value);
    Json& push(Json value);
    /// Two keys, NAME_lb and NAME_count; both null where there is no mass.
    Json& add_mass(const std::string& name, const std::optional<Mass>& mass);

    /// The digits or the text of a value that is no object and no list.
    [[nodiscard]] const std::string& scalar() const { return scalar_; }
    /// Indented by two, with a line end after the last brace.
    [[nodiscard]] std::string page() const;

 private:
    enum class Shape { scalar, object, array };
    Json(Shape shape, std::string scalar) : shape_(shape), scalar_(std::move(scalar)) {}
    void write(std::string& out, std::size_t depth) const;

    Shape shape_;
    std::string scalar_;
    std::vector<std::pair<std::string, Json>> parts_;  // keys are empty in an array
};

/// An object that begins with the schema_version of all pages and the page's own name: that of its JSON Schema in
/// schema/output.
Json versioned(std::string_view page);
inline constexpr std::int64_t schema_version = page_schema_version;

}  // namespace tarebook::report
