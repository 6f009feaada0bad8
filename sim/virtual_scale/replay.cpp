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
    notes_.clients = &clients_;
    board_->goes_on();
}

void Replay::Notes::note(std::string_view name, std::span<const std::uint8_t> bytes) {
    const std::string_view text(reinterpret_cast<const char*>(bytes.data()), bytes.size());
    if (ReplayedClients::is_client(name)) return clients->take_note(name, text, bytes.empty());
    texts[std::string(name)].append(text);
}

ReplayOutcome Replay::run(const IndicatorSettings& settings) {
    ReplayOutcome outcome;
    auto indicator = std::make_unique<Indicator>(board_->board(), settings);
    outcome.power_ons = board_->goes_on() ? 1 : 0;
    clients_.start(*indicator, settings.identity);
    hal::Microseconds first_us = 0;
    bool begun = false;
    // What clients do stands before the next call of a port.
    while (board_->goes_on() || clients_.pending()) {
        if (clients_.go_on(*board_)) {
            if (clients_.state() != ReplayedClients::State::well) break;
            continue;
        }
        if (board_->starts_anew()) {
            indicator = std::make_unique<Indicator>(board_->board(), settings);
            clients_.start(*indicator, settings.identity);
            ++outcome.power_ons;
            continue;
        }
        indicator->step();
        clients_.after_step(board_->time_us());
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
    follow_clients(outcome);
    if (outcome.state == hal::ReplayState::different) outcome.before = calls_before(*board_, first_us);
    outcome.state_hash = indicator->state_hash();
    outcome.traffic = indicator->traffic();
    outcome.recorded_hash = board_->recorded_state_hash();
    return outcome;
}

void Replay::follow_clients(ReplayOutcome& outcome) const {
    const bool board_well =
        outcome.state == hal::ReplayState::running || outcome.state == hal::ReplayState::finished;
    if (clients_.state() == ReplayedClients::State::well || !board_well) return;
    const bool different = clients_.state() == ReplayedClients::State::different;
    outcome.state = different ? hal::ReplayState::different : hal::ReplayState::malformed;
    outcome.recorded = clients_.recorded();
    outcome.came = clients_.came();
}

}  // namespace cornerbench::virtual_scale
