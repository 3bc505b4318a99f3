#include "json.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

namespace tarebook::report {

Json Json::text(std::string_view text) {
    // Bytes that are no UTF-8 came from a terminal; a page with a replacement character beats no page.
    return Json(Shape::scalar,
                nlohmann::json(std::string(text)).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace));
}
Json Json::decimal(double number, int decimals) {
    std::string digits = fmt::format("{:.{}f}", number, decimals);
    if (digits.find('.') != std::string::npos) {
        while (digits.back() == '0') digits.pop_back();
        if (digits.back() == '.') digits.pop_back();
    }
    return Json(Shape::scalar, digits == "-0" ? "0" : digits);
}
Json Json::pounds(Mass mass) {
    return Json(Shape::scalar, pounds_text(mass, 1));
}

Json& Json::add(std::string key, Json value) {
    parts_.emplace_back(std::move(key), std::move(value));
    return *this;
}
Json& Json::push(Json value) {
    parts_.emplace_back(std::string(), std::move(value));
    return *this;
}
Json& Json::add_mass(const std::string& name, const std::optional<Mass>& mass) {
    add(name + "_lb", mass ? pounds(*mass) : null());
    return add(name + "_count", mass ? text(std::to_string(mass->count())) : null());
}

void Json::write(std::string& out, std::size_t depth) const {
    if (shape_ == Shape::scalar) {
        out += scalar_;
        return;
    }
    const bool is_object = shape_ == Shape::object;
    out += is_object ? '{' : '[';
    for (std::size_t i = 0; i < parts_.size(); ++i) {
        out += i == 0 ? "\n" : ",\n";
        out.append((depth + 1) * 2, ' ');
        if (is_object) out += text(parts_[i].first).scalar_ + ": ";
        parts_[i].second.write(out, depth + 1);
    }
    if (!parts_.empty()) {
        out += '\n';
        out.append(depth * 2, ' ');
    }
    out += is_object ? '}' : ']';
}

std::string Json::page() const {
    std::string out;
    write(out, 0);
    out += '\n';
    return out;
}

Json versioned(std::string_view name) {
    Json page = Json::object();
    page.add("schema_version", Json::whole(schema_version)).add("page", Json::text(name));
    return page;
}

}  // namespace tarebook::report
