#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>

#include "firmware/console/modbus_request.h"
#include "sim/live/modbus_frames.h"

namespace {

void require(bool kept, const char* promise) {
    if (kept) return;
    std::fprintf(stderr, "%s\n", promise);
    std::abort();
}

void check_request(std::span<const std::uint8_t> unit) {
    using cornerbench::console::ModbusRequest;
    const ModbusRequest request = cornerbench::console::read_request(unit);
    require(request.exception == 0 || request.exception == 1 || request.exception == 3,
            "an exception of its own");
    if (request.exception == 0)
        require(request.count >= 1 && request.count <= 2000, "a count that is allowed");
}

}  // namespace

/// Any bytes from a Modbus client: frames come out of them or the stream is broken, there is always room for
/// more until then, and every frame is a request or earns an exception.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace cornerbench::live;
    std::span<const std::uint8_t> rest(data, size);
    if (!rest.empty()) check_request(rest);
    ModbusFrames frames;
    while (!rest.empty() && !frames.broken()) {
        const auto room = frames.room();
        require(!room.empty(), "room for what comes next");
        const std::size_t piece = std::min({room.size(), rest.size(), std::size_t{1} + rest[0] % 32u});
        std::copy_n(rest.begin(), piece, room.begin());
        frames.came(piece);
        rest = rest.subspan(piece);
        while (frames.whole()) {
            const auto frame = frames.frame();
            require(frame.size() > modbus_header && frame.size() <= longest_modbus_frame, "a frame's size");
            check_request(frame.subspan(modbus_header));
            frames.next();
        }
    }
    return 0;
}
