#include "sim/files/installed_data.h"

namespace cornerbench::files {

namespace {

std::filesystem::path program_folder() {
    std::error_code error;
    return std::filesystem::read_symlink("/proc/self/exe", error).parent_path();
}

}  // namespace

std::filesystem::path installed_data() {
    std::error_code error;
    const std::filesystem::path beside = program_folder().parent_path() / "share/cornerbench";
    if (std::filesystem::is_directory(beside, error)) return beside;
    return CORNERBENCH_DATA_DIR;
}

std::filesystem::path source_data() {
    std::error_code error;
    std::filesystem::path here = program_folder();
    for (; here.has_relative_path(); here = here.parent_path())
        if (std::filesystem::is_directory(here / "configs/vehicles", error)) return here / "configs";
    return {};
}

}  // namespace cornerbench::files
