#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/scale/limits.h"
#include "firmware/weighing/rules.h"
#include "sim/files/file_error.h"
#include "sim/files/scale_file.h"
#include "sim/files/standard_rules.h"

/// A standard's limits of error and its rules for indicators, from configs/standards/.
namespace cornerbench::files {

/// When a scale is judged: new or repaired, or in use.
enum class Stage : unsigned char { verification, service };

inline constexpr int stage_count = 2;

/// What a standard calls the stage, and by how much it multiplies the tables.
struct StageRule {
    std::string word;
    double factor = 1.0;
    std::string clause;
};

/// A class of accuracy: its limits of error, and what its indicators may do.
struct AccuracyClass {
    std::string name;
    std::string clause;
    scale::LimitTable limits;  ///< at a factor of 1
    weighing::Rules rules;     ///< for an indicator of this class
    SizeRule sizes{};
    std::vector<std::string> cell_classes{};  ///< of cells that serve; empty: any
};

/// A standard as its file says it.
struct Standard {
    std::string path;  ///< where the text came from; empty for the copy inside the program
    std::string name;
    std::string edition;
    std::array<StageRule, stage_count> stages;
    std::string corner_clause;
    scale::CornerTestRule corner_rule;
    /// True: the results of a corner test, together, also spread no more than the limit at the test load.
    bool corner_spread = false;
    bool corner_spread_by_stage = true;  ///< that limit is the stage's; false: the one at a factor of 1
    /// True: limits hold for the error before rounding; false: for what the display shows.
    bool before_rounding = false;
    std::string rounding_clause;
    std::vector<AccuracyClass> classes;
    TestRules tests{};
    std::optional<ModuleRule> modules{};

    const StageRule& stage(Stage stage) const { return stages[static_cast<unsigned>(stage)]; }
    /// Null when this standard has no such class.
    const AccuracyClass* find_class(std::string_view class_name) const;
    /// Largest error in divisions at `load_divisions`; 0 without such a class.
    double limit_divisions(std::string_view class_name, Stage stage, double load_divisions) const;
    /// How far apart, in divisions, results of a corner round may lie; 0 where nothing says so.
    double corner_spread_divisions(std::string_view class_name, Stage stage, double load_divisions) const;
    /// What an indicator of the class may do; OIML R 76's without such a class.
    weighing::Rules rules(std::string_view class_name) const;
};

/// Reads a standard from `path`, or from text that `path` names in errors. All errors at once.
Loaded<Standard> load_standard(const std::string& path);
Loaded<Standard> parse_standard(std::string_view text, const std::string& path);

/// Name of the file that holds `standard`, such as "oiml-r76.toml"; empty for a standard without one.
std::string_view standard_file_name(std::string_view standard);

/// The standard called `name`: from `standards/` or `configs/standards/` beside `scale_path` or in a folder
/// above it, else from where the program is installed, else from the copy inside the program.
Loaded<Standard> find_standard(std::string_view name, const std::string& scale_path);

/// The standard that a scale's file names: a code of its own before a published one.
Loaded<Standard> standard_of(const ScaleFile& scale);

/// The standard that a person asks for: a file's path, a known name such as "OIML R 76", or NAME of a
/// NAME.toml in one of the folders where `find_standard` looks.
Loaded<Standard> choose_standard(const std::string& asked, const std::string& scale_path);

}  // namespace cornerbench::files
