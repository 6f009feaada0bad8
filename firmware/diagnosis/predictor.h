#pragma once

#include <array>
#include <span>

#include "firmware/circuit/box.h"
#include "firmware/diagnosis/cell_slopes.h"
#include "firmware/diagnosis/force_table.h"
#include "firmware/diagnosis/lifted_bench.h"
#include "firmware/diagnosis/nuisances.h"
#include "firmware/diagnosis/ratio_curve.h"
#include "firmware/diagnosis/rows.h"
#include "firmware/numbers/arena.h"
#include "firmware/scale/causes.h"

/// What every reading of a sheet ought to be, with a fault or without, and how it answers to what is never
/// known exactly.
namespace cornerbench::diagnosis {

/// Divisions beyond Max and below zero that a weight is still shown at: R 76-1 (2006), 4.2.3 as remembered,
/// and common practice, no source.
inline constexpr double most_divisions_over = 9.0;
inline constexpr double most_divisions_under = 20.0;

/// Most box positions that two faults touch: two pairs of exchanged cells.
inline constexpr int max_touched = 4;

/// Which part of the prediction faults can move.
struct Touched {
    /// Box positions whose network changes, -1 after the last.
    std::array<short, max_touched> position{-1, -1, -1, -1};
    bool forces = false;  ///< support forces change
    bool supply = false;  ///< home run or excitation changes

    /// Where `p` stands among them, -1 when it does not.
    int slot_of(int p) const;
    bool touches(int p) const { return slot_of(p) >= 0; }
    void add(int p);
    /// Faults with equal keys touch the same rows.
    int key() const;
};

/// What `fault` can move.
Touched touched_by(const scale::Fault& fault);
/// By both at once.
Touched touched_by(const scale::Fault& fault, const scale::Fault& also);

/// The forward model of one sheet. The healthy scale is predicted once; a fault costs what it touches.
class Predictor {
  public:
    Predictor(numbers::Arena& arena, const scale::Description& description, const Sheet& sheet,
              const LoadHistory& history, const Scatter& scatter);

    /// Predicts the healthy scale. False when its deck cannot stand.
    [[nodiscard]] bool prepare();

    /// A second fault, there whatever `set` puts on the scale, from the next `set` on; healthy for none.
    void hold(const scale::Fault& also) { held_ = also; }
    const scale::Fault& held() const { return held_; }

    /// Puts `fault` on the scale, beside the one that is held. False when the deck cannot stand so.
    [[nodiscard]] bool set(const scale::Fault& fault);

    /// Prediction of one row under the fault, in the row's own form.
    double mean(const Row& row);
    /// Adds the row's slopes to `slopes` (zero on entry), one per column, per standard uncertainty.
    void slopes(const Row& row, std::span<double> slopes);

    /// True when the fault can move `row` at all.
    bool moves(const Row& row, const Touched& touched) const;

    /// True when a weight or a channel can be a number: its reference there, its converter within range.
    bool readable(const Row& row);

    /// What would be shown in place of a weight or of a channel's number.
    Shown shown(const Row& row);

    /// Of a resistance's logarithm, as far as what is never known exactly moves it.
    double resistance_variance(const Row& row);

    /// Volts that a lifted cell is fed with at `reading`.
    double excitation_V(const Reading& reading) const;

    const Nuisances& columns() const { return columns_; }
    const scale::Condition& condition() const { return condition_; }
    double kg_per_ratio() const { return kg_per_ratio_; }

  private:
    /// One solved bus: of a load state, and in a per-cell box of one position.
    struct BusState {
        circuit::PortSum sum{};
        circuit::PortSum untouched{};  ///< of the positions that the fault does not touch
        circuit::BusReading reading;
        circuit::RatioGradient gradient{};
        double warm_ratio = 0.0;  ///< with the home run one standard uncertainty warmer
        bool with_untouched = false;
        bool summed = false;
        bool solved = false;
        bool with_gradient = false;
        bool with_warm = false;
    };

    circuit::Bus warm_bus() const;
    int buses() const { return sound_box_.per_cell() ? cells_ : 1; }
    const ForceTable& forces() const { return touched_.forces ? faulted_forces_ : sound_forces_; }
    int state_of(const Row& row) const { return forces().state_of(row.reading); }
    BusState& bus_state(int state, int position, bool with_gradient);
    /// What `bus` makes of four states side by side, `first` and the next; of the last again where they end.
    std::array<circuit::BusReading, 4> read_four(const circuit::Bus& bus, std::span<BusState> states,
                                                 int first);
    void add_up(BusState& at, int state);
    double warm_ratio(int state);
    bool sound_bus_at(int position) const;
    circuit::CellPorts ports_at(int state, int position);
    double bridge_ratio(int state, int position) const;
    void bridge_ratios(int state, circuit::Ratios& ratios) const;
    const CellSlopes& slopes_of(int position);

    double converter_ratio(int state);
    /// The ratio shown as nothing after that zeroing, or -1 for before any.
    double zero_ratio(int zeroing);
    /// A sound position as the readings see it, whatever force is on its cell.
    struct SoundPosition {
        RatioCurve<circuit::port_pair_count> ports;
        RatioCurve<1> lifted_signal;
    };
    SoundPosition sound_position(int position) const;
    /// The ports of a touched position, by its bridge ratio: found when they are asked for.
    struct TouchedPorts {
        RatioCurve<circuit::port_pair_count> curve;
        bool known = false;
    };
    /// A position's cell on the bench meter, its answers found when they are asked for.
    struct OnBench {
        LiftedBench bench;
        MovedBenches moved;
        SignalSlopes signal;
        bool with_bench = false;
        bool with_moved = false;
        bool with_signal = false;
    };
    OnBench& on_bench(int position);
    MovedBenches& moved_on_bench(int position);
    const SignalSlopes& signal_on_bench(int position);
    double lifted_signal_ratio(int position, int state);
    static double log_resistance(LiftedBench& bench, const Reading& reading, double force_N);

    /// Change of a ratio per standard uncertainty of each of a cell's unknowns, then of its trim.
    using CellAnswers = std::array<double, cell_unknown_count + 1>;
    CellAnswers cell_answers(const NetworkAnswers& network, double ratio_per_N, const CellScatter& own,
                             double force_N) const;
    CellAnswers cell_answers(const CellSlopes& slopes, const CellScatter& own,
                             const circuit::RatioGradient& gradient, double force_N) const;
    /// The sound scale's bus (in a per-cell box that of `position`) with `force_N` more on the cell at
    /// `loaded`, or on every cell.
    circuit::BusSolution sound_bus(int position, int loaded, double force_N,
                                   circuit::RatioGradient& gradient) const;

    /// Slopes of the converter's ratio, in a per-cell box of the sum of gain times channel.
    void add_weight_ratio_slopes(int state, int reading, double weight, std::span<double> out);
    void add_bus_slopes(int state, int reading, int only_position, double weight, std::span<double> out);
    void add_cell_slopes(int state, int reading, int position, const circuit::RatioGradient& gradient,
                         double weight, std::span<double> out);
    void weight_slopes(const Row& row, std::span<double> out);
    double& bench_slope(int cell, Perturbed moved, std::span<double> out) const;
    void lifted_signal_slopes(const Row& row, std::span<double> out);
    void resistance_slopes(const Row& row, std::span<double> out);
    void bus_signal_slopes(const Row& row, std::span<double> out);
    /// By how much the home run's drop is less known than its copper's warmth.
    double home_run_share() const;
    /// Of the supply, relative: none where a fault says its volts.
    double supply_scatter() const;
    void excitation_slopes(const Row& row, std::span<double> out);
    int cell_column(int cell, CellUnknown of) const;
    /// True when the row's number passes through the converter of this bus.
    bool converts(const Row& row, int bus) const;
    void make_corners_equal();
    void calibrate_trims();
    void calibrate_span();
    void compensate(std::span<double> out) const;

    const scale::Description& description_;
    const Sheet& sheet_;
    const LoadHistory& history_;
    const Scatter& scatter_;
    int cells_ = 0;
    bool calibrated_ = false;
    Nuisances columns_;

    scale::Condition sound_;
    scale::Condition condition_;
    scale::Fault fault_;
    scale::Fault held_;
    Touched touched_;
    PlacedLoads placed_;
    ForceTable sound_forces_;
    ForceTable faulted_forces_;
    circuit::Box sound_box_;
    circuit::Box box_;
    circuit::Bus warm_bus_;  ///< the same bus with a home run one standard uncertainty warmer
    std::span<circuit::CellPorts> sound_ports_;  ///< by load state and position
    std::span<BusState> sound_buses_;
    std::span<BusState> buses_;
    std::span<CellSlopes> sound_slopes_;  ///< by position
    std::span<CellSlopes> slopes_;
    std::array<bool, scale::max_cells> fresh_{};  ///< slopes_ holds for the fault
    bool stands_ = true;

    std::span<SoundPosition> sound_positions_;
    std::span<OnBench> sound_on_bench_;  ///< by position
    std::span<OnBench> on_bench_;        ///< of the touched positions
    std::array<TouchedPorts, max_touched> touched_ports_{};

    double sound_zero_ratio_ = 0.0;
    double kg_per_ratio_ = 0.0;
    std::span<double> sound_zero_slopes_;
    std::span<double> span_slopes_;  ///< of the logarithm of the indicator's span
    /// Trim movement that made up for a cell's own unknowns when the corners were trimmed, by cell and
    /// unknown.
    std::array<std::array<double, cell_unknown_count>, scale::max_cells> compensation_{};
};

}  // namespace cornerbench::diagnosis
