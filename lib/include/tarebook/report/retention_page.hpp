// How long the rule packs want which records kept, and which years of the book that leaves. Nothing is ever deleted: a
// year past its time may be archived by people, outside the book.
#pragma once

#include "tarebook/report/report.hpp"

namespace tarebook {

/// By the default packs and those that the sites name. A year is kept by the longest period that counts from a record;
/// periods that count from a retirement have no end while the appliance is in use.
Page retention_page(const Book& book, const PageOptions& options);

}  // namespace tarebook
