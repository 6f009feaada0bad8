#include <algorithm>
#include <catch2/catch.hpp>
#include <string_view>

#include "hal/conformance/check_board.h"
#include "hal/conformance/simulated_rig.h"

using namespace cornerbench::hal;

// A suite is worth what it refuses: boards with one broken promise each, made here on purpose.

namespace {

/// A simulated board's rig with one port exchanged for a broken one around it.
class BrokenRig : public SimulatedRig {
  public:
    explicit BrokenRig(const SimulatedBoardParts& parts = boards_to_check()[1]) : SimulatedRig(parts) {}

    bool is_caught(std::string_view promise) {
        Findings findings;
        check_board(*this, findings);
        for (std::size_t i = 0; i < std::min<std::size_t>(findings.breaches(), 16); ++i)
            if (findings.breach(i).promise == promise) return true;
        return false;
    }

  protected:
    ~BrokenRig() = default;
};

class BackwardClock final : public Clock {
  public:
    explicit BackwardClock(Clock& clock) : clock_(clock) {}
    Answer now(Microseconds& now) override {
        const Answer answer = clock_.now(now);
        if (++calls_ % 5 == 0) now -= 100'000;
        return answer;
    }

  private:
    Clock& clock_;
    int calls_ = 0;
};

class BrokenConverter : public Converter {
  public:
    explicit BrokenConverter(Converter& converter) : inner(converter) {}
    ConverterTraits traits() const override { return inner.traits(); }
    Answer select(Excitation excitation, std::uint32_t channels) override {
        return inner.select(excitation, channels);
    }
    Answer take(Microseconds now, std::span<Frame> frames, std::size_t& count) override {
        return inner.take(now, frames, count);
    }

  protected:
    ~BrokenConverter() = default;
    Converter& inner;
};

class NewestFirst final : public BrokenConverter {
    using BrokenConverter::BrokenConverter;
    Answer take(Microseconds now, std::span<Frame> frames, std::size_t& count) override {
        const Answer answer = inner.take(now, frames, count);
        std::reverse(frames.begin(), frames.begin() + static_cast<std::ptrdiff_t>(count));
        return answer;
    }
};

class HidesFaults final : public BrokenConverter {
    using BrokenConverter::BrokenConverter;
    Answer take(Microseconds now, std::span<Frame> frames, std::size_t& count) override {
        const Answer answer = inner.take(now, frames, count);
        for (Frame& frame : frames.first(count)) {
            frame.fault.fill(0);
            frame.check = check_of(frame, traits().channels);
        }
        return answer;
    }
};

class HidesGaps final : public BrokenConverter {
    using BrokenConverter::BrokenConverter;
    Answer take(Microseconds now, std::span<Frame> frames, std::size_t& count) override {
        const Answer answer = inner.take(now, frames, count);
        for (Frame& frame : frames.first(count)) {
            frame.sequence = sequence_++;
            frame.check = check_of(frame, traits().channels);
        }
        return answer;
    }
    std::uint32_t sequence_ = 0;
};

/// A memory that says `done` before the part has done it, and forgets to sync.
class HastyMemory final : public Memory {
  public:
    explicit HastyMemory(Memory& memory) : inner_(memory) {}
    MemoryGeometry geometry() const override { return inner_.geometry(); }
    Answer read(std::uint32_t block, std::uint32_t offset, std::span<std::uint8_t> bytes) override {
        return inner_.read(block, offset, bytes);
    }
    Answer start_program(std::uint32_t block, std::uint32_t offset,
                         std::span<const std::uint8_t> bytes) override {
        return inner_.start_program(block, offset, bytes);
    }
    Answer start_erase(std::uint32_t block) override { return inner_.start_erase(block); }
    Answer start_sync() override { return Answer::done; }
    Answer poll(Microseconds now) override { return inner_.poll(now); }

  private:
    Memory& inner_;
};

template <typename Broken>
class ConverterRig final : public BrokenRig {
  public:
    Board board() override {
        const Board sound = SimulatedRig::board();
        return {sound.clock, broken_, sound.memory, sound.line, sound.panel, sound.supervisor};
    }

  private:
    Broken broken_{simulated().converter};
};

}  // namespace

TEST_CASE("the conformance suite catches a clock that runs back", "[hal]") {
    class ClockRig final : public BrokenRig {
      public:
        Board board() override {
            const Board sound = SimulatedRig::board();
            return {broken_, sound.converter, sound.memory, sound.line, sound.panel, sound.supervisor};
        }

      private:
        BackwardClock broken_{simulated().clock};
    };
    CHECK(ClockRig().is_caught("the value never decreases"));
}

TEST_CASE("the conformance suite catches a converter that breaks its promises", "[hal]") {
    CHECK(ConverterRig<NewestFirst>().is_caught("frames come out once, oldest first"));
    CHECK(ConverterRig<HidesFaults>().is_caught("a frame whose part could not convert comes with its fault"));
    CHECK(ConverterRig<HidesGaps>().is_caught("the sequence has the gap of a lost frame"));
}

TEST_CASE("the conformance suite catches a memory that does not sync", "[hal]") {
    class MemoryRig final : public BrokenRig {
      public:
        Board board() override {
            const Board sound = SimulatedRig::board();
            return {sound.clock, sound.converter, broken_, sound.line, sound.panel, sound.supervisor};
        }

      private:
        HastyMemory broken_{simulated().memory};
    };
    CHECK(MemoryRig().is_caught("what ended before a sync stays over a power cut"));
}
