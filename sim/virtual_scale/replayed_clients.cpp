#include "sim/virtual_scale/replayed_clients.h"

#include <algorithm>

#include <spdlog/fmt/fmt.h>

#include "sim/virtual_scale/client_registers.h"

namespace cornerbench::virtual_scale {

namespace {

/// A live scale serves fewer; each takes some 6 kB.
constexpr std::size_t most_consoles = 100;

constexpr const char* nothing = "nothing";

/// Bytes as people can read them on one line.
std::string in_quotes(std::string_view bytes) {
    std::string text = "'";
    for (const char c : bytes) {
        if (c == '\n')
            text += "\\n";
        else if (c < ' ' || c > '~')
            text += fmt::format("\\x{:02x}", static_cast<unsigned char>(c));
        else
            text += c;
    }
    return text + "'";
}

std::string_view text_of(std::span<const std::uint8_t> bytes) {
    return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

}  // namespace

/// A client's line that gives what was received and takes what was taken.
class ReplayedClients::Line final : public hal::Line {
  public:
    Line(ReplayedClients& clients, const std::string& name, hal::ReplayedBoard& board)
        : clients_(clients), name_(name), board_(board) {}

    hal::Answer receive(std::span<std::uint8_t> bytes, std::size_t& count) override {
        count = 0;
        ClientNote note;
        if (!next(ClientDeed::received, note)) return hal::Answer::done;
        if (note.bytes.size() > bytes.size()) {
            clients_.state_ = State::malformed;
            return hal::Answer::done;
        }
        clients_.notes_.pop_front();
        count = note.bytes.size();
        std::copy(note.bytes.begin(), note.bytes.end(), bytes.begin());
        return note.answer;
    }

    hal::Answer send(std::span<const std::uint8_t> bytes, std::size_t& count) override {
        // What is not taken would be offered again without end.
        count = bytes.size();
        ClientNote note;
        if (clients_.state_ != State::well) return hal::Answer::done;
        if (!next(ClientDeed::sent, note)) {
            clients_.differ(nothing, name_ + " is answered " + in_quotes(text_of(bytes)));
            return hal::Answer::done;
        }
        if (note.offered != bytes.size() || note.bytes.size() > bytes.size() ||
            note.bytes != text_of(bytes).substr(0, note.bytes.size())) {
            clients_.differ(
                fmt::format("{} is answered {} bytes, of which it takes {}", name_, note.offered,
                            in_quotes(note.bytes)),
                fmt::format("{} is answered {} bytes, {}", name_, bytes.size(), in_quotes(text_of(bytes))));
            return hal::Answer::done;
        }
        clients_.notes_.pop_front();
        count = note.bytes.size();
        return note.answer;
    }

  private:
    bool next(ClientDeed deed, ClientNote& note) {
        const std::string* text = clients_.next_of(name_, board_);
        return text != nullptr && read_client_note(*text, note) && note.deed == deed;
    }

    ReplayedClients& clients_;
    const std::string& name_;
    hal::ReplayedBoard& board_;
};

bool ReplayedClients::is_client(std::string_view name) {
    return name.starts_with(console_note) || name == registers_note;
}

void ReplayedClients::take_note(std::string_view name, std::string_view text, bool begins) {
    if (begins) notes_.push_back({std::string(name), {}});
    if (!notes_.empty()) notes_.back().text += text;
}

void ReplayedClients::start(Indicator& indicator, const console::Identity& identity) {
    consoles_.clear();
    indicator_ = &indicator;
    identity_ = identity;
    registers_.emplace(indicator);
}

void ReplayedClients::differ(const std::string& recorded, const std::string& came) {
    if (state_ != State::well) return;
    state_ = State::different;
    recorded_ = recorded;
    came_ = came;
}

const std::string* ReplayedClients::next_of(const std::string& name, hal::ReplayedBoard& board) {
    (void)board.goes_on();
    return !notes_.empty() && notes_.front().name == name ? &notes_.front().text : nullptr;
}

bool ReplayedClients::go_on(hal::ReplayedBoard& board) {
    if (notes_.empty() || state_ != State::well) return false;
    const Note note = std::move(notes_.front());
    notes_.pop_front();
    act(note, board);
    return true;
}

void ReplayedClients::act(const Note& note, hal::ReplayedBoard& board) {
    if (note.name == registers_note) return ask_registers(note, board);
    ClientNote said;
    if (!read_client_note(note.text, said)) {
        state_ = State::malformed;
        return;
    }
    const auto console = consoles_.find(note.name);
    switch (said.deed) {
        case ClientDeed::comes:
            if (consoles_.size() >= most_consoles) break;
            consoles_[note.name] = std::make_unique<console::Console>(*indicator_, identity_);
            return;
        case ClientDeed::leaves:
            // Its console may be gone already, with the firmware that it belonged to.
            consoles_.erase(note.name);
            return;
        case ClientDeed::begins:
            if (console == consoles_.end()) break;
            return serve(note.name, *console->second, board);
        case ClientDeed::received:
            break;
        case ClientDeed::sent:
            return differ(fmt::format("{} is answered {}", note.name, in_quotes(said.bytes)),
                          note.name + " is answered nothing");
    }
    state_ = State::malformed;
}

void ReplayedClients::serve(const std::string& name, console::Console& console, hal::ReplayedBoard& board) {
    Line line(*this, name, board);
    console.serve(line, board.time_us());
}

void ReplayedClients::ask_registers(const Note& note, hal::ReplayedBoard& board) {
    RegisterRequest request;
    if (!read_register_request(note.text, request)) {
        state_ = State::malformed;
        return;
    }
    const std::string came = words_of(carry_out(*registers_, request));
    const std::string* was = next_of(note.name, board);
    if (was == nullptr) return differ(nothing, fmt::format("registers, {}: {}", note.text, came));
    if (*was != came)
        return differ(fmt::format("registers, {}: {}", note.text, *was),
                      fmt::format("registers, {}: {}", note.text, came));
    notes_.pop_front();
}

void ReplayedClients::after_step(hal::Microseconds now_us) {
    for (auto& [name, console] : consoles_)
        if (console->idle()) (void)console->step(now_us);
}

}  // namespace cornerbench::virtual_scale
