// Sheets of typed fields as an .xlsx file: numbers are numbers, dates are dates, and words are never formulas, whatever
// they begin with.
#pragma once

#include <memory>
#include <string>

#include "table.hpp"
#include "tarebook/event/moment.hpp"

namespace tarebook::report {

class Workbook {
 public:
    /// `made`: what the file says of its own time; nothing else in it depends on the clock.
    Workbook(const std::string& title, const std::string& company, Instant made);
    ~Workbook();
    Workbook(const Workbook&) = delete;
    Workbook& operator=(const Workbook&) = delete;

    /// One sheet, its headings frozen, with the unit in the heading of each column of masses. Returns the sheet's name,
    /// which is as much of `name` as a sheet can bear.
    std::string sheet(const std::string& name, const Table& table, DisplayUnits units);
    /// The bytes of the file; the workbook is spent. Throws StorageError where there is no room for them.
    std::string bytes();

 private:
    struct Made;
    std::unique_ptr<Made> made_;
};

}  // namespace tarebook::report
