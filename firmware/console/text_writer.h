#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>

/// Text into a fixed place, with what it needs to say numbers.
namespace cornerbench::console {

/// Writes until the place is full; from then on nothing more goes in and `full` says so.
class TextWriter {
  public:
    explicit TextWriter(std::span<char> place) : place_(place) {}

    void put(char c) {
        if (used_ == place_.size()) {
            full_ = true;
            return;
        }
        place_[used_++] = c;
    }
    void put(std::string_view text) {
        for (const char c : text) put(c);
    }
    void put_integer(std::int64_t value);
    /// The lowest `digits` hexadecimal digits, in capitals and with leading zeros.
    void put_hexadecimal(std::uint64_t value, int digits);

    /// `digits` with the point before the last `decimals` of them (NR1 or NR2 of IEEE 488.2).
    void put_decimal(std::int64_t digits, int decimals);

    /// NR3 of IEEE 488.2, rounded to nearest with ties to even, to 1..17 significant digits; no needless
    /// zeros. SCPI's 9.91E+37 for what is no number, 9.9E+37 for what is infinite.
    void put_real(double value, int significant);

    /// The fewest of 15 to 17 digits from which the same double is read again.
    void put_exact(double value);

    bool full() const { return full_; }
    std::size_t size() const { return used_; }
    std::string_view text() const { return {place_.data(), used_}; }
    /// Back to `size` characters.
    void cut(std::size_t size) {
        if (size <= used_) used_ = size;
        full_ = false;
    }

  private:
    std::span<char> place_;
    std::size_t used_ = 0;
    bool full_ = false;
};

}  // namespace cornerbench::console
