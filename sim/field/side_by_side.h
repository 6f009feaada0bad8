#pragma once

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <optional>
#include <thread>
#include <type_traits>
#include <vector>

namespace cornerbench::field {

/// Works out `make(i)` for every i from `begin` to below `end`, as many at a time as the computer has cores,
/// and hands each to `take(i, result)` on the caller's thread, in their order: the same calls as one after
/// the other. `make` must not touch what another call of it writes. What it throws is thrown here, in its
/// turn.
template <class Make, class Take>
void side_by_side(int begin, int end, const Make& make, const Take& take) {
    using Result = std::invoke_result_t<const Make&, int>;
    /// What came of one of them.
    struct Slot {
        std::optional<Result> result;
        std::exception_ptr thrown;
    };
    if (begin >= end) return;
    std::vector<Slot> slots(static_cast<std::size_t>(end - begin));
    std::atomic<int> next{begin};
    std::mutex mutex;
    std::condition_variable ready;
    const auto work = [&] {
        for (int i = next++; i < end; i = next++) {
            Slot made;
            try {
                made.result.emplace(make(i));
            } catch (...) {
                made.thrown = std::current_exception();
            }
            const std::lock_guard lock(mutex);
            slots[static_cast<std::size_t>(i - begin)] = std::move(made);
            ready.notify_one();
        }
    };
    const int cores = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
    std::vector<std::jthread> workers;
    for (int w = 0; w < std::min(cores, end - begin); ++w) workers.emplace_back(work);
    /// However this ends, nothing more is begun, and the workers are waited for.
    struct Stop {
        std::atomic<int>& next;
        int end;
        ~Stop() { next = end; }
    };
    const Stop stop{next, end};
    for (int i = begin; i < end; ++i) {
        Slot& slot = slots[static_cast<std::size_t>(i - begin)];
        std::unique_lock lock(mutex);
        ready.wait(lock, [&slot] { return slot.result || slot.thrown; });
        lock.unlock();
        if (slot.thrown) std::rethrow_exception(slot.thrown);
        take(i, std::move(*slot.result));
        slot.result.reset();
    }
}

}  // namespace cornerbench::field
