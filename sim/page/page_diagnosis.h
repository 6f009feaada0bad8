#pragma once

#include <vector>

#include "firmware/diagnosis/diagnose.h"

namespace cornerbench::page {

/// The core's ranking of one cause and of two at once, most probable first; empty when it cannot answer, such
/// as for want of readings that go together.
std::vector<diagnosis::Candidate> ranked_causes(const scale::Description& description,
                                                const diagnosis::Sheet& sheet);

}  // namespace cornerbench::page
