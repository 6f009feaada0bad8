#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <vector>

#include "hal/golden/golden_run.h"
#include "sim/cli/recording_file.h"

// Usage: cornerbench_trace SETTINGS RECORDING [EVERY FIRST LAST]
//
// What the firmware does with a recording on this computer, as a trace (hal/golden/golden_run.h) on standard
// output.

namespace {

class StandardOutput final : public cornerbench::hal::TextSink {
  public:
    cornerbench::hal::Answer write(std::string_view text) override {
        const bool whole = std::fwrite(text.data(), 1, text.size(), stdout) == text.size();
        return whole ? cornerbench::hal::Answer::done : cornerbench::hal::Answer::failed;
    }
};

}  // namespace

int main(int count, char** words) {
    using namespace cornerbench;
    if (count != 3 && count != 6) {
        std::fputs("usage: cornerbench_trace SETTINGS RECORDING [EVERY FIRST LAST]\n", stderr);
        return 2;
    }
    std::ifstream file(words[1], std::ios::binary);
    const std::vector<char> text{std::istreambuf_iterator<char>(file), {}};
    const std::vector<std::uint8_t> settings(text.begin(), text.end());
    cli::RecordingSource recording(words[2]);
    StandardOutput trace;
    golden::TraceWish wish;
    if (count == 6)
        wish = {std::strtoull(words[3], nullptr, 10), std::strtoull(words[4], nullptr, 10),
                std::strtoull(words[5], nullptr, 10)};
    if (wish.every == 0) wish.every = 1;
    return static_cast<int>(golden::run_replay({recording, trace, settings}, wish));
}
