// Says in words where two answers about the same history differ; empty where they do not.
#pragma once

#include <string>

#include "plain_fold.hpp"

namespace tarebook::property {

plain::Cylinder as_plain(const CylinderState& state);
plain::ReadGap as_plain(const Gap& gap);

/// Checks one event's outcome against the plain passage of the same event.
std::string difference(const plain::Passage& plain, const Event& event, const Outcome& outcome);

/// Balances as the library keeps them, against the plain ones; zeros on either side count as absent.
std::string difference(const std::map<std::pair<Account, LotKey>, plain::Count>& plain,
                       const std::map<std::pair<Account, LotKey>, plain::Count>& other);

std::string text(plain::Count count);
std::string text(const plain::Cylinder& cylinder);
std::string text(const std::vector<plain::ReadGap>& gaps);

}  // namespace tarebook::property
