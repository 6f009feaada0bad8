#include "sim/cli/sheet_paths.h"

#include <filesystem>

namespace cornerbench::cli {

std::string path_from_sheet(const std::string& scale, const std::string& output) {
    if (output.empty()) return scale;
    namespace fs = std::filesystem;
    std::error_code problem;
    const fs::path folder = fs::absolute(output, problem).parent_path();
    const fs::path from_there = fs::relative(fs::absolute(scale, problem), folder, problem);
    return problem || from_there.empty() ? fs::absolute(scale, problem).string()
                                         : from_there.generic_string();
}

}  // namespace cornerbench::cli
