#include "sim/live/live_scale.h"

#include <algorithm>
#include <chrono>
#include <cmath>

#include "sim/live/console_connection.h"
#include "sim/live/modbus_connection.h"

namespace cornerbench::live {

namespace {

/// Clients whose console waits for something, and a serial line that nobody holds, are looked after that
/// often.
constexpr std::int64_t longest_wait_us = 10'000;

/// At most so many frames in one turn: some ten milliseconds of work, for which clients wait.
constexpr int frames_a_turn = 200;

constexpr std::int64_t measure_every_us = 1'000'000;

std::int64_t wall_us() {
    const auto now = std::chrono::steady_clock::now().time_since_epoch();
    return std::chrono::duration_cast<std::chrono::microseconds>(now).count();
}

}  // namespace

LiveScale::LiveScale(Yard& yard, const LiveSetting& setting)
    : yard_(yard),
      controls_(yard),
      setting_(setting),
      pace_(setting.pace, 1.0e6 / yard.file().description.rate_Hz),
      console_(setting.address, setting.console_port, "console",
               [this](Descriptor socket) { return welcome_console(std::move(socket)); }),
      modbus_(setting.address, setting.modbus_port, "Modbus",
              [this](Descriptor socket) { return welcome_modbus(std::move(socket)); }) {
    if (setting.serial) serial_.emplace(yard.scale().board().line);
    if (!setting.rtu.device.empty()) rtu_.emplace(setting.rtu);
    meet_firmware();
}

std::unique_ptr<Connection> LiveScale::welcome_console(Descriptor socket) {
    if (met_ == 0) return nullptr;
    return std::make_unique<ConsoleConnection>(std::move(socket), yard_.scale());
}

std::unique_ptr<Connection> LiveScale::welcome_modbus(Descriptor socket) {
    if (met_ == 0) return nullptr;
    return std::make_unique<ModbusConnection>(std::move(socket), *replies_);
}

void LiveScale::meet_firmware() {
    // Only who has seen a step knows what time it is.
    const bool runs = yard_.powered() && yard_.scale().has_stepped();
    const std::uint64_t there = runs ? yard_.scale().starts() : 0;
    if (there == met_) return;
    // As at a box whose power went: connections are gone, and there is nobody to answer until it is back.
    console_.close_all();
    modbus_.close_all();
    replies_.reset();
    rtu_registers_.reset();
    met_ = there;
    if (met_ == 0) return;
    replies_ = std::make_unique<ModbusReplies>(yard_.scale());
    rtu_registers_.emplace(yard_.scale());
}

std::int64_t LiveScale::firmware_time_us() {
    return yard_.scale().board().clock.time_us();
}

std::string LiveScale::endpoint(int port) const {
    const bool colons = setting_.address.find(':') != std::string::npos;
    return (colons ? "[" + setting_.address + "]" : setting_.address) + ":" + std::to_string(port);
}

void LiveScale::measure_pace(std::int64_t now_us) {
    if (measured_us_ != 0 && now_us - measured_us_ < measure_every_us) return;
    if (measured_us_ != 0)
        measured_pace_ = 1.0e6 * (yard_.time_s() - measured_s_) / static_cast<double>(now_us - measured_us_);
    measured_us_ = now_us;
    measured_s_ = yard_.time_s();
}

void LiveScale::serve() {
    meet_firmware();
    console_.serve(firmware_time_us());
    modbus_.serve(firmware_time_us());
    if (serial_) serial_->serve(firmware_time_us());
    if (rtu_) rtu_->serve(wall_us(), rtu_registers_ ? &*rtu_registers_ : nullptr);
}

void LiveScale::turn(std::span<pollfd> also) {
    watched_.assign(also.begin(), also.end());
    console_.watch(watched_);
    modbus_.watch(watched_);
    if (serial_) serial_->watch(watched_);
    if (rtu_) rtu_->watch(watched_);
    std::int64_t wait_us = std::min(pace_.wait_us(wall_us()), longest_wait_us);
    if (rtu_) wait_us = rtu_->wait_us(wall_us(), wait_us);
    const int wait_ms = static_cast<int>((wait_us + 999) / 1000);
    if (::poll(watched_.data(), watched_.size(), wait_ms) < 0) {
        // Interrupted by a signal: whoever asked for it looks after it. Nothing is ready.
        for (pollfd& each : watched_) each.revents = 0;
    }
    std::copy_n(watched_.begin(), also.size(), also.begin());

    const int frames = pace_.due(wall_us(), frames_a_turn);
    for (int i = 0; i < frames && !over(); ++i) {
        yard_.frame();
        meet_firmware();
        console_.after_step();
        controls_.walk().go_on();
        if (look_) look_();
    }
    serve();
    measure_pace(wall_us());
}

}  // namespace cornerbench::live
