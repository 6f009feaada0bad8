#include "hal/recorded/replayed_board.h"

#include <algorithm>
#include <array>

#include "hal/recorded/call_words.h"

namespace cornerbench::hal {

namespace {

constexpr auto failed = static_cast<std::int64_t>(Answer::failed);
constexpr auto done = static_cast<std::int64_t>(Answer::done);

}  // namespace

ReplayedBoard::ReplayedBoard(TextSource& source, NoteReader* notes) : calls_(source, notes) {
    if (!calls_.read_header(traits_, geometry_, kick_within_us_, reset_cause_)) follow();
}

// Takes over an error of the recording; whether the replay still runs.
bool ReplayedBoard::follow() {
    if (state_ != ReplayState::running) return false;
    line_ = calls_.line_number();
    state_ = calls_.state();
    return state_ == ReplayState::running;
}

bool ReplayedBoard::fail(ReplayState state) {
    if (follow()) state_ = state;
    return false;
}

bool ReplayedBoard::goes_on() {
    if (state_ != ReplayState::running) return false;
    RecordedCalls::Next next = RecordedCalls::Next::call;
    const bool there = calls_.look(next);
    follow();
    if (there && next == RecordedCalls::Next::end) return fail(ReplayState::finished);
    return there;
}

bool ReplayedBoard::starts_anew() {
    RecordedCalls::Next next = RecordedCalls::Next::call;
    if (state_ != ReplayState::running || !calls_.look(next) || next != RecordedCalls::Next::start) {
        follow();
        return false;
    }
    return calls_.start(reset_cause_) && follow();
}

// Whether the recording's next call is this one; `recorded` then has its answers.
bool ReplayedBoard::match(const Call& came, Call& recorded) {
    recorded = came;
    recorded.answered = {failed, 0};
    if (state_ != ReplayState::running) return false;
    RecordedCalls::Next next = RecordedCalls::Next::call;
    if (!calls_.look(next)) return follow();
    if (next != RecordedCalls::Next::call) {
        recorded_.text(next == RecordedCalls::Next::end ? "the end of the recording"
                                                        : "a start of the board");
        describe(came, came_);
        return fail(ReplayState::different);
    }
    Call call;
    line_ = calls_.line_number();
    if (!calls_.next_call(call)) return follow();
    if (call.letter != came.letter || call.given != came.given) {
        describe(call, recorded_);
        describe(came, came_);
        return fail(ReplayState::different);
    }
    recorded = call;
    past_[past_count_++ % past_.size()] = {call, calls_.time_us()};
    return true;
}

// The call itself came as recorded, so it stands among the past ones.
bool ReplayedBoard::differs_in_payload() {
    --past_count_;
    return fail(ReplayState::different);
}

Answer ReplayedBoard::answer(const Call& came) {
    Call recorded;
    match(came, recorded);
    return static_cast<Answer>(recorded.answered[0]);
}

Answer ReplayedBoard::now(Microseconds& now) {
    const Answer result = answer({call_now});
    if (result == Answer::done) now = calls_.time_us();
    return result;
}

Answer ReplayedBoard::select(Excitation excitation, std::uint32_t channels) {
    return answer({call_select, {static_cast<std::int64_t>(excitation), channels}});
}

Answer ReplayedBoard::take(Microseconds now, std::span<Frame> frames, std::size_t& count) {
    Call recorded;
    count = 0;
    if (match({call_take, {static_cast<std::int64_t>(frames.size()), late(now)}}, recorded) &&
        recorded.answered[0] == done) {
        const auto wanted = static_cast<std::size_t>(recorded.answered[1]);
        for (Frame& frame : frames.first(wanted)) {
            if (!calls_.frame(frame)) break;
            ++count;
        }
        frames_ += count;
        if (!follow()) {
            count = 0;
            return Answer::failed;
        }
    } else {
        count = static_cast<std::size_t>(recorded.answered[1]);
    }
    return static_cast<Answer>(recorded.answered[0]);
}

Answer ReplayedBoard::read(std::uint32_t block, std::uint32_t offset, std::span<std::uint8_t> bytes) {
    const Answer result = answer({call_read, {block, offset, static_cast<std::int64_t>(bytes.size())}});
    if (result != Answer::done) return result;
    calls_.bytes(bytes);
    return follow() ? result : Answer::failed;
}

// Whether what the firmware gave is what stands in the recording's next lines.
bool ReplayedBoard::compare_bytes(const Call& came, std::span<const std::uint8_t> bytes) {
    std::array<std::uint8_t, bytes_in_data_line> was{};
    for (std::size_t done_bytes = 0; done_bytes < bytes.size();) {
        const std::size_t part = std::min(was.size(), bytes.size() - done_bytes);
        calls_.bytes(std::span(was).first(part));
        if (!follow()) return false;
        for (std::size_t i = 0; i < part; ++i) {
            const std::uint8_t is = bytes[done_bytes + i];
            if (was[i] == is) continue;
            const auto place = static_cast<std::int64_t>(done_bytes + i);
            describe(came, recorded_);
            recorded_.text(", byte").field(place).text(" is").field(was[i]).text(" in ");
            recorded_.quoted(std::span(was).first(part));
            describe(came, came_);
            came_.text(", byte").field(place).text(" is").field(is).text(" in ");
            came_.quoted(bytes.subspan(done_bytes, part));
            return differs_in_payload();
        }
        done_bytes += part;
    }
    return true;
}

Answer ReplayedBoard::start_program(std::uint32_t block, std::uint32_t offset,
                                    std::span<const std::uint8_t> bytes) {
    const Call came{call_program, {block, offset, static_cast<std::int64_t>(bytes.size())}};
    Call recorded;
    if (!match(came, recorded) || !compare_bytes(came, bytes)) return Answer::failed;
    return static_cast<Answer>(recorded.answered[0]);
}

Answer ReplayedBoard::start_erase(std::uint32_t block) {
    return answer({call_erase, {block}});
}

Answer ReplayedBoard::start_sync() {
    return answer({call_sync});
}

Answer ReplayedBoard::poll(Microseconds now) {
    return answer({call_poll, {late(now)}});
}

Answer ReplayedBoard::receive(std::span<std::uint8_t> bytes, std::size_t& count) {
    Call recorded;
    match({call_receive, {static_cast<std::int64_t>(bytes.size())}}, recorded);
    count = static_cast<std::size_t>(recorded.answered[1]);
    if (recorded.answered[0] == done && !calls_.bytes(bytes.first(count))) {
        follow();
        count = 0;
        return Answer::failed;
    }
    return static_cast<Answer>(recorded.answered[0]);
}

Answer ReplayedBoard::send(std::span<const std::uint8_t> bytes, std::size_t& count) {
    const Call came{call_send, {static_cast<std::int64_t>(bytes.size())}};
    Call recorded;
    match(came, recorded);
    count = static_cast<std::size_t>(recorded.answered[1]);
    if (recorded.answered[0] == done && !compare_bytes(came, bytes.first(count))) {
        count = 0;
        return Answer::failed;
    }
    return static_cast<Answer>(recorded.answered[0]);
}

Answer ReplayedBoard::show(const PanelPicture& picture) {
    const Call came{call_show, {picture.lights}};
    Call recorded;
    PanelPicture was;
    if (!match(came, recorded) || !calls_.picture(was)) return Answer::failed;
    was.lights = picture.lights;
    if (was != picture) {
        describe(came, recorded_);
        recorded_.picture(was);
        describe(came, came_);
        came_.picture(picture);
        differs_in_payload();
        return Answer::failed;
    }
    return static_cast<Answer>(recorded.answered[0]);
}

Answer ReplayedBoard::take_keys(std::span<Key> keys, std::size_t& count) {
    Call recorded;
    match({call_keys, {static_cast<std::int64_t>(keys.size())}}, recorded);
    const auto wanted = static_cast<std::size_t>(recorded.answered[1]);
    count = wanted;
    if (recorded.answered[0] != done) return static_cast<Answer>(recorded.answered[0]);
    for (Key& key : keys.first(wanted)) {
        std::uint8_t byte = 0;
        const bool there = calls_.bytes({&byte, 1}) && follow();
        if (there && byte >= '0' && byte <= '0' + static_cast<int>(Key::print)) {
            key = static_cast<Key>(byte - '0');
            continue;
        }
        fail(ReplayState::malformed);
        count = 0;
        return Answer::failed;
    }
    return Answer::done;
}

Answer ReplayedBoard::kick(Microseconds now) {
    return answer({call_kick, {late(now)}});
}

bool ReplayedBoard::supply_good(Microseconds now) {
    Call recorded;
    return match({call_supply, {late(now)}}, recorded) && recorded.answered[0] != 0;
}

bool ReplayedBoard::seal_open() {
    Call recorded;
    return match({call_seal}, recorded) && recorded.answered[0] != 0;
}

}  // namespace cornerbench::hal
