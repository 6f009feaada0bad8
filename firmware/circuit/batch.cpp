#include "firmware/circuit/batch.h"

namespace cornerbench::circuit {

namespace {

using Readings = std::array<BusReading, batch_lanes>;

/// Variants `first` to `first + filled`, of `variants` in all.
struct Chunk {
    int first = 0;
    int filled = 0;
    int variants = 0;

    template <typename T, typename Of>
    void store(std::span<T> to, Of&& of, int row = 0) const {
        if (to.empty()) return;
        for (int l = 0; l < filled; ++l) to[row * variants + first + l] = of(l);
    }
};

/// Adds the ports of one position under a chunk's loads; lanes beyond the last variant repeat it.
void add_ports(const Box& box, int position, std::span<const double> ratios, const Chunk& chunk,
               PortLanes<batch_lanes>& sum) {
    const double* row = ratios.data() + position * chunk.variants + chunk.first;
    if (chunk.filled == batch_lanes) {
        box.add_ports<batch_lanes>(position, load<batch_lanes>(row), sum);
        return;
    }
    std::array<double, batch_lanes> ratio;
    for (int l = 0; l < batch_lanes; ++l) ratio[l] = row[l < chunk.filled ? l : chunk.filled - 1];
    box.add_ports<batch_lanes>(position, load<batch_lanes>(ratio.data()), sum);
}

void summed(const Box& box, std::span<const double> ratios, const Chunk& chunk, const BatchOutput& out) {
    PortLanes<batch_lanes> sum;
    for (int position = 0; position < box.count(); ++position) add_ports(box, position, ratios, chunk, sum);
    Readings readings;
    box.bus().read<batch_lanes>(sum, readings);
    chunk.store(out.ratio, [&](int l) { return readings[l].ratio; });
    chunk.store(out.reference_V, [&](int l) { return readings[l].reference_V; });
    chunk.store(out.reference_missing, [&](int l) { return readings[l].reference_missing; });
}

void by_channel(const Box& box, std::span<const double> ratios, const Chunk& chunk, const BatchOutput& out) {
    std::array<double, batch_lanes> sum{};
    std::array<bool, batch_lanes> missing{};
    Readings readings;
    for (int position = 0; position < box.count(); ++position) {
        PortLanes<batch_lanes> ports;
        add_ports(box, position, ratios, chunk, ports);
        box.bus().read<batch_lanes>(ports, readings);
        for (int l = 0; l < batch_lanes; ++l) {
            sum[l] += box.gain(position) * readings[l].ratio;
            missing[l] = missing[l] || readings[l].reference_missing;
        }
        chunk.store(
            out.channel, [&](int l) { return readings[l].ratio; }, position);
    }
    chunk.store(out.ratio, [&](int l) { return sum[l]; });
    chunk.store(out.reference_V, [&](int l) { return readings[l].reference_V; });
    chunk.store(out.reference_missing, [&](int l) { return missing[l]; });
}

}  // namespace

void outputs(const Box& box, std::span<const double> bridge_ratios, int variants, const BatchOutput& out) {
    if (box.count() == 0) return;
    for (int first = 0; first < variants; first += batch_lanes) {
        const int left = variants - first;
        const Chunk chunk{first, left < batch_lanes ? left : batch_lanes, variants};
        if (box.per_cell()) {
            by_channel(box, bridge_ratios, chunk, out);
        } else {
            summed(box, bridge_ratios, chunk, out);
        }
    }
}

}  // namespace cornerbench::circuit
