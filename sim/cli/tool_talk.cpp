#include "sim/cli/tool_talk.h"

#include <algorithm>
#include <ctime>

#include <spdlog/fmt/chrono.h>
#include <spdlog/fmt/fmt.h>

#include "sim/cli/loading.h"
#include "sim/cli/written_file.h"
#include "sim/field/fault_words.h"
#include "sim/field/test_load.h"
#include "sim/report/cause_pages.h"
#include "sim/report/drill_report.h"
#include "sim/report/finding_words.h"
#include "sim/report/table.h"
#include "sim/training/drill_words.h"

namespace cornerbench::cli {

ToolTalk::ToolTalk(Session& session, const files::ScaleFile& scale, const std::string& progress_path)
    : session_(session), scale_(scale), progress_path_(progress_path) {
    if (!progress_path_.empty()) done_before_ = load_progress_or_stop(progress_path_);
}

void ToolTalk::keep(training::DoneDrill done) {
    if (progress_path_.empty()) return;
    done.on = fmt::format("{:%Y-%m-%d}", fmt::localtime(std::time(nullptr)));
    done_before_.push_back(std::move(done));
    std::string text;
    for (const training::DoneDrill& each : done_before_) text += training::progress_block(each);
    replace_or_stop(progress_path_, text);
    out() << '\n';
    say(training::progress_words(done_before_));
}

bool ToolTalk::next(double minutes, std::string& line) {
    out() << fmt::format("{} min > ", report::figures(minutes, 3)) << std::flush;
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

void ToolTalk::say(const std::string& text, int indent) {
    report::print_wrapped(out(), text, indent);
}

void ToolTalk::list_tools() {
    for (const std::string& tool : training::tool_lines(d())) say(tool, 2);
}

void ToolTalk::causes(const std::string& name) {
    const report::CauseExample example = report::example_from(scale_);
    if (name.empty()) {
        report::print_cause_list(out(), example, session_.style);
        return;
    }
    const auto cause = field::find_cause(name);
    if (cause) {
        report::print_cause_page(out(), *cause, example, session_.style);
    } else {
        say(fmt::format("there is no cause '{}'; {}", name, field::nearest_cause(name)));
    }
}

std::optional<diagnosis::Reading> ToolTalk::asked_for(const std::string& line) {
    const training::AskedReading asked = training::read_tool(line, d(), field::usual_corner_kg(d()));
    if (!asked.reading) say(asked.error);
    return asked.reading;
}

void ToolTalk::tell(const std::optional<diagnosis::Reading>& read, double minutes) {
    if (!read) {
        say("The deck does not bear the weight there, or the sheet is full.");
        return;
    }
    out() << fmt::format("  {}  ({} min)\n", report::drill_reading_words(*read, d()),
                         report::figures(minutes, 2));
}

}  // namespace cornerbench::cli
