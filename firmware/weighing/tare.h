#pragma once

/// Tare: what is taken off the gross weight to make the net one.
namespace cornerbench::weighing {

/// Clauses of OIML R 76-1:2006 are from memory.
struct TareSettings {
    /// Largest tare: Max, or the first partial range's Max on a multi-interval scale (4.6, 4.7). Subtractive:
    /// a tare leaves the gross range as it is, so net and tare together never pass Max (4.6.6).
    double largest_kg = 0.0;
    double division_kg = 0.0;  ///< the finest
};

/// Where the tare comes from.
enum class TareKind : unsigned char {
    none,
    weighed,  ///< net is shown
    preset    ///< net is shown, and that the tare was keyed in (4.7.3)
};

/// What the tare key did, or why not.
enum class TareAnswer : unsigned char {
    done,
    not_stable,    ///< wait until the scale rests (4.6.8)
    not_positive,  ///< at zero or below it there is nothing to tare (4.6.4)
    over_range     ///< larger than the largest tare
};

/// A weighed tare is kept as it was weighed, so that the net weight stands within a quarter of a division of
/// zero (4.6.3); a preset one is rounded to the division (4.7.1). Gross, tare and net are each rounded by
/// themselves when shown, so their shown sum can be out by a division. State is plain; kg.
class Tare {
  public:
    Tare() = default;
    explicit Tare(const TareSettings& settings) : settings_(settings) {}

    /// Tares `gross_kg` (past the zero, before rounding); replaces a tare there was.
    TareAnswer take(double gross_kg, bool stable);

    /// Sets a tare known beforehand; replaces a tare there was.
    TareAnswer preset(double tare_kg);

    /// Back to the gross weight. To be done at every setting of zero as well.
    void clear();

    TareKind kind() const { return kind_; }
    double tare_kg() const { return tare_kg_; }
    double net_kg(double gross_kg) const { return gross_kg - tare_kg_; }

  private:
    TareAnswer put(double tare_kg, TareKind kind);

    TareSettings settings_;
    double tare_kg_ = 0.0;
    TareKind kind_ = TareKind::none;
};

}  // namespace cornerbench::weighing
