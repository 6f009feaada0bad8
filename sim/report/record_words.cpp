#include "sim/report/record_words.h"

#include <algorithm>
#include <cmath>

#include "sim/files/mass_unit.h"
#include "sim/report/number_words.h"

namespace cornerbench::report {

RecordMass::RecordMass(const scale::Description& description, scale::MassUnit unit)
    : unit_kg_(scale::kilograms_in(unit)), unit_(files::unit_name(unit)) {
    const double tenth = 0.1 * description.division_at_kg(0.0) / unit_kg_;
    decimals_ = std::max(0, static_cast<int>(std::ceil(-std::log10(tenth) - 1.0e-9)));
}

std::string RecordMass::number(double kg) const {
    return grouped(kg / unit_kg_, decimals_);
}

std::string RecordMass::signed_number(double kg) const {
    return signed_grouped(kg / unit_kg_, decimals_);
}

std::string RecordMass::with_unit(double kg) const {
    return number(kg) + " " + unit_;
}

std::string test_words_of(const files::TestLine& line) {
    std::string text(files::test_words[static_cast<unsigned>(line.test)]);
    if (line.place.kind != files::PlaceKind::empty) text += ", " + files::place_text(line.place);
    if (line.decreasing) text += ", decreasing";
    return text;
}

std::string date_words(const std::string& date) {
    return date.empty() ? "not dated" : date;
}

std::string_view mark_of(commissioning::Verdict verdict) {
    switch (verdict) {
        case commissioning::Verdict::passes:
            return "\u2713";
        case commissioning::Verdict::fails:
            return "\u2717";
        case commissioning::Verdict::uncertain:
            return "?";
        case commissioning::Verdict::not_done:
            break;
    }
    return "\u2013";
}

}  // namespace cornerbench::report
