#include <array>
#include <span>

#include "hal/cortex_m/program.h"
#include "hal/cortex_m/semihosting.h"
#include "hal/cortex_m/timer_clock.h"
#include "hal/cortex_m/uart.h"
#include "hal/golden/golden_run.h"

// Emulator's arguments: replay RECORDING [EVERY FIRST LAST [cost]]. The settings stand where the linker
// script has them, the recording is a file of the computer, the trace goes out on the UART.

extern "C" {
extern const std::uint8_t settings_begin;
extern const std::uint8_t settings_end;
}

namespace {

using namespace cornerbench;

class UartText final : public hal::TextSink {
  public:
    hal::Answer write(std::string_view text) override {
        for (const char each : text) cortex_m::Uart::put(static_cast<std::uint8_t>(each));
        return hal::Answer::done;
    }
};

std::string_view next_word(std::string_view& line) {
    const std::string_view word = line.substr(0, line.find(' '));
    line.remove_prefix(word.size() < line.size() ? word.size() + 1 : line.size());
    return word;
}

std::uint64_t number_in(std::string_view word) {
    std::uint64_t number = 0;
    for (const char digit : word) number = 10 * number + static_cast<std::uint64_t>(digit - '0');
    return number;
}

}  // namespace

namespace cornerbench {

int cortex_m::run_program() {
    cortex_m::Uart::start();
    static std::array<char, 512> room;
    std::string_view line = cortex_m::semihosting::command_line(room);
    (void)next_word(line);
    cortex_m::semihosting::File recording(next_word(line));
    golden::TraceWish wish;
    if (const std::string_view every = next_word(line); !every.empty()) wish.every = number_in(every);
    wish.first = number_in(next_word(line));
    wish.last = number_in(next_word(line));
    if (wish.every == 0) wish.every = 1;
    wish.cost = next_word(line) == "cost";
    cortex_m::Timer::start();
    UartText trace;
    const std::span settings(&settings_begin, static_cast<std::size_t>(&settings_end - &settings_begin));
    return static_cast<int>(golden::run_replay({recording, trace, settings, &cortex_m::Timer::ticks}, wish));
}

}  // namespace cornerbench
