// The schema of the analysts' file: base tables, which the program fills, and views, which people ask. Each column of a
// view is described once: in words here, as a comment in the schema, in the view column_list, and in the data package.
#pragma once

#include <string>
#include <vector>

#include "report/export_schema.hpp"

namespace tarebook::analysis {

inline constexpr int analysts_schema = 2;  ///< PRAGMA user_version: raised where a table or a view changes
inline constexpr int analysts_application_id = 0x54617241;  // "TarA"

/// The statements that make the base tables.
const char* base_tables_sql();

struct ViewColumn {
    std::string name, type, description;  ///< type: as Table Schema names it
    std::string sql;
};
struct View {
    std::string_view name, title, description;
    std::vector<ViewColumn> columns;
    std::string from;  ///< FROM and all behind it
    std::vector<std::string_view> key;
};
const std::vector<View>& views();
/// CREATE VIEW with the descriptions as comments.
std::string sql_of(const View& view);
/// The view as a table of a data package.
report::ExportTable as_export_table(const View& view);

}  // namespace tarebook::analysis
