#include "hal/golden/golden_run.h"

#include <bit>
#include <optional>

#include "firmware/indicator.h"
#include "firmware/indicator/settings_block.h"
#include "hal/golden/stopwatch_board.h"

namespace cornerbench::golden {

namespace {

/// Text of the trace, line by line.
class Trace {
  public:
    explicit Trace(hal::TextSink& sink) : sink_(sink) {}

    Trace& text(std::string_view text) {
        line_.text(text);
        return *this;
    }
    Trace& number(std::uint64_t number) {
        line_.field(static_cast<std::int64_t>(number));
        return *this;
    }
    Trace& bits(std::uint64_t value) {
        constexpr std::string_view digits = "0123456789abcdef";
        line_.character(' ');
        for (int shift = 60; shift >= 0; shift -= 4)
            line_.character(digits[static_cast<std::size_t>(value >> shift & 15u)]);
        return *this;
    }
    Trace& quoted(std::span<const std::uint8_t> bytes) {
        line_.character(' ').quoted(bytes);
        return *this;
    }
    void end_line() {
        // A trace that cannot be told is a short one, and differs.
        (void)sink_.write(line_.view());
        (void)sink_.write("\n");
        line_.clear();
    }

  private:
    hal::TextSink& sink_;
    hal::LineText line_;
};

/// The board's line, with what the firmware says on it told as well.
class OverheardLine final : public hal::Line {
  public:
    OverheardLine(hal::Line& line, Trace& trace, const hal::ReplayedBoard& board)
        : line_(line), trace_(trace), board_(board) {}

    hal::Answer receive(std::span<std::uint8_t> bytes, std::size_t& count) override {
        return line_.receive(bytes, count);
    }
    hal::Answer send(std::span<const std::uint8_t> bytes, std::size_t& count) override {
        const hal::Answer answer = line_.send(bytes, count);
        for (std::size_t at = 0; at < count; at += hal::bytes_in_data_line) {
            const std::size_t part =
                count - at < hal::bytes_in_data_line ? count - at : hal::bytes_in_data_line;
            spoke_ = true;
            trace_.text(">").number(board_.step()).quoted(bytes.subspan(at, part)).end_line();
        }
        return answer;
    }

    /// Whether anything was sent since it was asked last.
    bool spoke() {
        const bool spoke = spoke_;
        spoke_ = false;
        return spoke;
    }

  private:
    bool spoke_ = false;
    hal::Line& line_;
    Trace& trace_;
    const hal::ReplayedBoard& board_;
};

/// What steps took.
class Cost {
  public:
    void add(std::uint64_t step, std::uint32_t ticks, bool ordinary) {
        sum_ += ticks;
        ++steps_;
        if (ordinary && ticks > largest_ordinary_) largest_ordinary_ = ticks;
        if (ticks <= largest_) return;
        largest_ = ticks;
        largest_step_ = step;
    }
    void tell(Trace& trace) const {
        trace.text("cost").number(steps_ == 0 ? 0 : sum_ / steps_).number(largest_).number(largest_step_);
        trace.number(largest_ordinary_).end_line();
    }

  private:
    std::uint64_t sum_ = 0;
    std::uint64_t steps_ = 0;
    std::uint32_t largest_ = 0;
    std::uint64_t largest_step_ = 0;
    std::uint32_t largest_ordinary_ = 0;
};

// Not on the stack: a microcontroller's is small.
std::optional<Indicator> the_indicator;
IndicatorSettings the_settings;
std::optional<hal::ReplayedBoard> the_board;

/// As FORMAT.md numbers them.
std::uint64_t flags_of(const weighing::Readout& readout) {
    return (readout.stable ? 1u : 0u) | (readout.at_zero ? 2u : 0u) |
           (readout.tare_kind != weighing::TareKind::none ? 4u : 0u) | (readout.degraded ? 8u : 0u);
}

void tell_state(Trace& trace, const hal::ReplayedBoard& board, const Indicator& indicator) {
    const weighing::Readout& readout = indicator.readout();
    trace.text("step").number(board.step()).number(static_cast<std::uint64_t>(board.time_us()));
    trace.bits(indicator.state_hash()).number(static_cast<std::uint64_t>(readout.why));
    trace.number(static_cast<std::uint64_t>(readout.net.digits));
    trace.bits(std::bit_cast<std::uint64_t>(readout.ratio)).number(flags_of(readout)).end_line();
}

}  // namespace

ReplayEnd run_replay(const ReplayBench& bench, const TraceWish& wish) {
    Trace trace(bench.trace);
    trace.text("cornerbench trace 1").end_line();
    if (const SettingsError error = decode(bench.settings, the_settings); error != SettingsError::none) {
        trace.text("no run: ").text(words(error)).end_line();
        return ReplayEnd::no_run;
    }
    hal::ReplayedBoard& board = the_board.emplace(bench.recording);
    hal::Board ports = board.board();
    OverheardLine line(ports.line, trace, board);
    const hal::Board overheard{ports.clock, ports.converter, ports.memory,
                               line,        ports.panel,     ports.supervisor};
    Stopwatch watch(bench.ticks);
    StopwatchBoard stopped(overheard, watch);
    Cost cost;
    bool fresh = true;
    the_indicator.emplace(stopped.board(), the_settings);
    while (board.goes_on()) {
        if (board.starts_anew()) {
            trace.text("start").number(static_cast<std::uint64_t>(ports.supervisor.reset_cause())).end_line();
            the_indicator.emplace(stopped.board(), the_settings);
            fresh = true;
            continue;
        }
        watch.start();
        the_indicator->step();
        watch.pause();
        const std::uint64_t step = board.step();
        cost.add(step, watch.sum(), !line.spoke() && !fresh);
        fresh = false;
        if (step % wish.every == 0 || (step >= wish.first && step <= wish.last))
            tell_state(trace, board, *the_indicator);
    }
    const std::uint64_t hash = the_indicator->state_hash();
    if (wish.cost) cost.tell(trace);
    trace.text("end ").text(name_of(board.state())).number(board.step()).bits(hash).end_line();
    if (board.state() == hal::ReplayState::different) {
        trace.text("recorded ").text(board.recorded()).end_line();
        trace.text("came ").text(board.came()).end_line();
        return ReplayEnd::different;
    }
    if (board.state() != hal::ReplayState::finished) return ReplayEnd::no_run;
    return board.recorded_state_hash().value_or(hash) == hash ? ReplayEnd::same : ReplayEnd::different;
}

}  // namespace cornerbench::golden
