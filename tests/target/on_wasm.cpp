#include <array>
#include <span>

#include "firmware/indicator/settings_block.h"
#include "hal/golden/golden_run.h"

// A module without a memory or an exit of its own kind: what surrounds it gives the recording and the
// settings and takes the trace (on_wasm.mjs).

#define FROM_BENCH(name) __attribute__((import_module("bench"), import_name(name)))

extern "C" {
/// Up to `size` more bytes of the recording at `place`; how many came, 0 at its end.
FROM_BENCH("read_recording") std::uint32_t read_recording(char* place, std::uint32_t size);
FROM_BENCH("read_settings") std::uint32_t read_settings(std::uint8_t* place, std::uint32_t size);
FROM_BENCH("write_trace") void write_trace(const char* text, std::uint32_t size);
}

namespace {

using namespace cornerbench;

class Recording final : public hal::TextSource {
  public:
    hal::Answer read(std::span<char> text, std::size_t& count) override {
        count = read_recording(text.data(), text.size());
        return hal::Answer::done;
    }
};

class TraceOut final : public hal::TextSink {
  public:
    hal::Answer write(std::string_view text) override {
        write_trace(text.data(), text.size());
        return hal::Answer::done;
    }
};

}  // namespace

extern "C" [[clang::export_name("run")]] int run(std::uint32_t every, std::uint32_t first,
                                                 std::uint32_t last) {
    static std::array<std::uint8_t, settings_block_size> settings;
    const std::size_t size = read_settings(settings.data(), settings.size());
    Recording recording;
    TraceOut trace;
    return static_cast<int>(golden::run_replay({recording, trace, std::span(settings).first(size)},
                                               {every == 0 ? 1 : every, first, last}));
}
