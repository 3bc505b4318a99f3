// What a database engine gives to the seam (db.hpp): statements, transactions, many rows at once, errors of one type.
// The embedded file has one in sqlite_engine.cpp.
#pragma once

#include <cstdint>
#include <memory>
#include <set>
#include <span>
#include <stdexcept>
#include <string>
#include <string_view>

#include "lock_patience.hpp"

namespace tarebook {

/// What went wrong in an engine, as far as a caller acts on it.
enum class DbFault {
    held,         ///< another program has the lock
    read_only,    ///< may not be written
    cannot_open,  ///< the file, or one beside it
    full,         ///< no room on the disk
    no_index,     ///< no room for the index to a file's log
    not_a_database,
    damaged,
    constraint,  ///< a row was refused
    short_file,  ///< a file that ends before its pages do
    disk,        ///< the disk did not answer
    no_memory,
    interrupted,
    no_permission,
    collided,   ///< with another transaction: the same again may go through
    lost,       ///< the connection to a server
    statement,  ///< SQL that the engine does not understand: it may be a damaged schema
    other
};

/// Every error of an engine.
class DbError : public std::runtime_error {
 public:
    /// `code`: in the engine's own words, "SQLite code 522".
    DbError(DbFault fault, const std::string& what, std::string code)
        : std::runtime_error(what), fault_(fault), code_(std::move(code)) {}
    [[nodiscard]] DbFault fault() const { return fault_; }
    [[nodiscard]] const std::string& code() const { return code_; }

 private:
    DbFault fault_;
    std::string code_;
};

enum class ColumnType { nothing, integer, real, text, bytes };

/// A prepared statement. Its values are bound from 1 on, its columns read from 0 on. Each call may throw a DbError.
class PreparedStatement {
 public:
    PreparedStatement() = default;
    PreparedStatement(const PreparedStatement&) = delete;
    PreparedStatement& operator=(const PreparedStatement&) = delete;
    virtual ~PreparedStatement() = default;

    virtual void bind(int n, std::int64_t value) = 0;
    virtual void bind(int n, double value) = 0;
    /// The bytes are copied.
    virtual void bind_text(int n, std::string_view text) = 0;
    virtual void bind_bytes(int n, std::string_view bytes) = 0;
    virtual void bind_nothing(int n) = 0;
    /// Takes the next row; false after the last one.
    virtual bool step() = 0;
    /// For a change whose outcome is not asked for: a server may get it with the next question. An error of it is
    /// thrown there, at the latest by the commit.
    virtual void send() { static_cast<void>(step()); }
    /// Ends the answer and forgets all values, so that the statement can be asked again.
    virtual void reset() noexcept = 0;
    /// How many rows the last run changed.
    [[nodiscard]] virtual int changes() const = 0;

    [[nodiscard]] virtual ColumnType type(int n) const = 0;
    [[nodiscard]] virtual std::int64_t integer(int n) const = 0;
    [[nodiscard]] virtual double real(int n) const = 0;
    /// Of a text or of bytes; valid until the next step.
    [[nodiscard]] virtual std::string_view bytes(int n) const = 0;
};

/// A value that waits for its row to be written. Text and bytes stand in a buffer beside it.
struct WaitingValue {
    ColumnType type = ColumnType::nothing;
    std::int64_t number = 0;  ///< or the position in the buffer
    std::size_t size = 0;
    double real = 0;
};

/// Writes many rows into one table.
class RowWriter {
 public:
    RowWriter() = default;
    RowWriter(const RowWriter&) = delete;
    RowWriter& operator=(const RowWriter&) = delete;
    virtual ~RowWriter() = default;
    /// How many rows are best written at once.
    [[nodiscard]] virtual std::size_t rows_at_once() const = 0;
    /// Precondition: whole rows, no more than rows_at_once().
    virtual void write(std::span<const WaitingValue> values, const char* buffer) = 0;
};

/// What a recording locks before it reads, until it ends. A file is always locked whole.
struct Hold {
    bool whole = true;
    std::set<std::string, std::less<>> names = {};  ///< if not whole: what these name, "cylinder/R-12"
};

/// One connection.
class Engine {
 public:
    explicit Engine(std::filesystem::path book) : patience(std::move(book)) {}
    Engine(const Engine&) = delete;
    Engine& operator=(const Engine&) = delete;
    virtual ~Engine() = default;

    [[nodiscard]] virtual std::unique_ptr<PreparedStatement> prepare(std::string_view sql) = 0;
    /// As prepare, for an answer of many rows: they come bit by bit.
    [[nodiscard]] virtual std::unique_ptr<PreparedStatement> prepare_long(std::string_view sql) = 0;
    /// `into`: "event(id, origin)".
    [[nodiscard]] virtual std::unique_ptr<RowWriter> writer(std::string_view into, int columns) = 0;
    virtual void script(const std::string& sql) = 0;
    virtual void begin() = 0;
    /// Begins to record: waits until no other program records in what is to be held.
    virtual void begin_recording(const Hold& hold) = 0;
    virtual void commit() = 0;
    virtual void roll_back() = 0;
    [[nodiscard]] virtual bool in_transaction() const = 0;
    virtual void wait_for_others(bool wait) = 0;
    virtual std::int64_t data_version() = 0;
    virtual std::int64_t recorded_mark() = 0;
    /// A copy that can be recorded in, and of which nothing stays.
    virtual std::unique_ptr<Engine> copy_in_memory() = 0;
    [[nodiscard]] virtual bool on_server() const = 0;
    /// How much of the database to keep in memory, in KiB: for the work that comes next.
    virtual void give_cache(int kibibytes) = 0;
    /// After a connection was lost while a recording ended: connects anew, and waits until that recording has ended. A
    /// transaction is open then.
    virtual void connect_again() = 0;

    LockPatience patience;
};

}  // namespace tarebook
