// Sheets of typed fields as an .xlsx file: numbers are numbers, dates are dates, and a text is never a formula.
#pragma once

#include <memory>
#include <string>

#include "table.hpp"
#include "tarebook/event/moment.hpp"

namespace tarebook::report {

class Workbook {
 public:
    /// `made`: the time of making in the file, the only part that depends on the clock.
    Workbook(const std::string& title, const std::string& company, Instant made);
    ~Workbook();
    Workbook(const Workbook&) = delete;
    Workbook& operator=(const Workbook&) = delete;

    /// Adds one sheet, with frozen headings and the unit in the heading of each column of masses. Returns the sheet's
    /// name: `name`, cut to the length that a sheet allows.
    std::string sheet(const std::string& name, const Table& table, DisplayUnits units);
    /// The bytes of the file. Precondition: called once, at the end. Throws StorageError if there is no room for them.
    std::string bytes();

 private:
    struct Made;
    std::unique_ptr<Made> made_;
};

}  // namespace tarebook::report
