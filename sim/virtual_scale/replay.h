#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "firmware/indicator.h"
#include "hal/recorded/replayed_board.h"
#include "sim/virtual_scale/replayed_clients.h"

/// A recording and the firmware that it is held against.
namespace cornerbench::virtual_scale {

/// A call of a port in words, and when its step was.
struct CallInWords {
    double at_s = 0.0;  ///< from the recording's first step
    std::string words;
};

/// How a replay went. `state` is `finished`, `different` or what is wrong with the recording.
struct ReplayOutcome {
    hal::ReplayState state = hal::ReplayState::running;
    double seconds = 0.0;  ///< from the first step to the last one that ran
    std::uint64_t steps = 0;
    std::uint64_t frames = 0;
    std::uint64_t power_ons = 0;
    std::uint64_t line = 0;  ///< of the recording, where it ended
    /// When different: the port's call, or the answer to a client, as it was and as it came now.
    std::string recorded;
    std::string came;
    std::vector<CallInWords> before;  ///< calls before that, oldest first
    std::uint64_t state_hash = 0;
    /// Nothing when the recording has none, or did not come to its end.
    std::optional<std::uint64_t> recorded_hash;
    /// What the firmware learnt from the traffic since it last had power.
    watch::TrafficWatch traffic;

    bool hash_differs() const { return recorded_hash && *recorded_hash != state_hash; }
    /// The firmware did everything that was recorded, and nothing else.
    bool same() const { return state == hal::ReplayState::finished && !hash_differs(); }
};

/// One replay. Some 20 kB, most of it on the heap.
class Replay {
  public:
    /// Reads the header and the notes before the first step. `source` has to outlive this.
    explicit Replay(hal::TextSource& source);
    // The board points at the notes.
    Replay(const Replay&) = delete;
    Replay& operator=(const Replay&) = delete;

    /// Texts by name: see hal/recorded/FORMAT.md.
    const std::map<std::string, std::string>& notes() const { return notes_.texts; }

    /// Whether there is something to run; else `run` says what is wrong.
    bool runs() const { return board_->state() == hal::ReplayState::running; }

    /// Runs the firmware, built with these settings, to the recording's end or the first difference. Once.
    ReplayOutcome run(const IndicatorSettings& settings);

  private:
    /// Takes the recording's notes: those of clients to the clients, all others by name.
    struct Notes final : hal::NoteReader {
        void note(std::string_view name, std::span<const std::uint8_t> bytes) override;

        ReplayedClients* clients = nullptr;
        std::map<std::string, std::string> texts;
    };

    void follow_clients(ReplayOutcome& outcome) const;

    ReplayedClients clients_;
    Notes notes_;
    std::unique_ptr<hal::ReplayedBoard> board_;
};

}  // namespace cornerbench::virtual_scale
