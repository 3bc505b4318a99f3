// What comes from a scale's port, and the pattern that a person gave for its lines: the first line of the input is the
// pattern, the rest what was sent, in pieces. A weight that comes out is one that a person could have typed.
#include <string>

#include "promise.hpp"
#include "tarebook/scale/scale_reader.hpp"

using namespace tarebook;
using fuzz::promise;
using std::chrono::milliseconds;

namespace {

void one(const LineShape& shape, std::string_view sent, std::size_t piece, ScaleReads reads, ScaleShows wanted) {
    ScaleReader reader(shape, reads, wanted);
    milliseconds at{0};
    for (std::string_view rest = sent; !rest.empty(); at += milliseconds(60)) {
        reader.take(rest.substr(0, piece), at);
        rest.remove_prefix(std::min(piece, rest.size()));
    }
    const auto weight = reader.result();
    if (!weight) return fuzz::helpful(weight.error());
    promise(reader.ended() && weight->from_scale, "a weight comes of what stands still, and says where it is from");
    promise(!weight->mass.is_negative(), "a scale's weight is never below zero");
    promise(wanted != ScaleShows::gross || !weight->mass.is_zero(), "a cylinder weighs something");
    const auto typed = parse_weight(weight->typed, ScaleReads::unknown);
    promise(typed && typed->mass == weight->mass, "the words of a weight that was read mean the same when typed");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto text = fuzz::text_of(data, size);
    const auto end = std::min(text.find('\n'), text.size());
    const auto pattern = text.substr(0, end);
    const auto sent = text.substr(std::min(end + 1, text.size()));
    LineShape shape;
    if (!pattern.empty()) {
        if (auto own = LineShape::of_pattern(pattern))
            shape = *own;
        else
            fuzz::helpful(own.error());
    }
    for (const auto reads : {ScaleReads::unknown, ScaleReads::lb, ScaleReads::lb_oz, ScaleReads::kg})
        one(shape, sent, 7, reads, ScaleShows::gross);
    one(shape, sent, 100, ScaleReads::lb, ScaleShows::net_in);
    one(shape, sent, 1, ScaleReads::lb, ScaleShows::net_out);
    ScaleLines lines;
    const auto heard = lines.take(sent, milliseconds(500));
    if (const auto proposed = proposed_pattern(heard); !proposed.empty())
        promise(LineShape::of_pattern(proposed).has_value(), "a pattern that is proposed is taken");
    return 0;
}
