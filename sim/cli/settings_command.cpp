#include <filesystem>
#include <fstream>
#include <memory>
#include <span>

#include <spdlog/fmt/fmt.h>

#include "firmware/indicator/settings_block.h"
#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/written_file.h"
#include "sim/report/json_document.h"
#include "sim/virtual_scale/indicator_settings.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::string out_path;
    bool force = false;
};

/// Stops when something is there that this command must not write over: anything without `--force`, and with
/// it whatever is not an earlier block, such as an image of the memory that keeps a calibration.
void spare_all_but_settings(const Asked& asked) {
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(asked.out_path, ignored)) return;
    if (!asked.force) spare_or_stop(asked.out_path);
    SettingsBlock there{};
    std::ifstream file(asked.out_path, std::ios::binary);
    file.read(reinterpret_cast<char*>(there.data()), static_cast<std::streamsize>(there.size()));
    IndicatorSettings settings;
    const auto size = static_cast<std::size_t>(file.gcount());
    const bool longer = file.good() && file.peek() != std::ifstream::traits_type::eof();
    if (!longer && decode(std::span(there).first(size), settings) != SettingsError::no_block) return;
    throw Stop(Exit::host, fmt::format("{}: holds something else than one block of settings, which --force "
                                       "leaves alone; valid: another name, or remove the file first",
                                       asked.out_path));
}

Exit write_block(const Asked& asked, Session& session) {
    spare_all_but_settings(asked);
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    const files::Standard standard = standard_or_stop(scale);
    const SettingsBlock block =
        encode(virtual_scale::indicator_settings(scale.description, standard.rules(scale.accuracy_class)));
    replace_or_stop(asked.out_path, std::string(block.begin(), block.end()));
    if (session.json) {
        report::Json document = report::json_document();
        document["scale"] = scale.name;
        document["file"] = asked.out_path;
        document["bytes"] = block.size();
        report::print_json(session.out, document);
        return Exit::done;
    }
    session.out << fmt::format("{}\n  settings of its indicator, {} bytes, in\n  {}\n", scale.name,
                               block.size(), asked.out_path);
    return Exit::done;
}

}  // namespace

void add_settings(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand(
        "settings", "What the firmware on a board has to know of a scale, as a block of flash");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    command->add_option("-o,--out", asked->out_path, "File to write the block into")->required();
    command->add_flag("--force", asked->force, "Write over an earlier block of settings");
    command->footer(
        "The block goes into the board's flash where its linker script puts it; the\n"
        "firmware holds it to its CRC-32C and starts with nothing else. It holds no\n"
        "calibration: that stays in the board's memory as it is. The file holds the old\n"
        "block or the new one, whatever happens; anything but a block is left alone.\n"
        "Example:\n"
        "  cornerbench settings configs/scales/quarry-8.toml -o quarry.settings");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return write_block(*asked, session); }; });
}

}  // namespace cornerbench::cli
