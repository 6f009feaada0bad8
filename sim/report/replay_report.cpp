#include "sim/report/replay_report.h"

#include <spdlog/fmt/fmt.h>

#include "sim/report/json_document.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using hal::ReplayState;
using virtual_scale::CallInWords;
using virtual_scale::ReplayOutcome;

namespace {

std::string counted(std::uint64_t count, const char* one, const char* many) {
    return grouped(static_cast<double>(count)) + ' ' + (count == 1 ? one : many);
}

std::string verdict(const ReplayOutcome& outcome) {
    if (outcome.state == ReplayState::different) return "difference";
    return outcome.hash_differs() ? "other state" : "no difference";
}

void print_difference(std::ostream& out, const ReplayOutcome& outcome, const Style& style) {
    print_wrapped(out,
                  style(Tone::bad, "First difference") +
                      fmt::format(" {:.3f} s after the first step, in step {}, line {} of the recording.",
                                  outcome.seconds, outcome.steps, outcome.line));
    out << '\n';
    print_wrapped(out, "recorded  " + outcome.recorded, 2);
    print_wrapped(out, "now       " + outcome.came, 2);
    if (outcome.before.empty()) return;
    out << '\n' << "Before it, as recorded\n";
    for (const CallInWords& call : outcome.before)
        print_wrapped(out, fmt::format("{:.3f} s  {}", call.at_s, call.words), 2);
}

}  // namespace

std::string recording_fault(ReplayState state) {
    switch (state) {
        case ReplayState::not_a_recording:
            return "is no recording; valid: a file that --record of 'cornerbench weigh' or 'live' wrote";
        case ReplayState::wrong_version:
            return "is a recording of another version; valid: version " +
                   std::to_string(hal::recording_version);
        case ReplayState::damaged:
            return "this line was changed after it was written: its seal does not fit";
        case ReplayState::malformed:
            return "this line says what no recording can say";
        case ReplayState::truncated:
            return "the recording stops here, before its end";
        case ReplayState::unreadable:
            return "cannot be read any further";
        case ReplayState::continued:
            return "the recording ended in the line before, and nothing may follow";
        case ReplayState::line_ends:
            return "this line ends in CR LF: line ends were changed on the way; valid: LF alone, as "
                   "recorded (copy it as binary)";
        case ReplayState::running:
        case ReplayState::finished:
        case ReplayState::different:
            break;
    }
    return {};
}

void print_replay(std::ostream& out, const ReplayPage& page, const Style& style) {
    const ReplayOutcome& o = page.outcome;
    print_wrapped(out,
                  style(Tone::strong, page.scale) +
                      fmt::format(": {} s replayed, {}, {}, {}", grouped(o.seconds, 1),
                                  counted(o.steps, "step", "steps"), counted(o.frames, "frame", "frames"),
                                  counted(o.power_ons, "power-on", "power-ons")));
    if (const auto made = page.notes.find("made"); made != page.notes.end())
        print_wrapped(out, "Recorded by " + made->second);
    out << '\n';
    if (o.state == ReplayState::different) {
        print_difference(out, o, style);
    } else if (o.hash_differs()) {
        print_wrapped(out, style(Tone::bad, "Another state") +
                               " at the end, though every call of the ports was as recorded: weights between "
                               "two divisions, or reasons for none that no picture showed.");
    } else if (o.state == ReplayState::finished) {
        out << style(Tone::good, "No difference") << '\n';
    }
    if (o.state != ReplayState::finished) return;
    out << fmt::format("State hash {:016x}", o.state_hash);
    out << (o.recorded_hash ? fmt::format(", recorded {:016x}\n", *o.recorded_hash) : ", none recorded\n");
}

void print_replay_json(std::ostream& out, const ReplayPage& page) {
    const ReplayOutcome& o = page.outcome;
    Json document = json_document();
    document["recording"] = page.path;
    document["scale"] = page.scale;
    const auto made = page.notes.find("made");
    document["made"] = made == page.notes.end() ? Json(nullptr) : Json(made->second);
    document["verdict"] = verdict(o);
    document["seconds"] = o.seconds;
    document["steps"] = o.steps;
    document["frames"] = o.frames;
    document["power_ons"] = o.power_ons;
    document["state_hash"] = fmt::format("{:016x}", o.state_hash);
    document["recorded_state_hash"] =
        o.recorded_hash ? Json(fmt::format("{:016x}", *o.recorded_hash)) : Json(nullptr);
    document["difference"] = nullptr;
    if (o.state == ReplayState::different) {
        Json before = Json::array();
        for (const CallInWords& call : o.before)
            before.push_back({{"at_s", call.at_s}, {"call", call.words}});
        document["difference"] = {{"at_s", o.seconds},      {"step", o.steps}, {"line", o.line},
                                  {"recorded", o.recorded}, {"now", o.came},   {"before", before}};
    }
    print_json(out, document);
}

}  // namespace cornerbench::report
