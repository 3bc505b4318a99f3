// Copies, moves and destruction of events, compiled once here and not again in every file that uses them.
#include <utility>

#include "tarebook/event/event.hpp"

namespace tarebook {

What::What() = default;
What::What(const What&) = default;
What::What(What&&) noexcept = default;
What& What::operator=(const What&) = default;
What& What::operator=(What&&) noexcept = default;
What::~What() = default;

namespace {

template <std::size_t... N>
void take(AnyKind& out, std::size_t place, void* kind, std::index_sequence<N...>) {
    ((place == N ? void(out.emplace<N>(std::move(*static_cast<std::variant_alternative_t<N, AnyKind>*>(kind))))
                 : void()),
     ...);
}

}  // namespace

What::What(std::size_t place, void* kind) {
    take(*this, place, kind, std::make_index_sequence<std::variant_size_v<AnyKind>>{});
}

Event::Event() = default;
Event::Event(const Event&) = default;
Event::Event(Event&&) noexcept = default;
Event& Event::operator=(const Event&) = default;
Event& Event::operator=(Event&&) noexcept = default;
Event::~Event() = default;

}  // namespace tarebook
