#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "sim/files/minutes_file.h"

/// Any bytes as a file of minutes: an error that points, or numbers within their ranges.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace cornerbench::files;
    const auto loaded = parse_minutes({reinterpret_cast<const char*>(data), size}, "fuzzed.toml");
    bool kept = loaded || !loaded.errors.empty();
    if (loaded)
        for (const MinutesKey& key : minutes_fields())
            kept = kept && key.range.holds((*loaded.value).*(key.minutes));
    if (!kept) {
        std::fprintf(stderr, "neither an error nor valid numbers\n");
        std::abort();
    }
    return 0;
}
