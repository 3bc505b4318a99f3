// A walk over many things calls a function for each of them, and ends early if the function says so:
//
//     book.each_event([&](const StoredEvent& e) { return ++seen < 10 ? Walk::on : Walk::stop; });
//
// A function that returns nothing sees them all.
#pragma once

#include <concepts>
#include <functional>
#include <type_traits>
#include <utility>

namespace tarebook {

/// What a visit answers.
enum class Walk {
    on,   ///< on to the next
    stop  ///< no more of them: the walk returns
};

/// A function that can be called with these things, and returns nothing or Walk.
template <class Function, class... Things>
concept Visits = std::is_void_v<std::invoke_result_t<Function&, Things...>> ||
    std::same_as<std::invoke_result_t<Function&, Things...>, Walk>;

/// What a walk calls for each of its things.
template <class... Things>
class ForEach {
 public:
    /// From any function that visits them.
    template <Visits<Things...> Function>
    ForEach(Function visit) {
        if constexpr (std::is_void_v<std::invoke_result_t<Function&, Things...>>)
            visit_ = [visit = std::move(visit)](Things... things) mutable {
                visit(std::forward<Things>(things)...);
                return Walk::on;
            };
        else
            visit_ = std::move(visit);
    }
    /// Calls it.
    Walk operator()(Things... things) const { return visit_(std::forward<Things>(things)...); }

 private:
    std::function<Walk(Things...)> visit_;
};

}  // namespace tarebook
