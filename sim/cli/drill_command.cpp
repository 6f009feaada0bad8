#include <ctime>
#include <memory>

#include <spdlog/fmt/chrono.h>
#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/written_file.h"
#include "sim/field/fault_words.h"
#include "sim/field/test_load.h"
#include "sim/report/cause_pages.h"
#include "sim/report/drill_report.h"
#include "sim/report/finding_words.h"
#include "sim/report/table.h"
#include "sim/training/drill_level.h"
#include "sim/training/drill_progress.h"
#include "sim/training/drill_words.h"

namespace cornerbench::cli {

namespace {

constexpr int most_wrong_calls = 3;

struct Asked {
    std::string scale_path;
    int level = 1;
    std::uint64_t seed = 1;
    std::string minutes_path;
    std::string progress_path;
};

/// One drill at a line of text each, from a terminal or from a script.
class DrillTalk {
  public:
    DrillTalk(const Asked& asked, Session& session)
        : asked_(asked),
          session_(session),
          scale_(load_scale_or_stop(asked.scale_path)),
          drill_(scale_.description, training::draw_hidden(scale_.description, asked.level, asked.seed),
                 {asked.seed, minutes_or_stop(asked.minutes_path), training::setting_of(asked.level),
                  diagnosis::default_priors(scale_.description)}) {}

    Exit hold() {
        if (!asked_.progress_path.empty()) done_before_ = load_progress_or_stop(asked_.progress_path);
        open();
        for (std::string line; next(line);) {
            if (!answer(line)) break;
        }
        return close();
    }

  private:
    std::ostream& out() { return session_.json ? unheard_ : session_.out; }
    const scale::Description& d() const { return scale_.description; }

    void open() {
        const training::Level& level = training::level_of(asked_.level);
        out() << session_.style(report::Tone::strong, scale_.name) << '\n';
        report::print_wrapped(out(), fmt::format("Drill {}, level {} of {}: {}.", asked_.seed, level.number,
                                                 training::level_count, level.brief));
        out() << '\n';
        report::print_wrapped(out(),
                              "It weighs wrong, says the owner, who has put a weight over every corner:");
        report::print_drill_sheet(out(), drill_, session_.style);
        out() << '\n';
        report::print_wrapped(out(), "Find out why. 'help' lists the tools; every one takes its minutes.");
    }

    bool next(std::string& line) {
        out() << fmt::format("{} min > ", report::figures(drill_.minutes(), 3)) << std::flush;
        if (!std::getline(session_.in, line)) {
            out() << '\n';
            return false;
        }
        line.erase(line.find('#') == std::string::npos ? line.size() : line.find('#'));
        while (!line.empty() && (line.back() == '\r' || line.back() == ' ')) line.pop_back();
        line.erase(0, std::min(line.find_first_not_of(' '), line.size()));
        if (!session_.out_is_terminal) out() << line << '\n';
        return true;
    }

    /// False when the drill is over.
    bool answer(const std::string& line) {
        if (line.empty()) return true;
        if (line == "quit" || line == "q" || line == "give up") return false;
        const std::string first = line.substr(0, line.find(' '));
        const std::string rest = line.size() > first.size() ? line.substr(first.size() + 1) : "";
        if (first == "help") {
            help();
        } else if (line == "sheet") {
            report::print_drill_sheet(out(), drill_, session_.style);
        } else if (line == "hint") {
            report::print_hint(out(), drill_.hint(), d());
        } else if (first == "causes") {
            causes(rest);
        } else if (first == "call") {
            return call(rest);
        } else {
            take(line);
        }
        return true;
    }

    void help() {
        for (const std::string& tool : training::tool_lines(d())) report::print_wrapped(out(), tool, 2);
        report::print_wrapped(out(), "sheet    everything read so far, beside a sound scale", 2);
        report::print_wrapped(out(), "hint    what would tell most now; costs points, no minutes", 2);
        report::print_wrapped(out(), "causes [NAME]    what may be wrong, or one cause in full", 2);
        report::print_wrapped(
            out(), "call CAUSE PLACE    your word, such as 'call loose-terminal cell=3' or 'call healthy'",
            2);
        report::print_wrapped(out(), "give up    shows what it was", 2);
    }

    void causes(const std::string& name) {
        const report::CauseExample example = report::example_from(scale_);
        if (name.empty()) {
            report::print_cause_list(out(), example, session_.style);
            return;
        }
        const auto cause = field::find_cause(name);
        if (cause) {
            report::print_cause_page(out(), *cause, example, session_.style);
        } else {
            report::print_wrapped(
                out(), fmt::format("there is no cause '{}'; {}", name, field::nearest_cause(name)));
        }
    }

    void take(const std::string& line) {
        const training::AskedReading asked = training::read_tool(line, d(), field::usual_corner_kg(d()));
        if (!asked.reading) {
            report::print_wrapped(out(), asked.error);
            return;
        }
        const double minutes = drill_.minutes_of(*asked.reading);
        const auto read = drill_.take(*asked.reading);
        if (!read) {
            report::print_wrapped(out(), "The deck does not bear the weight there, or the sheet is full.");
            return;
        }
        out() << fmt::format("  {}  ({} min)\n", report::drill_reading_words(*read, d()),
                             report::figures(minutes, 2));
    }

    /// False when the drill is over.
    bool call(const std::string& words) {
        const training::NamedCauses named = training::read_call(words, d());
        if (!named.faults) {
            report::print_wrapped(out(), named.error);
            return true;
        }
        const training::CallVerdict verdict = drill_.call(*named.faults);
        end_ = verdict.end;
        if (verdict.end == training::CallEnd::right) {
            out() << "Right.\n";
            return false;
        }
        if (verdict.end == training::CallEnd::as_right_as_can_be) {
            report::print_wrapped(out(), "As right as can be: no reading would tell it from what it was.");
            return false;
        }
        report::print_wrong_call(out(), verdict, *named.faults, drill_);
        if (drill_.wrong_calls() < most_wrong_calls) return true;
        report::print_wrapped(out(), "That was the third wrong call.");
        return false;
    }

    Exit close() {
        const training::DrillScore score = training::score_of(drill_, end_, [this](int done) {
            if (!session_.err_is_terminal) return;
            session_.err << fmt::format("\rlooking back over the readings: {} of {}", done,
                                        drill_.steps().size())
                         << (done == static_cast<int>(drill_.steps().size()) ? "\r\033[K" : "") << std::flush;
        });
        report::print_drill_end(out(), drill_, score, session_.style);
        if (session_.json) {
            report::Json document = report::json_document();
            document["scale"] = scale_.name;
            document["level"] = asked_.level;
            document.update(report::json_of_drill(drill_, score));
            report::print_json(session_.out, document);
        }
        if (!asked_.progress_path.empty()) keep(score);
        return score.right ? Exit::done : Exit::answer_is_no;
    }

    void keep(const training::DrillScore& score) {
        training::DoneDrill done;
        done.on = fmt::format("{:%Y-%m-%d}", fmt::localtime(std::time(nullptr)));
        done.scale = scale_.name;
        done.level = asked_.level;
        done.seed = asked_.seed;
        done.right = score.right;
        done.points = score.points;
        done.minutes = score.minutes;
        done.plan_minutes = score.plan.minutes;
        done_before_.push_back(done);
        std::string text;
        for (const training::DoneDrill& each : done_before_) text += training::progress_block(each);
        replace_or_stop(asked_.progress_path, text);
        out() << '\n';
        report::print_wrapped(out(), training::progress_words(done_before_));
    }

    Asked asked_;
    Session& session_;
    files::ScaleFile scale_;
    training::Drill drill_;
    std::vector<training::DoneDrill> done_before_;
    training::CallEnd end_ = training::CallEnd::wrong;
    std::ostream unheard_{nullptr};
};

}  // namespace

void add_drill(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand("drill", "A hidden cause to find, against the clock");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    command->add_option("--level", asked->level, "1 (default): the wrong way round; to 6: two at once")
        ->check(CLI::Range(1, training::level_count));
    command->add_option("--seed", asked->seed, "Which drill (default 1); same seed, same drill")
        ->check(CLI::Range(0, 1'000'000'000));
    command->add_option("--minutes-of", asked->minutes_path,
                        "File (TOML) that says how long checks take: see 'cornerbench keys minutes'");
    command->add_option("--progress", asked->progress_path, "File (TOML) to which the result is added");
    command->footer(
        "Lines come from the terminal or from a script on standard input. 60 points for\n"
        "the cause, 25 for minutes and 15 for steps, beside what the proposed checks of\n"
        "'diagnose' need on the same scale. Exit code 1: the cause was not found.\n"
        "Example:\n"
        "  cornerbench drill configs/scales/sawmill-4.toml --level 1 --seed 5\n"
        "  printf 'signal 2 over 2\\ncall healthy\\n' | cornerbench drill \\\n"
        "      configs/scales/sawmill-4.toml --level 2 --json");
    command->callback([asked, &session] {
        session.action = [asked, &session] { return DrillTalk(*asked, session).hold(); };
    });
}

}  // namespace cornerbench::cli
