#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "sim/files/tolerances_file.h"

namespace {

using namespace cornerbench;

/// Of a loaded file every number is valid, unless the scale's file is to say it.
bool all_valid(const field::PartTolerances& t) {
    for (const files::ToleranceKey& key : files::tolerance_fields()) {
        if (const auto* own = std::get_if<files::ToleranceKey::Own>(&key.value)) {
            if (!key.valid.holds(t.*(*own))) return false;
        } else {
            const auto& from_scale = t.*std::get<files::ToleranceKey::FromScale>(key.value);
            if (from_scale && !key.valid.holds(*from_scale)) return false;
        }
    }
    return true;
}

}  // namespace

/// Any bytes as a file of tolerances: an error that points, or numbers within their ranges.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto loaded = files::parse_tolerances({reinterpret_cast<const char*>(data), size}, "fuzzed.toml");
    if (loaded ? !all_valid(*loaded.value) : loaded.errors.empty()) {
        std::fprintf(stderr, "neither an error nor valid numbers\n");
        std::abort();
    }
    return 0;
}
