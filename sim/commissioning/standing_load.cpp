#include "sim/commissioning/standing_load.h"

#include <algorithm>

namespace cornerbench::commissioning {

using field::Place;
using files::PlaceKind;

namespace {

constexpr int pattern_rows = 4;
// Axles of a heavy trailer behind each other: common practice, no source.
constexpr int rolling_axles = 4;
constexpr double axle_spacing_m = 1.3;
constexpr double half_track_m = 1.0;

double first_m(const scale::Deck& deck) {
    return deck.section_x_m[0] - deck.overhang_m;
}

double last_m(const scale::Deck& deck) {
    return deck.section_x_m[static_cast<unsigned>(deck.sections - 1)] + deck.overhang_m;
}

std::vector<StandingPart> pattern(const scale::Deck& deck, int section, const files::SectionRule& rule) {
    const double across = std::min(rule.most_width_m, deck.width_m);
    const double half = 0.5 * std::min(rule.pattern_m, last_m(deck) - first_m(deck));
    // At an end the pattern moves in until it lies on the deck.
    const double middle = std::clamp(deck.section_x_m[static_cast<unsigned>(section)], first_m(deck) + half,
                                     last_m(deck) - half);
    std::vector<StandingPart> parts;
    for (int i = 0; i < pattern_rows; ++i)
        for (int j = 0; j < pattern_rows; ++j)
            parts.push_back({{middle + half * (2.0 * (i + 0.5) / pattern_rows - 1.0),
                              0.5 * deck.width_m + across * ((j + 0.5) / pattern_rows - 0.5)},
                             1.0 / (pattern_rows * pattern_rows)});
    return parts;
}

std::vector<StandingPart> rolling(const scale::Deck& deck, int place) {
    const double length = last_m(deck) - first_m(deck);
    const double spacing = std::min(axle_spacing_m, length / rolling_axles);
    const double reach = (rolling_axles - 1) * spacing;
    const double start = first_m(deck) + (length - reach) * place / (files::rolling_places - 1);
    const double half_track = std::min(half_track_m, 0.5 * deck.width_m);
    std::vector<StandingPart> parts;
    for (int i = 0; i < rolling_axles; ++i)
        for (const double side : {-half_track, half_track})
            parts.push_back({{start + i * spacing, 0.5 * deck.width_m + side}, 0.5 / rolling_axles});
    return parts;
}

}  // namespace

std::vector<StandingPart> standing_on(const files::TestPlace& place, const scale::Description& d,
                                      const files::Standard& standard) {
    const scale::Deck& deck = d.deck;
    switch (place.kind) {
        case PlaceKind::empty:
            break;
        case PlaceKind::support:
            return {{field::over_support(deck, place.index)}};
        case PlaceKind::section:
            return {{field::over_section(deck, place.index)}};
        case PlaceKind::midspan: {
            const Place a = field::over_section(deck, place.index);
            const Place b = field::over_section(deck, place.index + 1);
            return {{{0.5 * (a.x_m + b.x_m), a.y_m}}};
        }
        case PlaceKind::pattern:
            return pattern(deck, place.index, standard.tests.section.value_or(files::SectionRule{}));
        case PlaceKind::rolling:
            return rolling(deck, place.index);
        case PlaceKind::spread: {
            std::vector<StandingPart> parts;
            for (int i = 0; i < d.cell_count(); ++i)
                parts.push_back({field::over_support(deck, i), 1.0 / d.cell_count()});
            return parts;
        }
    }
    return {};
}

}  // namespace cornerbench::commissioning
