#include "sim/live/socket_line.h"

#include <fcntl.h>
#include <sys/socket.h>

#include <catch2/catch.hpp>
#include <string>

#include "hal/conformance/line_checks.h"
#include "hal/conformance/simulated_rig.h"

using namespace cornerbench;

namespace {

/// A simulated board with its line at a socket, and the socket's other end. What a socket cannot do: lose
/// bytes by an overrun, or have a second peer.
class SocketRig final : public hal::SimulatedRig {
  public:
    SocketRig() : SocketRig(connected_pair()) {}

    hal::Board board() override {
        const hal::Board board = SimulatedRig::board();
        return {board.clock, board.converter, board.memory, line, board.panel, board.supervisor};
    }
    bool peer_sends(std::span<const std::uint8_t> bytes) override {
        return ::send(peer.get(), bytes.data(), bytes.size(), 0) == static_cast<ssize_t>(bytes.size());
    }
    bool peer_takes(std::span<std::uint8_t> bytes, std::size_t& count) override {
        const ssize_t got = ::recv(peer.get(), bytes.data(), bytes.size(), 0);
        count = got > 0 ? static_cast<std::size_t>(got) : 0;
        return true;
    }
    bool overrun(std::uint8_t) override { return false; }
    bool set_connected(bool) override { return false; }

    live::SocketLine line;
    live::Descriptor peer;

  private:
    explicit SocketRig(std::array<int, 2> ends) : line(live::Descriptor(ends[0])), peer(ends[1]) {}

    static std::array<int, 2> connected_pair() {
        std::array<int, 2> ends{-1, -1};
        REQUIRE(::socketpair(AF_UNIX, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0, ends.data()) == 0);
        return ends;
    }
};

}  // namespace

TEST_CASE("a socket keeps what hal/line.h promises", "[live]") {
    SocketRig rig;
    hal::Findings findings;
    hal::check_line(rig, findings);
    for (std::size_t i = 0; i < std::min<std::size_t>(findings.breaches(), 16); ++i)
        FAIL_CHECK(findings.breach(i).promise);
    CHECK(findings.checks() > 4000);
    CHECK(findings.left_out_checks() == 2);
}

TEST_CASE("a socket tells who has said all from who is gone, and who does not read", "[live]") {
    SocketRig rig;
    std::array<std::uint8_t, 8> bytes{};
    std::size_t count = 99;
    REQUIRE(rig.peer_sends(std::array<std::uint8_t, 2>{1, 2}));
    ::shutdown(rig.peer.get(), SHUT_WR);
    CHECK(rig.line.receive(bytes, count) == hal::Answer::done);
    CHECK(count == 2);
    CHECK_FALSE(rig.line.ended());
    CHECK(rig.line.receive(bytes, count) == hal::Answer::done);
    CHECK(count == 0);
    CHECK(rig.line.ended());
    CHECK_FALSE(rig.line.gone());

    const std::vector<std::uint8_t> much(1'000'000, 7);
    std::size_t taken = 0;
    while (!rig.line.crowded()) {
        REQUIRE(rig.line.send(std::span(much), count) == hal::Answer::done);
        taken += count;
        REQUIRE(taken < 100'000'000);
    }
    CHECK(taken > 0);
    rig.peer.close();
    CHECK(rig.line.send(bytes, count) == hal::Answer::disconnected);
    CHECK(count == 0);
    CHECK(rig.line.gone());
    CHECK(rig.line.receive(bytes, count) == hal::Answer::disconnected);
}
