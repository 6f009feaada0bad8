#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "firmware/scale/limits.h"
#include "sim/files/file_error.h"
#include "sim/files/key_text.h"

/// A standard's limits for load cells by themselves, from configs/standards/. v is a cell's verification
/// interval: its measuring range over n_LC.
namespace cornerbench::files {

/// Limits of one accuracy class, as a share of which a cell's papers state its own (p_LC).
struct CellClass {
    std::string name;
    std::string clause;
    double least_intervals = 0.0;  ///< n_LC
    double most_intervals = 0.0;   ///< 0: no limit
    /// Kelvin within which the unloaded output moves by p_LC v_min at most; 0: no limit.
    double zero_warmth_K = 0.0;
    scale::LimitTable limits;  ///< in v over load in v, at a p_LC of 1
};

/// What one edition asks of every cell, and its classes.
struct CellStandard {
    std::string name;
    std::string edition;

    std::string errors_clause;
    double usual_share = 1.0;  ///< p_LC where the papers do not state it
    double least_share = 0.0;
    double most_share = 1.0;
    double straight_through = 1.0;  ///< share of the measuring range at which a cell has no error

    std::string creep_clause;
    double creep_min = 0.0;
    double creep_limit_errors = 0.0;  ///< in limits of error at that load
    double late_from_min = 0.0;
    double late_limit_errors = 0.0;  ///< of what comes from then on

    std::string return_clause;
    double return_intervals = 0.0;  ///< DR, in v

    std::string ratios_clause;
    bool less_least_load = false;  ///< measuring range is Emax - Emin; false: Emax

    std::string warmth_clause;
    std::vector<CellClass> classes;

    /// Null when this standard has no such class.
    const CellClass* find_class(std::string_view class_name) const;
    double measuring_range_kg(double most_kg, double least_kg) const {
        return less_least_load ? most_kg - least_kg : most_kg;
    }
};

Loaded<CellStandard> load_cell_standard(const std::string& path);
Loaded<CellStandard> parse_cell_standard(std::string_view text, const std::string& path);

/// The cells' standard called `name`, or that of a NAME.toml: found where `find_standard` looks.
Loaded<CellStandard> find_cell_standard(std::string_view name, const std::string& scale_path);

/// A class and the thousands of intervals behind it, as cells are marked: "C3" is class C with an n_LC of 3
/// 000.
struct CellMark {
    std::string class_name;
    double intervals = 0.0;  ///< 0: the mark has none
};
CellMark read_cell_mark(std::string_view mark);

/// The schema of a cells' standard; the check for unknown keys and the printed documentation follow from it.
const std::vector<PlainKey>& cell_standard_keys();
std::string cell_standard_keys_text();

}  // namespace cornerbench::files
