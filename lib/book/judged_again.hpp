// Takes the events that another event makes judge again.
#pragma once

#include <cstdint>

namespace tarebook {

class JudgedAgain {
 public:
    JudgedAgain() = default;
    JudgedAgain(const JudgedAgain&) = delete;
    JudgedAgain& operator=(const JudgedAgain&) = delete;
    virtual ~JudgedAgain() = default;
    /// A stored event, by its row.
    virtual void enqueue(std::int64_t row) = 0;
    /// The statements about a return.
    virtual void enqueue_statements(std::int64_t returned) = 0;
};

}  // namespace tarebook
