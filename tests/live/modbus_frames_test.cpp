#include "sim/live/modbus_frames.h"

#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "firmware/console/modbus_request.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using namespace cornerbench::live;
using cornerbench::console::ModbusFunction;
using cornerbench::console::ModbusRequest;

namespace {

using Bytes = std::vector<std::uint8_t>;

Bytes random_frame(tests::Draw& draw) {
    const int length = draw.integer(2, 254);
    Bytes frame{static_cast<std::uint8_t>(draw.integer(0, 255)),
                static_cast<std::uint8_t>(draw.integer(0, 255)),
                0,
                0,
                0,
                static_cast<std::uint8_t>(length)};
    for (int i = 0; i < length; ++i) frame.push_back(static_cast<std::uint8_t>(draw.integer(0, 255)));
    return frame;
}

console::ModbusRequest read(const Bytes& unit) {
    return console::read_request(unit);
}

}  // namespace

TEST_CASE("a stream of frames comes apart into the same frames, however it is cut", "[live]") {
    tests::Draw draw(11);
    for (int run = 0; run < 50; ++run) {
        std::vector<Bytes> sent;
        Bytes stream;
        for (int i = 0; i < 30; ++i) {
            sent.push_back(random_frame(draw));
            stream.insert(stream.end(), sent.back().begin(), sent.back().end());
        }
        ModbusFrames frames;
        std::vector<Bytes> got;
        std::size_t at = 0;
        while (at < stream.size()) {
            const auto room = frames.room();
            REQUIRE_FALSE(room.empty());
            const std::size_t piece =
                std::min({room.size(), stream.size() - at, static_cast<std::size_t>(draw.integer(1, 300))});
            std::copy_n(stream.begin() + static_cast<std::ptrdiff_t>(at), piece, room.begin());
            frames.came(piece);
            at += piece;
            while (frames.whole()) {
                got.emplace_back(frames.frame().begin(), frames.frame().end());
                frames.next();
            }
        }
        CHECK(got == sent);
        CHECK_FALSE(frames.broken());
    }
}

TEST_CASE("a header that is none of Modbus is found out as soon as it can be", "[live]") {
    const auto broken = [](const Bytes& bytes) {
        ModbusFrames frames;
        std::copy(bytes.begin(), bytes.end(), frames.room().begin());
        frames.came(bytes.size());
        return frames.broken();
    };
    // Protocol identifier 0 = MODBUS; Implementation Guide V1.0b, 3.1.3 (from memory).
    CHECK(broken({0, 1, 0, 1}));
    CHECK(broken({0, 1, 1, 0}));
    CHECK_FALSE(broken({0, 1, 0, 0}));
    // A unit alone is no request; more than 253 bytes of it are no protocol data unit.
    CHECK(broken({0, 1, 0, 0, 0, 1}));
    CHECK(broken({0, 1, 0, 0, 0, 255}));
    CHECK_FALSE(broken({0, 1, 0, 0, 0, 254}));
    CHECK_FALSE(broken({0, 1, 0, 0, 0, 2}));
}

TEST_CASE("requests are held to the limits of the protocol", "[live]") {
    // MODBUS Application Protocol Specification V1.1b3, 6.1 to 6.12 and 7 (from memory).
    CHECK(read({3, 0, 0, 0, 125}).exception == 0);
    CHECK(read({3, 0, 0, 0, 126}).exception == 3);
    CHECK(read({4, 0, 0, 0, 0}).exception == 3);
    CHECK(read({1, 0, 0, 0x07, 0xD0}).exception == 0);
    CHECK(read({2, 0, 0, 0x07, 0xD1}).exception == 3);
    CHECK(read({3, 0, 0, 0}).exception == 3);
    CHECK(read({3, 0, 0, 0, 1, 0}).exception == 3);
    CHECK(read({3}).exception == 3);
    CHECK(read({7}).exception == 1);
    CHECK(read({0x83, 0, 0, 0, 1}).exception == 1);
    CHECK(read({5, 0, 0, 0xFF, 0}).bits[0]);
    CHECK_FALSE(read({5, 0, 0, 0, 0}).bits[0]);
    CHECK(read({5, 0, 0, 0, 1}).exception == 3);
    CHECK(read({6, 2, 0, 0x12, 0x34}).registers[0] == 0x1234);
    CHECK(read({6, 2, 0, 0x12, 0x34}).first == 512);
    CHECK(read({16, 2, 2, 0, 2, 4, 1, 2, 3, 4}).registers[1] == 0x0304);
    CHECK(read({16, 2, 2, 0, 2, 3, 1, 2, 3}).exception == 3);
    CHECK(read({16, 2, 2, 0, 2, 4, 1, 2, 3}).exception == 3);
    CHECK(read({16, 2, 2, 0, 124, 248}).exception == 3);
    CHECK(read({15, 0, 0, 0, 10, 2, 0x01, 0x02}).bits[9]);
    CHECK_FALSE(read({15, 0, 0, 0, 10, 2, 0x01, 0x02}).bits[8]);
    CHECK(read({15, 0, 0, 0, 10, 1, 0x01}).exception == 3);
}
