#include <catch2/catch.hpp>

#include "firmware/storage/kept_store.h"
#include "sim/faults/torn_memory.h"
#include "tests/storage/images.h"

using namespace cornerbench;
using namespace cornerbench::storage;
using namespace cornerbench::storage::testing;

namespace {

Saving finish(KeptStore& store) {
    Saving saving = Saving::under_way;
    for (int i = 0; i < 10'000 && saving == Saving::under_way; ++i) saving = store.step(0);
    return saving;
}

}  // namespace

TEST_CASE("what every older firmware has left is found, byte for byte, and kept in today's format",
          "[storage]") {
    for (const Image& image : images) {
        INFO(image.name);
        const bool first = image.version == 1;
        faults::TornMemory memory({8, 4096, 2});
        memory.fill(bytes_of(image));
        const Kept expected = numbered(image.newest, !first);
        for (int start = 1; start <= 3; ++start) {
            INFO("start " << start);
            KeptStore store(memory);
            Kept kept = factory_kept();
            const Loaded loaded = store.load(kept);
            REQUIRE(kept == expected);
            const bool in_doubt = image.name == "version-2-in-doubt.image";
            if (start == 1 && first) CHECK(loaded == Loaded::older);
            if (start == 1 && in_doubt) CHECK(loaded == Loaded::in_doubt);
            if (start > 1 || (!first && !in_doubt)) CHECK(loaded == Loaded::kept);
            if (loaded == Loaded::kept) continue;
            // Nothing else is taken before that is done.
            CHECK_FALSE(store.start(numbered(image.newest + 1, !first)));
            REQUIRE(store.start_settling());
            REQUIRE(finish(store) == Saving::done);
        }
        KeptStore store(memory);
        Kept kept = factory_kept();
        REQUIRE(store.load(kept) == Loaded::kept);
        CHECK_FALSE(store.start_settling());
        REQUIRE(store.start(numbered(image.newest + 1)));
        REQUIRE(finish(store) == Saving::done);
        KeptStore again(memory);
        REQUIRE(again.load(kept) == Loaded::kept);
        CHECK(kept == numbered(image.newest + 1));
    }
}
