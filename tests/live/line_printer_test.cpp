#include "sim/live/line_printer.h"

#include <fcntl.h>
#include <unistd.h>

#include <array>
#include <catch2/catch.hpp>
#include <sstream>
#include <streambuf>

#include "sim/live/descriptor.h"

using namespace cornerbench::live;

namespace {

/// A pipe with a stream in front of it that would block, were it not asked first.
class Pipe final : public std::streambuf {
  public:
    Pipe() {
        std::array<int, 2> ends{};
        REQUIRE(pipe2(ends.data(), O_CLOEXEC) == 0);
        reading = Descriptor(ends[0]);
        writing = Descriptor(ends[1]);
        (void)fcntl(reading.get(), F_SETFL, O_NONBLOCK);
        // What would block shows as an error instead of a test that hangs.
        (void)fcntl(writing.get(), F_SETFL, O_NONBLOCK);
    }

    std::string read_all() {
        std::string text;
        std::array<char, 4096> bytes{};
        ssize_t got = 0;
        while ((got = ::read(reading.get(), bytes.data(), bytes.size())) > 0)
            text.append(bytes.data(), static_cast<std::size_t>(got));
        return text;
    }

    Descriptor reading;
    Descriptor writing;

  private:
    std::streamsize xsputn(const char* text, std::streamsize count) override {
        return ::write(writing.get(), text, static_cast<std::size_t>(count));
    }
};

}  // namespace

TEST_CASE("lines for a pipe that nobody empties wait, the newest of them, and block nobody", "[live]") {
    Pipe pipe;
    std::ostream out(&pipe);
    LinePrinter printer(out, pipe.writing.get());
    const int last = 20'000;
    for (int i = 0; i <= last; ++i) {
        printer.add("line " + std::to_string(i));
        printer.print();
        REQUIRE(out.good());
    }
    std::string text;
    for (std::string part; !(part = pipe.read_all()).empty(); printer.print()) text += part;
    CHECK(out.good());
    CHECK(text.starts_with("line 0\nline 1\n"));
    CHECK(text.ends_with("\nline " + std::to_string(last) + "\n"));

    // Every line is there once and in order, or counted among those that were dropped.
    std::istringstream lines(text);
    int expected = 0;
    int dropped = 0;
    for (std::string line; std::getline(lines, line);) {
        if (line.starts_with("(")) {
            dropped += std::stoi(line.substr(1));
            expected += std::stoi(line.substr(1));
            continue;
        }
        REQUIRE(line == "line " + std::to_string(expected));
        ++expected;
    }
    CHECK(expected == last + 1);
    CHECK(dropped > 0);
}

TEST_CASE("a pipe that is read loses nothing", "[live]") {
    Pipe pipe;
    std::ostream out(&pipe);
    LinePrinter printer(out, pipe.writing.get());
    for (int i = 0; i < 100; ++i) printer.add(std::to_string(i));
    printer.finish();
    CHECK(pipe.read_all().ends_with("\n98\n99\n"));
}
