#include "sim/field/ranked_sheet.h"

#include <algorithm>

#include "firmware/diagnosis/two_faults.h"
#include "firmware/diagnosis/unexplained.h"

namespace cornerbench::field {

using diagnosis::Candidate;

DiagnosedSheet ranked_sheet(const scale::Description& d, const diagnosis::Sheet& sheet,
                            const diagnosis::Priors& priors, std::vector<double>& memory) {
    DiagnosedSheet result;
    result.candidates.resize(static_cast<std::size_t>(diagnosis::candidate_count(d)));
    result.outcome = diagnosis::diagnose(d, sheet, priors, memory, result.candidates);
    if (result.outcome.error != diagnosis::DiagnosisError::none) {
        result.candidates.clear();
        return result;
    }
    result.candidates.resize(static_cast<std::size_t>(result.outcome.candidates));
    std::vector<Candidate> pairs(diagnosis::max_pairs);
    const int found = diagnosis::diagnose_pairs(d, sheet, result.outcome, memory, result.candidates, pairs);
    result.candidates.insert(result.candidates.end(), pairs.begin(), pairs.begin() + found);
    diagnosis::leave_to_unlisted(result.outcome, result.candidates);
    std::stable_sort(result.candidates.begin(), result.candidates.end(),
                     [](const Candidate& a, const Candidate& b) { return a.probability > b.probability; });
    result.groups.resize(static_cast<std::size_t>(result.outcome.groups));
    for (std::size_t i = 0; i < result.candidates.size(); ++i) {
        const Candidate& c = result.candidates[i];
        if (c.group < 0) continue;
        CauseGroup& group = result.groups[static_cast<std::size_t>(c.group)];
        group.members.push_back(static_cast<int>(i));
        group.probability += c.probability;
    }
    return result;
}

DiagnosedSheet ranked_sheet(const scale::Description& d, const diagnosis::Sheet& sheet,
                            const diagnosis::Priors& priors) {
    std::vector<double> memory(diagnosis::diagnosis_doubles(d, sheet));
    return ranked_sheet(d, sheet, priors, memory);
}

}  // namespace cornerbench::field
