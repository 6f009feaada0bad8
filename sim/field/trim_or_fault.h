#pragma once

#include <vector>

#include "sim/field/diagnosed_sheet.h"

/// Whether a sheet's corner pattern is one for trims, or a fault that a trim would only hide.
namespace cornerbench::field {

/// Whether trims may be turned.
enum class TrimOrFault : unsigned char {
    trim,         ///< no fault stands against turning trims, or a healthy scale comes first
    unexplained,  ///< no single cause explains the readings: several trims off at once, or several faults
    undecided,    ///< a trim's business or a fault: the readings cannot tell, or favour the fault too little
    fault         ///< a fault
};

/// The verdict with the faults it rests on.
struct FaultSuspicion {
    TrimOrFault verdict = TrimOrFault::trim;
    double fault_probability =
        0.0;  ///< of all faults that the readings favour over everything a trim may mend
    /// Faults that the verdict rests on, as indices into the diagnosed candidates, most probable first.
    std::vector<int> suspects;
    double suspects_probability = 0.0;
    int group = -1;  ///< of the first suspect: what it cannot be told from; -1 when it stands alone
};

/// Judges a diagnosis of the sheet. A healthy scale, a trim that is off and a cable of another length are a
/// trim's business.
FaultSuspicion suspect_fault(const DiagnosedSheet& diagnosed);

/// True for what a trim may set right; of two causes at once, both.
bool a_trims_business(const diagnosis::Candidate& candidate);

}  // namespace cornerbench::field
