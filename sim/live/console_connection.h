#pragma once

#include "firmware/console/console.h"
#include "sim/live/server.h"
#include "sim/live/socket_line.h"

namespace cornerbench::live {

/// A client of the console over TCP. Each has a console of its own, with its own errors and status registers,
/// to the one instrument. A client that does not read loses answers, as -430, and nothing else.
class ConsoleConnection final : public Connection {
  public:
    ConsoleConnection(Descriptor socket, console::Instrument& instrument, const console::Identity& identity)
        : line_(std::move(socket)), console_(instrument, identity) {}

    bool serve(std::int64_t now_us) override;
    short events() const override;
    int descriptor() const override { return line_.descriptor(); }
    bool over() const override;

  private:
    /// The line as the console sees it, which notes whether anything was asked for and came.
    class Watched final : public hal::Line {
      public:
        explicit Watched(SocketLine& line) : line_(line) {}
        hal::Answer receive(std::span<std::uint8_t> bytes, std::size_t& count) override;
        hal::Answer send(std::span<const std::uint8_t> bytes, std::size_t& count) override {
            return line_.send(bytes, count);
        }

        bool asked = false;
        bool came = false;

      private:
        SocketLine& line_;
    };

    SocketLine line_;
    console::Console console_;
    bool hungry_ = true;  ///< the console takes more than it has
};

}  // namespace cornerbench::live
