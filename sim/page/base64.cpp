#include "sim/page/base64.h"

#include <cstdint>

namespace cornerbench::page {

std::string base64(std::string_view bytes) {
    constexpr std::string_view letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string out;
    out.reserve((bytes.size() + 2) / 3 * 4);
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        std::uint32_t three = 0;
        const std::size_t there = bytes.size() - i < 3 ? bytes.size() - i : 3;
        for (std::size_t k = 0; k < 3; ++k)
            three = three << 8U | (k < there ? static_cast<unsigned char>(bytes[i + k]) : 0U);
        for (std::size_t k = 0; k < 4; ++k)
            out += k <= there ? letters[three >> (18U - 6U * k) & 0x3fU] : '=';
    }
    return out;
}

}  // namespace cornerbench::page
