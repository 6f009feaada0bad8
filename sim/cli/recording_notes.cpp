#include "sim/cli/recording_notes.h"

#include <spdlog/fmt/fmt.h>

#include "sim/cli/exit_codes.h"
#include "sim/files/toml_text.h"

namespace cornerbench::cli {

std::map<std::string, std::string> recording_notes_or_stop(const std::string& made,
                                                           const std::string& scale_path,
                                                           const files::Standard& standard) {
    const auto text_of = [](const std::string& path) {
        files::Findings findings(path);
        const auto text = files::read_text(path, findings);
        if (!text) throw Stop(Exit::host, path + ": cannot be read again for the recording");
        return *text;
    };
    return {
        {"made", fmt::format("cornerbench {}: {}", CORNERBENCH_VERSION, made)},
        {"scale", text_of(scale_path)},
        {"standard", standard.path.empty()
                         ? std::string(files::compiled_in_standard(files::standard_file_name(standard.name)))
                         : text_of(standard.path)}};
}

}  // namespace cornerbench::cli
