#pragma once

#include <vector>

#include "sim/field/diagnosed_sheet.h"

namespace cornerbench::field {

/// The ranking of single causes and pairs without explanations or checks. Where the engine cannot answer, its
/// error stands in `outcome` and there are no candidates; nothing is thrown. `memory` as for
/// diagnosis::diagnose.
DiagnosedSheet ranked_sheet(const scale::Description& description, const diagnosis::Sheet& sheet,
                            const diagnosis::Priors& priors, std::vector<double>& memory);

/// The same with memory of its own.
DiagnosedSheet ranked_sheet(const scale::Description& description, const diagnosis::Sheet& sheet,
                            const diagnosis::Priors& priors);

}  // namespace cornerbench::field
