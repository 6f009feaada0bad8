#include "firmware/console/console.h"

#include <algorithm>

#include "firmware/console/characters.h"

namespace cornerbench::console {

namespace {

constexpr int units_a_round = 16;
constexpr int blocks_a_round = 8;

std::uint32_t changes_of(const Instrument& instrument) {
    return instrument.calibration_changes() + instrument.configuration_changes();
}

}  // namespace

Console::Console(Instrument& instrument, const Identity& identity) : instrument_(&instrument) {
    session_.identity = identity;
}

std::size_t Console::receive(std::span<const std::uint8_t> bytes) {
    std::size_t taken = 0;
    while (taken < bytes.size() && reader_.state() == LineReader::State::reading)
        reader_.take(bytes[taken++]);
    return taken;
}

void Console::report(Outcome outcome, std::string_view from_line) {
    if (outcome.error == Error::none) return;
    session_.errors.push(outcome, from_line);
    session_.status.event = static_cast<std::uint8_t>(session_.status.event | event_bit(outcome.error));
}

void Console::watch_instrument() {
    session_.status.update(*instrument_);
    if (instrument_->storing()) return;
    if (store_watched_ && changes_of(*instrument_) == changes_before_)
        report(outcome_of(Refusal::not_stored));
    store_watched_ = false;
    if (!session_.completion_asked) return;
    session_.completion_asked = false;
    session_.status.event = static_cast<std::uint8_t>(session_.status.event | event_operation_complete);
}

bool Console::step(std::int64_t now_us) {
    watch_instrument();
    if (!working_) {
        if (reader_.state() == LineReader::State::reading) return false;
        begin_line();
        if (!working_) return true;
    }
    std::string_view rest = rest_;
    const std::string_view unit = take_unit(rest);
    // A ';' with nothing behind it leaves an empty unit to be complained of.
    const bool last = unit.size() == rest_.size();
    if (!work_off(unit, now_us)) return false;
    rest_ = rest;
    watch_instrument();
    if (last || spoiled_) end_line();
    return true;
}

void Console::begin_line() {
    if (reader_.state() == LineReader::State::bad) {
        report({reader_.error(), {}});
        reader_.next();
        return;
    }
    rest_ = reader_.line();
    path_ = {};
    spoiled_ = false;
    working_ = !without_blanks(rest_).empty();
    if (!working_) reader_.next();
}

void Console::end_line() {
    working_ = false;
    reader_.next();
    if (written_ == answered_) return;
    if (written_ == room_.size()) return answer_too_long();
    room_[written_++] = '\n';
    answered_ = written_;
}

void Console::answer_too_long() {
    written_ = answered_;
    spoiled_ = true;
    report({Error::query_deadlocked, "answers were not taken"});
}

bool Console::waits(const Command& command, std::int64_t now_us) {
    if (!command.waits || !instrument_->storing()) {
        waiting_ = false;
        return false;
    }
    if (!waiting_) waiting_since_us_ = now_us;
    waiting_ = now_us - waiting_since_us_ < longest_wait_us;
    if (!waiting_) report({Error::time_out, "still storing"});
    return waiting_;
}

bool Console::work_off(std::string_view text, std::int64_t now_us) {
    MessageUnit unit;
    const Error error = read_unit(text, path_, unit);
    if (error != Error::none) {
        report({error, {}}, without_blanks(text));
        spoiled_ = true;
        return true;
    }
    int suffix = 1;
    const Command* command = find_command(unit, suffix);
    Error form = Error::none;
    if (command == nullptr)
        form = Error::undefined_header;
    else if (unit.parameter_count < static_cast<std::size_t>(command->least_parameters))
        form = Error::missing_parameter;
    else if (unit.parameter_count > static_cast<std::size_t>(command->most_parameters))
        form = Error::parameter_not_allowed;
    if (form != Error::none) {
        report({form, {}}, unit.header_text);
        spoiled_ = true;
        return true;
    }
    if (waits(*command, now_us)) return false;

    // What was sent makes room for what comes.
    std::copy(room_.begin() + static_cast<std::ptrdiff_t>(sent_),
              room_.begin() + static_cast<std::ptrdiff_t>(written_), room_.begin());
    answered_ -= sent_;
    written_ -= sent_;
    sent_ = 0;

    const std::span<char> room(room_);
    TextWriter answer(room.subspan(written_));
    if (written_ > answered_) answer.put(';');
    const std::size_t before = answer.size();
    session_.message_waiting = written_ > 0;
    Call call{*instrument_, session_, std::span(unit.parameters).first(unit.parameter_count), suffix, answer};
    run(*command, call, text);
    if (answer.full()) {
        answer_too_long();
        return true;
    }
    if (answer.size() > before) written_ += answer.size();
    return true;
}

void Console::run(const Command& command, Call& call, std::string_view text) {
    const bool stored_before = instrument_->storing();
    const std::uint32_t changes = changes_of(*instrument_);
    const std::size_t before = call.answer.size();
    const Outcome outcome = command.act(call);
    if (!stored_before && instrument_->storing()) {
        store_watched_ = true;
        changes_before_ = changes;
    }
    if (outcome.error == Error::none) return;
    call.answer.cut(before);
    spoiled_ = event_bit(outcome.error) == event_command_error;
    report(outcome, outcome.text.empty() ? without_blanks(text) : std::string_view{});
}

std::span<const std::uint8_t> Console::answers() const {
    const auto* bytes = reinterpret_cast<const std::uint8_t*>(room_.data());
    return {bytes + sent_, answered_ - sent_};
}

void Console::sent(std::size_t count) {
    sent_ += std::min(count, answered_ - sent_);
}

bool Console::idle() const {
    return !working_ && reader_.state() == LineReader::State::reading && unread_begin_ == unread_end_ &&
           answers().empty();
}

void Console::lost_input() {
    reader_.spoil(Error::communication);
}

void Console::disconnected() {
    reader_.next();
    working_ = false;
    waiting_ = false;
    rest_ = {};
    sent_ = answered_ = written_ = 0;
    unread_begin_ = unread_end_ = 0;
}

void Console::serve(hal::Line& line, std::int64_t now_us) {
    int units = 0;
    for (int block = 0; block < blocks_a_round; ++block) {
        const int units_before = units;
        if (unread_begin_ == unread_end_) {
            std::size_t count = 0;
            const hal::Answer answer = line.receive(unread_, count);
            if (answer == hal::Answer::disconnected) return disconnected();
            if (answer == hal::Answer::failed) lost_input();
            unread_begin_ = 0;
            unread_end_ = std::min(count, unread_.size());
        }
        const std::size_t taken = receive(std::span(unread_).first(unread_end_).subspan(unread_begin_));
        unread_begin_ += taken;
        while (units < units_a_round && step(now_us)) ++units;
        if (const std::span<const std::uint8_t> waiting = answers(); !waiting.empty()) {
            std::size_t count = 0;
            if (line.send(waiting, count) == hal::Answer::disconnected) return disconnected();
            sent(count);
        }
        if (units == units_a_round || (taken == 0 && units == units_before)) return;
    }
}

}  // namespace cornerbench::console
