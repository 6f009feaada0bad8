#include "sim/live/console_connection.h"

namespace cornerbench::live {

hal::Answer ConsoleConnection::Watched::receive(std::span<std::uint8_t> bytes, std::size_t& count) {
    asked = true;
    const hal::Answer answer = line_.receive(bytes, count);
    came = came || count > 0;
    return answer;
}

bool ConsoleConnection::serve(std::int64_t) {
    Watched line(line_);
    console_.serve(line);
    hungry_ = line.asked;
    return line.came;
}

short ConsoleConnection::events() const {
    // While the console waits, for the memory perhaps, what came would wake up the loop for nothing.
    const short in = hungry_ && !line_.ended() ? POLLIN : 0;
    const short out = line_.crowded() ? POLLOUT : 0;
    return static_cast<short>(in | out);
}

bool ConsoleConnection::over() const {
    if (line_.gone()) return true;
    // Who has said all may still be waiting for the answers.
    return line_.ended() && console_.idle();
}

}  // namespace cornerbench::live
