#pragma once

#include <array>
#include <cstddef>

namespace cornerbench::hal {

/// First in, first out, at most `Capacity` of them; no heap.
template <typename Item, std::size_t Capacity>
class BoundedQueue {
  public:
    /// False, and nothing has changed, when it is full.
    bool push(const Item& item) {
        if (size_ == Capacity) return false;
        items_[(first_ + size_) % Capacity] = item;
        ++size_;
        return true;
    }

    /// The oldest. Only when `size()` is not 0.
    const Item& front() const { return items_[first_]; }

    /// Takes the oldest out. Only when `size()` is not 0.
    void pop() {
        first_ = (first_ + 1) % Capacity;
        --size_;
    }

    std::size_t size() const { return size_; }
    static constexpr std::size_t capacity() { return Capacity; }
    void clear() { size_ = 0; }

  private:
    std::array<Item, Capacity> items_{};
    std::size_t first_ = 0;
    std::size_t size_ = 0;
};

}  // namespace cornerbench::hal
