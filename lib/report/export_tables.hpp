// The tables of an export that are made after the walk over the events.
#pragma once

#include "export_schema.hpp"
#include "export_walk.hpp"

namespace tarebook::report {

/// Figures of the summary page that are not in the view.
struct ExportFigures {
    std::int64_t additions = 0, additions_that_count = 0, additions_over = 0, out_of_test = 0, exceptions = 0,
                 unresolved = 0;
    std::vector<std::vector<Cell>> over;       ///< appliance, day, added, rate, threshold, event
    std::vector<std::vector<Cell>> disposals;  ///< month, gas, appliances, recovered
    struct Sent {
        std::int64_t shipments = 0;
        MassTotal mass;
    };
    std::map<std::pair<std::string, std::string>, Sent> sent;  ///< by receiver and gas
};

struct ExportTables {
    const Book& book;
    const ExportFolder& folder;
    const ExportWalk& walk;
    const YearView& view;
    const Redactor& withholder;
    AppliedRules& rules;
    std::vector<WrittenFile>& files;
    ExportFigures figures;
    OrderKey at_end;  ///< the last moment of the year, in the book's zone

    void write();

 private:
    OutFile begin(std::string_view table) const;
    void registers(), cylinders(), balances(), losses(), additions(), leaks(), disposals(), shipments(), statements(),
        exceptions(), technicians();
    [[nodiscard]] std::string events_of(const tarebook::Entry& entry) const;
    [[nodiscard]] std::string site_text(std::string_view site, std::string_view field) const;
};

}  // namespace tarebook::report
