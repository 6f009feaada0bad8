#include "sim/virtual_scale/box_identity.h"

namespace cornerbench::virtual_scale {

const console::Identity& box_identity() {
    static constexpr console::Identity identity{"cornerbench", "indicator", "0", CORNERBENCH_VERSION};
    return identity;
}

}  // namespace cornerbench::virtual_scale
