#include "hal/simulated/simulated_line.h"

namespace cornerbench::hal {

Answer SimulatedLine::receive(std::span<std::uint8_t> bytes, std::size_t& count) {
    count = 0;
    if (left_ || !connected_) {
        left_ = false;
        return Answer::disconnected;
    }
    while (count < bytes.size() && in_.size() > 0) {
        bytes[count++] = in_.front();
        in_.pop();
    }
    if (count == 0 && in_.size() == 0 && lossy_) {
        lossy_ = false;
        return Answer::failed;
    }
    return Answer::done;
}

Answer SimulatedLine::send(std::span<const std::uint8_t> bytes, std::size_t& count) {
    count = 0;
    if (left_ || !connected_) return Answer::disconnected;
    while (count < bytes.size() && out_.push(bytes[count])) ++count;
    return Answer::done;
}

std::size_t SimulatedLine::peer_sends(std::span<const std::uint8_t> bytes) {
    if (!connected_ || left_) return 0;
    std::size_t count = 0;
    while (!lossy_ && count < bytes.size()) {
        if (in_.push(bytes[count]))
            ++count;
        else
            lossy_ = true;
    }
    return count;
}

std::size_t SimulatedLine::peer_takes(std::span<std::uint8_t> bytes) {
    std::size_t count = 0;
    while (count < bytes.size() && out_.size() > 0) {
        bytes[count++] = out_.front();
        out_.pop();
    }
    return count;
}

void SimulatedLine::set_connected(bool connected) {
    if (connected_ && !connected) {
        start();
        left_ = true;
    }
    connected_ = connected;
}

void SimulatedLine::start() {
    in_.clear();
    out_.clear();
    lossy_ = false;
}

}  // namespace cornerbench::hal
