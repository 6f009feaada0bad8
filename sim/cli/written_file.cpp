#include "sim/cli/written_file.h"

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

#include "sim/cli/exit_codes.h"

namespace cornerbench::cli {

void write_or_stop(const std::string& path, const std::string& text) {
    std::ofstream file(path, std::ios::binary | std::ios::trunc);
    file << text;
    file.close();
    if (!file) throw Stop(Exit::host, fmt::format("{}: cannot be written: {}", path, std::strerror(errno)));
    spdlog::debug("wrote {}", path);
}

void replace_or_stop(const std::string& path, const std::string& text) {
    const std::string beside = path + ".new";
    write_or_stop(beside, text);
    std::error_code problem;
    std::filesystem::rename(beside, path, problem);
    if (problem) throw Stop(Exit::host, fmt::format("{}: cannot be written: {}", path, problem.message()));
}

}  // namespace cornerbench::cli
