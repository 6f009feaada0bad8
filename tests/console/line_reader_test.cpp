#include "firmware/console/line_reader.h"

#include <catch2/catch.hpp>
#include <string>
#include <vector>

using namespace cornerbench::console;

namespace {

/// Every line of `bytes`, and "!number" for what was dropped.
std::vector<std::string> lines_of(const std::string& bytes) {
    LineReader reader;
    std::vector<std::string> lines;
    for (const char byte : bytes) {
        reader.take(static_cast<std::uint8_t>(byte));
        if (reader.state() == LineReader::State::reading) continue;
        if (reader.state() == LineReader::State::line)
            lines.emplace_back(reader.line());
        else
            lines.push_back("!" + std::to_string(static_cast<int>(reader.error())));
        reader.next();
    }
    return lines;
}

using Lines = std::vector<std::string>;

}  // namespace

TEST_CASE("A line ends with LF or CR LF", "[console]") {
    CHECK(lines_of("A\nB\r\n\n\r\nC") == Lines{"A", "B", "", ""});
    CHECK(lines_of("A\tB\n") == Lines{"A\tB"});
}

TEST_CASE("Bytes that mean nothing spoil their line and no other", "[console]") {
    // SCPI-99, volume 2, 21.8.9: -101 (from memory).
    for (const char* byte : {"\x01", "\x7F", "\x80", "\xFF", "\x1B", "\xC3\xA4", "\rB"}) {
        INFO(std::to_string(byte[0]));
        CHECK(lines_of(std::string("A") + byte + "\nB\n") == Lines{"!-101", "B"});
    }
    CHECK(lines_of(std::string("A\0B\nC\n", 6)) == Lines{"!-101", "C"});
    CHECK(lines_of("A\r\r\nC\n") == Lines{"!-101", "C"});
}

TEST_CASE("A line of 255 characters is read, a longer one is dropped whole", "[console]") {
    // SCPI-99, volume 2, 21.8.11: -363 (from memory).
    const std::string longest(255, 'A');
    CHECK(lines_of(longest + "\nB\n") == Lines{longest, "B"});
    CHECK(lines_of(longest + "\r\nB\n") == Lines{longest, "B"});
    CHECK(lines_of(longest + "A\nB\n") == Lines{"!-363", "B"});
    CHECK(lines_of(std::string(100000, 'A') + "\nB\n") == Lines{"!-363", "B"});
}

TEST_CASE("What was lost on the way spoils the line it belonged to", "[console]") {
    LineReader reader;
    reader.take('A');
    reader.spoil(Error::communication);
    reader.take('B');
    reader.take('\n');
    CHECK(reader.state() == LineReader::State::bad);
    CHECK(reader.error() == Error::communication);
    reader.next();
    reader.take('C');
    reader.take('\n');
    CHECK(reader.line() == "C");
    // A whole line that waits was there before.
    reader.spoil(Error::communication);
    CHECK(reader.state() == LineReader::State::line);
    CHECK(reader.line() == "C");
    reader.next();
    reader.take('D');
    reader.take('\n');
    CHECK(reader.state() == LineReader::State::bad);
}
