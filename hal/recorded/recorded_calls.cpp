#include "hal/recorded/recorded_calls.h"

#include <algorithm>
#include <array>
#include <bit>
#include <limits>

namespace cornerbench::hal {

namespace {

constexpr auto done = static_cast<std::int64_t>(Answer::done);
constexpr auto last_answer = static_cast<std::int64_t>(Answer::disconnected);
constexpr auto last_cause = static_cast<std::int64_t>(ResetCause::asked_for);
constexpr std::int64_t most = std::numeric_limits<std::int64_t>::max();
constexpr std::int64_t most_32_bits = std::numeric_limits<std::uint32_t>::max();

bool answers_frames(const Call& call) {
    return call.letter == call_take && call.answered[0] == done && call.answered[1] > 0;
}

/// Whether a call's answers are ones that its port can give.
bool is_possible(const Call& call) {
    const bool is_flag = call.letter == call_supply || call.letter == call_seal;
    if (call.answered[0] < 0 || call.answered[0] > (is_flag ? 1 : last_answer)) return false;
    const bool counts = call.letter == call_take || call.letter == call_receive || call.letter == call_send ||
                        call.letter == call_keys;
    return !counts || (call.answered[1] >= 0 && call.answered[1] <= call.given[0]);
}

}  // namespace

bool RecordedCalls::fail(ReplayState state) {
    if (state_ == ReplayState::running) state_ = state;
    return false;
}

bool RecordedCalls::read_line() {
    if (state_ != ReplayState::running) return false;
    const ReplayState state = lines_.next();
    return state == ReplayState::running || fail(state);
}

bool RecordedCalls::read_header(ConverterTraits& traits, MemoryGeometry& geometry,
                                Microseconds& kick_within_us, ResetCause& cause) {
    const ReplayState first = lines_.next();
    if (first == ReplayState::unreadable) return fail(first);
    // Another version may seal its lines in another way, so its name is read first.
    LineParser title(lines_.line());
    if (!title.skip("cornerbench recording ")) return fail(ReplayState::not_a_recording);
    if (first == ReplayState::line_ends) return fail(first);
    std::int64_t version = 0;
    if (!title.number(version) || !title.at_end() || version != recording_version)
        return fail(first == ReplayState::truncated ? first : ReplayState::wrong_version);
    if (first != ReplayState::running) return fail(first);

    if (!read_line()) return false;
    LineParser converter(lines_.line());
    std::int64_t channels = 0;
    std::int64_t bits = 0;
    std::int64_t full_scale = 0;
    if (!converter.skip("converter") || !converter.field(channels, 1, max_channels) ||
        !converter.field(bits, 2, 32) || !converter.field(traits.rate_mHz, 1, most) ||
        !converter.field(full_scale) || !converter.at_end())
        return fail(ReplayState::malformed);
    traits.channels = static_cast<int>(channels);
    traits.bits = static_cast<int>(bits);
    traits.full_scale_V_per_V = std::bit_cast<double>(full_scale);
    expected_ = Expectation(traits.channels);

    if (!read_line()) return false;
    LineParser memory(lines_.line());
    std::int64_t program_size = 0;
    std::int64_t block_size = 0;
    std::int64_t block_count = 0;
    std::int64_t erased_value = geometry.erased_value;
    if (!memory.skip("memory") || !memory.field(program_size, 1, most_32_bits) ||
        !memory.field(block_size, 1, most_32_bits) || !memory.field(block_count, 1, most_32_bits) ||
        (!memory.at_end() && !memory.field(erased_value, 0, 255)) || !memory.at_end() ||
        block_size % program_size != 0)
        return fail(ReplayState::malformed);
    geometry.program_size = static_cast<std::uint32_t>(program_size);
    geometry.block_size = static_cast<std::uint32_t>(block_size);
    geometry.block_count = static_cast<std::uint32_t>(block_count);
    geometry.erased_value = static_cast<std::uint8_t>(erased_value);

    if (!read_line()) return false;
    LineParser supervisor(lines_.line());
    std::int64_t cause_number = 0;
    if (!supervisor.skip("supervisor") || !supervisor.field(kick_within_us, 1, most) ||
        !supervisor.field(cause_number, 0, last_cause) || !supervisor.at_end())
        return fail(ReplayState::malformed);
    cause = static_cast<ResetCause>(cause_number);
    return true;
}

bool RecordedCalls::parse_step_line() {
    LineParser parser(lines_.line());
    std::int64_t answer = 0;
    std::int64_t step = 0;
    std::int64_t time_us = 0;
    if (parser.letter() != call_now || !parser.field(answer, 0, last_answer) || !parser.field(step) ||
        !parser.field(time_us) || !parser.at_end())
        return fail(ReplayState::malformed);
    const std::int64_t step_us = wrapping_difference(time_us, expected_.time_us());
    if (step != static_cast<std::int64_t>(expected_.step()) + 1 || (answer != done && step_us != 0))
        return fail(ReplayState::malformed);
    call_ = {call_now, {}, {answer, step_us}};
    item_ = Item::call;
    return true;
}

bool RecordedCalls::parse_run_line() {
    LineParser parser(lines_.line());
    if (parser.letter() != '=' || !parser.field(run_left_, 0, longest_run) || !parser.field(run_step_) ||
        !parser.field(run_time_us_) || !parser.at_end())
        return fail(ReplayState::malformed);
    item_ = Item::expected_run;
    return run_left_ > 0 || end_of_run();
}

bool RecordedCalls::end_of_run() {
    item_ = Item::none;
    return (run_step_ == static_cast<std::int64_t>(expected_.step()) &&
            run_time_us_ == expected_.time_us()) ||
           fail(ReplayState::malformed);
}

bool RecordedCalls::parse_call_line() {
    LineParser parser(lines_.line());
    call_ = {};
    call_.letter = parser.letter();
    const CallKind* kind = kind_of(call_.letter);
    if (kind == nullptr) return fail(ReplayState::malformed);
    for (std::size_t i = 0; i < kind->given; ++i)
        if (!parser.field(call_.given[i])) return fail(ReplayState::malformed);
    for (std::size_t i = 0; i < kind->answered; ++i)
        if (!parser.field(call_.answered[i])) return fail(ReplayState::malformed);
    picture_told_ = kind->payload == Payload::picture;
    if (picture_told_ && !parser.picture(picture_)) return fail(ReplayState::malformed);
    if (!parser.at_end() || !is_possible(call_)) return fail(ReplayState::malformed);
    item_ = Item::call;
    return true;
}

bool RecordedCalls::parse_end_line() {
    LineParser parser(lines_.line());
    std::int64_t steps = 0;
    if (!parser.skip("end") || !parser.field(steps) || steps != static_cast<std::int64_t>(expected_.step()))
        return fail(ReplayState::malformed);
    std::int64_t hash = 0;
    if (!parser.at_end()) {
        if (!parser.field(hash) || !parser.at_end()) return fail(ReplayState::malformed);
        state_hash_ = static_cast<std::uint64_t>(hash);
    }
    if (const ReplayState behind = lines_.expect_end(); behind != ReplayState::running) return fail(behind);
    item_ = Item::end;
    return true;
}

bool RecordedCalls::read_note() {
    LineParser parser(lines_.line());
    std::int64_t size = 0;
    std::array<char, longest_note_name> name{};
    if (!parser.skip("note") || !parser.field(size, 0, most) || !parser.skip(" ") ||
        !parser.quoted_words(name) || !parser.at_end())
        return fail(ReplayState::malformed);
    const auto end = std::find(name.begin(), name.end(), '\0');
    const std::string_view called(name.data(), static_cast<std::size_t>(end - name.begin()));
    if (notes_ != nullptr) notes_->note(called, {});
    std::array<std::uint8_t, bytes_in_data_line> bytes{};
    while (size > 0) {
        const std::int64_t room = std::min<std::int64_t>(size, bytes_in_data_line);
        std::size_t count = 0;
        if (!read_data_line(std::span(bytes).first(static_cast<std::size_t>(room)), count)) return false;
        if (notes_ != nullptr) notes_->note(called, std::span(bytes).first(count));
        size -= static_cast<std::int64_t>(count);
    }
    return true;
}

bool RecordedCalls::read_item() {
    while (item_ == Item::none) {
        if (!read_line()) return false;
        if (lines_.line().empty()) return fail(ReplayState::malformed);
        const char letter = lines_.line()[0];
        LineParser parser(lines_.line());
        if (letter == call_now) {
            if (!parse_step_line()) return false;
        } else if (letter == '=') {
            if (!parse_run_line()) return false;
        } else if (letter == '-' || (letter >= '0' && letter <= '9')) {
            item_ = Item::regular_frames;
            frame_line_held_ = true;
            implied_ = 0;
        } else if (parser.skip("start")) {
            if (!parser.field(start_cause_, 0, last_cause) || !parser.at_end())
                return fail(ReplayState::malformed);
            item_ = Item::start;
        } else if (parser.skip("end")) {
            if (!parse_end_line()) return false;
        } else if (parser.skip("note")) {
            if (!read_note()) return false;
        } else if (!parse_call_line()) {
            return false;
        }
    }
    return true;
}

bool RecordedCalls::look(Next& next) {
    if (!read_item()) return false;
    next = item_ == Item::start ? Next::start : item_ == Item::end ? Next::end : Next::call;
    return true;
}

// A frame's line that stands alone says that all came as expected up to the next take with frames. When a
// whole step and the next have none, the line can be nobody's.
bool RecordedCalls::implied_call(Call& call) {
    call = expected_.next();
    if (answers_frames(call)) {
        item_ = Item::none;
        return true;
    }
    constexpr auto limit = static_cast<std::int64_t>(2 * Expectation::calls_in_step + 2);
    return ++implied_ <= limit || fail(ReplayState::malformed);
}

bool RecordedCalls::next_call(Call& call) {
    if (!read_item()) return false;
    picture_told_ = picture_told_ && item_ == Item::call;
    switch (item_) {
        case Item::expected_run:
            call = expected_.next();
            // Its frames would have lines.
            if (answers_frames(call)) return fail(ReplayState::malformed);
            break;
        case Item::regular_frames:
            if (!implied_call(call)) return false;
            break;
        case Item::call:
            call = call_;
            item_ = Item::none;
            break;
        default:
            return fail(ReplayState::malformed);
    }
    expected_.learn(call);
    return item_ != Item::expected_run || --run_left_ > 0 || end_of_run();
}

bool RecordedCalls::frame(Frame& frame) {
    if (!frame_line_held_ && !read_line()) return false;
    frame_line_held_ = false;
    const std::string_view line = lines_.line();
    const bool good = line.starts_with('F') ? parse_frame(frame) : parse_regular_frame(frame);
    if (!good) return fail(ReplayState::malformed);
    expected_.learn(frame);
    return true;
}

bool RecordedCalls::parse_regular_frame(Frame& frame) {
    LineParser parser(lines_.line());
    frame = expected_.last_frame();
    ++frame.sequence;
    frame.taken_us = wrapping_sum(frame.taken_us, expected_.frame_distance_us());
    for (std::size_t i = 0; i < static_cast<std::size_t>(expected_.channels()); ++i) {
        std::int64_t change = 0;
        if (!(i == 0 ? parser.number(change) : parser.field(change))) return false;
        frame.code[i] = static_cast<std::int32_t>(static_cast<std::uint32_t>(frame.code[i]) +
                                                  static_cast<std::uint32_t>(change));
        if (parser.at_end()) break;
    }
    frame.check = check_of(frame, expected_.channels());
    return parser.at_end();
}

bool RecordedCalls::parse_frame(Frame& frame) {
    LineParser parser(lines_.line());
    const Frame& last = expected_.last_frame();
    std::int64_t sequence = 0;
    std::int64_t distance_us = 0;
    std::int64_t check = 0;
    if (parser.letter() != 'F' || !parser.field(sequence, 0, most_32_bits) || !parser.field(distance_us) ||
        !parser.field(check, 0, most_32_bits))
        return false;
    frame = last;
    frame.sequence += static_cast<std::uint32_t>(sequence);
    frame.taken_us = wrapping_sum(frame.taken_us, distance_us);
    bool faults_follow = false;
    for (std::size_t i = 0; i <= static_cast<std::size_t>(expected_.channels()); ++i) {
        if (parser.at_end()) break;
        faults_follow = parser.skip(" !");
        if (faults_follow) break;
        std::int64_t change = 0;
        if (i == static_cast<std::size_t>(expected_.channels()) || !parser.field(change)) return false;
        frame.code[i] = static_cast<std::int32_t>(static_cast<std::uint32_t>(frame.code[i]) +
                                                  static_cast<std::uint32_t>(change));
    }
    if (faults_follow && !parse_faults(parser, frame)) return false;
    frame.check = check_of(frame, expected_.channels()) + static_cast<std::uint32_t>(check);
    return parser.at_end();
}

bool RecordedCalls::parse_faults(LineParser& parser, Frame& frame) {
    for (std::size_t i = 0; i < static_cast<std::size_t>(expected_.channels()); ++i) {
        std::int64_t fault = 0;
        if (!parser.field(fault, 0, 255)) return false;
        frame.fault[i] = static_cast<std::uint8_t>(fault);
    }
    return true;
}

bool RecordedCalls::read_data_line(std::span<std::uint8_t> room, std::size_t& count) {
    if (!read_line()) return false;
    LineParser parser(lines_.line());
    if (parser.skip("*")) {
        std::int64_t size = 0;
        std::int64_t value = 0;
        if (!parser.field(size, 1, static_cast<std::int64_t>(room.size())) || !parser.field(value, 0, 255) ||
            !parser.at_end())
            return fail(ReplayState::malformed);
        count = static_cast<std::size_t>(size);
        std::fill_n(room.begin(), count, static_cast<std::uint8_t>(value));
        return true;
    }
    return (parser.quoted(room, count) && count > 0 && parser.at_end()) || fail(ReplayState::malformed);
}

bool RecordedCalls::bytes(std::span<std::uint8_t> bytes) {
    while (!bytes.empty()) {
        std::size_t count = 0;
        if (!read_data_line(bytes.first(std::min(bytes.size(), bytes_in_data_line)), count)) return false;
        bytes = bytes.subspan(count);
    }
    return true;
}

bool RecordedCalls::picture(PanelPicture& picture) {
    if (picture_told_) expected_.picture = picture_;
    picture_told_ = false;
    picture = expected_.picture;
    return state_ == ReplayState::running;
}

bool RecordedCalls::start(ResetCause& cause) {
    Next next = Next::call;
    if (!look(next)) return false;
    if (next != Next::start) return fail(ReplayState::malformed);
    cause = static_cast<ResetCause>(start_cause_);
    item_ = Item::none;
    return true;
}

}  // namespace cornerbench::hal
