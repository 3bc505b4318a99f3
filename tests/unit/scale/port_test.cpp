#include <doctest/doctest.h>
#include <fcntl.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "tarebook/scale/scale_port.hpp"

namespace scale_port_test {
using namespace tarebook;
namespace fs = std::filesystem;

TEST_CASE("a port keeps the name that follows its cable") {
    const auto folder = fs::temp_directory_path() / ("tarebook-ports-" + std::to_string(::getpid()));
    const auto names = folder / "by-id";
    fs::create_directories(names);
    std::ofstream(folder / "ttyUSB0").close();
    std::ofstream(folder / "ttyUSB1").close();
    fs::create_symlink("../ttyUSB0", names / "usb-scale");
    fs::create_symlink("../ttyUSB7", names / "usb-taken");
    const auto wired = (names / "usb-scale").string();
    CHECK(lasting_name(folder / "ttyUSB0", names) == wired);
    CHECK(lasting_name(wired, names) == wired);
    CHECK(lasting_name(folder / "ttyUSB1", names) == (folder / "ttyUSB1").string());
    CHECK(lasting_name(folder / "x" / ".." / "ttyUSB9", names) == (folder / "ttyUSB9").string());
    CHECK(lasting_name("ttyUSB9", names) == (fs::current_path() / "ttyUSB9").string());
    CHECK(ports_here(names) == std::vector{wired, (names / "usb-taken").string()});
    // the cable is put in again, at another place: the same name leads there
    fs::remove(names / "usb-scale");
    fs::create_symlink("../ttyUSB1", names / "usb-scale");
    CHECK(lasting_name(folder / "ttyUSB1", names) == wired);
    CHECK(ports_here(folder / "none").empty());
    fs::remove_all(folder);
}

TEST_CASE("what is no port of a scale is refused at once") {
    const auto name = [](const ScalePort& port) {
        const auto read = read_scale(port, ScaleReads::lb, ScaleShows::gross);
        return read ? read->typed : read.error().name;
    };
    CHECK(name({"/dev/null", 9600, {}, {}}) == "scale-port");
    CHECK(name({"/dev/zero", 9600, {}, {}}) == "scale-port");
    CHECK(name({"/dev/none", 9600, {}, {}}) == "scale-port");
    CHECK(name({"/", 9600, {}, {}}) == "scale-port");
    CHECK(name({"/dev/null", 9601, {}, {}}) == "scale-baud");
    CHECK(name({"/dev/null", 9600, "(", {}}) == "scale-pattern");
    CHECK(check_scale_port({"/dev/null", 115200, "([0-9.]+)", {}}));
}

TEST_CASE("a port is read by one program at a time, and its settings are put back") {
    const int far_end = ::posix_openpt(O_RDWR | O_NOCTTY);
    REQUIRE(far_end >= 0);
    REQUIRE(::grantpt(far_end) == 0);
    REQUIRE(::unlockpt(far_end) == 0);
    const ScalePort port{::ptsname(far_end), 9600, {}, std::chrono::milliseconds(300)};
    int times = 0;
    const auto heard = listen_to_scale(port, [&](std::string_view bytes, std::chrono::milliseconds /*at*/) {
        if (++times == 1) {
            const auto other = read_scale(port, ScaleReads::lb, ScaleShows::gross);
            CHECK(!other);
            if (!other) CHECK(other.error().what.find("another program") != std::string::npos);
            CHECK(::write(far_end, "ST 31.20lb\r\n", 12) == 12);
        }
        return bytes.empty() && times < 40;
    });
    CHECK(heard);
    CHECK(read_scale(port, ScaleReads::lb, ScaleShows::gross).error().name == "scale-silent");
    ::close(far_end);
    CHECK(read_scale(port, ScaleReads::lb, ScaleShows::gross).error().name == "scale-port");
}

}  // namespace scale_port_test
