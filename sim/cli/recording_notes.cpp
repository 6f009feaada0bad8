#include "sim/cli/recording_notes.h"

#include <spdlog/fmt/fmt.h>

#include "sim/cli/loading.h"
#include "sim/files/standard_folders.h"

namespace cornerbench::cli {

std::map<std::string, std::string> recording_notes_or_stop(const std::string& made,
                                                           const std::string& scale_path,
                                                           const files::Standard& standard) {
    return {
        {"made", fmt::format("cornerbench {}: {}", CORNERBENCH_VERSION, made)},
        {"scale", text_or_stop(scale_path)},
        {"standard", standard.path.empty()
                         ? std::string(files::compiled_in_standard(files::standard_file_name(standard.name)))
                         : text_or_stop(standard.path)}};
}

}  // namespace cornerbench::cli
