#include "sim/files/installed_data.h"

namespace cornerbench::files {

std::filesystem::path installed_data() {
    std::error_code error;
    const std::filesystem::path program = std::filesystem::read_symlink("/proc/self/exe", error);
    const std::filesystem::path beside = program.parent_path().parent_path() / "share/cornerbench";
    if (!error && std::filesystem::is_directory(beside, error)) return beside;
    for (std::filesystem::path here = program.parent_path(); here.has_relative_path();
         here = here.parent_path())
        if (std::filesystem::is_directory(here / "configs/vehicles", error)) return here / "configs";
    return CORNERBENCH_DATA_DIR;
}

}  // namespace cornerbench::files
