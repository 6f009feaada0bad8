#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sim/commissioning/check_line.h"
#include "sim/commissioning/worst_cell.h"
#include "sim/files/cell_standard_file.h"
#include "sim/files/scale_file.h"
#include "sim/files/standard_file.h"

/// Is this combination of deck, cells, box, cable and indicator sound? Every question of a design with its
/// numbers, before anything is ordered.
namespace cornerbench::commissioning {

/// What is checked: a scale, the standard it has to meet, and what will drive over it. The standard has the
/// scale's class.
struct Design {
    const files::ScaleFile& scale;
    const files::Standard& standard;
    std::vector<files::Vehicle> vehicles{};
    Traffic traffic{};
    std::optional<files::CellStandard> cell_standard{};  ///< of the cells' classes; none: not known

    const files::AccuracyClass& accuracy_class() const { return *standard.find_class(scale.accuracy_class); }
};

/// Capacity, lifting off, corner and section loads, and what decks usually are.
std::vector<CheckLine> check_mechanics(const Design& design);

/// Signal, noise, supply, cables, trims.
std::vector<CheckLine> check_electrics(const Design& design);

/// Sizes of the class, and how the modules' certificates fit together.
std::vector<CheckLine> check_modules(const Design& design);

/// A parameter moved by a tenth, and the margin that moves with it.
struct Sensitivity {
    std::string line;       ///< id of the check
    std::string parameter;  ///< in words
    bool more = true;       ///< a tenth more of it; else a tenth less
    double before = 0.0;    ///< margin
    double after = 0.0;
};

/// The answers to every question, and what would move the tightest of them.
struct DesignCheck {
    std::vector<CheckLine> lines;
    /// For each of the tightest lines, the parameter that would matter most, the tightest first.
    std::vector<Sensitivity> sensitivities;

    int count(Answer answer) const {
        int n = 0;
        for (const CheckLine& line : lines) n += line.answer == answer ? 1 : 0;
        return n;
    }
};

/// Asks everything, and which parameter would move the tightest margins most. The scale's class must be one
/// of the standard's.
DesignCheck check_design(const Design& design);

}  // namespace cornerbench::commissioning
