// The tables of an export, as a Frictionless tabular data package describes them: the meaning and the unit of each
// column.
#pragma once

#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "export_file.hpp"
#include "json.hpp"
#include "tarebook/rules/rules.hpp"

namespace tarebook::report {

struct ExportField {
    std::string_view name, type, description;
};
struct ExportReference {
    std::vector<std::string_view> fields;
    std::string_view table;
    std::vector<std::string_view> in_table;
};
struct ExportTable {
    std::string_view name, title, description;
    std::vector<ExportField> fields;
    std::vector<std::string_view> primary_key;
    std::vector<ExportReference> references;
    [[nodiscard]] std::string file() const { return std::string(name) + ".csv"; }
};

const ExportTable& export_table_named(std::string_view name);
const std::vector<ExportTable>& export_tables();

/// The rules with which a table's figures were computed, by table.
class AppliedRules {
 public:
    void add(std::string_view table, const RuleMatch& match);
    void add(std::string_view table, const RulePack& pack, std::string_view rule, std::string_view clause,
             RuleStatus status);
    [[nodiscard]] Json json(std::string_view table) const;
    struct One {
        std::string pack, date, rule, clause, status;
        friend auto operator<=>(const One&, const One&) = default;
    };
    [[nodiscard]] std::set<One> all() const;
    /// "us-84c (2026-11-25, 1 of 3 rules to confirm)", one pack after the other.
    [[nodiscard]] std::string text() const;

 private:
    std::map<std::string, std::set<One>, std::less<>> by_table_;
};

/// Precondition: `files` has each of the tables.
Json data_package(const std::string& name, const std::string& title, const std::vector<ExportTable>& tables,
                  const std::vector<WrittenFile>& files, const AppliedRules& rules, const std::string& reserve,
                  bool practice);

}  // namespace tarebook::report
