#include "sim/live/modbus_frames.h"

#include <algorithm>

namespace cornerbench::live {

bool ModbusFrames::broken() const {
    if (size_ >= 4 && (bytes_[2] != 0 || bytes_[3] != 0)) return true;
    // The unit and a function code at least.
    return size_ >= 6 && (frame_size() < modbus_header + 1 || frame_size() > longest_modbus_frame);
}

void ModbusFrames::next() {
    const auto behind = bytes_.begin() + static_cast<std::ptrdiff_t>(frame_size());
    const auto end = bytes_.begin() + static_cast<std::ptrdiff_t>(size_);
    size_ = static_cast<std::size_t>(end - behind);
    std::copy(behind, end, bytes_.begin());
}

}  // namespace cornerbench::live
