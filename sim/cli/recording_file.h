#pragma once

#include <cstdio>
#include <memory>
#include <string>

#include "hal/recorded/text_stream.h"

/// Recordings on disk, line after line: one of a day does not have to fit into the memory.
namespace cornerbench::cli {

/// A recording's text into a file.
class RecordingSink final : public hal::TextSink {
  public:
    /// Over what is there. A refusal of the host ends the command.
    explicit RecordingSink(const std::string& path);

    hal::Answer write(std::string_view text) override;

    /// What has been written is on its way to the disk. A refusal of the host, now or before, ends the
    /// command.
    void close_or_stop();

  private:
    std::string path_;
    std::unique_ptr<std::FILE, int (*)(std::FILE*)> file_;
    int error_ = 0;  ///< the host's number for what went wrong first
};

/// A recording's text out of a file.
class RecordingSource final : public hal::TextSource {
  public:
    /// A refusal of the host ends the command.
    explicit RecordingSource(const std::string& path);

    hal::Answer read(std::span<char> text, std::size_t& count) override;

  private:
    std::unique_ptr<std::FILE, int (*)(std::FILE*)> file_;
};

}  // namespace cornerbench::cli
