#include "sim/live/box_identity.h"

namespace cornerbench::live {

const console::Identity& box_identity() {
    static constexpr console::Identity identity{"cornerbench", "indicator", "0", CORNERBENCH_VERSION};
    return identity;
}

}  // namespace cornerbench::live
