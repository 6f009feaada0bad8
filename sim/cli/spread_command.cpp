#include <memory>
#include <sstream>

#include <spdlog/fmt/fmt.h>

#include "firmware/storage/crc32c.h"
#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/seed_option.h"
#include "sim/cli/shard_option.h"
#include "sim/cli/spread_printing.h"
#include "sim/cli/standard_option.h"
#include "sim/cli/written_file.h"
#include "sim/field/corner_test.h"
#include "sim/field/trimmed_corners.h"
#include "sim/report/number_words.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::string tolerances_path;
    std::string outcomes_path;
    std::string svg_path;
    bool force = false;
    std::string shard;
    std::string standard;
    std::string stage = "verification";
    int samples = 2000;
    std::uint64_t seed = 1;
    bool trimmed = false;
    bool as_delivered = false;
};

/// Of fewer none need lie beyond what 95 % stay below.
constexpr int least_samples = 20;
constexpr int most_samples = 1'000'000;

std::uint32_t checksum_or_stop(const Asked& asked) {
    std::string all = text_or_stop(asked.scale_path);
    if (!asked.tolerances_path.empty()) all += '\0' + text_or_stop(asked.tolerances_path);
    return storage::crc32c({reinterpret_cast<const std::uint8_t*>(all.data()), all.size()});
}

/// How far corners may lie apart, once span is set in their middle.
void set_limit(const Asked& asked, const files::ScaleFile& scale, const files::Standard& standard,
               double test_kg, spread::SpreadQuestion& question) {
    const files::Stage stage =
        asked.stage == "verification" ? files::Stage::verification : files::Stage::service;
    const double test_d = test_kg / question.division_kg;
    const double limit_d = standard.corner_spread
                               ? standard.corner_spread_divisions(scale.accuracy_class, stage, test_d)
                               : 2.0 * standard.limit_divisions(scale.accuracy_class, stage, test_d);
    question.standard = standard.name;
    question.limit_kg = question.division_kg * limit_d;
    question.limit_why = fmt::format(
        "{} {}{} by {}", standard.corner_spread ? "the limit of a spread" : "twice the limit of a corner",
        standard.stage(stage).word.starts_with("in ") ? "" : "at ", standard.stage(stage).word,
        standard.name);
}

spread::SpreadQuestion question_of(const Asked& asked, const files::ScaleFile& scale,
                                   const files::Standard& standard, double test_kg) {
    const report::MassWords words(scale.description);
    spread::SpreadQuestion question;
    question.scale = scale.name;
    question.checksum = checksum_or_stop(asked);
    question.state = asked.trimmed ? spread::State::trimmed : spread::State::as_delivered;
    question.setting = {asked.samples, asked.seed};
    question.division_kg = scale.description.division_at_kg(test_kg);
    question.test_load = words.with_unit(test_kg);
    question.division = words.with_unit(question.division_kg);
    set_limit(asked, scale, standard, test_kg, question);
    return question;
}

Exit draw(const Asked& asked, Session& session) {
    spare_or_stop({asked.outcomes_path, asked.svg_path}, asked.force);
    seeds_or_stop(asked.seed, static_cast<std::uint64_t>(asked.samples));
    if (asked.trimmed && asked.as_delivered)
        throw Stop(Exit::wrong_usage, "--trimmed goes without --as-delivered: one of them at a time");
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    const files::Standard standard = standard_or_stop(scale, asked.standard);
    const field::PartTolerances tolerances = tolerances_or_stop(asked.tolerances_path);
    if (asked.trimmed && !field::can_trim(scale.description))
        throw Stop(Exit::wrong_usage,
                   fmt::format("--trimmed: the box of {} has nothing to trim corners with; valid: without it",
                               scale.name));
    const double test_kg = field::standard_test_kg(standard, scale.description);
    spread::SpreadPart part;
    part.question = question_of(asked, scale, standard, test_kg);
    part.shard = shard_or_stop(asked.shard, asked.samples, "samples");
    if (part.shard.parts > 1 && asked.outcomes_path.empty())
        throw Stop(Exit::wrong_usage,
                   "--shard needs --outcomes FILE: 'cornerbench merge' puts the parts' files together");
    spread::Chain chain(scale.description, tolerances, part.question.state, test_kg);
    if (!chain.valid())
        throw Stop(Exit::impossible_file,
                   asked.scale_path + ": the deck does not stand on its supports; see 'cornerbench corners'");
    if (chain.variables().empty())
        throw Stop(Exit::impossible_file,
                   fmt::format("{}: every tolerance is 0, so nothing spreads",
                               asked.tolerances_path.empty() ? asked.scale_path : asked.tolerances_path));
    const spread::Sensitivities straight(chain);
    part.question.first_order = straight.first_order();
    const int here = part.shard.end(asked.samples) - part.shard.begin(asked.samples);
    part.samples = spread::draw_samples(chain, straight, part.question.setting, part.shard, [&](int done) {
        if (!session.err_is_terminal) return;
        session.err << fmt::format("\r{} of {} scales", done, here) << std::flush;
        if (done == here) session.err << "\r\x1b[K" << std::flush;
    });
    if (!asked.outcomes_path.empty()) write_or_stop(asked.outcomes_path, spread::text_of(part));
    if (part.shard.parts == 1) print_spread_whole(part, asked.svg_path, session);
    return Exit::done;
}

}  // namespace

void print_spread_whole(const spread::SpreadPart& whole, const std::string& svg_path, Session& session) {
    if (!svg_path.empty()) {
        std::ostringstream picture;
        report::draw_spread(picture, whole);
        write_or_stop(svg_path, picture.str());
    }
    session.json ? report::print_spread_json(session.out, whole)
                 : report::print_spread(session.out, whole, session.style);
}

void add_spread(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand(
        "spread", "What the tolerances of cells, box and cables do to corners, span and zero");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    command->add_option("--samples", asked->samples, "How many scales to make up, 20 or more (default 2000)")
        ->check(CLI::Range(least_samples, most_samples));
    add_seed(*command, asked->seed, "Of the first one (default 1); same seed, same result");
    command->add_flag("--as-delivered", asked->as_delivered,
                      "Before anybody trims (default): trims where the scale's file has them");
    command->add_flag("--trimmed", asked->trimmed,
                      "Corners trimmed, span and zero set; then what is left over and what drifts");
    command->add_option("--tolerances", asked->tolerances_path,
                        "File (TOML) of tolerances: see 'cornerbench keys tolerances'");
    add_standard(*command, asked->standard);
    add_stage(*command, asked->stage);
    command->add_option("--outcomes,-o", asked->outcomes_path, "File for every made-up scale (JSON)");
    command->add_option("--shard", asked->shard,
                        "K/N: only the K-th of N parts, for 'cornerbench merge'; needs --outcomes");
    command->add_option("--svg", asked->svg_path, "File for a histogram of the corner spread (SVG)");
    add_force(*command, asked->force);
    command->footer(
        "Three views side by side: scales made up at random within all tolerances,\n"
        "first-order sensitivities, and every part at its end at once by these. The second\n"
        "table says what each tolerance has to do with it, and what becomes of the\n"
        "corner spread when it alone is halved, what helps most first.\n"
        "Example:\n"
        "  cornerbench spread configs/scales/quarry-8.toml\n"
        "  cornerbench spread configs/scales/quarry-8.toml --trimmed \\\n"
        "      --tolerances configs/tolerances/matched-cells.toml");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return draw(*asked, session); }; });
}

}  // namespace cornerbench::cli
