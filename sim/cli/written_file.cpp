#include "sim/cli/written_file.h"

#include <cerrno>
#include <cstring>
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

}  // namespace cornerbench::cli
