#pragma once

#include <span>
#include <vector>

#include "firmware/diagnosis/diagnose.h"
#include "sim/field/prediction.h"

namespace cornerbench::field {

/// One way in which a check can come out, and what the diagnosis then says. Chances and causes hold among the
/// causes on the list.
struct CheckOutcome {
    diagnosis::Shown shown = diagnosis::Shown::value;  ///< other than `value`: that, and no number
    /// Bounds of what is read, both of them values that the instrument can show, in the reading's unit.
    double low = 0.0;
    double high = 0.0;
    bool as_it_should_be = true;  ///< of a look
    double chance = 0.0;
    /// The cause that then comes first, with the shares of its variants as they are then.
    diagnosis::Candidate leads;
    double probability = 0.0;  ///< of that cause at that place
    /// Of its whole group, as the sheet stands now; `probability` where it has none.
    double group_probability = 0.0;
    /// Of wire colours not as they should be: these two stand exchanged. False: not said.
    bool exchanged = false;
    scale::Wire wire_a = scale::Wire::excitation_plus;
    scale::Wire wire_b = scale::Wire::excitation_minus;
};

/// Candidates between whom an outcome decides, with their probabilities among all causes on the list; what is
/// missing to 1 reads like the `rest`, a sound scale.
struct OutcomeCases {
    const scale::Description& description;
    std::span<const diagnosis::Candidate> about;
    std::vector<double> share;
    std::vector<std::size_t> of_class;
    double rest = 0.0;
};

OutcomeCases outcome_cases(const scale::Description& description, std::span<const diagnosis::Candidate> about,
                           std::span<const diagnosis::Candidate> all);

/// Outcomes of a reading with a value, by what every candidate predicts and last the rest: ranges that do not
/// overlap, each with one cause ahead, from the lowest; then what may stand in place of a number. At most
/// four; those with a chance below one in a hundred are left out.
std::vector<CheckOutcome> outcomes_of_number(const OutcomeCases& cases, const diagnosis::Reading& reading,
                                             std::span<const Prediction> predictions);

/// The same of a look: of everything that it can find, by the probabilities that every candidate and last the
/// rest gives it. Both sides of a look at one thing are told however small their chance.
std::vector<CheckOutcome> outcomes_of_look(const OutcomeCases& cases,
                                           std::span<const diagnosis::Reading> findings,
                                           std::span<const std::vector<double>> probabilities);

/// Smallest difference that is read there, in the reading's unit: a division, or the last figure.
double shown_step(const diagnosis::Reading& reading, double value, const scale::Description& description);

}  // namespace cornerbench::field
