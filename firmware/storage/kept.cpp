#include "firmware/storage/kept.h"

namespace cornerbench::storage {

Kept factory_kept() {
    Kept kept;
    kept.corner_gain.fill(1.0);
    return kept;
}

}  // namespace cornerbench::storage
