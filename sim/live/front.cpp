#include "sim/live/front.h"

#include <unistd.h>

#include <chrono>

#include <spdlog/fmt/fmt.h>

#include "sim/live/keyboard.h"
#include "sim/live/line_printer.h"
#include "sim/live/panel_screen.h"
#include "sim/live/stop_signals.h"
#include "sim/live/terminal.h"

namespace cornerbench::live {

namespace {

constexpr auto redraw_every = std::chrono::milliseconds(100);

/// Runs until the end and calls `look` after every turn; that is the end too once `look` returns false.
template <class Look>
void run(LiveScale& live, const Look& look) {
    const StopSignals signals;
    Keyboard keyboard;
    bool watched = true;
    while (watched && !signals.came() && !live.over() && !live.controls().wants_to_quit()) {
        std::array<pollfd, 2> also{keyboard.watched(), pollfd{signals.descriptor(), POLLIN, 0}};
        live.turn(also);
        live.controls().take(keyboard.read(also[0]));
        watched = look();
    }
}

/// Notes every weight that comes to rest and every reason for none, once.
class ReadingNotes {
  public:
    explicit ReadingNotes(Yard& yard) : yard_(yard) {}

    void look() {
        if (yard_.powered()) {
            const weighing::Readout& readout = yard_.scale().indicator().readout();
            // What is in motion would be a line for every frame.
            if (readout.has_weight() && !readout.stable) return;
        }
        std::string shown = yard_.shown();
        if (shown == noted_) return;
        noted_ = std::move(shown);
        yard_.note(noted_);
    }

  private:
    Yard& yard_;
    std::string noted_;
};

}  // namespace

report::Json ready_json(LiveScale& live) {
    report::Json document = report::json_document();
    document["scale"] = live.yard().file().name;
    document["address"] = live.setting().address;
    document["console_port"] = live.console_port();
    document["modbus_port"] = live.modbus_port();
    if (live.serial_path().empty())
        document["serial"] = nullptr;
    else
        document["serial"] = live.serial_path();
    document["rtu"] = live.rtu_path().empty() ? report::Json(nullptr) : report::Json(live.rtu_path());
    return document;
}

void run_quietly(LiveScale& live) {
    run(live, [&live] {
        (void)live.yard().take_happenings();
        return true;
    });
}

void run_with_lines(LiveScale& live, std::ostream& out) {
    LinePrinter printer(out, STDOUT_FILENO);
    printer.add("console  " + live.console_endpoint());
    printer.add("Modbus   " + live.modbus_endpoint());
    if (!live.serial_path().empty()) printer.add("serial   " + live.serial_path());
    if (!live.rtu_path().empty()) printer.add("RTU      " + live.rtu_path());
    ReadingNotes notes(live.yard());
    live.on_frame([&notes] { notes.look(); });
    const auto add_happenings = [&] {
        for (const Happening& each : live.yard().take_happenings())
            printer.add(fmt::format("{:9.2f} s  {}", each.t_s, each.text));
    };
    printer.print();
    run(live, [&] {
        add_happenings();
        printer.print();
        return true;
    });
    live.on_frame({});
    if (live.yard().powered())
        live.yard().note(
            fmt::format("end; state hash {:016X}", live.yard().scale().indicator().state_hash()));
    add_happenings();
    printer.finish();
}

void run_panel(LiveScale& live, const report::Style& style) {
    Terminal terminal(style);
    Happening last{0.0, "the yard is open"};
    auto drawn = std::chrono::steady_clock::now() - redraw_every;
    run(live, [&] {
        for (Happening& each : live.yard().take_happenings()) last = std::move(each);
        const auto now = std::chrono::steady_clock::now();
        if (now - drawn < redraw_every) return true;
        drawn = now;
        terminal.show(panel_screen(live, last));
        return !terminal.gone();
    });
}

}  // namespace cornerbench::live
