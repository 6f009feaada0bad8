#include "sim/bad_days/day.h"

#include <array>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/bad_days/day_run.h"
#include "sim/bad_days/error_bound.h"
#include "sim/bad_days/mishap_draw.h"
#include "sim/bad_days/unnoticeable.h"
#include "sim/field/specimen.h"
#include "sim/virtual_scale/indicator_settings.h"

namespace cornerbench::bad_days {

namespace {

enum Stream : std::uint64_t { day_stream = 31 };

constexpr int registers_every = 16;

world::Surroundings draw_weather(const scale::Description& d, field::RandomSource& random) {
    world::Surroundings s = world::calm(d);
    if (random.share() < 0.5) s.wind.speed_m_per_s = random.between(0.5, 8.0);
    if (random.share() < 0.5) s.day.swing_K = random.between(1.0, 8.0);
    if (random.share() < 0.5) {
        const scale::Cell& cell = d.cells[0];
        const double ratio_per_division =
            d.division_kg * cell.rated_output_V_per_V / cell.capacity_kg / d.cell_count();
        s.mains.amplitude_V = random.between(0.0, 0.1) * d.excitation_V * ratio_per_division;
        s.mains.frequency_Hz = random.share() < 0.5 ? 50.0 : 60.0;
    }
    return s;
}

}  // namespace

DayScale with_channel_per_cell(const DayScale& scale) {
    if (scale.file.description.converter == scale::Converter::per_cell) return scale;
    DayScale changed = scale;
    changed.name += "-per-cell";
    changed.file.description.converter = scale::Converter::per_cell;
    changed.file.description.trim = {};
    for (scale::Cell& cell : changed.file.description.cells) cell.trim_at = 0.0;
    return changed;
}

DayRun::DayRun(const DayScale& scale, std::uint64_t seed, const DaySetting& setting)
    : scale_(scale), d_(scale.file.description), setting_(setting), random_(seed, day_stream) {
    const IndicatorSettings settings =
        virtual_scale::indicator_settings(d_, scale.standard.rules(scale.file.accuracy_class));
    range_ = settings.weigher.range;
    v_ = std::make_unique<virtual_scale::VirtualScale>(
        d_, field::draw_specimen(d_, diagnosis::History::calibrated, {}, seed).condition, settings, seed,
        world::calm(d_));
    if (setting.recording == nullptr) return;
    hal::RecordingBoard& recording = v_->record(*setting.recording);
    for (const auto& [name, text] : setting.notes) recording.add_note(name, text);
}

void DayRun::tell(const std::string& what) {
    if (!setting_.tell) return;
    std::string line = fmt::format("{:7.2f} s  {}", v_->time_s(), what);
    if (v_->powered() && v_->indicator().readout().has_weight()) {
        const weighing::Readout& r = v_->indicator().readout();
        line += fmt::format(" (shows {:.1f} kg{}, on the deck {:.1f} kg)", r.gross_kg,
                            r.stable ? "" : " in motion", v_->world().truth().mass_on_deck_kg);
    } else if (v_->powered()) {
        line += fmt::format(" ({})", weighing::words(v_->indicator().readout().why));
    }
    outcome_.story.push_back(std::move(line));
}

bool DayRun::over() const {
    return !judge_->wrong().empty() || !outcome_.refusal.empty();
}

bool DayRun::excused() const {
    bool present = false;
    for (const Running& running : running_) present = present || running.mishap.kind == Kind::cause;
    return present && why_unnoticeable(d_, cause_) != nullptr;
}

void DayRun::frame() {
    end_what_is_due();
    v_->frame();
    ++frames_;
    if (v_->powered()) {
        power_came_ = power_came_ || v_->starts() != starts_;
        starts_ = v_->starts();
        const Indicator& indicator = v_->indicator();
        if (power_came_ && !indicator.storing()) {
            power_came_ = false;
            judge_->power_on();
        }
        if (seal_was_open_ && indicator.calibration_changes() != changes_ && indicator.calibrated()) {
            judge_->calibration_changed();
            changes_ = indicator.calibration_changes();
        }
        hear();
    }
    judge_->frame(excused());
    if (frames_ % registers_every == 0) judge_->read_registers();
}

void DayRun::stand(double seconds) {
    const double end_s = v_->time_s() + seconds;
    while (v_->time_s() < end_s && !over()) frame();
}

/// Everything that the firmware has sent, judged before the line spoils it.
void DayRun::hear() {
    std::array<std::uint8_t, 256> bytes{};
    for (std::size_t count = v_->board().line.peer_takes(bytes); count > 0;
         count = v_->board().line.peer_takes(bytes))
        heard_.append(reinterpret_cast<const char*>(bytes.data()), count);
    for (std::size_t end = heard_.find('\n'); end != std::string::npos; end = heard_.find('\n')) {
        judge_->sent(std::string_view(heard_).substr(0, end));
        heard_.erase(0, end + 1);
    }
}

std::string DayRun::through_the_line(const std::string& bytes) {
    std::string out;
    for (const char byte : bytes) {
        std::string arrived(1, byte);
        for (const Running& running : running_) {
            if (random_.share() >= running.mishap.share) continue;
            if (running.mishap.kind == Kind::bytes_lost) arrived.clear();
            if (running.mishap.kind == Kind::bytes_doubled) arrived += arrived;
            if (running.mishap.kind == Kind::bytes_garbled && !arrived.empty())
                arrived[0] = static_cast<char>(arrived[0] ^ (1 << random_.index(8)));
        }
        out += arrived;
    }
    return out;
}

void DayRun::say(const std::string& line) {
    const std::string sent = through_the_line(line + '\n');
    v_->board().line.peer_sends({reinterpret_cast<const std::uint8_t*>(sent.data()), sent.size()});
}

void DayRun::note_excused() {
    const char* why = had_cause_ ? why_unnoticeable(d_, cause_) : nullptr;
    std::string what = scale::name_of(cause_);
    if (judge_->believes()) {
        why = somebody_entered;
        what = "entered calibration";
    }
    if (why == nullptr) return;
    const ErrorBound bound =
        error_bound(d_, range_, judge_->believes() ? scale::Fault{} : fault_, judge_->excused_error_d(),
                    judge_->excused_load_d(), judge_->excused_sound_d());
    outcome_.excused.push_back({what, why, judge_->excused_wrong(), judge_->excused_error_d(),
                                judge_->excused_load_d(), bound.divisions, bound.from,
                                judge_->unexplained_d()});
}

DayOutcome DayRun::spend() {
    const world::Surroundings weather = draw_weather(d_, random_);
    if (!v_->calibrate(0.5 * d_.max_kg)) {
        outcome_.refusal = "the scale cannot be calibrated";
        return std::move(outcome_);
    }
    v_->world().change(weather);
    changes_ = v_->indicator().calibration_changes();
    starts_ = v_->starts();
    judge_ = std::make_unique<Judge>(*v_, scale_.file, scale_.standard);
    tell("the scale is calibrated and empty");

    std::vector<Mishap> mishaps = setting_.mishaps;
    const int count = mishaps.empty() ? 1 + random_.index(3) : static_cast<int>(mishaps.size());
    for (int i = 0; i < count && !over(); ++i) {
        for (int acts = 1 + random_.index(3); acts > 0 && !over(); --acts) act();
        if (!over())
            begin(setting_.mishaps.empty() ? draw_mishap(d_, random_) : mishaps[static_cast<std::size_t>(i)]);
        for (int acts = 1 + random_.index(3); acts > 0 && !over(); --acts) act();
    }
    stand(reaction_s + 1.0);
    tell(over() ? "WRONG" : "the day is over");

    outcome_.wrong = judge_->wrong();
    outcome_.judged = judge_->judged();
    outcome_.longest_s = judge_->longest_s();
    outcome_.seconds = v_->time_s();
    if (v_->powered()) outcome_.hash = v_->indicator().state_hash();
    note_excused();
    v_->end_recording();
    return std::move(outcome_);
}

DayOutcome spend_day(const DayScale& scale, std::uint64_t seed, const DaySetting& setting) {
    return DayRun(scale, seed, setting).spend();
}

}  // namespace cornerbench::bad_days
