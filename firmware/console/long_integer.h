#pragma once

#include <array>
#include <bit>
#include <cstdint>

namespace cornerbench::console {

/// A whole number long enough for every finite double and every decimal of a line, exactly. Grows to 2560
/// bits and no further: what asks for more is wrong before it gets here.
class LongInteger {
  public:
    explicit LongInteger(std::uint64_t value = 0) {
        limbs_[0] = static_cast<std::uint32_t>(value);
        limbs_[1] = static_cast<std::uint32_t>(value >> 32);
        used_ = 2;
        trim();
    }

    bool is_zero() const { return used_ == 0; }

    /// Bits up to the highest one that is set; 0 of zero.
    int bits() const {
        return used_ == 0 ? 0 : 32 * used_ - std::countl_zero(limbs_[static_cast<std::size_t>(used_ - 1)]);
    }

    /// Makes this `factor` times itself plus `addend`.
    void multiply_add(std::uint32_t factor, std::uint32_t addend) {
        std::uint64_t carry = addend;
        for (int i = 0; i < used_; ++i) {
            auto& limb = limbs_[static_cast<std::size_t>(i)];
            carry += static_cast<std::uint64_t>(limb) * factor;
            limb = static_cast<std::uint32_t>(carry);
            carry >>= 32;
        }
        if (carry != 0 && used_ < limbs)
            limbs_[static_cast<std::size_t>(used_++)] = static_cast<std::uint32_t>(carry);
    }

    /// Times 10^power; nothing for a power below 1.
    void multiply_by_power_of_ten(int power) {
        for (; power >= 9; power -= 9) multiply_add(1'000'000'000u, 0);
        for (; power > 0; --power) multiply_add(10, 0);
    }

    /// Times 2^by; nothing for `by` below 1.
    void shift_left(int by) {
        const int whole = by / 32;
        const int part = by % 32;
        if (used_ == 0 || by <= 0) return;
        const int top = used_ + whole + 1 < limbs ? used_ + whole + 1 : limbs;
        for (int i = top - 1; i >= 0; --i) {
            const std::uint64_t high = limb_at(i - whole);
            const std::uint64_t low = limb_at(i - whole - 1);
            limbs_[static_cast<std::size_t>(i)] =
                static_cast<std::uint32_t>((high << 32 | low) >> (32 - part));
        }
        used_ = top;
        trim();
    }

    /// Negative, 0 or positive as this is smaller than, equal to or larger than `other`.
    int compare(const LongInteger& other) const {
        if (used_ != other.used_) return used_ - other.used_;
        for (int i = used_ - 1; i >= 0; --i) {
            const std::uint32_t a = limb_at(i);
            const std::uint32_t b = other.limb_at(i);
            if (a != b) return a < b ? -1 : 1;
        }
        return 0;
    }

    /// `other` is no larger than this.
    void subtract(const LongInteger& other) {
        std::uint64_t borrow = 0;
        for (int i = 0; i < used_; ++i) {
            const std::uint64_t difference =
                static_cast<std::uint64_t>(limb_at(i)) - other.limb_at(i) - borrow;
            limbs_[static_cast<std::size_t>(i)] = static_cast<std::uint32_t>(difference);
            borrow = difference >> 63;
        }
        trim();
    }

  private:
    static constexpr int limbs = 80;

    std::uint32_t limb_at(int i) const {
        return i >= 0 && i < used_ ? limbs_[static_cast<std::size_t>(i)] : 0;
    }
    void trim() {
        while (used_ > 0 && limbs_[static_cast<std::size_t>(used_ - 1)] == 0) --used_;
    }

    std::array<std::uint32_t, limbs> limbs_{};
    int used_ = 0;
};

}  // namespace cornerbench::console
