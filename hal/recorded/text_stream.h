#pragma once

#include <cstddef>
#include <span>
#include <string_view>

#include "hal/answer.h"

namespace cornerbench::hal {

/// Where a recording goes to: a file, a flash region, a line.
class TextSink {
  public:
    /// Takes all of `text` (one line with its end) or answers anything but `done`.
    virtual Answer write(std::string_view text) = 0;

  protected:
    ~TextSink() = default;
};

/// Where a recording comes from.
class TextSource {
  public:
    /// The next characters, at most as many as fit; `count` is how many, 0 is the end of the text.
    virtual Answer read(std::span<char> text, std::size_t& count) = 0;

  protected:
    ~TextSource() = default;
};

/// Text that stands in memory, flash included.
class TextInMemory final : public TextSource {
  public:
    explicit TextInMemory(std::string_view text) : text_(text) {}

    Answer read(std::span<char> text, std::size_t& count) override {
        count = text_.copy(text.data(), text.size());
        text_.remove_prefix(count);
        return Answer::done;
    }

  private:
    std::string_view text_;
};

}  // namespace cornerbench::hal
