#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

#include "tests/hal/sealed_text.h"
#include "tests/virtual_scale/replayed_text.h"

/// Any bytes as a recording, as they are and with right seals: an error in a line, a difference, or a replay
/// to the end.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string bytes(reinterpret_cast<const char*>(data), size);
    for (const std::string& text : {bytes, cornerbench::hal::sealed_anew(bytes)}) {
        const std::string violation = cornerbench::tests::replay_violation(text);
        if (violation.empty()) continue;
        std::fprintf(stderr, "%s\n", violation.c_str());
        std::abort();
    }
    return 0;
}
