#pragma once

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cstdlib>
#include <string>
#include <vector>

#include "tests/live/live_bench.h"

namespace cornerbench::live::testing {

/// What a program from outside printed, and how it ended.
struct Ended {
    std::string out;
    int code = -1;
    bool says(const std::string& part) const { return out.find(part) != std::string::npos; }
};

/// True when there is a program of that name in the PATH.
inline bool installed(const std::string& program) {
    return std::system(("command -v " + program + " >/dev/null 2>&1").c_str()) == 0;
}

/// Runs a program, with its errors beside its output, while the bench goes on. It is ended when it takes too
/// long.
inline Ended run_beside(LiveBench& bench, const std::vector<std::string>& words) {
    std::array<int, 2> ends{};
    if (pipe2(ends.data(), O_CLOEXEC) != 0) return {};
    const pid_t child = fork();
    if (child == 0) {
        dup2(ends[1], STDOUT_FILENO);
        dup2(ends[1], STDERR_FILENO);
        const int nothing = ::open("/dev/null", O_RDONLY);
        dup2(nothing, STDIN_FILENO);
        std::vector<char*> arguments;
        for (const std::string& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
        arguments.push_back(nullptr);
        execvp(arguments[0], arguments.data());
        _exit(127);
    }
    Descriptor reading(ends[0]);
    ::close(ends[1]);
    (void)fcntl(reading.get(), F_SETFL, O_NONBLOCK);
    Ended ended;
    std::array<char, 4096> bytes{};
    const bool finished = bench.pump([&] {
        ssize_t got = 0;
        while ((got = ::read(reading.get(), bytes.data(), bytes.size())) > 0)
            ended.out.append(bytes.data(), static_cast<std::size_t>(got));
        return got == 0;
    });
    if (!finished) ::kill(child, SIGKILL);
    int status = 0;
    waitpid(child, &status, 0);
    if (WIFEXITED(status)) ended.code = WEXITSTATUS(status);
    return ended;
}

}  // namespace cornerbench::live::testing
