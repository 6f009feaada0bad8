#include <cstdio>
#include <fstream>
#include <iterator>
#include <string>

#include "hal/golden/compared_trace.h"
#include "hal/golden/golden_run.h"

using namespace cornerbench;

namespace {

std::string text_of(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

}  // namespace

/// does_as_recorded NAME: exit status 0 when the firmware makes NAME.trace of NAME.recording and
/// NAME.settings.
int main(int count, char** words) {
    if (count != 2) return 2;
    const std::string name = words[1];
    const std::string settings = text_of(name + ".settings");
    const std::string expected = text_of(name + ".trace");
    const std::string recorded = text_of(name + ".recording");
    hal::TextInMemory recording(recorded);
    golden::ComparedTrace trace(expected);
    const golden::TraceWish every_fiftieth{50};
    const golden::ReplayEnd end = golden::run_replay(
        {recording, trace, {reinterpret_cast<const std::uint8_t*>(settings.data()), settings.size()}},
        every_fiftieth);
    if (end == golden::ReplayEnd::same && trace.same()) return 0;
    std::printf("%s: line %zu differs\n", words[1], trace.line());
    return 1;
}
