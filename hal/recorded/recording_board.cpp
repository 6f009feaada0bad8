#include "hal/recorded/recording_board.h"

#include <algorithm>
#include <bit>

#include "hal/recorded/note_reader.h"

namespace cornerbench::hal {

namespace {

/// As many equal bytes get a line of their own: an erased memory is read at every power-on.
constexpr std::size_t fewest_alike = 16;

std::int64_t number_of(Answer answer) {
    return static_cast<std::int64_t>(answer);
}

}  // namespace

RecordingBoard::RecordingBoard(const Board& board, TextSink& sink)
    : board_(board), sink_(sink), expected_(board.converter.traits().channels) {
    line_.text("cornerbench recording ").number(recording_version);
    write_line();
    const ConverterTraits traits = board_.converter.traits();
    line_.text("converter").field(traits.channels).field(traits.bits).field(traits.rate_mHz);
    line_.field(std::bit_cast<std::int64_t>(traits.full_scale_V_per_V));
    write_line();
    const MemoryGeometry geometry = board_.memory.geometry();
    line_.text("memory").field(geometry.program_size).field(geometry.block_size).field(geometry.block_count);
    if (geometry.erased_value != MemoryGeometry{}.erased_value) line_.field(geometry.erased_value);
    write_line();
    line_.text("supervisor").field(board_.supervisor.kick_within_us());
    line_.field(static_cast<std::int64_t>(board_.supervisor.reset_cause()));
    write_line();
}

void RecordingBoard::write_line() {
    line_.character(seal_.next(line_.view())).character('\n');
    if (!sink_failed_) sink_failed_ = sink_.write(line_.view()) != Answer::done;
    line_.clear();
}

void RecordingBoard::write_expected_run(bool step_follows) {
    if (expected_run_ > 0 || (!step_told_ && !step_follows)) {
        line_.character('=').field(expected_run_);
        line_.field(static_cast<std::int64_t>(expected_.step())).field(expected_.time_us());
        write_line();
        step_told_ = true;
    }
    expected_run_ = 0;
}

// Whether the call has to be written, with its payload if it has one; its numbers then stand in the line.
bool RecordingBoard::note(const Call& call, bool expected_payload) {
    const bool is_step = call.letter == call_now;
    if (expected_payload && call == expected_.next()) {
        if (expected_run_ == longest_run) write_expected_run(false);
        ++expected_run_;
        expected_.learn(call);
        if (is_step) step_told_ = false;
        return false;
    }
    write_expected_run(is_step);
    expected_.learn(call);
    if (is_step) {
        line_.character(call_now).field(call.answered[0]);
        line_.field(static_cast<std::int64_t>(expected_.step())).field(expected_.time_us());
        step_told_ = true;
    } else {
        line_.call(call);
    }
    return true;
}

// A line never reaches over a multiple of `bytes_in_data_line`, so that a reader can take as many at once.
void RecordingBoard::write_bytes(std::span<const std::uint8_t> bytes) {
    for (; bytes.size() > bytes_in_data_line; bytes = bytes.subspan(bytes_in_data_line))
        write_data_lines(bytes.first(bytes_in_data_line));
    write_data_lines(bytes);
}

void RecordingBoard::write_data_lines(std::span<const std::uint8_t> bytes) {
    while (!bytes.empty()) {
        const auto other = [&bytes](std::uint8_t byte) { return byte != bytes.front(); };
        auto end = std::find_if(bytes.begin(), bytes.end(), other);
        const auto alike = static_cast<std::size_t>(end - bytes.begin());
        if (alike >= fewest_alike) {
            line_.character('*').field(static_cast<std::int64_t>(alike)).field(bytes.front());
        } else {
            end = std::search_n(bytes.begin(), bytes.end(), fewest_alike, std::uint8_t{0xFF});
            line_.quoted(bytes.first(static_cast<std::size_t>(end - bytes.begin())));
        }
        write_line();
        bytes = bytes.subspan(static_cast<std::size_t>(end - bytes.begin()));
    }
}

void RecordingBoard::started_anew() {
    write_expected_run(true);
    line_.text("start").field(static_cast<std::int64_t>(board_.supervisor.reset_cause()));
    write_line();
    step_told_ = false;
}

void RecordingBoard::add_note(std::string_view name, std::string_view text) {
    write_expected_run(true);
    line_.text("note").field(static_cast<std::int64_t>(text.size())).character(' ');
    line_.quoted_words(name.substr(0, longest_note_name));
    write_line();
    // Broken where the text's own lines end, so that people can read it in the recording.
    while (!text.empty()) {
        const auto line_end =
            static_cast<std::size_t>(std::find(text.begin(), text.end(), '\n') - text.begin());
        const std::size_t size = std::min({line_end + 1, text.size(), bytes_in_data_line});
        write_bytes({reinterpret_cast<const std::uint8_t*>(text.data()), size});
        text.remove_prefix(size);
    }
    step_told_ = false;
}

void RecordingBoard::end(std::optional<std::uint64_t> state_hash) {
    write_expected_run(true);
    line_.text("end").field(static_cast<std::int64_t>(expected_.step()));
    if (state_hash) line_.field(static_cast<std::int64_t>(*state_hash));
    write_line();
}

Answer RecordingBoard::now(Microseconds& now) {
    const Answer answer = board_.clock.now(now);
    const std::int64_t step_us = answer == Answer::done ? late(now) : 0;
    if (note({call_now, {}, {number_of(answer), step_us}})) write_line();
    return answer;
}

Answer RecordingBoard::select(Excitation excitation, std::uint32_t channels) {
    const Answer answer = board_.converter.select(excitation, channels);
    if (note({call_select, {static_cast<std::int64_t>(excitation), channels}, {number_of(answer)}}))
        write_line();
    return answer;
}

Answer RecordingBoard::take(Microseconds now, std::span<Frame> frames, std::size_t& count) {
    const Answer answer = board_.converter.take(now, frames, count);
    count = std::min(count, frames.size());
    const Call call{call_take,
                    {static_cast<std::int64_t>(frames.size()), late(now)},
                    {number_of(answer), static_cast<std::int64_t>(count)}};
    const auto taken = frames.first(answer == Answer::done ? count : 0);
    Expectation after = expected_;
    bool regular = true;
    for (const Frame& frame : taken) {
        regular = regular && after.is_regular(frame);
        after.learn(frame);
    }
    if (!taken.empty() && regular && call == expected_.next()) {
        // The frames' lines say by themselves that everything up to them came as expected.
        expected_run_ = 0;
        expected_.learn(call);
    } else if (note(call, taken.empty())) {
        write_line();
    }
    for (const Frame& frame : taken) write_frame(frame);
    return answer;
}

void RecordingBoard::write_frame(const Frame& frame) {
    const Frame& last = expected_.last_frame();
    const auto channels = static_cast<std::size_t>(expected_.channels());
    std::size_t changed = channels;
    while (changed > 0 && frame.code[changed - 1] == last.code[changed - 1]) --changed;
    const bool regular = expected_.is_regular(frame);
    if (!regular) {
        line_.character('F').field(static_cast<std::uint32_t>(frame.sequence - last.sequence));
        line_.field(wrapping_difference(frame.taken_us, last.taken_us));
        line_.field(static_cast<std::uint32_t>(frame.check - check_of(frame, expected_.channels())));
    }
    for (std::size_t i = 0; i < changed || (regular && i == 0); ++i) {
        if (!regular || i > 0) line_.character(' ');
        line_.number(std::int64_t{frame.code[i]} - last.code[i]);
    }
    if (frame.fault != last.fault) {
        line_.text(" !");
        for (std::size_t i = 0; i < channels; ++i) line_.field(frame.fault[i]);
    }
    write_line();
    expected_.learn(frame);
}

Answer RecordingBoard::read(std::uint32_t block, std::uint32_t offset, std::span<std::uint8_t> bytes) {
    const Answer answer = board_.memory.read(block, offset, bytes);
    const bool filled = answer == Answer::done && !bytes.empty();
    if (note({call_read, {block, offset, static_cast<std::int64_t>(bytes.size())}, {number_of(answer)}},
             !filled)) {
        write_line();
        if (filled) write_bytes(bytes);
    }
    return answer;
}

Answer RecordingBoard::start_program(std::uint32_t block, std::uint32_t offset,
                                     std::span<const std::uint8_t> bytes) {
    const Answer answer = board_.memory.start_program(block, offset, bytes);
    if (note({call_program, {block, offset, static_cast<std::int64_t>(bytes.size())}, {number_of(answer)}},
             bytes.empty())) {
        write_line();
        write_bytes(bytes);
    }
    return answer;
}

Answer RecordingBoard::start_erase(std::uint32_t block) {
    const Answer answer = board_.memory.start_erase(block);
    if (note({call_erase, {block}, {number_of(answer)}})) write_line();
    return answer;
}

Answer RecordingBoard::start_sync() {
    const Answer answer = board_.memory.start_sync();
    if (note({call_sync, {}, {number_of(answer)}})) write_line();
    return answer;
}

Answer RecordingBoard::poll(Microseconds now) {
    const Answer answer = board_.memory.poll(now);
    if (note({call_poll, {late(now)}, {number_of(answer)}})) write_line();
    return answer;
}

Answer RecordingBoard::receive(std::span<std::uint8_t> bytes, std::size_t& count) {
    const Answer answer = board_.line.receive(bytes, count);
    count = std::min(count, bytes.size());
    const auto received = bytes.first(answer == Answer::done ? count : 0);
    if (note({call_receive,
              {static_cast<std::int64_t>(bytes.size())},
              {number_of(answer), static_cast<std::int64_t>(count)}},
             received.empty())) {
        write_line();
        write_bytes(received);
    }
    return answer;
}

Answer RecordingBoard::send(std::span<const std::uint8_t> bytes, std::size_t& count) {
    const Answer answer = board_.line.send(bytes, count);
    count = std::min(count, bytes.size());
    const auto sent = bytes.first(answer == Answer::done ? count : 0);
    if (note({call_send,
              {static_cast<std::int64_t>(bytes.size())},
              {number_of(answer), static_cast<std::int64_t>(count)}},
             sent.empty())) {
        write_line();
        write_bytes(sent);
    }
    return answer;
}

Answer RecordingBoard::show(const PanelPicture& picture) {
    const Answer answer = board_.panel.show(picture);
    if (note({call_show, {picture.lights}, {number_of(answer)}}, picture == expected_.picture)) {
        line_.picture(picture);
        write_line();
    }
    expected_.picture = picture;
    return answer;
}

Answer RecordingBoard::take_keys(std::span<Key> keys, std::size_t& count) {
    const Answer answer = board_.panel.take_keys(keys, count);
    count = std::min(count, keys.size());
    const auto taken = keys.first(answer == Answer::done ? count : 0);
    if (note({call_keys,
              {static_cast<std::int64_t>(keys.size())},
              {number_of(answer), static_cast<std::int64_t>(count)}},
             taken.empty())) {
        write_line();
        for (const Key key : taken) {
            const auto byte = static_cast<std::uint8_t>('0' + static_cast<int>(key));
            write_bytes({&byte, 1});
        }
    }
    return answer;
}

Answer RecordingBoard::kick(Microseconds now) {
    const Answer answer = board_.supervisor.kick(now);
    if (note({call_kick, {late(now)}, {number_of(answer)}})) write_line();
    return answer;
}

bool RecordingBoard::supply_good(Microseconds now) {
    const bool good = board_.supervisor.supply_good(now);
    if (note({call_supply, {late(now)}, {good ? 1 : 0}})) write_line();
    return good;
}

bool RecordingBoard::seal_open() {
    const bool open = board_.supervisor.seal_open();
    if (note({call_seal, {}, {open ? 1 : 0}})) write_line();
    return open;
}

}  // namespace cornerbench::hal
