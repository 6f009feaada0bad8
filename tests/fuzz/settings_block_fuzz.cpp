#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <span>

#include "firmware/indicator/settings_block.h"
#include "firmware/storage/crc32c.h"

namespace {

using namespace cornerbench;

/// The bytes as the beginning of a block that its writer closed.
SettingsBlock sealed(std::span<const std::uint8_t> bytes) {
    SettingsBlock block{};
    std::copy_n(bytes.begin(), std::min(bytes.size(), block.size()), block.begin());
    const std::size_t crc_at = block.size() - 4;
    const std::uint32_t crc = storage::crc32c(std::span(block).first(crc_at));
    for (std::size_t i = 0; i < 4; ++i) block[crc_at + i] = static_cast<std::uint8_t>(crc >> (8 * i));
    return block;
}

void check(std::span<const std::uint8_t> bytes) {
    IndicatorSettings settings;
    if (decode(bytes, settings) != SettingsError::none) return;
    const SettingsBlock block = encode(settings);
    IndicatorSettings again;
    if (decode(block, again) == SettingsError::none && encode(again) == block) return;
    std::fprintf(stderr, "settings that do not read back as they were read\n");
    std::abort();
}

}  // namespace

/// Any bytes as a block of settings, as they are and with a right CRC: an error, or settings that read back
/// as themselves.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    check({data, size});
    check(sealed({data, size}));
    return 0;
}
