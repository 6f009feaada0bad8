#pragma once

#include <chrono>
#include <functional>
#include <string>

#include "firmware/storage/record.h"
#include "sim/cli/loading.h"
#include "sim/cli/recording_notes.h"
#include "sim/live/live_scale.h"
#include "tests/cli/command_line.h"

namespace cornerbench::live::testing {

inline std::string shipped_scale(const std::string& name) {
    return std::string(CORNERBENCH_SOURCE_DIR) + "/configs/scales/" + name + ".toml";
}

/// What *IDN? is answered: four fields (IEEE 488.2, 10.14; from memory), the last one the program's version.
inline std::string identity() {
    const std::string version = cli::ask({"--version"}).out;
    return "cornerbench,indicator,0," +
           version.substr(version.find(' ') + 1, version.find('\n') - version.find(' ') - 1);
}

/// A live scale inside the test, on ports of its own. It goes on only while the test pumps it.
class LiveBench {
  public:
    explicit LiveBench(const std::string& scale = "quarry-8", double pace = 20.0, std::uint64_t seed = 1,
                       hal::TextSink* recording = nullptr, const RtuSetting& rtu = {})
        : file_(cli::load_scale_or_stop(shipped_scale(scale))),
          yard_(file_, cli::standard_or_stop(file_), seed, {}, recording,
                cli::recording_notes_or_stop("a test", shipped_scale(scale), cli::standard_or_stop(file_))),
          live_(yard_, {.console_port = 0, .modbus_port = 0, .rtu = rtu, .pace = pace}) {}

    LiveScale& live() { return live_; }
    Yard& yard() { return yard_; }
    Indicator& indicator() { return yard_.scale().indicator(); }

    /// Until `done`, or for so long by the wall's clock that something is wrong. False then.
    bool pump(const std::function<bool()>& done) {
        const auto give_up = std::chrono::steady_clock::now() + std::chrono::seconds(60);
        while (!done()) {
            if (std::chrono::steady_clock::now() > give_up) return false;
            live_.turn();
        }
        return true;
    }

    /// At least so many seconds of the yard.
    void pass(double seconds) {
        const double end_s = yard_.time_s() + seconds;
        pump([&] { return yard_.time_s() >= end_s; });
    }

    /// What is kept of the calibration, as the bytes in which it is kept; the zero, which a key may set,
    /// aside.
    storage::Record calibration() {
        storage::Kept kept = indicator().kept();
        kept.zero_offset_kg = 0.0;
        return storage::encode(kept, 1);
    }

  private:
    files::ScaleFile file_;
    Yard yard_;
    LiveScale live_;
};

}  // namespace cornerbench::live::testing
