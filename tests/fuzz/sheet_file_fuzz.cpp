#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

#include "tests/files/loaded_check.h"

/// Any bytes as a reading sheet, and as a vehicle: an error that points, or what the core can judge.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace cornerbench::files::testing;
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    for (const std::string& violation : {sheet_text_violation(text), vehicle_text_violation(text)}) {
        if (violation.empty()) continue;
        std::fprintf(stderr, "%s\n", violation.c_str());
        std::abort();
    }
    return 0;
}
