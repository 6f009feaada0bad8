#pragma once

#include "sim/live/server.h"
#include "sim/live/socket_line.h"
#include "sim/virtual_scale/client_console.h"

namespace cornerbench::live {

/// A client of the console over TCP. Each has a console of its own, with its own errors and status registers,
/// to the one instrument. A client that does not read loses answers, as -430, and nothing else.
class ConsoleConnection final : public Connection {
  public:
    /// `scale` has to outlive it.
    ConsoleConnection(Descriptor socket, virtual_scale::VirtualScale& scale)
        : line_(std::move(socket)), console_(scale) {}

    bool serve(std::int64_t now_us) override;
    void after_step() override { console_.after_step(); }
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
    virtual_scale::ClientConsole console_;
    bool hungry_ = true;  ///< the console takes more than it has
};

}  // namespace cornerbench::live
