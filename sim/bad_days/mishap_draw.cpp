#include "sim/bad_days/mishap_draw.h"

#include "sim/field/fault_draw.h"

namespace cornerbench::bad_days {

namespace {

/// One of three is a cause: these have the most places, variants and sizes.
constexpr double cause_share = 0.33;

void draw_port(const scale::Description& d, field::RandomSource& random, Mishap& mishap) {
    using faults::PortFaultKind;
    constexpr PortFaultKind kinds[] = {PortFaultKind::stuck,
                                       PortFaultKind::saturated,
                                       PortFaultKind::frames_lost,
                                       PortFaultKind::repeated,
                                       PortFaultKind::bit_flipped,
                                       PortFaultKind::late,
                                       PortFaultKind::reference_missing,
                                       PortFaultKind::channels_exchanged,
                                       PortFaultKind::transfer_failed,
                                       PortFaultKind::not_new};
    mishap.port.kind = kinds[static_cast<std::size_t>(mishap.kind)];
    const int channels = d.converter == scale::Converter::per_cell ? d.cell_count() : 1;
    const bool one = channels > 1 && random.share() < 0.6;
    if (one) mishap.port.channel = random.index(channels);
    const int first = one ? mishap.port.channel : 0;
    if (channels > 1) mishap.port.other = (first + 1 + random.index(channels - 1)) % channels;
    if (random.share() < 0.3) mishap.port.bit = random.index(d.converter_bits);
    if (random.share() < 0.4) mishap.share = random.between(0.02, 1.0);
    mishap.port.share = mishap.share;
    constexpr double lasts_s[] = {0.01, 0.05, 0.3, 1.0, 3.0};
    mishap.lasts_s = lasts_s[random.index(5)];
}

void draw_cause(const scale::Description& d, field::RandomSource& random, Mishap& mishap) {
    do {
        const auto cause = static_cast<scale::Cause>(1 + random.index(scale::cause_count - 1));
        mishap.cause.fault.cause = cause;
    } while (!refuses(d, mishap).empty());
    mishap.cause.fault = field::draw_fault_of(d, mishap.cause.fault.cause, random);
    faults::Course& course = mishap.cause.course;
    if (random.share() < 0.3) course.grows_s = random.between(1.0, 15.0);
    if (random.share() < 0.3) course.on_s = course.off_s = random.between(0.05, 3.0);
    mishap.lasts_s = random.share() < 0.5 ? 100.0 : random.between(0.5, 10.0);
}

}  // namespace

Mishap draw_mishap(const scale::Description& d, field::RandomSource& random) {
    Mishap mishap;
    if (random.share() < cause_share) {
        mishap.kind = Kind::cause;
        draw_cause(d, random, mishap);
        return mishap;
    }
    do {
        mishap = {};
        mishap.kind = static_cast<Kind>(random.index(kind_count));
        if (mishap.kind <= Kind::not_new) draw_port(d, random, mishap);
    } while (mishap.kind == Kind::cause || !refuses(d, mishap).empty());
    switch (mishap.kind) {
        case Kind::bytes_lost:
        case Kind::bytes_garbled:
        case Kind::bytes_doubled:
            mishap.share = random.between(0.01, 0.5);
            mishap.lasts_s = random.between(0.5, 6.0);
            break;
        case Kind::client_leaves:
            mishap.lasts_s = random.between(0.01, 2.0);
            break;
        case Kind::supply_low:
        case Kind::clock_stopped: {
            constexpr double lasts_s[] = {0.01, 0.1, 0.6, 1.5};
            mishap.lasts_s = lasts_s[random.index(4)];
            break;
        }
        case Kind::power_cut:
        case Kind::memory_torn: {
            constexpr double lasts_s[] = {0.02, 0.5, 3.0};
            mishap.lasts_s = lasts_s[random.index(3)];
            break;
        }
        case Kind::memory_bits:
            mishap.times = 1 + random.index(most_memory_bits);
            break;
        case Kind::memory_worn:
            mishap.times = 1 + random.index(12);
            break;
        case Kind::keys:
        case Kind::commands:
        case Kind::registers:
        case Kind::seal_open:
            mishap.times = 1 + random.index(5);
            break;
        default:
            break;
    }
    return mishap;
}

}  // namespace cornerbench::bad_days
