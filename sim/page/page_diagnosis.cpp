#include "sim/page/page_diagnosis.h"

#include <algorithm>

#include "firmware/diagnosis/two_faults.h"

namespace cornerbench::page {

std::vector<diagnosis::Candidate> ranked_causes(const scale::Description& d, const diagnosis::Sheet& sheet) {
    std::vector<double> memory(diagnosis::diagnosis_doubles(d, sheet));
    std::vector<diagnosis::Candidate> all(static_cast<std::size_t>(diagnosis::candidate_count(d)));
    diagnosis::Outcome outcome = diagnosis::diagnose(d, sheet, diagnosis::default_priors(d), memory, all);
    if (outcome.error != diagnosis::DiagnosisError::none) return {};
    all.resize(static_cast<std::size_t>(outcome.candidates));
    std::vector<diagnosis::Candidate> pairs(diagnosis::max_pairs);
    const int found = diagnosis::diagnose_pairs(d, sheet, outcome, memory, all, pairs);
    all.insert(all.end(), pairs.begin(), pairs.begin() + found);
    std::stable_sort(all.begin(), all.end(),
                     [](const auto& a, const auto& b) { return a.probability > b.probability; });
    return all;
}

}  // namespace cornerbench::page
