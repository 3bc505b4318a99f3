"""Installs the library and builds a small program against the installed package; --version equals the project's."""
import os
import re
import subprocess
import tempfile

from book import BIN, SOURCE

version = re.search(r"project\(tarebook VERSION ([0-9.]+)", open(os.path.join(SOURCE, "CMakeLists.txt")).read()).group(1)
shown = subprocess.run([BIN, "--version"], capture_output=True, text=True).stdout.strip()
assert shown == version, (shown, version)
folder = tempfile.mkdtemp(prefix="tarebook-installed-")
quiet = dict(check=True, stdout=subprocess.DEVNULL)
subprocess.run(["cmake", "--install", os.environ["TAREBOOK_BUILD"], "--prefix", folder + "/prefix"], **quiet)
open(folder + "/CMakeLists.txt", "w").write("""cmake_minimum_required(VERSION 3.25)
project(consumer LANGUAGES CXX)
find_package(tarebook %s REQUIRED)
add_executable(consumer main.cpp)
target_link_libraries(consumer tarebook::tarebook)
if(SANITIZED)
  target_link_options(consumer PRIVATE -fsanitize=address,undefined)
endif()
""" % version)
open(folder + "/main.cpp", "w").write("""#include <cstdio>
#include <tarebook/report.hpp>
int main() {
    const auto w = tarebook::parse_weight("12 lb 8 oz", tarebook::ScaleReads::unknown);
    const auto* gas = tarebook::find_refrigerant("448a");
    std::printf("%s %s\\n", tarebook::pounds_text(w->mass).c_str(), std::string(gas->designation).c_str());
}
""")
cache = open(os.path.join(os.environ["TAREBOOK_BUILD"], "CMakeCache.txt")).read()
sanitized = "ON" if "TAREBOOK_SANITIZE:BOOL=ON" in cache else "OFF"
subprocess.run(["cmake", "-S", folder, "-B", folder + "/b", "-G", "Ninja", "-DCMAKE_PREFIX_PATH=" + folder + "/prefix",
                "-DSANITIZED=" + sanitized], **quiet)
subprocess.run(["cmake", "--build", folder + "/b"], **quiet)
out = subprocess.run([folder + "/b/consumer"], check=True, capture_output=True, text=True).stdout
assert out == "12.50 R-448A\n", out
print("installed package: a program builds against it")
