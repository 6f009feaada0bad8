#include "sim/live/controls.h"

#include <algorithm>

#include <spdlog/fmt/fmt.h>

#include "firmware/numbers/elementary.h"
#include "sim/field/fault_words.h"
#include "sim/files/session_file.h"

namespace cornerbench::live {

namespace {

using Kind = KeyStroke::Kind;

constexpr std::size_t longest_words = 70;

/// Of a magnitude's range, what lies in its middle; of a range around 0, halfway from there to its end.
double middle(const scale::Magnitude& magnitude) {
    if (magnitude.spread == scale::Spread::log_uniform)
        return numbers::exp(0.5 * (numbers::log(magnitude.low) + numbers::log(magnitude.high)));
    const double mean = 0.5 * (magnitude.low + magnitude.high);
    const double reach = 0.5 * (magnitude.high - magnitude.low);
    const bool around_zero = magnitude.low < 0.0 && magnitude.high > 0.0;
    return around_zero ? mean + 0.5 * reach : mean;
}

/// The site of `cause` that has to do with `support`, or its first one.
scale::Site site_near(const scale::Description& d, scale::Cause cause, int support) {
    const int count = scale::site_count(d, cause);
    for (int i = 0; i < count; ++i) {
        const scale::Site site = scale::site_at(d, cause, i);
        if (site.index == support) return site;
    }
    return scale::site_at(d, cause, 0);
}

scale::Fault example(const scale::Description& d, scale::Cause cause, int support) {
    scale::Fault fault;
    fault.cause = cause;
    fault.site = site_near(d, cause, support);
    fault.variant = scale::variant_at(d, cause, 0);
    const scale::Magnitudes magnitudes = scale::magnitudes_of(d, cause, fault.site);
    for (std::size_t i = 0; i < static_cast<std::size_t>(magnitudes.count); ++i)
        fault.magnitude[i] = middle(magnitudes.of[i]);
    return fault;
}

}  // namespace

Controls::Controls(Yard& yard) : yard_(yard), walk_(yard) {}

std::vector<std::string> Controls::legend() const {
    const int supports = yard_.supports();
    std::string digits = fmt::format("1-{}", std::min(supports, 9));
    if (supports == 10) digits += ", 00 (10)";
    if (supports > 10) digits += fmt::format(", 00-0{} (10-{})", supports - 10, supports);
    return {digits + ", arrows support  w weight  v vehicle  f fault  m mend",
            "r round  z zero  t tare  c clear tare  u unit  p print  o power  s seal  q quit"};
}

void Controls::take(std::string_view bytes) {
    for (const KeyStroke& stroke : reader_.read(bytes)) {
        if (quit_) return;
        writing_ ? write(stroke) : press(stroke);
    }
}

void Controls::press(const KeyStroke& stroke) {
    const bool digit = stroke.kind == Kind::character && stroke.character >= '0' && stroke.character <= '9';
    if (!digit) ten_more_ = false;
    switch (stroke.kind) {
        case Kind::up:
        case Kind::left:
            return step_support(-1);
        case Kind::down:
        case Kind::right:
            return step_support(1);
        case Kind::character:
            return digit ? choose_digit(stroke.character - '0') : press(stroke.character);
        default:
            return;
    }
}

void Controls::press(char key) {
    switch (key) {
        case 'w':
            if (walk_.under_way()) return walk_.stop();
            return yard_.move_weight(support_);
        case 'v':
            walk_.stop();
            return yard_.move_vehicle();
        case 'r':
            return walk_.under_way() ? walk_.stop() : walk_.begin();
        case 'f':
            return begin_writing();
        case 'm':
            return yard_.mend();
        case 'z':
            return yard_.zero();
        case 't':
            return yard_.tare();
        case 'c':
            return yard_.clear_tare();
        case 'u':
            return yard_.next_unit();
        case 'p':
            return yard_.print();
        case 'o':
            return yard_.switch_power();
        case 's':
            return yard_.switch_seal();
        case 'q':
            quit_ = true;
            return;
        default:
            return;
    }
}

void Controls::choose_digit(int digit) {
    const int number = ten_more_ ? 10 + digit : digit;
    const bool prefix = digit == 0 && !ten_more_;
    ten_more_ = prefix;
    if (prefix) return;
    if (number > yard_.supports())
        return yard_.note(fmt::format("there is no support {}; valid: 1 to {}", number, yard_.supports()));
    support_ = number - 1;
}

void Controls::step_support(int by) {
    support_ = (support_ + by + yard_.supports()) % yard_.supports();
}

void Controls::begin_writing() {
    writing_ = true;
    written_.clear();
    suggest();
}

void Controls::suggest() {
    const scale::Description& d = yard_.file().description;
    suggestions_.clear();
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<scale::Cause>(i);
        if (cause == scale::Cause::healthy || cause == scale::Cause::unlisted || !scale::possible(d, cause))
            continue;
        suggestions_.push_back(field::fault_words(example(d, cause, support_), d));
    }
    for (const std::string_view words : files::converter_fault_words) suggestions_.emplace_back(words);
    suggested_ = std::min(suggested_, suggestions_.size() - 1);
}

void Controls::write(const KeyStroke& stroke) {
    switch (stroke.kind) {
        case Kind::enter:
            writing_ = false;
            return yard_.inject(words());
        case Kind::escape:
            writing_ = false;
            return;
        case Kind::backspace:
            if (!written_.empty()) written_.pop_back();
            return;
        case Kind::up:
            suggested_ = (suggested_ + suggestions_.size() - 1) % suggestions_.size();
            written_.clear();
            return;
        case Kind::down:
            suggested_ = (suggested_ + 1) % suggestions_.size();
            written_.clear();
            return;
        case Kind::character:
            if (written_.size() < longest_words) written_ += stroke.character;
            return;
        default:
            return;
    }
}

}  // namespace cornerbench::live
