#pragma once

#include <string>

#include "hal/conformance/simulated_rig.h"
#include "hal/recorded/recording_board.h"
#include "hal/recorded/replayed_board.h"

namespace cornerbench::hal {

class StringSink final : public TextSink {
  public:
    Answer write(std::string_view line) override {
        if (room == 0) return Answer::failed;
        --room;
        text += line;
        ++lines;
        return Answer::done;
    }

    std::string text;
    std::uint64_t lines = 0;
    std::uint64_t room = ~std::uint64_t{0};  ///< lines that it still takes
};

/// A recording board around a simulated one.
class RecordingRig final : public SimulatedRig {
  public:
    explicit RecordingRig(const SimulatedBoardParts& parts = {})
        : SimulatedRig(parts), recording_(simulated().board(), sink) {}

    Board board() override { return recording_.board(); }
    const std::string& ended() {
        recording_.end();
        return sink.text;
    }

    StringSink sink;

  protected:
    void started() override { recording_.started_anew(); }

  private:
    RecordingBoard recording_;
};

/// A replay of what a RecordingRig wrote: the world is in the recording already.
class ReplayRig final : public Rig {
  public:
    explicit ReplayRig(std::string_view recording) : source_(recording), replay(source_) {}

    Board board() override { return replay.board(); }
    void pass(Microseconds) override { replay.starts_anew(); }
    bool convert(std::span<const std::int32_t>) override { return true; }
    bool convert_with_bus_error(int) override { return true; }
    bool lose_frame() override { return true; }
    bool peer_sends(std::span<const std::uint8_t>) override { return true; }
    bool peer_takes(std::span<std::uint8_t>, std::size_t&) override { return false; }
    bool overrun(std::uint8_t) override { return true; }
    bool set_connected(bool) override { return true; }
    bool press(Key) override { return true; }
    bool look(PanelPicture&) override { return false; }
    bool cut_power() override {
        replay.starts_anew();
        return true;
    }
    bool set_supply_good(bool) override { return true; }
    bool set_seal_open(bool) override { return true; }

  private:
    TextInMemory source_;

  public:
    ReplayedBoard replay;
};

}  // namespace cornerbench::hal
