#pragma once

#include <cstddef>
#include <new>
#include <span>
#include <type_traits>

namespace cornerbench::numbers {

/// Hands out pieces of memory that the caller gave, front to back; nothing is given back singly.
class Arena {
  public:
    /// Over no memory, an arena only counts: `used` then tells what the same takes will need.
    explicit Arena(std::span<double> memory) : memory_(memory) {}

    /// `count` fresh objects; an empty span, and `exhausted` from then on, when no room is left.
    template <typename T = double>
    std::span<T> take(int count) {
        static_assert(std::is_trivially_destructible_v<T> && alignof(T) <= alignof(double));
        const std::size_t n = count > 0 ? static_cast<std::size_t>(count) : 0;
        const std::size_t doubles = (n * sizeof(T) + sizeof(double) - 1) / sizeof(double);
        const std::size_t first = used_;
        used_ += doubles;
        if (used_ > memory_.size()) return {};
        T* piece = reinterpret_cast<T*>(memory_.data() + first);
        for (std::size_t i = 0; i < n; ++i) ::new (static_cast<void*>(piece + i)) T{};
        return {piece, n};
    }

    /// One object built from `arguments`; null, and `exhausted` from then on, when no room is left.
    template <typename T, typename... Arguments>
    T* make(Arguments&&... arguments) {
        static_assert(std::is_trivially_destructible_v<T> && alignof(T) <= alignof(double));
        const std::size_t first = used_;
        used_ += (sizeof(T) + sizeof(double) - 1) / sizeof(double);
        if (used_ > memory_.size()) return nullptr;
        return ::new (static_cast<void*>(memory_.data() + first)) T(static_cast<Arguments&&>(arguments)...);
    }

    bool exhausted() const { return used_ > memory_.size(); }
    /// Doubles taken, or asked for in vain.
    std::size_t used() const { return used_; }

  private:
    std::span<double> memory_;
    std::size_t used_ = 0;
};

}  // namespace cornerbench::numbers
