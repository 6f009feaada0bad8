#include "sim/cli/written_file.h"

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <set>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>
#include <CLI/CLI.hpp>

#include "sim/cli/exit_codes.h"

namespace cornerbench::cli {

void add_force(CLI::App& command, bool& force) {
    command.add_flag("--force", force, "Write over files that are there already");
}

void spare_or_stop(const std::string& path) {
    std::error_code ignored;
    if (std::filesystem::is_regular_file(path, ignored)) {
        throw Stop(Exit::host, fmt::format("{}: is there already; --force writes over it", path));
    }
}

void spare_or_stop(const std::vector<std::string>& paths, bool force) {
    std::set<std::filesystem::path> named;
    for (const std::string& path : paths) {
        if (path.empty()) continue;
        std::error_code ignored;
        if (!named.insert(std::filesystem::weakly_canonical(path, ignored)).second)
            throw Stop(Exit::wrong_usage,
                       fmt::format("{}: two files cannot have one name; valid: a name for each", path));
        if (!force) spare_or_stop(path);
    }
}

void write_or_stop(const std::string& path, const std::string& text) {
    std::ofstream file(path, std::ios::binary | std::ios::trunc);
    file << text;
    file.close();
    if (!file) throw Stop(Exit::host, fmt::format("{}: cannot be written: {}", path, std::strerror(errno)));
    spdlog::debug("wrote {}", path);
}

void replace_or_stop(const std::string& path, const std::string& text) {
    namespace fs = std::filesystem;
    std::error_code problem;
    // A pipe or a device cannot be replaced, and must not be.
    if (fs::exists(path, problem) && !fs::is_regular_file(path, problem)) return write_or_stop(path, text);
    const fs::path linked = fs::canonical(path, problem);
    const std::string target = problem ? path : linked.string();
    const std::string beside = target + ".new";
    const auto refuse = [&path, &beside](const std::string& why) {
        std::error_code ignored;
        fs::remove(beside, ignored);
        throw Stop(Exit::host, fmt::format("{}: cannot be written: {}", path, why));
    };
    std::ofstream file(beside, std::ios::binary | std::ios::trunc);
    file << text;
    file.close();
    if (!file) refuse(std::strerror(errno));
    fs::rename(beside, target, problem);
    if (problem) refuse(problem.message());
    spdlog::debug("wrote {}", path);
}

}  // namespace cornerbench::cli
