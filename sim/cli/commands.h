#pragma once

#include <CLI/CLI.hpp>

#include "sim/cli/session.h"

/// The subcommands, one file each. Each adds itself to the command line and says what it does when chosen.
namespace cornerbench::cli {

void add_diagnose(CLI::App& app, Session& session);
void add_trim(CLI::App& app, Session& session);
void add_corners(CLI::App& app, Session& session);
void add_check(CLI::App& app, Session& session);
void add_wire(CLI::App& app, Session& session);
void add_netlist(CLI::App& app, Session& session);
void add_sweep(CLI::App& app, Session& session);
void add_plan(CLI::App& app, Session& session);
void add_survey(CLI::App& app, Session& session);
void add_report(CLI::App& app, Session& session);
void add_causes(CLI::App& app, Session& session);
void add_weigh(CLI::App& app, Session& session);
void add_replay(CLI::App& app, Session& session);
void add_watch(CLI::App& app, Session& session);
void add_live(CLI::App& app, Session& session);
void add_trial(CLI::App& app, Session& session);
void add_spread(CLI::App& app, Session& session);
void add_merge(CLI::App& app, Session& session);
void add_sheet(CLI::App& app, Session& session);
void add_atlas(CLI::App& app, Session& session);
void add_drill(CLI::App& app, Session& session);
void add_settings(CLI::App& app, Session& session);
void add_keys(CLI::App& app, Session& session);
void add_page(CLI::App& app, Session& session);
void add_power_cuts(CLI::App& app, Session& session);
void add_bad_days(CLI::App& app, Session& session);
void add_exit_codes(CLI::App& app, Session& session);

}  // namespace cornerbench::cli
