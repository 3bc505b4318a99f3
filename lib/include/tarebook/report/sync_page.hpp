// The pages about a shared folder: what a sync did, and which devices wait to be trusted.
#pragma once

#include <vector>

#include "tarebook/exchange/sync.hpp"
#include "tarebook/report/report.hpp"

namespace tarebook {

/// What came, what went, what is new on the list of exceptions: a line each; then what was left in the folder, and who
/// waits. It has exceptions where one is new, a file was left, or a device is silent.
Page synced_page(const Book& book, const Synced& synced, const PageOptions& options);
/// The devices that wait, with the numbers of their cards.
Page waiting_page(const Book& book, const std::vector<Synced::Waiting>& waiting, const PageOptions& options);

}  // namespace tarebook
