#include "hal/minimal/minimal_board.h"

#include <cstdio>
#include <vector>

#include "firmware/indicator.h"
#include "firmware/indicator/settings_block.h"

// Usage: minimal_board SETTINGS   a block of settings, as `cornerbench settings SCALE -o SETTINGS` writes it
//
// Calibrates the indicator by its cells' rating, puts 0.3 mV/V more on the converter, and prints what the
// panel shows. Exit status: 0 for a stable weight, 1 for none, 2 when there are no settings.

namespace {

constexpr double empty_ratio = 0.2e-3;
constexpr double loaded_ratio = 0.5e-3;

}  // namespace

int main(int argc, char** argv) {
    std::vector<std::uint8_t> block(cornerbench::settings_block_size);
    std::FILE* const file = argc == 2 ? std::fopen(argv[1], "rb") : nullptr;
    cornerbench::IndicatorSettings settings;
    const bool well = file != nullptr && std::fread(block.data(), 1, block.size(), file) == block.size() &&
                      cornerbench::decode(block, settings) == cornerbench::SettingsError::none;
    if (file != nullptr) std::fclose(file);
    if (!well) {
        std::fputs("minimal_board: give a file that 'cornerbench settings SCALE -o FILE' wrote\n", stderr);
        return 2;
    }

    minimal::Clock clock;
    minimal::Converter converter(settings.weigher.converter);
    minimal::Memory memory;
    minimal::Line line;
    minimal::Panel panel;
    minimal::Supervisor supervisor;
    cornerbench::Indicator indicator({clock, converter, memory, line, panel, supervisor}, settings);

    const cornerbench::hal::Microseconds period = 1'000'000'000 / settings.weigher.converter.rate_mHz;
    const auto run = [&](double seconds) {
        for (double passed = 0.0; passed < seconds; passed += 1.0e-6 * static_cast<double>(period)) {
            clock.pass(period);
            converter.convert(clock.time());
            indicator.step();
        }
    };
    converter.apply(empty_ratio);
    run(5.0);
    if (indicator.calibrate_by_rating() != cornerbench::console::Refusal::none) return 1;
    run(5.0);
    if (indicator.zero() != cornerbench::console::Refusal::none) return 1;
    run(5.0);
    converter.apply(loaded_ratio);
    run(5.0);

    const cornerbench::hal::PanelPicture& picture = panel.picture();
    std::printf("%.8s %.4s\n", picture.digits.data(), picture.unit.data());
    const bool stable = (picture.lights & cornerbench::hal::light_stable) != 0;
    return stable && indicator.readout().has_weight() ? 0 : 1;
}
