#pragma once

#include <fcntl.h>
#include <pty.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <csignal>
#include <functional>
#include <string>
#include <thread>
#include <vector>

#include "sim/live/descriptor.h"

namespace cornerbench::live::testing {

/// The built program at a terminal of its own, 80 by 24.
class RunningProgram {
  public:
    explicit RunningProgram(std::vector<std::string> words) {
        int master = -1;
        int slave = -1;
        winsize size{24, 80, 0, 0};
        REQUIRE(openpty(&master, &slave, nullptr, nullptr, &size) == 0);
        master_ = Descriptor(master);
        slave_ = Descriptor(slave);
        (void)fcntl(master, F_SETFL, O_NONBLOCK);
        (void)fcntl(master, F_SETFD, FD_CLOEXEC);
        before_ = settings();
        child_ = fork();
        if (child_ == 0) {
            setsid();
            ioctl(slave, TIOCSCTTY, 0);
            for (const int each : {0, 1, 2}) dup2(slave, each);
            if (slave > 2) ::close(slave);
            setenv("TERM", "xterm", 1);
            unsetenv("NO_COLOR");
            words.insert(words.begin(), CORNERBENCH_PROGRAM);
            std::vector<char*> arguments;
            for (std::string& word : words) arguments.push_back(word.data());
            arguments.push_back(nullptr);
            execv(arguments[0], arguments.data());
            _exit(127);
        }
    }
    ~RunningProgram() {
        if (child_ <= 0) return;
        ::kill(child_, SIGKILL);
        waitpid(child_, nullptr, 0);
    }
    RunningProgram(const RunningProgram&) = delete;
    RunningProgram& operator=(const RunningProgram&) = delete;

    void type(const std::string& keys) {
        REQUIRE(::write(master_.get(), keys.data(), keys.size()) == static_cast<ssize_t>(keys.size()));
    }
    /// Bytes written by it that nobody has read.
    std::size_t unread() const {
        int count = 0;
        ioctl(master_.get(), FIONREAD, &count);
        return static_cast<std::size_t>(count);
    }
    void signal(int number) const { ::kill(child_, number); }
    /// As when a terminal's window is closed.
    void hang_up() { master_ = Descriptor(); }

    /// Gives what it writes to `take` until `done`, or until that is taking too long: false then. Without
    /// `reading` nobody looks at what it writes.
    bool follow(const std::function<void(std::string_view)>& take, const std::function<bool()>& done,
                bool reading = true) {
        const auto give_up = std::chrono::steady_clock::now() + std::chrono::seconds(60);
        while (std::chrono::steady_clock::now() < give_up) {
            char bytes[4096];
            const ssize_t got = reading ? ::read(master_.get(), bytes, sizeof bytes) : 0;
            if (got > 0) take({bytes, static_cast<std::size_t>(got)});
            if (done()) return true;
            if (got <= 0) std::this_thread::sleep_for(std::chrono::milliseconds(5));
        }
        return false;
    }

    /// True once it has ended; its exit status is then in `code`.
    bool ended() {
        if (child_ <= 0) return true;
        int status = 0;
        if (waitpid(child_, &status, WNOHANG) != child_) return false;
        child_ = 0;
        code = WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status);
        return true;
    }

    int code = -1;

    /// The terminal is set as it was before the program came.
    bool as_before() const {
        const termios now = settings();
        return now.c_iflag == before_.c_iflag && now.c_oflag == before_.c_oflag &&
               now.c_cflag == before_.c_cflag && now.c_lflag == before_.c_lflag &&
               std::equal(std::begin(now.c_cc), std::end(now.c_cc), std::begin(before_.c_cc));
    }

  private:
    termios settings() const {
        termios now{};
        tcgetattr(slave_.get(), &now);
        return now;
    }

    Descriptor master_;
    Descriptor slave_;  ///< held, so that its settings can be looked at when the program is gone
    termios before_{};
    pid_t child_ = 0;
};

}  // namespace cornerbench::live::testing
