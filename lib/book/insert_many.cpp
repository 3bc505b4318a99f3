#include "insert_many.hpp"

namespace tarebook {

InsertMany::InsertMany(Db& db, std::string_view into, int columns)
    : writer_(db.engine().writer(into, columns)),
      values_at_once_(writer_->rows_at_once() * static_cast<std::size_t>(columns)) {}

void InsertMany::flush() {
    if (values_.empty()) return;
    writer_->write(values_, bytes_.data());
    values_.clear();
    bytes_.clear();
}

}  // namespace tarebook
