#include "sim/field/share_interval.h"

#include <algorithm>
#include <cmath>

namespace cornerbench::field {

ShareInterval share_interval(int part, int whole) {
    if (whole <= 0) return {};
    constexpr double z = 1.959963984540054;  // of the normal distribution, 2.5 % on either side
    const double n = whole;
    const double share = part / n;
    const double middle = (share + z * z / (2.0 * n)) / (1.0 + z * z / n);
    const double half = z * std::sqrt(share * (1.0 - share) / n + z * z / (4.0 * n * n)) / (1.0 + z * z / n);
    return {part == 0 ? 0.0 : std::max(0.0, middle - half),
            part == whole ? 1.0 : std::min(1.0, middle + half)};
}

}  // namespace cornerbench::field
