#pragma once

namespace cornerbench::world {

/// A damped mass on a spring, y'' + 2 zeta w y' + w^2 y = 0, stepped exactly: after any number of steps it is
/// where the closed form has it.
class Oscillator {
  public:
    Oscillator() = default;

    /// `frequency_Hz` is the undamped one, above 0; `damping` (zeta) lies in [0, 1).
    Oscillator(double frequency_Hz, double damping, double step_s);

    /// One step of `step_s` on, left to itself.
    void step() {
        const double y = yy_ * y_ + yv_ * v_;
        v_ = vy_ * y_ + vv_ * v_;
        y_ = y;
    }

    /// The rest position moves by `by`: the mass stays where it is.
    void move_rest(double by) { y_ -= by; }
    /// Changes the velocity at once, the place not.
    void kick(double velocity) { v_ += velocity; }

    double from_rest() const { return y_; }
    double velocity() const { return v_; }
    double acceleration() const { return -stiffness_ * y_ - drag_ * v_; }

    /// Energy of a unit mass.
    double energy() const { return 0.5 * (v_ * v_ + stiffness_ * y_ * y_); }
    void stand_still() { y_ = v_ = 0.0; }

  private:
    double stiffness_ = 0.0;  // w^2
    double drag_ = 0.0;       // 2 zeta w
    double yy_ = 1.0;
    double yv_ = 0.0;
    double vy_ = 0.0;
    double vv_ = 1.0;
    double y_ = 0.0;
    double v_ = 0.0;
};

}  // namespace cornerbench::world
