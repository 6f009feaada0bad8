#pragma once

/// Several numbers side by side, so that several meshes are reduced in one go.
///
/// All lanes take the same steps in the same order: a lane's bits depend neither on how many there are nor on
/// what stands beside it.
namespace cornerbench::circuit {

/// Two doubles that a compiler keeps in one register wherever the machine has such; else in two.
typedef double Pair __attribute__((vector_size(2 * sizeof(double))));
/// The same anywhere in an array of doubles.
typedef double LoosePair __attribute__((vector_size(2 * sizeof(double)), aligned(sizeof(double)), may_alias));

/// Twice as many numbers as in `Half`.
template <typename Half>
struct Twice {
    Half low;
    Half high;

    Twice& operator+=(const Twice& b) { return *this = *this + b; }
    friend Twice operator+(const Twice& a, const Twice& b) { return {a.low + b.low, a.high + b.high}; }
    friend Twice operator-(const Twice& a, const Twice& b) { return {a.low - b.low, a.high - b.high}; }
    friend Twice operator*(const Twice& a, const Twice& b) { return {a.low * b.low, a.high * b.high}; }
    friend Twice operator/(const Twice& a, const Twice& b) { return {a.low / b.low, a.high / b.high}; }
};

using Four = Twice<Pair>;
using Eight = Twice<Four>;

template <int Lanes>
struct LaneType;
/// A number alone.
template <>
struct LaneType<1> {
    using type = double;
};
/// Four side by side.
template <>
struct LaneType<4> {
    using type = Four;
};
/// Eight side by side.
template <>
struct LaneType<8> {
    using type = Eight;
};

/// One number per lane: 1, 4 or 8.
template <int Lanes>
using Lane = typename LaneType<Lanes>::type;

/// The same number in all lanes.
template <int Lanes>
Lane<Lanes> all(double value);
template <>
inline double all<1>(double value) {
    return value;
}
template <>
inline Four all<4>(double value) {
    return {Pair{value, value}, Pair{value, value}};
}
template <>
inline Eight all<8>(double value) {
    return {all<4>(value), all<4>(value)};
}

/// Lanes from as many numbers in a row, and back.
template <int Lanes>
Lane<Lanes> load(const double* numbers);
template <>
inline double load<1>(const double* numbers) {
    return *numbers;
}
template <>
inline Four load<4>(const double* numbers) {
    const LoosePair* pairs = reinterpret_cast<const LoosePair*>(numbers);
    return {pairs[0], pairs[1]};
}
template <>
inline Eight load<8>(const double* numbers) {
    return {load<4>(numbers), load<4>(numbers + 4)};
}
inline void store(double only, double* number) {
    *number = only;
}
inline void store(const Four& four, double* numbers) {
    LoosePair* pairs = reinterpret_cast<LoosePair*>(numbers);
    pairs[0] = four.low;
    pairs[1] = four.high;
}
inline void store(const Eight& eight, double* numbers) {
    store(eight.low, numbers);
    store(eight.high, numbers + 4);
}

/// The larger of two.
inline double larger(double a, double b) {
    return a > b ? a : b;
}
inline Pair larger(const Pair& a, const Pair& b) {
    return a > b ? a : b;
}
template <typename Half>
Twice<Half> larger(const Twice<Half>& a, const Twice<Half>& b) {
    return {larger(a.low, b.low), larger(a.high, b.high)};
}

}  // namespace cornerbench::circuit
