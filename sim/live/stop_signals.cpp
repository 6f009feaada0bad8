#include "sim/live/stop_signals.h"

#include <fcntl.h>
#include <signal.h>

#include <array>
#include <cerrno>
#include <cstring>

#include <spdlog/fmt/fmt.h>

#include "sim/live/host_refusal.h"

namespace cornerbench::live {

namespace {

constexpr std::array<int, 4> stopping{SIGINT, SIGTERM, SIGHUP, SIGQUIT};

// A handler has nothing but these.
volatile sig_atomic_t stop_came = 0;
volatile sig_atomic_t wake_up = -1;
std::array<struct sigaction, stopping.size()> before{};

void note_stop(int) {
    const int kept = errno;
    stop_came = 1;
    const char byte = 0;
    (void)!write(wake_up, &byte, 1);
    errno = kept;
}

}  // namespace

StopSignals::StopSignals() {
    std::array<int, 2> ends{};
    if (pipe2(ends.data(), O_NONBLOCK | O_CLOEXEC) != 0)
        throw HostRefusal(fmt::format("no pipe can be opened: {}", std::strerror(errno)));
    reading_ = Descriptor(ends[0]);
    writing_ = Descriptor(ends[1]);
    stop_came = 0;
    wake_up = ends[1];
    struct sigaction note {};
    note.sa_handler = note_stop;
    sigemptyset(&note.sa_mask);
    for (std::size_t i = 0; i < stopping.size(); ++i) {
        sigaction(stopping[i], &note, &before[i]);
        // What was ignored before stays so: nohup, or a shell's background.
        if (before[i].sa_handler == SIG_IGN) sigaction(stopping[i], &before[i], nullptr);
    }
}

StopSignals::~StopSignals() {
    for (std::size_t i = 0; i < stopping.size(); ++i) sigaction(stopping[i], &before[i], nullptr);
    wake_up = -1;
}

bool StopSignals::came() const {
    return stop_came != 0;
}

}  // namespace cornerbench::live
