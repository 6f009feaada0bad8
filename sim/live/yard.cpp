#include "sim/live/yard.h"

#include <algorithm>

#include <spdlog/fmt/fmt.h>

#include "firmware/console/panel_text.h"
#include "sim/field/corner_test.h"
#include "sim/field/fault_words.h"
#include "sim/field/places.h"
#include "sim/field/specimen.h"
#include "sim/files/nearest_word.h"
#include "sim/virtual_scale/converter_faults.h"
#include "sim/virtual_scale/indicator_settings.h"
#include "sim/virtual_scale/usual_session.h"

namespace cornerbench::live {

using console::Refusal;

namespace {

/// Text of a panel's field, which ends in zero bytes and may begin with blanks.
template <std::size_t N>
std::string text_of(const std::array<char, N>& field) {
    std::string text(field.begin(), std::find(field.begin(), field.end(), '\0'));
    text.erase(0, std::min(text.find_first_not_of(' '), text.size()));
    return text;
}

/// What to say of `words`, whose first one, `name`, is no cause.
std::string nearest_fault(std::string_view words, std::string_view name) {
    const std::vector<std::string_view> converter(std::begin(files::converter_fault_words),
                                                  std::end(files::converter_fault_words));
    std::string_view nearest = files::nearest_word(name, field::cause_names());
    if (nearest.empty()) nearest = files::nearest_word(words, converter);
    const std::string text = fmt::format("there is no '{}'; ", name);
    if (!nearest.empty()) return text + fmt::format("nearest: {}", nearest);
    return text + fmt::format(
                      "valid: a cause that 'cornerbench causes' lists, or of the converter {}; up and "
                      "down show all",
                      fmt::join(converter, ", "));
}

std::string_view words_of(hal::Key key) {
    switch (key) {
        case hal::Key::zero:
            return "zero";
        case hal::Key::tare:
            return "tare";
        case hal::Key::clear:
            return "clear tare";
        case hal::Key::unit:
            return "unit";
        case hal::Key::print:
            return "print";
    }
    return "key";
}

}  // namespace

Yard::Yard(const files::ScaleFile& scale, const files::Standard& standard, std::uint64_t seed,
           const std::vector<scale::Fault>& faults, hal::TextSink* recording,
           const std::map<std::string, std::string>& notes)
    : scale_(scale),
      words_(scale.description),
      test_kg_(field::standard_test_kg(standard, scale.description)),
      seed_(seed),
      virtual_(scale.description,
               field::draw_specimen(scale.description, diagnosis::History::calibrated, {}, seed).condition,
               virtual_scale::indicator_settings(scale), seed, world::calm(scale.description)),
      vehicle_file_(virtual_scale::usual_truck(scale)),
      weights_(static_cast<std::size_t>(2 * scale.description.deck.sections), 0) {
    if (recording != nullptr) {
        hal::RecordingBoard& board = virtual_.record(*recording);
        for (const auto& [name, text] : notes) board.add_note(name, text);
    }
    const bool calibrated = virtual_.calibrate(0.5 * scale.description.max_kg);
    opened_s_ = virtual_.time_s();
    if (!calibrated) note("the calibration was refused: " + shown());
    for (const scale::Fault& fault : faults) inject(fault, field::fault_words(fault, scale.description));
}

void Yard::note(const std::string& text) {
    happenings_.push_back({time_s(), text});
}

std::vector<Happening> Yard::take_happenings() {
    return std::exchange(happenings_, {});
}

std::string Yard::shown() const {
    if (!powered()) return "dark";
    const weighing::Readout& readout = virtual_.indicator().readout();
    const hal::PanelPicture picture = console::panel_picture(readout);
    const std::string digits = text_of(picture.digits);
    std::string text = digits.empty() ? text_of(picture.words) : digits + " " + text_of(picture.unit);
    if (readout.channel >= 0) text += fmt::format(", cell {}", readout.channel + 1);
    if (readout.tare_kind != weighing::TareKind::none && !digits.empty()) text += " net";
    if (readout.has_weight() && !readout.stable) text += ", in motion";
    return text;
}

void Yard::frame() {
    keys_.empty() ? virtual_.frame() : press_next();
    look_at_cells();
    if (vehicle_ == 0 || virtual_.world().vehicle(vehicle_) != nullptr) return;
    vehicle_ = 0;
    leaving_ = false;
    note(vehicle_file_.name + " has left");
}

void Yard::look_at_cells() {
    const scale::Description& d = scale_.description;
    const world::Supports cell_N = virtual_.world().truth().cell_N;
    for (std::size_t i = 0; i < static_cast<std::size_t>(d.cell_count()); ++i) {
        const double share = cell_N[i] / (d.cells[i].capacity_kg * scale::standard_gravity);
        const std::uint32_t bit = 1u << i;
        // A little less, lest noise and bounce say it twice.
        const bool over = (overloaded_ & bit) != 0 ? share > 0.99 : share > 1.0;
        if (over && (overloaded_ & bit) == 0)
            note(fmt::format("cell {} is over its capacity, {:.0f} %", i + 1, 100.0 * share));
        overloaded_ = over ? overloaded_ | bit : overloaded_ & ~bit;
    }
}

bool Yard::vehicle_there() const {
    return vehicle_ != 0;
}

void Yard::move_weight(int support) {
    int& weight = weights_[static_cast<std::size_t>(support)];
    const std::string what = words_.with_unit(test_kg_);
    if (weight != 0) {
        virtual_.world().take_off(std::exchange(weight, 0));
        note(fmt::format("{} taken off support {}", what, support + 1));
        return;
    }
    const field::Place place = field::over_support(scale_.description.deck, support);
    weight = virtual_.world().put({test_kg_, place.x_m, place.y_m});
    note(fmt::format("{} put over support {}", what, support + 1));
}

void Yard::take_all_weights() {
    for (int& weight : weights_) {
        if (weight != 0) virtual_.world().take_off(std::exchange(weight, 0));
    }
}

void Yard::move_vehicle() {
    if (vehicle_ == 0) {
        const scale::Deck& deck = scale_.description.deck;
        world::Approach approach;
        approach.stop_front_at_m =
            0.5 * (deck.section_x_m[0] + deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)] +
                   vehicle_file_.axles.back().behind_front_m);
        vehicle_ = virtual_.world().drive_on(vehicle_file_, approach);
        note(fmt::format("{} of {} drives on", vehicle_file_.name,
                         words_.with_unit(vehicle_file_.total_kg())));
        return;
    }
    if (leaving_) return note(vehicle_file_.name + " is leaving already");
    leaving_ = virtual_.world().drive_off(vehicle_);
    note(vehicle_file_.name + (leaving_ ? " drives off" : " is not there"));
}

void Yard::inject(const scale::Fault& fault, const std::string& words) {
    if (const std::string why = virtual_.refuses(fault); !why.empty())
        return note("no fault: " + words + ": " + why);
    faults_.push_back(virtual_.world().inject({fault, {}}));
    came(words);
}

void Yard::came(const std::string& fault_words) {
    fault_words_.push_back(fault_words);
    note("fault: " + fault_words);
}

void Yard::inject(std::string_view words) {
    if (const auto kind = virtual_scale::converter_fault(words)) {
        converter_faults_.push_back(virtual_.port_faults().add({.kind = *kind}));
        return came(std::string(words));
    }
    const std::string_view name = words.substr(0, words.find(' '));
    if (!name.empty() && !field::find_cause(name)) return note("no fault: " + nearest_fault(words, name));
    const field::ReadFault read = field::read_fault(words, scale_.description);
    if (!read.fault) return note("no fault: " + read.error);
    if (read.fault->cause == scale::Cause::unlisted)
        return note("no fault: what is on no list cannot be computed");
    inject(*read.fault, field::fault_words(*read.fault, scale_.description));
}

void Yard::mend() {
    for (const int fault : faults_) virtual_.world().mend(fault);
    for (const int fault : converter_faults_) virtual_.port_faults().mend(fault);
    note(fault_words_.empty() ? "nothing to mend"
                              : "mended: " + fmt::format("{}", fmt::join(fault_words_, "; ")));
    faults_.clear();
    converter_faults_.clear();
    fault_words_.clear();
}

void Yard::press(hal::Key key) {
    if (powered()) return keys_.push_back(key);
    note(fmt::format("{}: {}", words_of(key), console::words(Refusal::no_weight)));
}

void Yard::press_next() {
    const std::uint32_t before = virtual_.indicator().last_key().number;
    const hal::Key key = keys_.front();
    keys_.pop_front();
    virtual_.board().panel.press(key);
    virtual_.frame();
    // The watchdog may have started the box anew, which forgets the key.
    if (virtual_.indicator().last_key().number != before) hear(key);
}

void Yard::hear(hal::Key key) {
    const Refusal refusal = virtual_.indicator().last_key().refusal;
    if (key == hal::Key::unit) return;
    if (key != hal::Key::print || refusal != Refusal::none)
        return note(fmt::format("{}: {}", words_of(key), console::words(refusal)));
    note(fmt::format("printed no. {}: {}; truly on the deck {}", virtual_.indicator().ticket().number,
                     shown(), words_.with_unit(virtual_.world().truth().mass_on_deck_kg)));
}

void Yard::zero() {
    press(hal::Key::zero);
}

void Yard::tare() {
    press(hal::Key::tare);
}

void Yard::clear_tare() {
    press(hal::Key::clear);
}

void Yard::next_unit() {
    // Nobody looks at a panel without power.
    if (powered()) press(hal::Key::unit);
}

void Yard::print() {
    press(hal::Key::print);
}

void Yard::switch_power() {
    keys_.clear();
    if (powered()) {
        virtual_.cut_power(seed_ + ++cuts_);
        return note("power off");
    }
    virtual_.restore_power();
    note("power on");
}

void Yard::switch_seal() {
    seal_open_ = !seal_open_;
    virtual_.board().supervisor.set_seal_open(seal_open_);
    note(seal_open_ ? "the seal is open: the console can change the calibration" : "the seal is closed");
}

std::string Yard::load_words() const {
    std::vector<std::string> parts;
    if (vehicle_ != 0) parts.push_back(vehicle_file_.name + (leaving_ ? ", leaving" : ""));
    for (std::size_t i = 0; i < weights_.size(); ++i) {
        if (weights_[i] != 0) parts.push_back(fmt::format("weight over {}", i + 1));
    }
    return parts.empty() ? "empty" : fmt::format("{}", fmt::join(parts, ", "));
}

}  // namespace cornerbench::live
