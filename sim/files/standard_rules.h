#pragma once

#include <optional>
#include <string>
#include <vector>

#include "firmware/scale/description.h"
#include "firmware/scale/limits.h"
#include "sim/files/table_view.h"

/// What a standard says beyond its limits of error: sizes of a class, tests of a day, how modules fit
/// together. A rule that a file does not give is one that its standard does not have.
namespace cornerbench::files {

/// Sizes that a class allows. 0: no limit given.
struct SizeRule {
    std::string clause;
    double least_divisions = 0.0;
    double most_divisions = 0.0;
    double least_division_kg = 0.0;
    double least_load_divisions = 0.0;  ///< Min
};

/// Increasing and, where asked, decreasing loads.
struct WeighingTestRule {
    std::string clause;
    int fewest_loads = 5;
    bool decreasing = false;
};

/// The same load several times.
struct RepeatabilityRule {
    std::string clause;
    int times = 3;
    std::vector<double> shares{};  ///< of Max
    double spread_limits = 1.0;    ///< largest result less smallest, in limits of error at that load
    /// True: those limits are the stage's; false: those at a factor of 1.
    bool by_stage = true;
};

/// Back to zero after a load. One of the two is above 0.
struct ZeroReturnRule {
    std::string clause;
    double limit_divisions = 0.0;
    double smallest_limits = 0.0;  ///< in times of the smallest limit of error
    double loaded_min = 0.0;       ///< minutes that the load has stood before; 0: no time is asked
};

/// Small weights come off until the display falls by a division; from there so much more must show so much
/// more than it then did.
struct DiscriminationRule {
    std::string clause;
    double extra_divisions = 1.4;
    double change_divisions = 2.0;
    bool one_back = true;  ///< one of the small weights goes back on before
};

/// A test pattern stood anywhere on the deck, and the concentrated load capacity, CLC, that it stands for.
struct SectionRule {
    std::string clause;
    double pattern_m = 1.2;      ///< along the deck
    double most_width_m = 3.0;   ///< across it, if the deck is wider
    double clc_share = 0.9;      ///< of CLC, heaviest load on the pattern
    double sections_less = 0.5;  ///< Max is at most CLC times the sections less this
};

/// Loads of known sameness in place of test weights.
struct SubstitutionRule {
    std::string clause;
    double own_share = 0.5;  ///< of Max, least test weights
    double own_least_kg = 0.0;
    /// Less is enough where weights repeat this well.
    struct Relaxed {
        double repeatability_divisions = 0.0;
        double own_share = 0.0;
    };
    std::vector<Relaxed> relaxed{};
    double test_load_share = 1.0;  ///< of Max, least load of the test, substitution included
    double test_load_least_kg = 0.0;
    /// What holds instead for scales of so large a Max. A standard may list them twice, by the unit that a
    /// scale weighs in.
    struct ByCapacity {
        bool pounds = false;    ///< for scales in pounds; false: in kilograms or tonnes
        double up_to_kg = 0.0;  ///< Max; 0: any
        double own_share = 0.0;
        double own_least_kg = 0.0;
        double test_load_share = 0.0;
        double test_load_least_kg = 0.0;
    };
    std::vector<ByCapacity> by_capacity{};  ///< rising, of each unit

    /// As it holds for this scale.
    SubstitutionRule of(const scale::Description& description) const;
    /// Least test weights of a scale with that Max whose weighings repeat so well, kg.
    double least_weights_kg(double max_kg, double repeatability_divisions) const;
    /// Least load of the test of a scale with that Max, kg.
    double least_test_load_kg(double max_kg) const;
    /// Least share of Max in test weights when weights repeat within `repeatability_divisions`.
    double least_own_share(double repeatability_divisions) const;
};

/// Error shares of modules, and whether the load factor Q counts.
struct ModuleRule {
    std::string clause;               ///< of v_min
    std::string certificates_clause;  ///< of everything else that certificates must agree in
    double cell_share = 0.7;
    double indicator_share = 0.5;
    double cable_share = 0.5;
    bool load_factor = false;
    std::string cell_standard{};  ///< whose classes the cells' papers have; empty: none is named
    /// Largest DR of all cells together, in the finest division of a multi-interval scale; 0: no limit.
    double return_divisions = 0.0;
};

/// What a standard asks of a day of tests; a test that it does not have is none.
struct TestRules {
    std::optional<WeighingTestRule> weighing;
    std::optional<RepeatabilityRule> repeatability;
    std::optional<ZeroReturnRule> zero_return;
    std::optional<DiscriminationRule> discrimination;
    std::optional<SubstitutionRule> substitution;
    std::optional<SectionRule> section;
    double rolling_share = 0.0;  ///< of Max, the heaviest load rolled over the deck; 0: none asked
    std::string rolling_clause;
};

/// A number that must stand under `key`; the range's low end, and an error, without one.
double required_number(const TableView& table, std::string_view key, const Range& range,
                       std::string_view unit);
/// The same of a text, which is empty without one.
std::string required_text(const TableView& table, std::string_view key);

/// The bands of a class, and what holds past the last.
void read_bands(const TableView& class_table, scale::LimitTable& limits);
/// A list of texts; empty without the key.
std::vector<std::string> read_words(const TableView& table, std::string_view key);
/// Rules of a class or of the standard; what does not stand there is a rule that it does not have.
SizeRule read_sizes(const TableView& class_table);
TestRules read_tests(const TableView& top);
std::optional<ModuleRule> read_modules(const TableView& top);

}  // namespace cornerbench::files
