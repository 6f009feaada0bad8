#include <array>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "sim/cli/recording_file.h"
#include "sim/field/specimen.h"
#include "sim/files/scale_file.h"
#include "sim/virtual_scale/indicator_settings.h"
#include "sim/virtual_scale/line_talk.h"
#include "sim/virtual_scale/virtual_scale.h"
#include "tests/console/random_lines.h"

// Usage: cornerbench_talk SCALE SEED RECORDING
//
// Records an indicator that somebody talks to for some minutes: commands that are right, nearly right and
// stuck together, bytes, keys, loads, the seal opened and closed, and power cuts wherever they fall, in the
// middle of storing too.

namespace {

using namespace cornerbench;

constexpr int turns = 400;

void take_answers(virtual_scale::VirtualScale& scale) {
    std::array<std::uint8_t, 256> room{};
    while (scale.board().line.peer_takes(room) > 0) {
    }
}

void one_turn(virtual_scale::VirtualScale& scale, console::testing::RandomLines& lines, int& weight) {
    const std::string said = (lines.below(12) == 0 ? lines.bytes() : lines.line()) + "\n";
    scale.board().line.peer_sends({reinterpret_cast<const std::uint8_t*>(said.data()), said.size()});
    if (lines.below(8) == 0) scale.board().supervisor.set_seal_open(lines.below(2) == 0);
    if (lines.below(10) == 0) scale.board().panel.press(static_cast<hal::Key>(lines.below(5)));
    if (lines.below(20) == 0) {
        const double kg = scale.description().max_kg * static_cast<double>(lines.below(8)) / 10.0;
        scale.world().take_off(weight);
        weight = scale.world().put({kg, scale.description().deck.section_x_m[0] + 1.0, 1.0});
    }
    for (std::uint64_t frames = 1 + lines.below(60); frames > 0; --frames) scale.frame();
    take_answers(scale);
    if (lines.below(40) != 0) return;
    scale.cut_power(lines.below(1000));
    scale.run(0.5);
    scale.restore_power();
}

int record(const std::string& scale_path, std::uint64_t seed, const std::string& recording_path) {
    const auto file = files::load_scale(scale_path);
    if (!file) return 3;
    const scale::Description& description = file.value->description;
    const auto specimen = field::draw_specimen(description, diagnosis::History::calibrated, {}, seed);
    virtual_scale::VirtualScale scale(description, specimen.condition,
                                      virtual_scale::indicator_settings(*file.value), seed,
                                      world::calm(description));
    cli::RecordingSink sink(recording_path);
    scale.record(sink);
    if (!scale.calibrate(0.5 * description.max_kg)) return 1;
    console::testing::RandomLines lines(seed);
    int weight = 0;
    for (int turn = 0; turn < turns; ++turn) one_turn(scale, lines, weight);
    for (const char* each : {"*RST;*CLS", "*IDN?", "FETC?", "CORN:CHEC?", "CAL:COEF?", "SYST:HASH?"})
        (void)virtual_scale::ask(scale, each);
    const bool whole = scale.end_recording();
    sink.close_or_stop();
    return whole ? 0 : 4;
}

}  // namespace

int main(int count, char** words) {
    if (count != 4) {
        std::fputs("usage: cornerbench_talk SCALE SEED RECORDING\n", stderr);
        return 2;
    }
    return record(words[1], std::strtoull(words[2], nullptr, 10), words[3]);
}
