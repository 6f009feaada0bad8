#include "sim/world/normal_source.h"

#include <array>
#include <cmath>
#include <cstddef>

#include "firmware/numbers/elementary.h"

namespace cornerbench::world {

namespace {

constexpr std::size_t layers = 128;
constexpr double last_x = 3.442619855899;           // where the tail begins, for 128 layers
constexpr double layer_area = 9.91256303526217e-3;  // of each, under exp(-x^2/2)

struct Ziggurat {
    std::array<double, layers + 1> x{};
    std::array<double, layers> inside{};  ///< below this share of a layer's width a point is under the curve

    Ziggurat() {
        double height = numbers::exp(-0.5 * last_x * last_x);
        x[0] = layer_area / height;
        x[1] = last_x;
        for (std::size_t i = 2; i < layers; ++i) {
            x[i] = std::sqrt(-2.0 * numbers::log(layer_area / x[i - 1] + height));
            height = numbers::exp(-0.5 * x[i] * x[i]);
        }
        for (std::size_t i = 0; i < layers; ++i) inside[i] = x[i + 1] / x[i];
    }
};

const Ziggurat table;

}  // namespace

double NormalSource::next() {
    for (;;) {
        const std::uint64_t bits = random_.bits();
        const auto layer = static_cast<std::size_t>(bits % layers);
        const double u = 2.0 * ((static_cast<double>(bits >> 11U) + 0.5) * 0x1p-53) - 1.0;
        if (std::fabs(u) < table.inside[layer]) return u * table.x[layer];
        if (layer == 0) return tail(u < 0.0);
        const double x = u * table.x[layer];
        const double outer = numbers::exp(-0.5 * (table.x[layer] * table.x[layer] - x * x));
        const double inner = numbers::exp(-0.5 * (table.x[layer + 1] * table.x[layer + 1] - x * x));
        if (inner + random_.share() * (outer - inner) < 1.0) return x;
    }
}

double NormalSource::tail(bool below) {
    double x = 0.0;
    double y = 0.0;
    do {
        x = numbers::log(random_.share()) / last_x;
        y = numbers::log(random_.share());
    } while (-2.0 * y < x * x);
    return below ? x - last_x : last_x - x;
}

}  // namespace cornerbench::world
