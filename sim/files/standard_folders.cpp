#include "sim/files/standard_folders.h"

#include "sim/files/installed_data.h"

namespace cornerbench::files {

std::vector<std::filesystem::path> standard_folders(const std::string& scale_path) {
    namespace fs = std::filesystem;
    std::vector<fs::path> folders;
    std::error_code ignored;
    fs::path folder = fs::absolute(scale_path, ignored).parent_path();
    while (!folder.empty()) {
        for (const char* below : {"standards", "configs/standards"}) {
            if (fs::is_directory(folder / below, ignored)) folders.push_back(folder / below);
        }
        if (folder == folder.parent_path()) break;
        folder = folder.parent_path();
    }
    folders.push_back(installed_data() / "standards");
    return folders;
}

std::optional<std::string> nearest_standard_file(std::string_view file_name, const std::string& scale_path) {
    if (file_name.empty()) return std::nullopt;
    std::error_code ignored;
    for (const std::filesystem::path& folder : standard_folders(scale_path)) {
        const std::filesystem::path candidate = folder / file_name;
        if (std::filesystem::is_regular_file(candidate, ignored)) return candidate.string();
    }
    return std::nullopt;
}

}  // namespace cornerbench::files
