#include "sim/field/on_site.h"

#include <algorithm>

#include "firmware/diagnosis/load_history.h"
#include "sim/field/look_finding.h"
#include "sim/field/test_load.h"
#include "sim/field/trimmed_corners.h"

namespace cornerbench::field {

using diagnosis::Direction;
using diagnosis::Quantity;
using diagnosis::Reading;

namespace {

constexpr std::uint64_t look_stream = 31;

}  // namespace

OnSite::OnSite(const scale::Description& d, std::span<const scale::Fault> faults, std::uint64_t seed,
               const SheetSetting& setting)
    : description_(d),
      faults_(faults.begin(), faults.end()),
      seed_(seed),
      setting_(setting),
      prepared_(prepare_scale(d, faults, seed, setting)) {
    sheet_.instruments = setting.instruments;
    sheet_.zeroed = setting.zeroed;
    sheet_.history = setting.history;
    walk_up();
}

void OnSite::walk_up() {
    field_.emplace(description_, prepared_.truth, prepared_.calibration, setting_.instruments, setting_.noisy,
                   seed_, setting_.unmodelled);
    if (setting_.zeroed == diagnosis::Zeroed::now) field_->zero();
    readings_.clear();
    from_ = {};
}

bool OnSite::turn_trim(int position, double by) {
    if (!can_trim(description_)) return false;
    const KnobRange range = knob_range(prepared_.truth);
    double& at = knob(prepared_.truth, position);
    at = std::clamp(at + by, range.low, range.high);
    walk_up();
    return true;
}

void OnSite::hear_complaint() {
    const double test_kg = usual_corner_kg(description_);
    Reading weight;
    take(weight);
    for (int i = 0; i < description_.cell_count(); ++i) {
        const Place place = over_support(description_.deck, i);
        weight.load.count = 1;
        weight.load.standing[0] = {test_kg, place.x_m, place.y_m};
        take(weight);
    }
    Reading returned;
    returned.direction = Direction::returned;
    take(returned);
    from_ = {};
}

bool OnSite::take(const Reading& wanted) {
    bring_weight(wanted);
    from_ = after(wanted, from_);
    Reading read = value_of(wanted);
    read.direction = wanted.direction;
    if (field_->error() != mechanics::DeckError::none) return false;
    readings_.push_back(read);
    return true;
}

const diagnosis::Sheet& OnSite::sheet() {
    sheet_.readings = readings_;
    return sheet_;
}

void OnSite::bring_weight(const Reading& wanted) {
    const Workplace then = after(wanted, from_);
    if (!diagnosis::same_load(then.standing, from_.standing) || readings_.empty()) {
        if (then.standing.count == 0) {
            field_->unload();
        } else {
            const diagnosis::Standing& s = then.standing.standing[0];
            field_->load(s.mass_kg, {s.x_m, s.y_m});
        }
    }
    if (wanted.direction == Direction::decreasing) field_->come_down_from_twice();
}

Reading OnSite::value_of(const Reading& wanted) {
    switch (wanted.quantity) {
        case Quantity::weight:
            return field_->weight();
        case Quantity::channel:
            return field_->channel(wanted.cell);
        case Quantity::signal:
            return field_->lifted_signal(wanted.cell);
        case Quantity::resistance:
            return field_->resistance(wanted.cell, wanted.between_a, wanted.between_b);
        case Quantity::excitation:
            return field_->excitation(wanted.place, wanted.cell);
        case Quantity::inspection:
            return look_at(wanted);
    }
    return wanted;
}

Reading OnSite::look_at(Reading look) const {
    // Each thing is found as it is found, in whatever order things are looked at.
    const auto which =
        static_cast<std::uint64_t>(look.cell * diagnosis::look_count) + static_cast<std::uint64_t>(look.look);
    RandomSource random(seed_, look_stream + which);
    const double draw = random.share();
    double missed = faults_.empty() ? 1.0 - chance_of_finding(look, scale::Fault{}) : 1.0;
    for (const scale::Fault& fault : faults_) missed *= 1.0 - chance_of_finding(look, fault);
    look.as_it_should_be = draw >= 1.0 - missed;
    look.exchanged = false;
    name_exchanged(look, faults_, random.share());
    return look;
}

}  // namespace cornerbench::field
