#include "sim/page/page_diagnosis.h"

#include <algorithm>
#include <cmath>

#include "sim/field/ranked_sheet.h"

namespace cornerbench::page {

std::vector<diagnosis::Candidate> ranked_causes(const scale::Description& d, const diagnosis::Sheet& sheet) {
    return field::ranked_sheet(d, sheet, diagnosis::default_priors(d)).candidates;
}

std::vector<Explained> explained(const scale::Description& d, const diagnosis::Sheet& sheet,
                                 const diagnosis::Candidate& candidate) {
    std::vector<double> memory(diagnosis::diagnosis_doubles(d, sheet));
    std::vector<diagnosis::Compared> healthy(sheet.readings.size());
    std::vector<diagnosis::Compared> caused(sheet.readings.size());
    const int rows = diagnosis::compare(d, sheet, {}, {}, memory, healthy);
    const int others = diagnosis::compare(d, sheet, candidate.fault, {}, memory, caused, {}, candidate.also);
    std::vector<Explained> all;
    for (std::size_t i = 0; i < static_cast<std::size_t>(std::min(rows, others)); ++i) {
        const diagnosis::Compared& h = healthy[i];
        const auto quantity = sheet.readings[static_cast<std::size_t>(h.reading)].quantity;
        const auto in_unit = [quantity](double value) {
            return quantity == diagnosis::Quantity::resistance ? std::exp(value) : value;
        };
        const auto departs = [](const diagnosis::Compared& c) {
            return std::fabs(c.value - c.given_others) / c.given_others_uncertainty;
        };
        all.push_back({h.reading, in_unit(h.predicted), in_unit(caused[i].given_others),
                       departs(h) - departs(caused[i])});
    }
    std::stable_sort(all.begin(), all.end(),
                     [](const auto& a, const auto& b) { return a.better > b.better; });
    return all;
}

}  // namespace cornerbench::page
