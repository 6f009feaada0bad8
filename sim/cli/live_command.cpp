#include <map>
#include <memory>
#include <optional>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/recording_file.h"
#include "sim/cli/recording_notes.h"
#include "sim/cli/seed_option.h"
#include "sim/cli/written_file.h"
#include "sim/field/read_number.h"
#include "sim/live/front.h"
#include "sim/live/host_refusal.h"

namespace cornerbench::cli {

namespace {

constexpr double slowest_pace = 0.01;
constexpr double fastest_pace = 1000.0;
constexpr const char* as_fast_as_it_goes = "max";

struct Asked {
    std::string scale_path;
    std::string vehicle_path;
    std::string recording_path;
    std::vector<std::string> faults;
    std::uint64_t seed = 1;
    std::string pace = "1";
    live::LiveSetting setting;
    std::string parity = "even";
    bool no_serial = false;
    bool no_panel = false;
    bool seal_open = false;
    bool force = false;
};

double pace_of(const std::string& text) {
    if (text == as_fast_as_it_goes) return 0.0;
    const auto factor = field::read_number<double>(text);
    if (!factor || !(*factor >= slowest_pace && *factor <= fastest_pace))
        throw Stop(Exit::wrong_usage, fmt::format("--pace {}: valid is {:g} to {:g} times real time, or '{}'",
                                                  text, slowest_pace, fastest_pace, as_fast_as_it_goes));
    return *factor;
}

void caution_about(const std::string& address) {
    if (!live::is_address(address))
        throw Stop(Exit::wrong_usage,
                   fmt::format("--listen {}: no address; valid is a numeric one of this computer, such as "
                               "127.0.0.1, or 0.0.0.0 for all of them",
                               address));
    if (!live::is_loopback(address))
        spdlog::warn(
            "whoever reaches {} can read, zero and tare this scale: neither the console nor Modbus "
            "knows a password",
            address);
}

live::RtuSetting rtu_of(const Asked& asked) {
    live::RtuSetting rtu = asked.setting.rtu;
    if (!live::is_rtu_baud(rtu.baud))
        throw Stop(
            Exit::wrong_usage,
            fmt::format("--rtu-baud {}: valid is 1200, 2400, 4800, 9600, 19200, 38400, 57600 or 115200",
                        rtu.baud));
    rtu.parity = asked.parity == "odd"    ? live::Parity::odd
                 : asked.parity == "none" ? live::Parity::none
                                          : live::Parity::even;
    return rtu;
}

Exit live_scale(const Asked& asked, Session& session) {
    live::LiveSetting setting = asked.setting;
    setting.pace = pace_of(asked.pace);
    setting.serial = !asked.no_serial;
    setting.rtu = rtu_of(asked);
    caution_about(setting.address);
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    const files::Standard standard = standard_or_stop(scale);
    check_filter_or_stop(scale);
    const std::vector<scale::Fault> faults = faults_or_stop(asked.faults, scale.description);
    std::optional<RecordingSink> recording;
    std::map<std::string, std::string> notes;
    if (!asked.recording_path.empty()) {
        if (!asked.force) spare_or_stop(asked.recording_path);
        recording.emplace(asked.recording_path);
        notes = recording_notes_or_stop(fmt::format("live, seed {}", asked.seed), asked.scale_path, standard);
    }
    try {
        live::Yard yard(scale, standard, asked.seed, faults, recording ? &*recording : nullptr, notes);
        if (!asked.vehicle_path.empty())
            yard.use_vehicle(load_vehicle_or_stop(asked.vehicle_path, asked.scale_path));
        if (asked.seal_open) yard.switch_seal();
        live::LiveScale served(yard, setting);
        if (session.json) {
            session.out << live::ready_json(served).dump() << std::endl;
            live::run_quietly(served);
        } else if (session.out_is_terminal && !asked.no_panel) {
            live::run_panel(served, session.style);
        } else {
            live::run_with_lines(served, session.out);
        }
        (void)yard.scale().end_recording();
    } catch (const live::HostRefusal& refusal) {
        throw Stop(Exit::host, refusal.what(),
                   "End what holds it or ask for another; 'cornerbench live --help' names the options.");
    }
    if (recording) recording->close_or_stop();
    return Exit::done;
}

}  // namespace

void add_live(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    live::LiveSetting& setting = asked->setting;
    setting.console_port = 5025;
    setting.modbus_port = 1502;
    CLI::App* command = app.add_subcommand(
        "live", "The scale and its firmware in real time, with a panel, a console and Modbus");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    command->add_option("--with", asked->faults, "A cause that holds from the beginning; may be repeated")
        ->allow_extra_args(false);
    command->add_option(
        "--vehicle", asked->vehicle_path,
        "Vehicle file (TOML), or its name as in a session, such as tipper-3-axle, that the key v "
        "drives on (default: a three-axle truck)");
    add_seed(*command, asked->seed, "Of the specimen and the yard (default 1)");
    command->add_option("--pace", asked->pace,
                        "Times real time, 0.01 to 1000, or 'max': as fast as it goes (default 1)");
    command->add_option("--for", setting.for_s, "Ends after so many seconds of the yard (default: never)")
        ->check(CLI::Range(0.01, 1.0e9));
    command
        ->add_option("--console-port", setting.console_port,
                     "TCP port of the line console, 0 for any free one (default 5025)")
        ->check(CLI::Range(0, 65535));
    command
        ->add_option("--modbus-port", setting.modbus_port,
                     "TCP port of Modbus, 0 for any free one (default 1502)")
        ->check(CLI::Range(0, 65535));
    command->add_option("--listen", setting.address,
                        "Numeric address to listen at (default 127.0.0.1: this computer alone)");
    command->add_flag("--no-serial", asked->no_serial, "No serial line at a pseudo-terminal");
    command->add_option("--rtu", setting.rtu.device,
                        "Answers Modbus RTU on this serial device, such as /dev/ttyUSB0; 'pty': on a "
                        "pseudo-terminal, whose path is printed");
    command->add_option("--rtu-baud", setting.rtu.baud,
                        "Its speed, which also says how long a silence ends a frame (default 19200)");
    command->add_option("--rtu-parity", asked->parity, "even, odd or none (default even)")
        ->check(CLI::IsMember({"even", "odd", "none"}));
    command->add_option("--rtu-address", setting.rtu.address, "Of the box on that line (default 1)")
        ->check(CLI::Range(1, 247));
    command->add_flag("--no-panel", asked->no_panel,
                      "Prints what happens line by line, as it does when the output is no terminal");
    command->add_option(
        "--record", asked->recording_path,
        "Writes all that reaches the firmware, clients included, to this file, for 'cornerbench replay'");
    add_force(*command, asked->force);
    command->add_flag("--seal-open", asked->seal_open, "The console can change the calibration");
    command->footer(
        "With --json one line tells the ports once they are open, and nothing follows.\n"
        "Keys are read from standard input, whether it is a terminal or a script.\n"
        "Ends with 0 at q, Ctrl-C, SIGTERM, after --for or when its terminal goes away;\n"
        "with 4 when a port is taken.\n"
        "Example:\n"
        "  cornerbench live configs/scales/quarry-8.toml --pace 10");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return live_scale(*asked, session); }; });
}

}  // namespace cornerbench::cli
