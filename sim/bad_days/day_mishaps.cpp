#include <algorithm>
#include <limits>

#include <spdlog/fmt/fmt.h>

#include "sim/bad_days/day_run.h"
#include "sim/bad_days/operator_words.h"
#include "sim/field/fault_words.h"
#include "sim/virtual_scale/client_registers.h"

namespace cornerbench::bad_days {

namespace {

std::string words_of(const scale::Description& d, const Mishap& mishap) {
    const auto words = kind_words[static_cast<std::size_t>(mishap.kind)];
    if (mishap.kind == Kind::cause) {
        const faults::Course& course = mishap.cause.course;
        return fmt::format("{}{}{}", field::fault_words(mishap.cause.fault, d),
                           course.grows_s > 0.0 ? fmt::format(", growing for {:.1f} s", course.grows_s) : "",
                           course.on_s > 0.0 ? ", coming and going" : "");
    }
    if (mishap.kind <= Kind::not_new)
        return fmt::format(
            "{} on {}, {:.0f} % of the frames of {:g} s", words,
            mishap.port.channel < 0 ? "all channels" : fmt::format("channel {}", mishap.port.channel + 1),
            100.0 * mishap.share, mishap.lasts_s);
    return fmt::format("{}{}", words, mishap.lasts_s > 0.0 ? fmt::format(", {:.2f} s", mishap.lasts_s) : "");
}

}  // namespace

void DayRun::begin(Mishap mishap) {
    const std::string refusal = refuses(d_, mishap);
    if (!refusal.empty()) {
        outcome_.refusal = refusal;
        return;
    }
    // One cause a day, so that what it does is known to be its doing.
    if (mishap.kind == Kind::cause && (had_cause_ || !v_->refuses(mishap.cause.fault).empty())) return;
    if (!v_->powered()) {
        stand(4.0);
        if (!v_->powered() || over()) return;
    }
    ++outcome_.happened[static_cast<std::size_t>(mishap.kind)];
    tell(words_of(d_, mishap));
    Running running{mishap, v_->time_s() + mishap.lasts_s, 0};
    begin_one(mishap, running);
    if (mishap.lasts_s > 0.0 && mishap.kind != Kind::power_cut && mishap.kind != Kind::memory_torn)
        running_.push_back(running);
}

void DayRun::begin_one(const Mishap& mishap, Running& running) {
    switch (mishap.kind) {
        case Kind::supply_low:
            v_->board().supervisor.set_supply_good(false);
            return;
        case Kind::clock_stopped:
            v_->board().clock.set_stopped(true);
            return;
        case Kind::client_leaves:
            v_->board().line.set_connected(false);
            return;
        case Kind::power_cut:
            return cut_power(mishap.lasts_s);
        case Kind::memory_torn:
            return tear_memory(mishap);
        case Kind::memory_worn: {
            constexpr hal::MemoryOperation kinds[] = {
                hal::MemoryOperation::program, hal::MemoryOperation::erase, hal::MemoryOperation::sync};
            const int after = random_.index(4);
            v_->board().memory.fail(kinds[random_.index(3)], mishap.times, after);
            store_something();
            if (random_.share() < 0.3) cut_power(0.5);
            return;
        }
        case Kind::memory_bits:
            return flip_memory_bits(mishap.times);
        case Kind::keys:
            for (int i = 0; i < mishap.times && !over(); ++i) {
                press(static_cast<hal::Key>(random_.index(5)));
                stand(random_.share() < 0.5 ? 0.01 : 1.5);
            }
            return;
        case Kind::commands:
            for (int i = 0; i < mishap.times && !over(); ++i) {
                const std::string line = draw_command(d_, random_);
                say(line);
                stand(random_.share() < 0.5 ? 0.03 : 1.5);
                tell("console: " + line);
            }
            return;
        case Kind::registers:
            for (int i = 0; i < mishap.times && !over(); ++i) {
                stand(0.05);
                if (!v_->powered() || over()) return;
                const auto request = draw_write(d_, random_);
                const auto answer = virtual_scale::ClientRegisters(*v_).ask(request);
                judge_->follow_zero();
                stand(random_.share() < 0.5 ? 0.03 : 1.5);
                tell(fmt::format("Modbus: {}, answer {}", virtual_scale::words_of(request),
                                 virtual_scale::words_of(answer)));
            }
            return;
        case Kind::seal_open:
            return calibrate_anew(mishap.times);
        case Kind::cause:
            had_cause_ = true;
            cause_ = mishap.cause.fault.cause;
            fault_ = mishap.cause.fault;
            running.number = v_->world().inject(mishap.cause);
            return;
        case Kind::bytes_lost:
        case Kind::bytes_garbled:
        case Kind::bytes_doubled:
            running_.push_back({mishap, v_->time_s() + mishap.lasts_s, 0});
            for (int i = 0; i < 3 && !over(); ++i) {
                say(random_.share() < 0.5 ? "FETC?" : draw_command(d_, random_));
                stand(0.1);
            }
            return;
        default: {
            running.number = v_->port_faults().add(mishap.port);
            return;
        }
    }
}

void DayRun::end(const Running& running) {
    switch (running.mishap.kind) {
        case Kind::supply_low:
            return v_->board().supervisor.set_supply_good(true);
        case Kind::clock_stopped:
            return v_->board().clock.set_stopped(false);
        case Kind::client_leaves:
            return v_->board().line.set_connected(true);
        case Kind::cause:
            (void)v_->world().mend(running.number);
            return;
        default:
            if (running.number != 0) (void)v_->port_faults().mend(running.number);
    }
}

void DayRun::end_what_is_due() {
    for (std::size_t i = 0; i < running_.size();) {
        if (v_->time_s() < running_[i].ends_s) {
            ++i;
            continue;
        }
        const Running ended = running_[i];
        running_.erase(running_.begin() + static_cast<std::ptrdiff_t>(i));
        end(ended);
        tell(fmt::format("over: {}", kind_words[static_cast<std::size_t>(ended.mishap.kind)]));
    }
}

/// Loads may move meanwhile.
void DayRun::cut_power(double seconds) {
    v_->cut_power(static_cast<std::uint64_t>(random_.index(1'000'000)));
    heard_.clear();
    if (random_.share() < 0.5) move_loads();
    stand(seconds);
    v_->restore_power();
    v_->board().supervisor.set_seal_open(false);
    tell("power is back");
}

void DayRun::store_something() {
    const double which = random_.share();
    if (which < 0.5)
        press(hal::Key::zero);
    else if (which < 0.8)
        press(hal::Key::print);
    else
        say(random_.share() < 0.5 ? "UNIT T" : "UNIT KG");
}

void DayRun::tear_memory(const Mishap& mishap) {
    store_something();
    // An erase takes three samples, all of a save some ten.
    for (int frames = random_.index(14); frames > 0 && !over(); --frames) frame();
    if (!over()) cut_power(mishap.lasts_s);
}

void DayRun::flip_memory_bits(int count) {
    hal::SimulatedMemory& memory = v_->board().memory;
    const auto contents = memory.contents();
    const std::uint8_t erased = memory.geometry().erased_value;
    // All in one record, or what lies beside it: where something is written.
    std::uint32_t place = 0;
    for (int tries = 0; tries < 200; ++tries) {
        place = static_cast<std::uint32_t>(random_.index(static_cast<int>(contents.size())));
        if (contents[place] != erased) break;
    }
    for (int i = 0; i < count; ++i) {
        const int bit = random_.index(8);
        memory.flip_bit(place + static_cast<std::uint32_t>(random_.index(24)), bit);
    }
    if (random_.share() < 0.8) cut_power(0.3);
}

void DayRun::calibrate_anew(int commands) {
    v_->board().supervisor.set_seal_open(true);
    seal_was_open_ = true;
    for (int i = 0; i < commands && !over(); ++i) {
        stand(1.5);
        if (over() || !v_->powered()) break;
        const std::string line = draw_calibrating(d_, v_->world().truth().mass_on_deck_kg, random_);
        say(line);
        stand(0.3);
        tell("seal open: " + line);
    }
    v_->board().supervisor.set_seal_open(false);
}

}  // namespace cornerbench::bad_days
