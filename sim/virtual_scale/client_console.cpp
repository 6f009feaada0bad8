#include "sim/virtual_scale/client_console.h"

#include <algorithm>
#include <array>

#include "sim/virtual_scale/client_notes.h"

namespace cornerbench::virtual_scale {

namespace {

/// A client's line while its console is served. What comes in is noted before the console acts on it: the
/// calls of the board's ports that come of it stand behind it in the recording.
class NotedLine final : public hal::Line {
  public:
    NotedLine(hal::Line& line, VirtualScale& scale, const std::string& name)
        : line_(line), scale_(scale), name_(name) {}

    /// Whether the client has said anything, or gone: held until the console asks for it.
    bool has_word() {
        answer_ = line_.receive(ahead_, count_);
        held_ = answer_ != hal::Answer::done || count_ > 0;
        return held_;
    }

    void begin() {
        if (!begun_) scale_.add_note(name_, client_begins());
        begun_ = true;
    }

    hal::Answer receive(std::span<std::uint8_t> bytes, std::size_t& count) override {
        hal::Answer answer = answer_;
        if (held_ && bytes.size() >= count_) {
            count = count_;
            std::copy_n(ahead_.begin(), count, bytes.begin());
            held_ = false;
        } else {
            answer = line_.receive(bytes, count);
        }
        if (answer == hal::Answer::done && count == 0) return answer;
        begin();
        scale_.add_note(name_, client_received(answer, bytes.first(count)));
        return answer;
    }

    hal::Answer send(std::span<const std::uint8_t> bytes, std::size_t& count) override {
        const hal::Answer answer = line_.send(bytes, count);
        begin();
        scale_.add_note(name_, client_sent(answer, bytes.size(), bytes.first(count)));
        return answer;
    }

  private:
    hal::Line& line_;
    VirtualScale& scale_;
    const std::string& name_;
    bool begun_ = false;
    std::array<std::uint8_t, 64> ahead_{};
    std::size_t count_ = 0;
    hal::Answer answer_ = hal::Answer::done;
    bool held_ = false;
};

/// Somebody who says one thing and hears all of the answer.
class SpokenLine final : public hal::Line {
  public:
    explicit SpokenLine(std::string words) : words_(std::move(words)) {}

    hal::Answer receive(std::span<std::uint8_t> bytes, std::size_t& count) override {
        count = std::min(bytes.size(), words_.size());
        std::copy_n(words_.begin(), count, bytes.begin());
        words_.erase(0, count);
        return hal::Answer::done;
    }

    hal::Answer send(std::span<const std::uint8_t> bytes, std::size_t& count) override {
        count = bytes.size();
        heard.append(reinterpret_cast<const char*>(bytes.data()), count);
        return hal::Answer::done;
    }

    std::string heard;

  private:
    std::string words_;
};

}  // namespace

ClientConsole::ClientConsole(VirtualScale& scale)
    : scale_(scale),
      name_(console_note + std::to_string(scale.next_client())),
      console_(scale.indicator(), scale.identity()) {
    scale_.add_note(name_, client_comes());
}

ClientConsole::~ClientConsole() {
    scale_.add_note(name_, client_leaves());
}

void ClientConsole::serve(hal::Line& line) {
    NotedLine noted(line, scale_, name_);
    // What waits may act without a word from the client. Else no word is no round: one would ask ports.
    if (!console_.idle())
        noted.begin();
    else if (!noted.has_word())
        return;
    console_.serve(noted, scale_.board().clock.time_us());
}

void ClientConsole::after_step() {
    if (console_.idle()) (void)console_.step(scale_.board().clock.time_us());
}

std::string ClientConsole::ask(std::string_view line) {
    SpokenLine spoken(std::string(line) + '\n');
    serve(spoken);
    return spoken.heard.substr(0, spoken.heard.find_last_not_of("\r\n") + 1);
}

}  // namespace cornerbench::virtual_scale
