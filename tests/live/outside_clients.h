#pragma once

#include <iostream>
#include <map>
#include <sstream>

#include "tests/live/outside_program.h"

namespace cornerbench::live::testing {

/// lxi-tools in raw mode: one line over a connection of its own, and the answer.
struct Lxi {
    LiveBench& bench;

    std::string ask(const std::string& line) const {
        const Ended ended =
            run_beside(bench, {"lxi", "scpi", "-r", "-a", "127.0.0.1", "-p",
                               std::to_string(bench.live().console_port()), "-t", "30", line});
        INFO(ended.out);
        REQUIRE(ended.code == 0);
        std::string answer = ended.out;
        while (!answer.empty() && answer.back() == '\n') answer.pop_back();
        return answer;
    }
};

/// mbpoll over Modbus TCP, or over RTU where the bench has such a line: one request.
struct Mbpoll {
    LiveBench& bench;

    std::string where() const {
        return bench.live().rtu_path().empty() ? std::string("127.0.0.1") : bench.live().rtu_path();
    }

    Ended run(std::vector<std::string> words) const {
        std::vector<std::string> all{"mbpoll", "-0", "-1", "-o", "10"};
        if (bench.live().rtu_path().empty())
            all.insert(all.end(), {"-m", "tcp", "-p", std::to_string(bench.live().modbus_port())});
        else
            all.insert(all.end(), {"-m", "rtu", "-a", "1", "-b", "19200", "-P", "even"});
        all.insert(all.end(), words.begin(), words.end());
        return run_beside(bench, all);
    }

    /// Values by address. `kind` as in mbpoll -t.
    std::map<int, double> read(const std::string& kind, int first, int count) const {
        const Ended ended =
            run({"-t", kind, "-B", "-r", std::to_string(first), "-c", std::to_string(count), where()});
        INFO(ended.out);
        REQUIRE(ended.code == 0);
        std::map<int, double> values;
        std::istringstream lines(ended.out);
        for (std::string line; std::getline(lines, line);) {
            if (line.size() < 2 || line[0] != '[') continue;
            values[std::stoi(line.substr(1))] = std::stod(line.substr(line.find(':') + 1));
        }
        return values;
    }
};

/// Skipped where the program is not installed, and says so.
inline bool missing(const char* program) {
    if (installed(program)) return false;
    std::cout << "[SKIPPED] " << program << " is not installed\n";
    return true;
}

}  // namespace cornerbench::live::testing
