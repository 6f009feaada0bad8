#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "firmware/console/console.h"
#include "firmware/console/register_map.h"
#include "firmware/indicator.h"
#include "hal/recorded/replayed_board.h"
#include "sim/virtual_scale/client_notes.h"

namespace cornerbench::virtual_scale {

/// The clients of a recording, who do again what its notes say and hold the firmware to what it answered.
class ReplayedClients {
  public:
    /// How they stand after what they have done.
    enum class State : std::uint8_t {
        well,
        different,  ///< an answer is not the recorded one: see `recorded` and `came`
        malformed   ///< a note says what no client can do
    };

    /// Whether a note of this name is a client's.
    static bool is_client(std::string_view name);

    /// A part of a client's note, in order; `begins` with the first one.
    void take_note(std::string_view name, std::string_view text, bool begins);

    /// The firmware has started: nobody is connected yet. It has to outlive the clients.
    void start(Indicator& indicator, const console::Identity& identity);

    /// Whether there is a note that nobody has acted on.
    bool pending() const { return !notes_.empty() && state_ == State::well; }

    /// Does what the notes up to now say. `board` is asked for further ones meanwhile. True when there were
    /// any; look at the state then.
    bool go_on(hal::ReplayedBoard& board);

    /// To be called after every step of the firmware.
    void after_step(hal::Microseconds now_us);

    State state() const { return state_; }
    const std::string& recorded() const { return recorded_; }
    const std::string& came() const { return came_; }

  private:
    /// What a client did, as the recording has it.
    struct Note {
        std::string name;
        std::string text;
    };
    class Line;

    /// The next note if it is this client's, once the recording has been read up to its next call.
    const std::string* next_of(const std::string& name, hal::ReplayedBoard& board);
    void act(const Note& note, hal::ReplayedBoard& board);
    void serve(const std::string& name, console::Console& console, hal::ReplayedBoard& board);
    void ask_registers(const Note& note, hal::ReplayedBoard& board);
    void differ(const std::string& recorded, const std::string& came);

    Indicator* indicator_ = nullptr;
    console::Identity identity_;
    std::deque<Note> notes_;
    std::map<std::string, std::unique_ptr<console::Console>> consoles_;
    std::optional<console::RegisterMap> registers_;
    State state_ = State::well;
    std::string recorded_;
    std::string came_;
};

}  // namespace cornerbench::virtual_scale
