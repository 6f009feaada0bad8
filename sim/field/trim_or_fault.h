#pragma once

#include "sim/field/diagnosed_sheet.h"

/// Whether a sheet's corner pattern is one for trims, or a fault that a trim would only hide.
namespace cornerbench::field {

struct FaultSuspicion {
    double probability = 0.0;  ///< of all faults that the readings favour over everything a trim may mend
    int likeliest = -1;        ///< index into the diagnosed candidates; -1 when there is none
};

/// A healthy scale, a trim that is off and a cable of another length are a trim's business, and so is any
/// fault that these readings cannot tell from them.
FaultSuspicion suspect_fault(const DiagnosedSheet& diagnosed);

}  // namespace cornerbench::field
