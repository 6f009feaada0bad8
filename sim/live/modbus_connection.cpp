#include "sim/live/modbus_connection.h"

namespace cornerbench::live {

namespace {

constexpr int frames_a_round = 8;

}  // namespace

bool ModbusConnection::serve(std::int64_t) {
    bool came = false;
    for (int i = 0; i < frames_a_round && !over_; ++i) {
        std::size_t count = 0;
        if (!frames_.whole()) {
            over_ = line_.receive(frames_.room(), count) != hal::Answer::done;
            frames_.came(count);
            came = came || count > 0;
        }
        if (frames_.broken()) over_ = true;
        if (over_ || !frames_.whole()) break;
        if (!replies_.answer(line_.descriptor(), frames_.frame())) over_ = true;
        frames_.next();
    }
    if (line_.ended() && !frames_.whole()) over_ = true;
    return came;
}

short ModbusConnection::events() const {
    return POLLIN;
}

}  // namespace cornerbench::live
