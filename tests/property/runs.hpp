// Runs a property over random histories and tells doctest how it went. How many: TAREBOOK_PROPERTY_RUNS, else a small
// number for every build, of which TAREBOOK_PROPERTY_PART=10 takes a tenth. The dice differ each time;
// TAREBOOK_PROPERTY_SEED repeats a run that failed.
#pragma once

#include <rapidcheck.h>

#include <functional>
#include <string>

#include "histories.hpp"

namespace tarebook::property {

/// An empty text where the property holds, else what is wrong with this history.
using Property = std::function<std::string(const History&, unsigned dice)>;

/// Whether as many cases run as are usual, so that what they shall reach is reached.
bool usual_runs();

/// Any RapidCheck property: draws its own values and asserts with RC_ASSERT. Prints how many cases ran.
void holds(const std::string& name, int runs, const std::function<void()>& property);

void holds_for_random_histories(const std::string& name, Moments moments, int runs, const Property& property);

}  // namespace tarebook::property
