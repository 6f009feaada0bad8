#pragma once

#include <ostream>

#include "sim/report/number_words.h"
#include "sim/report/style.h"
#include "sim/virtual_scale/session_run.h"

namespace cornerbench::report {

/// For a session on this scale: masses in its unit, weights as on the panel, the corner check as a
/// sentence.
virtual_scale::SessionWords session_words(const scale::Description& description);

/// What was done, what was printed and how far it was off, for a terminal.
void print_session(std::ostream& out, const virtual_scale::SessionRecord& record, const MassWords& words,
                   const Style& style);

void print_session_json(std::ostream& out, const virtual_scale::SessionRecord& record,
                        const MassWords& words);

/// The trace, a line for each point (RFC 4180): time in s, mass on the deck and gross weight in the scale's
/// unit, the latter rounded to its division; why there is none; whether it was stable, and whether degraded.
void print_session_csv(std::ostream& out, const virtual_scale::SessionRecord& record, const MassWords& words);

}  // namespace cornerbench::report
