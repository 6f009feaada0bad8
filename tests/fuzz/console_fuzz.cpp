#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

#include "tests/console/random_lines.h"

/// Any bytes sent to a console: it goes on, and no calibration changes but by a calibration command with the
/// seal open.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace cornerbench::console::testing;
    const std::string_view bytes(reinterpret_cast<const char*>(data), size);
    for (const bool open_seal : {false, true}) {
        const std::string said = violation(bytes, open_seal);
        if (said.empty()) continue;
        std::fprintf(stderr, "%s\n", said.c_str());
        std::abort();
    }
    return 0;
}
