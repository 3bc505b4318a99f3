#include "columns.hpp"

#include <fmt/format.h>

#include "fill.hpp"
#include "shared_text.hpp"

namespace tarebook::report {
namespace {

template <class... Cases>
struct Overloaded : Cases... {
    using Cases::operator()...;
};
template <class... Cases>
Overloaded(Cases...) -> Overloaded<Cases...>;

}  // namespace

Field::Field(std::string words) {
    if (!words.empty()) value_ = std::move(words);
}
Field::Field(const std::optional<Mass>& mass) : value_(Weight{mass, false}) {}
Field::Field(const std::optional<std::int64_t>& number) {
    if (number) value_ = *number;
}
Field::Field(const std::optional<bool>& value) {
    if (value) value_ = *value;
}
Field::Field(Date day) : value_(day) {}
Field::Field(const std::optional<Date>& day) {
    if (day) value_ = *day;
}
Field::Field(const std::optional<std::chrono::year_month>& month) {
    if (month) value_ = *month;
}
Field::Field(const Moment& moment) : value_(moment) {}
Field::Field(const std::optional<Moment>& moment) {
    if (moment) value_ = *moment;
}

Field Field::down(const std::optional<Mass>& mass) {
    Field out;
    out.value_ = Weight{mass, true};
    return out;
}
Field Field::decimal(const std::optional<double>& number, int decimals) {
    Field out;
    if (number) out.value_ = Decimal{*number, decimals};
    return out;
}

bool Field::is_nothing() const {
    const auto* mass = std::get_if<Weight>(&value_);
    return mass ? !mass->mass : std::holds_alternative<std::monostate>(value_);
}
bool Field::is_nothing_or_zero() const {
    const auto* mass = std::get_if<Weight>(&value_);
    return is_nothing() || (mass && mass->mass->is_zero());
}

void Field::add_to(Json& object, const std::string& name) && {
    if (const auto* mass = std::get_if<Weight>(&value_)) {
        object.add_mass(name, mass->mass);
        return;
    }
    object.add(name, std::visit(Overloaded{[](std::monostate) { return Json::null(); },
                                           [](const std::string& words) { return Json::text(words); },
                                           [](const Weight&) { return Json::null(); },
                                           [](std::int64_t number) { return Json::whole(number); },
                                           [](const Decimal& d) { return Json::decimal(d.number, d.decimals); },
                                           [](bool value) { return Json::boolean(value); },
                                           [](Date day) { return Json::text(date_text(day)); },
                                           [](std::chrono::year_month month) { return Json::text(month_text(month)); },
                                           [](const Moment& moment) { return Json::text(moment_iso(moment)); },
                                           [](const std::vector<std::string>& words) { return Json::list(words); },
                                           [](Json& inside) { return std::move(inside); }},
                                value_));
}

std::string Field::csv() const {
    return std::visit(
        Overloaded{[](std::monostate) { return std::string(); }, [](const std::string& words) { return words; },
                   [](const Weight& weight) { return pounds_cell(weight.mass); },
                   [](std::int64_t number) { return std::to_string(number); },
                   [](const Decimal& d) { return fmt::format("{:.{}f}", d.number, d.decimals); },
                   [](bool value) { return std::string(value ? "true" : "false"); },
                   [](Date day) { return date_text(day); },
                   [](std::chrono::year_month month) { return month_text(month); },
                   [](const Moment& moment) { return moment_iso(moment); },
                   [](const std::vector<std::string>& words) { return joined(words, " "); },
                   [](const Json&) { return std::string(); }},
        value_);
}

Cell Field::cell(DisplayUnits units) const {
    return std::visit(
        Overloaded{[](std::monostate) { return no_cell(); }, [](const std::string& words) { return Cell(words); },
                   [&](const Weight& weight) {
                       return weight.down ? mass_cell_down(weight.mass, units) : mass_cell(weight.mass, units);
                   },
                   [](std::int64_t number) { return count_cell(number); },
                   [](const Decimal& d) {
                       return Cell(fmt::format("{:.{}f}", d.number, d.decimals), Number{d.number, d.decimals});
                   },
                   [](bool value) { return Cell(value ? "yes" : "no"); }, [](Date day) { return Cell(date_text(day)); },
                   [](std::chrono::year_month month) { return month_cell(month); },
                   [](const Moment& moment) { return moment_cell(moment); },
                   [](const std::vector<std::string>& words) { return Cell(joined(words)); },
                   [](const Json&) { return no_cell(""); }},
        value_);
}

Json& add_facts(Json& object, std::initializer_list<Fact> facts) {
    for (const auto& fact : facts) std::move(fact.field).add_to(object, fact.name);
    return object;
}

}  // namespace tarebook::report
