// Of whom the book has a code, with their names: what the shop looks at before a name is removed.
#include "tarebook/report/people_page.hpp"

#include <fmt/format.h>

#include "columns.hpp"
#include "layout.hpp"
#include "shared_text.hpp"

namespace tarebook {
namespace report {
namespace {

std::string known_as(const KnownPerson& p) {
    if (!p.name.empty()) return p.name;
    return p.removed_by ? "(name removed)" : "(name not here)";
}

const Columns<KnownPerson>& person_columns() {
    using C = Column<KnownPerson>;
    static const Columns<KnownPerson> columns{
        C("person", "person", [](const KnownPerson& p) { return short_person(p.code).substr(7); }).no_json(),
        {"person_code", "", &KnownPerson::code},
        C("name", "name", known_as).no_json(),
        C("name", "", &KnownPerson::name).no_csv(),
        {"technicians", "technicians", &KnownPerson::technicians},
        {"has_typed", "typed", &KnownPerson::typed},
        {"removed_by", "removed by", &KnownPerson::removed_by}};
    return columns;
}

}  // namespace
}  // namespace report

using namespace report;

Page people_page(const Book& book, const PageOptions& options) {
    const auto people = book.people();
    if (options.format == Format::json)
        return Page{page_of("people", {{"people", person_columns().json(people)}}).page()};
    if (options.format == Format::csv) return Page{person_columns().csv(people)};
    if (people.empty()) return Page{"the book has no name of a person beside its events\n"};
    return Page{laid_out(person_columns().table(people, options.units).text(), options.width)};
}

}  // namespace tarebook
