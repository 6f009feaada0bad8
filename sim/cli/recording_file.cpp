#include "sim/cli/recording_file.h"

#include <cerrno>
#include <cstring>
#include <filesystem>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

#include "sim/cli/exit_codes.h"

namespace cornerbench::cli {

namespace {

[[noreturn]] void refuse(const std::string& path, const char* what, int error) {
    throw Stop(Exit::host, fmt::format("{}: cannot be {}: {}", path, what, std::strerror(error)));
}

}  // namespace

RecordingSink::RecordingSink(const std::string& path)
    : path_(path), file_(std::fopen(path.c_str(), "wb"), &std::fclose) {
    if (!file_) refuse(path, "written", errno);
}

hal::Answer RecordingSink::write(std::string_view text) {
    if (error_ == 0 && std::fwrite(text.data(), 1, text.size(), file_.get()) != text.size()) error_ = errno;
    return error_ == 0 ? hal::Answer::done : hal::Answer::failed;
}

void RecordingSink::close_or_stop() {
    if (std::fclose(file_.release()) != 0 && error_ == 0) error_ = errno;
    if (error_ != 0) refuse(path_, "written", error_);
    spdlog::debug("wrote {}", path_);
}

RecordingSource::RecordingSource(const std::string& path)
    : file_(std::fopen(path.c_str(), "rb"), &std::fclose) {
    if (!file_) refuse(path, "read", errno);
    std::error_code ignored;
    if (std::filesystem::is_directory(path, ignored)) refuse(path, "read", EISDIR);
}

hal::Answer RecordingSource::read(std::span<char> text, std::size_t& count) {
    count = std::fread(text.data(), 1, text.size(), file_.get());
    return std::ferror(file_.get()) == 0 ? hal::Answer::done : hal::Answer::failed;
}

}  // namespace cornerbench::cli
