#include "sim/virtual_scale/replay.h"

#include "hal/recorded/call_words.h"

namespace cornerbench::virtual_scale {

namespace {

std::vector<CallInWords> calls_before(const hal::ReplayedBoard& board, hal::Microseconds first_us) {
    std::vector<CallInWords> calls;
    for (std::size_t ago = hal::ReplayedBoard::remembered_calls; ago > 0; --ago) {
        const hal::ReplayedBoard::PastCall* past = board.past(ago);
        if (past == nullptr) continue;
        hal::LineText text;
        hal::describe_answered(past->call, text);
        const auto passed_us = hal::wrapping_difference(past->time_us, first_us);
        calls.push_back({static_cast<double>(passed_us) / 1.0e6, std::string(text.view())});
    }
    return calls;
}

}  // namespace

Replay::Replay(hal::TextSource& source) : board_(std::make_unique<hal::ReplayedBoard>(source, &notes_)) {
    board_->goes_on();
}

void Replay::Notes::note(std::string_view name, std::span<const std::uint8_t> bytes) {
    texts[std::string(name)].append(reinterpret_cast<const char*>(bytes.data()), bytes.size());
}

ReplayOutcome Replay::run(const IndicatorSettings& settings) {
    ReplayOutcome outcome;
    auto indicator = std::make_unique<Indicator>(board_->board(), settings);
    outcome.power_ons = board_->goes_on() ? 1 : 0;
    hal::Microseconds first_us = 0;
    bool begun = false;
    while (board_->goes_on()) {
        if (board_->starts_anew()) {
            indicator = std::make_unique<Indicator>(board_->board(), settings);
            ++outcome.power_ons;
            continue;
        }
        indicator->step();
        if (!begun) first_us = board_->time_us();
        begun = true;
    }
    outcome.state = board_->state();
    const auto passed_us = hal::wrapping_difference(board_->time_us(), first_us);
    outcome.seconds = begun ? static_cast<double>(passed_us) / 1.0e6 : 0.0;
    outcome.steps = board_->step();
    outcome.frames = board_->frames();
    outcome.line = board_->line();
    outcome.recorded = board_->recorded();
    outcome.came = board_->came();
    if (outcome.state == hal::ReplayState::different) outcome.before = calls_before(*board_, first_us);
    outcome.state_hash = indicator->state_hash();
    outcome.recorded_hash = board_->recorded_state_hash();
    return outcome;
}

}  // namespace cornerbench::virtual_scale
