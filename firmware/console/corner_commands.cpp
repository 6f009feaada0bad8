#include <array>

#include "firmware/console/arguments.h"

namespace cornerbench::console {

namespace {

using diagnosis::CornerFindingKind;
using diagnosis::CornerVerdict;

constexpr int estimate_digits = 6;

std::string_view verdict_word(const diagnosis::CornerReport& report) {
    if (report.error != diagnosis::CornerError::none) return "NO_CHECK";
    switch (report.verdict) {
        case CornerVerdict::alike:
            return "ALIKE";
        case CornerVerdict::not_alike:
            return "NOT_ALIKE";
        case CornerVerdict::too_little:
            return "TOO_LITTLE";
    }
    return "NO_CHECK";
}

/// Character data has twelve characters at most.
std::string_view kind_word(CornerFindingKind kind) {
    switch (kind) {
        case CornerFindingKind::reversed_cell:
            return "REVERSED";
        case CornerFindingKind::dead_cell:
            return "DEAD";
        case CornerFindingKind::carries_too_little:
            return "CARRIES_LESS";
        case CornerFindingKind::rubbing:
            return "RUBBING";
        case CornerFindingKind::bound_or_weak:
            return "BOUND_WEAK";
        case CornerFindingKind::reads_too_much:
            return "READS_MORE";
        case CornerFindingKind::exchanged_channels:
            return "EXCHANGED";
        case CornerFindingKind::friction:
            return "FRICTION";
        case CornerFindingKind::all_corners_off:
            return "ALL_OFF";
        case CornerFindingKind::unexplained:
            return "UNEXPLAINED";
    }
    return "UNEXPLAINED";
}

std::string_view place_word(scale::SiteKind kind) {
    switch (kind) {
        case scale::SiteKind::none:
            return "NONE";
        case scale::SiteKind::cell:
            return "CELL";
        case scale::SiteKind::cell_pair:
            return "CELL_PAIR";
        case scale::SiteKind::support:
            return "SUPPORT";
        case scale::SiteKind::far_side:
            return "FAR_SIDE";
        case scale::SiteKind::near_side:
            return "NEAR_SIDE";
        case scale::SiteKind::left_end:
            return "LEFT_END";
        case scale::SiteKind::right_end:
            return "RIGHT_END";
    }
    return "NONE";
}

/// Word, number from 1, number of a pair's other one; 0 where there is none.
void put_place(TextWriter& writer, const scale::Site& place) {
    const bool pair = place.kind == scale::SiteKind::cell_pair;
    const bool numbered =
        pair || place.kind == scale::SiteKind::cell || place.kind == scale::SiteKind::support;
    writer.put(place_word(place.kind));
    writer.put(',');
    writer.put_integer(numbered ? place.index + 1 : 0);
    writer.put(',');
    writer.put_integer(pair ? place.other + 1 : 0);
}

void put_finding(TextWriter& writer, const diagnosis::CornerFinding& finding) {
    writer.put(',');
    writer.put(kind_word(finding.kind));
    writer.put(',');
    put_place(writer, finding.place);
    for (const double value : {finding.size.value, finding.size.uncertainty, finding.significance}) {
        writer.put(',');
        writer.put_real(value, estimate_digits);
    }
    writer.put(',');
    put_place(writer, finding.other_place);
}

Outcome empty(Call& call) {
    return outcome_of(call.instrument.corner_empty());
}

Outcome load(Call& call) {
    int support = 0;
    double mass_kg = 0.0;
    const int last = call.instrument.supports();
    if (const Outcome outcome = read_whole(call, 0, 1, last, support); outcome.error != Error::none)
        return outcome;
    if (const Outcome outcome = read_mass(call, 1, mass_kg); outcome.error != Error::none) return outcome;
    return outcome_of(call.instrument.corner_loaded(support - 1, mass_kg));
}

Outcome check(Call& call) {
    const diagnosis::CornerReport& report = call.instrument.corner_report();
    TextWriter& answer = call.answer;
    answer.put(verdict_word(report));
    answer.put(',');
    const bool judged = report.error == diagnosis::CornerError::none;
    put_string(answer, judged ? "" : diagnosis::text_of(report.error));
    for (const std::int64_t number :
         {static_cast<std::int64_t>(report.unread), static_cast<std::int64_t>(report.unjudged),
          static_cast<std::int64_t>(report.count)}) {
        answer.put(',');
        answer.put_integer(number);
    }
    for (int i = 0; i < report.count; ++i) put_finding(answer, report.findings[static_cast<std::size_t>(i)]);
    return {};
}

Outcome forget(Call& call) {
    call.instrument.corner_forget();
    return {};
}

Outcome support_count(Call& call) {
    call.answer.put_integer(call.instrument.supports());
    return {};
}

constexpr std::array<Command, 5> commands{{
    {"CORNer:EMPTy", 0, 0, false, empty},
    {"CORNer:LOAD", 2, 2, false, load},
    {"CORNer:CHECk?", 0, 0, false, check},
    {"CORNer:CLEar", 0, 0, false, forget},
    {"CORNer:COUNt?", 0, 0, false, support_count},
}};

}  // namespace

std::span<const Command> corner_commands() {
    return commands;
}

}  // namespace cornerbench::console
