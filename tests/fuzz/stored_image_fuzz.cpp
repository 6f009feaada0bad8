#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>

#include "firmware/storage/audit.h"
#include "firmware/storage/kept_store.h"
#include "sim/faults/torn_memory.h"

namespace {

using namespace cornerbench;
using storage::Loaded;
using storage::Saving;

void require(bool kept, const char* promise) {
    if (kept) return;
    std::fprintf(stderr, "%s\n", promise);
    std::abort();
}

Saving finish(storage::KeptStore& store) {
    for (int i = 0; i < 1000; ++i)
        if (const Saving saving = store.step(0); saving != Saving::under_way) return saving;
    return Saving::under_way;
}

}  // namespace

/// Any bytes as a memory's: the first picks its geometry. Something is found that makes sense or the reason
/// is said, the next start finds the same, and a save on top of it is found.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size == 0) return 0;
    constexpr hal::MemoryGeometry geometries[] = {
        {8, 4096, 2, 0xFF}, {64, 2048, 2, 0xFF}, {8, 2048, 3, 0x00}, {4, 1024, 4, 0xFF}};
    faults::TornMemory memory(geometries[data[0] % 4]);
    memory.fill({data + 1, size - 1});
    storage::KeptStore store(memory);
    storage::Kept kept = storage::factory_kept();
    const Loaded loaded = store.load(kept);
    const bool settles = store.start_settling();
    require(settles == (loaded == Loaded::in_doubt || loaded == Loaded::older), "only doubt is settled");
    if (settles) {
        // Bytes behind the record may leave it no room.
        if (finish(store) != Saving::done) return 0;
        storage::KeptStore again(memory);
        storage::Kept settled = storage::factory_kept();
        require(again.load(settled) == Loaded::kept, "what was settled is found");
        require(settled == kept, "as it was");
    }
    storage::Kept next = kept;
    next.zero_offset_kg = next.zero_offset_kg == 1.0 ? 2.0 : 1.0;
    next.calibration_changes = storage::counted(next.calibration_changes);
    const bool started = store.start(next);
    require(started || loaded != Loaded::never_set, "a new memory takes a save");
    if (!started) return 0;
    require(finish(store) == Saving::done, "a save ends well");
    storage::KeptStore after(memory);
    storage::Kept found = storage::factory_kept();
    require(after.load(found) == Loaded::kept, "a save is found");
    require(found == next, "as it was saved");
    return 0;
}
