#include "sim/bad_days/fault_model.h"

#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "firmware/weighing/sample_check.h"

namespace cornerbench::bad_days {

namespace {

std::string refuses_port(const scale::Description& d, const Mishap& mishap) {
    const int channels = d.converter == scale::Converter::per_cell ? d.cell_count() : 1;
    const faults::PortFault& port = mishap.port;
    if (port.channel < -1 || port.channel >= channels)
        return fmt::format("the converter has no channel {}; valid: 1 to {}", port.channel + 1, channels);
    if (mishap.kind == Kind::channels_exchanged) {
        if (channels < 2) return "one channel has none to change places with";
        const int first = port.channel < 0 ? 0 : port.channel;
        if (port.other < 0 || port.other >= channels || port.other == first)
            return fmt::format("channel {} has no channel {} to change places with", first + 1,
                               port.other + 1);
    }
    if (mishap.kind == Kind::bit_flipped && port.bit >= d.converter_bits)
        return fmt::format("a code has bits 0 to {}", d.converter_bits - 1);
    const double codes_per_V = std::ldexp(1.0, d.converter_bits - 1) / d.full_scale_V_per_V / d.excitation_V;
    if (mishap.kind == Kind::stuck && weighing::stuck_frames_for(d.noise_V_rms * codes_per_V) == 0)
        return "a converter with less than one code of noise may stand still";
    if (mishap.lies_about_sum) return "a part that makes a right sum over a wrong code is not in the model";
    return {};
}

std::string refuses_cause(const scale::Description& d, const scale::Fault& fault) {
    if (fault.cause == scale::Cause::healthy || fault.cause == scale::Cause::unlisted)
        return "it is no cause that can be put into a scale";
    if (!scale::possible(d, fault.cause)) return "this scale cannot have it";
    if (fault.cause == scale::Cause::trim_off && d.converter == scale::Converter::per_cell)
        return "a wrong corner factor is entered with the seal open";
    return {};
}

}  // namespace

std::string refuses(const scale::Description& d, const Mishap& mishap) {
    const auto words = kind_words[static_cast<std::size_t>(mishap.kind)];
    const auto because = [&](const std::string& why) {
        return why.empty() ? why : fmt::format("{}: {}", words, why);
    };
    if (!(mishap.share > 0.0 && mishap.share <= 1.0)) return because("a share is above 0 and at most 1");
    if (!(mishap.lasts_s >= 0.0)) return because("it lasts no time that can be");
    if (mishap.times < 1) return because("it happens at least once");
    if (mishap.kind <= Kind::not_new) return because(refuses_port(d, mishap));
    if (mishap.kind == Kind::cause) return because(refuses_cause(d, mishap.cause.fault));
    if (mishap.kind == Kind::memory_bits && mishap.times > most_memory_bits)
        return because(
            fmt::format("at most {} bits, as many as the sum of a record is sure to see", most_memory_bits));
    return {};
}

}  // namespace cornerbench::bad_days
