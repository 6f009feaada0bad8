#pragma once

#include <array>
#include <random>
#include <span>
#include <string>
#include <vector>

#include "hal/conformance/rig.h"

namespace cornerbench::hal {

/// A firmware that calls at random, in a world that feeds it at random. What it gets goes into `got`.
///
/// The firmware's draws do not depend on the world's, so that the same session runs on a replay, where the
/// world does nothing.
class RandomSession {
  public:
    explicit RandomSession(std::uint64_t seed) : firmware_(seed), world_(seed + 0x1234567) {}

    std::string got;
    int deviate_at_call = -1;  ///< before this call, counted from 0, make one that the session has not
    int calls = 0;

    void step(Rig& rig) {
        change_world(rig);
        const Board board = rig.board();
        Microseconds now = 0;
        begin_call(board);
        note(board.clock.now(now));
        got += std::to_string(now);
        const bool eventful = draw(8) == 0;
        begin_call(board);
        got += board.supervisor.supply_good(now) ? 'g' : 'b';
        take(board, now, 4);
        if (eventful) any_call(board, now);
        receive(board, 16);
        keys(board, 4);
        if (eventful)
            for (std::uint64_t i = draw(6); i > 0; --i) any_call(board, now);
        begin_call(board);
        note(board.panel.show(picture_));
        begin_call(board);
        note(board.supervisor.kick(now));
    }

  private:
    std::uint64_t draw(std::uint64_t bound) { return firmware_() % bound; }
    std::uint64_t world(std::uint64_t bound) { return world_() % bound; }
    void note(Answer answer) { got += name_of(answer)[0]; }

    void begin_call(const Board& board) {
        // An erase of a block that nobody has: no other call of the session gives this.
        if (calls++ == deviate_at_call) note(board.memory.start_erase(999'999));
    }

    void change_world(Rig& rig) {
        rig.pass(world(20) == 0 ? static_cast<Microseconds>(world(50'000)) : 10'000);
        std::array<std::int32_t, max_channels> codes{};
        for (std::int32_t& code : codes) code = static_cast<std::int32_t>(100'000 + world(60));
        if (world(10) > 0) rig.convert(std::span(codes).first(1 + static_cast<std::size_t>(world(3))));
        if (world(50) == 0) rig.lose_frame();
        if (world(50) == 0) rig.convert_with_bus_error(0);
        if (world(50) == 0) rig.convert(std::array<std::int32_t, 1>{2'147'483'647});
        if (world(30) == 0) {
            std::vector<std::uint8_t> bytes(static_cast<std::size_t>(world(200)));
            for (std::uint8_t& byte : bytes) byte = static_cast<std::uint8_t>(world(256));
            rig.peer_sends(bytes);
        }
        if (world(30) == 0) rig.press(static_cast<Key>(world(5)));
        if (world(100) == 0) rig.overrun(7);
        if (world(100) == 0) rig.set_connected(world(2) == 0);
        if (world(100) == 0) rig.set_supply_good(world(2) == 0);
        if (world(100) == 0) rig.set_seal_open(world(2) == 0);
        if (world(20) == 0) {
            std::array<std::uint8_t, 512> bytes{};
            std::size_t count = 0;
            rig.peer_takes(bytes, count);
        }
        // Drawn from the firmware's numbers: on a replay it has to come at the same step.
        if (draw(150) == 0) rig.cut_power();
    }

    void take(const Board& board, Microseconds now, std::size_t room) {
        std::array<Frame, 8> frames{};
        std::size_t count = 0;
        begin_call(board);
        note(board.converter.take(now, std::span(frames).first(room), count));
        for (std::size_t i = 0; i < count; ++i) {
            got += std::to_string(frames[i].sequence) + "@" + std::to_string(frames[i].taken_us) + "#" +
                   std::to_string(frames[i].check);
            for (const auto code : frames[i].code) got += "," + std::to_string(code);
            for (const auto fault : frames[i].fault) got += "!" + std::to_string(fault);
        }
    }

    void receive(const Board& board, std::size_t room) {
        std::array<std::uint8_t, 300> bytes{};
        std::size_t count = 0;
        begin_call(board);
        note(board.line.receive(std::span(bytes).first(room), count));
        got.append(bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(count));
    }

    void keys(const Board& board, std::size_t room) {
        std::array<Key, 8> keys{};
        std::size_t count = 0;
        begin_call(board);
        note(board.panel.take_keys(std::span(keys).first(room), count));
        for (std::size_t i = 0; i < count; ++i) got += std::to_string(static_cast<int>(keys[i]));
    }

    void any_call(const Board& board, Microseconds now) {
        std::array<std::uint8_t, 300> bytes{};
        for (std::uint8_t& byte : bytes) byte = static_cast<std::uint8_t>(draw(256));
        std::size_t count = 0;
        switch (draw(12)) {
            case 0: {
                begin_call(board);
                const auto excitation = static_cast<Excitation>(draw(3));
                return note(board.converter.select(excitation, static_cast<std::uint32_t>(draw(8))));
            }
            case 1: {
                const std::size_t size = static_cast<std::size_t>(draw(300));
                begin_call(board);
                const auto block = static_cast<std::uint32_t>(draw(3));
                note(board.memory.read(block, static_cast<std::uint32_t>(draw(4200)),
                                       std::span(bytes).first(size)));
                got.append(bytes.begin(), bytes.end());
                return;
            }
            case 2: {
                const std::size_t size = static_cast<std::size_t>(draw(20)) * 8;
                begin_call(board);
                return note(board.memory.start_program(0, static_cast<std::uint32_t>(draw(500)) * 8,
                                                       std::span(bytes).first(size)));
            }
            case 3:
                begin_call(board);
                return note(board.memory.start_erase(static_cast<std::uint32_t>(draw(3))));
            case 4:
                begin_call(board);
                return note(board.memory.start_sync());
            case 5:
                begin_call(board);
                return note(board.memory.poll(now));
            case 6:
                begin_call(board);
                note(board.line.send(std::span(bytes).first(static_cast<std::size_t>(draw(300))), count));
                got += std::to_string(count);
                return;
            case 7:
                picture_.words.fill(0);
                for (std::size_t i = 0; i < static_cast<std::size_t>(draw(25)); ++i)
                    picture_.words[i] = static_cast<char>(draw(256));
                picture_.lights = static_cast<std::uint16_t>(draw(32));
                return;
            case 8:
                begin_call(board);
                got += board.supervisor.seal_open() ? 'o' : 's';
                return;
            case 9: {
                const auto most = draw(9);
                return take(board, now - static_cast<Microseconds>(draw(20'000)), most);
            }
            case 10:
                return receive(board, static_cast<std::size_t>(draw(300)));
            default:
                return keys(board, static_cast<std::size_t>(draw(9)));
        }
    }

    std::mt19937_64 firmware_;
    std::mt19937_64 world_;
    PanelPicture picture_;
};

}  // namespace cornerbench::hal
