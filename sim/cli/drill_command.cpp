#include <memory>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/lesson_talk.h"
#include "sim/cli/loading.h"
#include "sim/cli/tool_talk.h"
#include "sim/report/drill_report.h"
#include "sim/training/drill_level.h"
#include "sim/training/drill_words.h"

namespace cornerbench::cli {

namespace {

constexpr int most_wrong_calls = 3;

struct Asked {
    std::string scale_path;
    std::string lesson_path;
    int level = 1;
    std::uint64_t seed = 1;
    std::string minutes_path;
    std::string progress_path;
};

/// One drill at a line of text each, from a terminal or from a script.
class DrillTalk : private ToolTalk {
  public:
    DrillTalk(const Asked& asked, const files::ScaleFile& scale, Session& session)
        : ToolTalk(session, scale, asked.progress_path),
          asked_(asked),
          drill_(scale.description, training::draw_hidden(scale.description, asked.level, asked.seed),
                 {asked.seed, minutes_or_stop(asked.minutes_path), training::setting_of(asked.level),
                  diagnosis::default_priors(scale.description)}) {}

    Exit hold() {
        open();
        for (std::string line; next(drill_.minutes(), line);) {
            if (!answer(line)) break;
        }
        return close();
    }

  private:
    void open() {
        const training::Level& level = training::level_of(asked_.level);
        out() << session_.style(report::Tone::strong, scale_.name) << '\n';
        say(fmt::format("Drill {}, level {} of {}: {}.", asked_.seed, level.number, training::level_count,
                        level.brief));
        out() << '\n';
        say("It weighs wrong, says the owner, who has put a weight over every corner:");
        report::print_drill_sheet(out(), drill_, session_.style);
        out() << '\n';
        say("Find out why. 'help' lists the tools; every one takes its minutes.");
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
            report::print_hint(out(), drill_.hint(), drill_);
        } else if (first == "causes") {
            causes(rest);
        } else if (first == "call") {
            return call(rest);
        } else {
            use_tool(line, drill_, [this](const diagnosis::Reading& wanted) { return drill_.take(wanted); });
        }
        return true;
    }

    void help() {
        list_tools();
        say("sheet    everything read so far, beside a sound scale", 2);
        say("hint    where to look now, asked twice also what it may be; costs points, no minutes", 2);
        say("causes [NAME]    what may be wrong, or one cause in full", 2);
        say("call CAUSE PLACE    your word, such as 'call loose-terminal cell=3' or 'call healthy'", 2);
        say("give up    shows what it was", 2);
    }

    /// False when the drill is over.
    bool call(const std::string& words) {
        const training::NamedCauses named = training::read_call(words, d());
        if (!named.faults) {
            say(named.error);
            return true;
        }
        const training::CallVerdict verdict = drill_.call(*named.faults);
        end_ = verdict.end;
        if (training::is_found(verdict.end)) {
            report::print_right_call(out(), verdict, d());
            return false;
        }
        report::print_wrong_call(out(), verdict, *named.faults, drill_);
        if (drill_.wrong_calls() < most_wrong_calls) return true;
        say("That was the third wrong call.");
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
        keep(done(score));
        return score.right ? Exit::done : Exit::answer_is_no;
    }

    training::DoneDrill done(const training::DrillScore& score) const {
        training::DoneDrill done;
        done.scale = scale_.name;
        done.level = asked_.level;
        done.seed = asked_.seed;
        done.right = score.right;
        done.points = score.points;
        done.minutes = score.minutes;
        done.plan_minutes = score.plan.minutes;
        return done;
    }

    Asked asked_;
    training::Drill drill_;
    training::CallEnd end_ = training::CallEnd::wrong;
};

Exit drill_or_lesson(const Asked& asked, Session& session) {
    if (!asked.lesson_path.empty()) {
        return hold_lesson(load_lesson_or_stop(asked.lesson_path), minutes_or_stop(asked.minutes_path),
                           asked.progress_path, session);
    }
    return DrillTalk(asked, load_scale_or_stop(asked.scale_path), session).hold();
}

}  // namespace

void add_drill(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand("drill", "A hidden cause to find, against the clock");
    CLI::Option* scale = command->add_option("scale", asked->scale_path, "Scale file (TOML)");
    CLI::Option* lesson =
        command->add_option("--lesson", asked->lesson_path,
                            "Lesson file (TOML) to do in place of a drill: see 'cornerbench keys lesson'");
    CLI::Option* level =
        command->add_option("--level", asked->level, "1 (default): the wrong way round; to 6: two at once")
            ->check(CLI::Range(1, training::level_count));
    CLI::Option* seed =
        command->add_option("--seed", asked->seed, "Which drill (default 1); same seed, same drill")
            ->check(CLI::Range(0, 1'000'000'000));
    lesson->excludes(scale)->excludes(level)->excludes(seed);
    command->add_option("--minutes-of", asked->minutes_path,
                        "File (TOML) that says how long checks take: see 'cornerbench keys minutes'");
    command->add_option("--progress", asked->progress_path, "File (TOML) to which the result is added");
    command->footer(
        "Lines come from the terminal or from a script on standard input. 60 points for\n"
        "the cause, 25 for minutes and 15 for steps, beside what the proposed checks of\n"
        "'diagnose' need on the same scale; 30 in all for a right word that the readings\n"
        "taken do not bear out. Exit code 1: the cause was not found, or a\n"
        "lesson was left before its last task.\n"
        "Example:\n"
        "  cornerbench drill configs/scales/sawmill-4.toml --level 1 --seed 5\n"
        "  cornerbench drill --lesson configs/lessons/01-one-bridge.toml\n"
        "  printf 'signal 2 over 2\\ncall healthy\\n' | cornerbench drill \\\n"
        "      configs/scales/sawmill-4.toml --level 2 --json");
    command->callback([asked, &session] {
        if (asked->scale_path.empty() && asked->lesson_path.empty())
            throw CLI::RequiredError("a scale file, or --lesson with a lesson file,");
        session.action = [asked, &session] { return drill_or_lesson(*asked, session); };
    });
}

}  // namespace cornerbench::cli
