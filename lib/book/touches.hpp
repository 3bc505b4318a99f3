// What several books recorded of one cylinder within some hours: asked only where the file holds more than one book.
#pragma once

#include <deque>
#include <functional>

#include "impl.hpp"

namespace tarebook {

/// Its name is looked up only where another book's event meets it.
struct KeptTouch {
    Touch touch;
    std::int64_t row = 0;  ///< 0 where it has a name already
};
using Touches = std::deque<KeptTouch>;
/// "E12" of a row.
using NameOfRow = std::function<std::string(std::int64_t row)>;

/// A place just behind another one.
inline OrderKey past(OrderKey order) {
    ++order.seq;
    return order;
}
/// Those of a cylinder that lie within touch_reach before a place, whichever book they are of.
/// `fresh`: drafts by the rows that they shall have; the file does not have them yet.
Touches touches_before(Book::Impl& book, std::int64_t cylinder_account, const OrderKey& order,
                       const std::map<std::int64_t, const Event*>& fresh = {});
/// Of them, what other books recorded within touch_reach before the event.
void add_touches(States& states, const std::string& cylinder, const Touches& touches, const OrderKey& of,
                 const NameOfRow& name);
/// Adds one, and forgets those that no later event can reach.
void keep_touch(Touches& touches, KeptTouch touch);
/// Where the event is the first of a branch that counts beside another one.
std::optional<Fork> fork_at(Book::Impl& book, const Event& event);

}  // namespace tarebook
