#pragma once

#include <span>
#include <vector>

#include "firmware/diagnosis/diagnose.h"
#include "sim/field/outlook.h"

namespace cornerbench::field {

/// Whom to tell apart: each of some candidates belongs to a class, and only the classes are to be told apart.
/// One cause at one place is a class, whichever wire or arm it is; where there is only one class, each
/// candidate is its own.
struct OpenClasses {
    std::vector<double> share;  ///< of each candidate; they sum to 1
    std::vector<std::size_t> of_class;
    std::vector<double> class_share;

    /// Entropy of the classes: bits that would have to be told.
    double doubt_bits() const;
    /// Takes other shares, one per candidate, of any scale.
    void weigh(std::vector<double> shares);
};

/// By the candidates' probabilities, which may be of any scale.
OpenClasses classes_of(std::span<const diagnosis::Candidate> about);

/// Bits that one number, or what stands in its place, tells about the class it came from; `expected` of each
/// candidate.
double bits_of_number(const OpenClasses& classes, std::span<const Expectation> expected);

/// The same of a look: for everything that it can find, the probabilities that each candidate gives it.
double bits_of_look(const OpenClasses& classes, std::span<const std::vector<double>> findings);

}  // namespace cornerbench::field
