// The columns of a list, said once: the name that programs read, the heading that people read, and what a row has.
// JSON, CSV and the table of a page come from the same list.
//
//     const Columns<Item> items{{"cylinder", "cylinder", &Item::code},
//                               {"refrigerant", "gas", &Item::gas},
//                               {"room", "room", [](const Item& i) { return Field::down(i.room); }}};
//     page.add("cylinders", items.json(rows));
//     return items.csv(rows);
//     out.table(items.table({"cylinder", "room"}, rows, units), "Every cylinder");
#pragma once

#include <algorithm>
#include <concepts>
#include <cstdint>
#include <functional>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <variant>
#include <vector>

#include "json.hpp"
#include "table.hpp"
#include "tarebook/event/moment.hpp"
#include "units/must_hold.hpp"

namespace tarebook::report {

/// What a row has in one column. Its kind says how each way out writes it. Nothing on record: null in JSON, an empty
/// cell in CSV, a dash in a table; empty words are nothing.
class Field {
 public:
    Field() = default;
    Field(std::string words);  // NOLINT(google-explicit-constructor): a row gives its members
    Field(std::string_view words) : Field(std::string(words)) {}  // NOLINT(google-explicit-constructor)
    Field(const char* words) : Field(std::string(words)) {}       // NOLINT(google-explicit-constructor)
    Field(const std::optional<std::string>& words)
        : Field(words.value_or("")) {}                 // NOLINT(google-explicit-constructor)
    Field(Mass mass) : value_(Weight{mass, false}) {}  // NOLINT(google-explicit-constructor)
    Field(const std::optional<Mass>& mass);            // NOLINT(google-explicit-constructor)
    Field(std::integral auto number)
        : value_(static_cast<std::int64_t>(number)) {}                   // NOLINT(google-explicit-constructor)
    Field(const std::optional<std::int64_t>& number);                    // NOLINT(google-explicit-constructor)
    Field(bool value) : value_(value) {}                                 // NOLINT(google-explicit-constructor)
    Field(const std::optional<bool>& value);                             // NOLINT(google-explicit-constructor)
    Field(Date day);                                                     // NOLINT(google-explicit-constructor)
    Field(const std::optional<Date>& day);                               // NOLINT(google-explicit-constructor)
    Field(const std::optional<std::chrono::year_month>& month);          // NOLINT(google-explicit-constructor)
    Field(const Moment& moment);                                         // NOLINT(google-explicit-constructor)
    Field(const std::optional<Moment>& moment);                          // NOLINT(google-explicit-constructor)
    Field(std::vector<std::string> words) : value_(std::move(words)) {}  // NOLINT(google-explicit-constructor)
    /// What is inside the row, for JSON alone.
    Field(Json inside) : value_(std::move(inside)) {}  // NOLINT(google-explicit-constructor)

    /// A mass that people read rounded down: a stop weight, room.
    static Field down(const std::optional<Mass>& mass);
    /// All the decimals in CSV and tables, so that columns align; JSON leaves zeros at the end away.
    static Field decimal(const std::optional<double>& number, int decimals);

    [[nodiscard]] bool is_mass() const { return std::holds_alternative<Weight>(value_); }
    /// Nothing of a field that is no mass, or of one that is not on record.
    [[nodiscard]] std::optional<Mass> mass() const { return is_mass() ? std::get<Weight>(value_).mass : std::nullopt; }
    [[nodiscard]] bool is_nothing() const;
    [[nodiscard]] bool is_nothing_or_zero() const;          ///< zero: of a mass
    void add_to(Json& object, const std::string& name) &&;  ///< a mass as two keys, NAME_lb and NAME_count
    [[nodiscard]] std::string csv() const;                  ///< a list with blanks between its words
    [[nodiscard]] Cell cell(DisplayUnits units) const;

 private:
    struct Weight {
        std::optional<Mass> mass;
        bool down;
    };
    struct Decimal {
        double number;
        int decimals;
    };
    std::variant<std::monostate, std::string, Weight, std::int64_t, Decimal, bool, Date, std::chrono::year_month,
                 Moment, std::vector<std::string>, Json>
        value_;
};

/// One object, from names and what stands there: {{"site", place.site}, {"full_charge", charge}, {"lots",
/// std::move(lots)}}.
struct Fact {
    const char* name;
    mutable Field field;  ///< given on: a list may be long
};
Json& add_facts(Json& object, std::initializer_list<Fact> facts);
inline Json facts(std::initializer_list<Fact> facts) {
    Json out = Json::object();
    return std::move(add_facts(out, facts));
}
/// A whole page of them: it begins with the schema_version and its own name.
inline Json page_of(std::string_view name, std::initializer_list<Fact> facts) {
    Json out = versioned(name);
    return std::move(add_facts(out, facts));
}

/// `name` is of the letters that JSON's keys and CSV's headings have; empty for people alone. An empty heading: for
/// programs alone.
template <class Row>
class Column {
 public:
    template <class Get>
    Column(std::string name, std::string heading, Get get)
        : name_(std::move(name)),
          heading_(std::move(heading)),
          get_([get](const Row& row) -> Field { return Field(std::invoke(get, row)); }) {
        using Got = std::remove_cvref_t<std::invoke_result_t<Get, const Row&>>;
        is_mass_ = std::is_same_v<Got, Mass> || std::is_same_v<Got, std::optional<Mass>>;
        in_csv_ = !std::is_same_v<Got, Json>;
        if (is_mass_ || (std::is_integral_v<Got> && !std::is_same_v<Got, bool>)) side_ = Side::right;
    }
    /// A column of masses whose getter says so by hand (Field::down).
    Column mass() && { return is_mass_ = true, side_ = Side::right, std::move(*this); }
    Column right() && { return side_ = Side::right, std::move(*this); }
    Column left() && { return side_ = Side::left, std::move(*this); }
    Column no_csv() && { return in_csv_ = false, std::move(*this); }
    /// For CSV and people: JSON says it elsewhere.
    Column no_json() && { return in_json_ = false, std::move(*this); }
    /// Masses that add up: a sum stands below them.
    Column summed() && { return figures_ = Figures::summed, std::move(*this); }
    /// Masses that moved: as summed, and for people a zero is a dash.
    Column moved() && { return figures_ = Figures::moved, std::move(*this); }
    /// People see an empty place, and no dash, where nothing is on record. A spreadsheet keeps its zeros.
    Column blank() && { return blank_ = Empty::where_nothing, std::move(*this); }
    /// So also where a mass is zero.
    Column blank_zero() && { return blank_ = Empty::where_zero, std::move(*this); }
    /// What CSV has instead of the field's own words.
    Column csv_as(std::function<std::string(const Row&)> words) && { return csv_ = std::move(words), std::move(*this); }
    /// What people read instead of the field's own words.
    Column shown(std::function<Cell(const Row&, DisplayUnits)> cell) && {
        return cell_ = std::move(cell), std::move(*this);
    }

    /// The same column of a row that has this one inside.
    template <class Outer, class Get>
    [[nodiscard]] Column<Outer> of(Get get) const {
        auto lifted = *this;
        Column<Outer> out(name_, heading_,
                          [lifted, get](const Outer& row) { return lifted.field(std::invoke(get, row)); });
        out.side_ = side_, out.is_mass_ = is_mass_, out.in_csv_ = in_csv_, out.in_json_ = in_json_;
        out.figures_ = figures_;
        if (csv_) out.csv_ = [lifted, get](const Outer& row) { return lifted.csv_(std::invoke(get, row)); };
        out.cell_ = [lifted, get](const Outer& row, DisplayUnits units) {
            return lifted.cell(std::invoke(get, row), units);
        };
        return out;
    }

    [[nodiscard]] const std::string& name() const { return name_; }
    [[nodiscard]] const std::string& heading() const { return heading_; }
    [[nodiscard]] Side side() const { return side_; }
    [[nodiscard]] Figures figures() const { return figures_; }
    [[nodiscard]] bool in_csv() const { return in_csv_ && !name_.empty(); }
    [[nodiscard]] bool in_json() const { return in_json_ && !name_.empty(); }
    [[nodiscard]] std::string csv_heading() const { return is_mass_ ? name_ + "_lb" : name_; }
    [[nodiscard]] Field field(const Row& row) const { return get_(row); }
    [[nodiscard]] std::string csv(const Row& row) const { return csv_ ? csv_(row) : get_(row).csv(); }
    [[nodiscard]] Cell cell(const Row& row, DisplayUnits units) const {
        if (cell_) return cell_(row, units);
        const auto field = get_(row);
        const bool empty = blank_ == Empty::where_zero ? field.is_nothing_or_zero()
                                                       : blank_ == Empty::where_nothing && field.is_nothing();
        auto out = field.cell(units);
        if (empty) out.text.clear();
        return out;
    }

 private:
    template <class Other>
    friend class Column;
    std::string name_, heading_;
    std::function<Field(const Row&)> get_;
    std::function<Cell(const Row&, DisplayUnits)> cell_;
    std::function<std::string(const Row&)> csv_;
    Side side_ = Side::left;
    Figures figures_ = Figures::single;
    enum class Empty { never, where_nothing, where_zero } blank_ = Empty::never;
    bool is_mass_ = false, in_csv_ = true, in_json_ = true;
};

/// A column of a table by its heading, and by which words people shall read there.
struct HeadingAs {
    std::string_view heading, as;
    HeadingAs(const char* both) : heading(both), as(both) {}  // NOLINT(google-explicit-constructor): mostly one word
    HeadingAs(const char* of, const char* words) : heading(of), as(words) {}
};

template <class Row>
class Columns {
 public:
    Columns(std::initializer_list<Column<Row>> columns) : columns_(columns) {}
    /// More of them behind these.
    Columns with(std::initializer_list<Column<Row>> more) && {
        return columns_.insert(columns_.end(), more), std::move(*this);
    }
    /// Those of a part of the row, which `get` gives.
    template <class Part, class Get>
    Columns with(const Columns<Part>& part, Get get) && {
        for (const auto& c : part.list()) columns_.push_back(c.template of<Row>(get));
        return std::move(*this);
    }
    [[nodiscard]] const std::vector<Column<Row>>& list() const { return columns_; }

    void add_to(Json& object, const Row& row) const {
        for (const auto& c : columns_)
            if (c.in_json()) c.field(row).add_to(object, c.name());
    }
    [[nodiscard]] Json object(const Row& row) const {
        Json out = Json::object();
        add_to(out, row);
        return out;
    }
    template <class Rows>
    [[nodiscard]] Json json(const Rows& rows) const {
        Json out = Json::array();
        for (const auto& row : rows) out.push(object(row));
        return out;
    }

    [[nodiscard]] std::vector<std::string> csv_headings() const {
        std::vector<std::string> out;
        for (const auto& c : columns_)
            if (c.in_csv()) out.push_back(c.csv_heading());
        return out;
    }
    [[nodiscard]] std::vector<std::string> csv_cells(const Row& row) const {
        std::vector<std::string> out;
        for (const auto& c : columns_)
            if (c.in_csv()) out.push_back(c.csv(row));
        return out;
    }
    /// A whole CSV page; `about` and `subject` begin each row where the page is about one thing: "cylinder", "RC-031".
    template <class Rows>
    [[nodiscard]] std::string csv(const Rows& rows, const std::string& about = {},
                                  std::string_view subject = {}) const {
        const auto under = [&](std::string_view first, std::vector<std::string> cells) {
            if (!about.empty()) cells.emplace(cells.begin(), first);
            return cells;
        };
        Csv out(under(about, csv_headings()));
        for (const auto& row : rows) out.row(under(subject, csv_cells(row)));
        return out.page();
    }

    /// For a spreadsheet: all columns of the CSV. One without a heading has its name there.
    template <class Rows>
    [[nodiscard]] Table sheet(const Rows& rows, DisplayUnits units) const {
        std::vector<std::string> names;
        names.reserve(columns_.size());  // what is shown refers to them
        std::vector<Shown> shown;
        for (const auto& c : columns_) {
            if (!c.in_csv()) continue;
            auto& name = names.emplace_back(c.heading().empty() ? c.name() : c.heading());
            std::replace(name.begin(), name.end(), '_', ' ');
            shown.push_back({&c, name});
        }
        return table_of(shown, rows, units);
    }
    /// The columns that have a heading, in the order of the list.
    template <class Rows>
    [[nodiscard]] Table table(const Rows& rows, DisplayUnits units) const {
        std::vector<Shown> shown;
        for (const auto& c : columns_)
            if (!c.heading().empty()) shown.push_back({&c, c.heading()});
        return table_of(shown, rows, units);
    }
    /// Those with these headings, in this order: {"circuit", {"recovered", "taken out"}}. Throws BrokenPromise where
    /// there is no such heading.
    template <class Rows>
    [[nodiscard]] Table table(std::initializer_list<HeadingAs> headings, const Rows& rows, DisplayUnits units) const {
        std::vector<Shown> shown;
        for (const auto& [heading, as] : headings) {
            const auto it = std::find_if(columns_.begin(), columns_.end(),
                                         [&, h = heading](const auto& c) { return c.heading() == h; });
            must_hold(it != columns_.end(), "a table is asked for columns that it has");
            shown.push_back({&*it, as});
        }
        return table_of(shown, rows, units);
    }

 private:
    struct Shown {
        const Column<Row>* column;
        std::string_view as;
    };
    template <class Rows>
    static Table table_of(const std::vector<Shown>& shown, const Rows& rows, DisplayUnits units) {
        Table out;
        for (const auto& [column, as] : shown) out.column(std::string(as), column->side(), column->figures());
        for (const auto& row : rows) {
            std::vector<Cell> cells;
            cells.reserve(shown.size());
            for (const auto& one : shown) cells.push_back(one.column->cell(row, units));
            out.typed_row(std::move(cells));
        }
        return out;
    }

    std::vector<Column<Row>> columns_;
};

}  // namespace tarebook::report
