#include "sim/report/disagreeing_report.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/report/doubt_words.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

namespace {

/// From this probability of something unlisted on, a display that somebody found blank may be dead itself.
constexpr double worth_a_look = 0.05;

bool blank(const diagnosis::Reading& r) {
    return r.shown == diagnosis::Shown::blank;
}

void print_unexpected(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found,
                      const Style& style) {
    std::vector<std::string> advice;
    const auto advise = [&advice](std::string text) {
        if (std::find(advice.begin(), advice.end(), text) == advice.end()) advice.push_back(std::move(text));
    };
    if (!found.unexpected.empty()) {
        out << '\n'
            << style(Tone::caution, found.unexpected.size() == 1 ? "A reading does not fit the answer"
                                                                 : "Readings do not fit the answer")
            << '\n';
    }
    for (const field::Unexpected& u : found.unexpected) {
        const diagnosis::Reading& r = sheet.readings[static_cast<std::size_t>(u.reading)];
        const files::ReadingNote& note = sheet.notes[static_cast<std::size_t>(u.reading)];
        print_wrapped(out,
                      fmt::format("Reading {}, line {} ({}): {}.", u.reading + 1, note.line, note.text,
                                  unexpected_words(r, u, found, sheet.scale.description)),
                      2);
        advise(unexpected_advice(r, u, found));
    }
    double unlisted = 0.0;
    for (const diagnosis::Candidate& c : found.candidates) {
        if (c.fault.cause == scale::Cause::unlisted) unlisted = c.probability;
    }
    if (unlisted > worth_a_look && std::any_of(sheet.readings.begin(), sheet.readings.end(), blank)) {
        if (found.unexpected.empty()) {
            out << '\n' << style(Tone::caution, "A blank display may be dead itself") << '\n';
        }
        advise(blank_advice());
    }
    for (const std::string& text : advice) print_wrapped(out, text + ".", 2);
}

}  // namespace

void print_disagreeing(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found,
                       const Style& style) {
    for (int w = 0; w < found.outcome.wild_count; ++w) {
        const diagnosis::WildReading& wild = found.outcome.wild[static_cast<std::size_t>(w)];
        const files::ReadingNote& note = sheet.notes[static_cast<std::size_t>(wild.reading)];
        out << '\n' << style(Tone::caution, "A reading disagrees with all others") << '\n';
        print_wrapped(
            out,
            fmt::format("Reading {}, line {} ({}), departs by {} standard uncertainties from what the "
                        "others let expect. It was set aside; take it again.",
                        wild.reading + 1, note.line, note.text,
                        figures(std::fabs(wild.standard_uncertainties), 2)),
            2);
    }
    print_unexpected(out, sheet, found, style);
    for (const field::Contradiction& c : found.contradictions) {
        const files::ReadingNote& first = sheet.notes[static_cast<std::size_t>(c.first)];
        const files::ReadingNote& second = sheet.notes[static_cast<std::size_t>(c.second)];
        out << '\n' << style(Tone::caution, "Two readings contradict each other") << '\n';
        print_wrapped(
            out,
            fmt::format("Readings {} and {}, lines {} and {} ({}): {} standard uncertainties between "
                        "them. Take both again; if they still differ, something moves or comes and "
                        "goes.",
                        c.first + 1, c.second + 1, first.line, second.line, first.text,
                        figures(c.standard_uncertainties, 2)),
            2);
    }
    const bool poor_fit = found.fits_no_cause();
    const bool unlisted = found.candidates.front().fault.cause == scale::Cause::unlisted;
    if (!poor_fit && !unlisted) return;
    out << '\n' << style(Tone::caution, "No cause on the list explains these readings well") << '\n';
    print_wrapped(
        out,
        fmt::format(
            "{}More than two causes at once, a wrong scale file or misread values are likely: look at "
            "the readings furthest off below, and take them again. If only corners differ, "
            "`cornerbench trim` can say whether trimming would mend them.",
            poor_fit ? fmt::format("Even the best is off by {} standard uncertainties a "
                                   "reading (root mean square). ",
                                   figures(std::sqrt(found.outcome.misfit / found.outcome.measured), 2))
                     : ""),
        2);
}

}  // namespace cornerbench::report
