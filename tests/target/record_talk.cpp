#include <array>
#include <cstdio>
#include <cstdlib>
#include <string>

#include <spdlog/fmt/fmt.h>

#include "firmware/scale/numbering.h"
#include "sim/cli/recording_file.h"
#include "sim/field/fault_words.h"
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

void talk(virtual_scale::VirtualScale& scale, std::uint64_t seed) {
    console::testing::RandomLines lines(seed);
    int weight = 0;
    for (int turn = 0; turn < turns; ++turn) one_turn(scale, lines, weight);
    (void)virtual_scale::ask(scale, "*RST;*CLS");
}

/// A round of corners by commands, and what the box then thinks of them. False when it takes a reading for
/// none.
bool go_round(virtual_scale::VirtualScale& scale) {
    const scale::Deck& deck = scale.description().deck;
    const double mass_kg = 0.2 * scale.description().max_kg;
    bool well = scale.settle(60.0) && virtual_scale::tell(scale, "CORN:CLE").empty() &&
                virtual_scale::tell(scale, "CORN:EMPT").empty();
    for (int support = 0; support < 2 * deck.sections && well; ++support) {
        const auto section = static_cast<std::size_t>(scale::section_of(support, deck.sections));
        const double y_m = scale::is_far(support, deck.sections) ? deck.width_m : 0.0;
        const int weight = scale.world().put({mass_kg, deck.section_x_m[section], y_m});
        scale.run(3.0);
        well = scale.settle(60.0) &&
               virtual_scale::tell(scale, fmt::format("CORN:LOAD {},{} KG", support + 1, mass_kg)).empty();
        scale.world().take_off(weight);
        scale.run(3.0);
    }
    // The box judges a slice with every sample; once it is asked too early.
    std::string answer = virtual_scale::ask(scale, "CORN:CHEC?");
    for (int i = 0; i < 60 && answer.find("still being judged") != std::string::npos; ++i) {
        scale.run(0.5);
        answer = virtual_scale::ask(scale, "CORN:CHEC?");
    }
    return well && answer.find("ALIKE") != std::string::npos;
}

bool go_rounds(virtual_scale::VirtualScale& scale) {
    bool well = go_round(scale);
    for (const char* cause :
         {"rubbing support=2 kN_per_mm=15 limit_kN=2.5", "weak-output cell=3 ratio=0.97"}) {
        const field::ReadFault read = field::read_fault(cause, scale.description());
        const int fault = scale.world().inject({read.fault.value(), {}});
        well = well && go_round(scale);
        scale.world().mend(fault);
    }
    return well;
}

int record(const std::string& scale_path, const std::string& what, const std::string& recording_path) {
    const bool rounds = what == "round";
    const std::uint64_t seed = rounds ? 1 : std::strtoull(what.c_str(), nullptr, 10);
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
    if (rounds && !go_rounds(scale)) return 1;
    if (!rounds) talk(scale, seed);
    for (const char* each : {"*IDN?", "FETC?", "CORN:CHEC?", "CAL:COEF?", "SYST:HASH?"})
        (void)virtual_scale::ask(scale, each);
    const bool whole = scale.end_recording();
    sink.close_or_stop();
    return whole ? 0 : 4;
}

}  // namespace

int main(int count, char** words) {
    if (count != 4) {
        std::fputs("usage: cornerbench_talk SCALE (SEED | round) RECORDING\n", stderr);
        return 2;
    }
    return record(words[1], words[2], words[3]);
}
