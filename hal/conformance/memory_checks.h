#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <span>

#include "hal/conformance/clock_checks.h"

namespace cornerbench::hal {

/// Polls until the operation has ended, letting time pass; `busy` when it does not within ten seconds.
inline Answer finished(Rig& rig, Findings& findings) {
    Memory& memory = rig.board().memory;
    for (int turn = 0; turn < 10'000; ++turn) {
        const Answer answer = memory.poll(board_time(rig, findings));
        if (answer != Answer::busy) return answer;
        let_pass(rig, findings, 1'000);
    }
    return Answer::busy;
}

/// Whether `size` bytes from `offset` in `block` are `first`, `first + step`, ...
inline bool holds(Rig& rig, std::uint32_t block, std::uint32_t offset, std::size_t size, unsigned first,
                  unsigned step) {
    std::array<std::uint8_t, 64> part{};
    for (std::size_t done = 0; done < size;) {
        const std::size_t now = std::min(part.size(), size - done);
        const Answer answer = rig.board().memory.read(block, offset + static_cast<std::uint32_t>(done),
                                                      std::span(part).first(now));
        if (answer != Answer::done) return false;
        for (std::size_t i = 0; i < now; ++i)
            if (part[i] != static_cast<std::uint8_t>(first + step * (done + i))) return false;
        done += now;
    }
    return true;
}

inline void check_memory_arguments(Rig& rig, Findings& findings) {
    Memory& memory = rig.board().memory;
    const MemoryGeometry geometry = memory.geometry();
    std::array<std::uint8_t, 256> bytes{};
    const std::size_t unit = std::min<std::size_t>(geometry.program_size, bytes.size());
    const auto one = std::span(bytes).first(unit);

    CORNERBENCH_PROMISED(findings, memory.read(geometry.block_count, 0, one) == Answer::bad_argument,
                         "no block beyond the last is read");
    CORNERBENCH_PROMISED(findings, memory.read(0, geometry.block_size, one) == Answer::bad_argument,
                         "no byte beyond a block is read");
    CORNERBENCH_PROMISED(findings, memory.read(0, ~std::uint32_t{0}, one) == Answer::bad_argument,
                         "an offset that would wrap around is refused");
    CORNERBENCH_PROMISED(findings, memory.start_program(geometry.block_count, 0, one) == Answer::bad_argument,
                         "no block beyond the last is programmed");
    CORNERBENCH_PROMISED(findings, memory.start_program(0, geometry.block_size, one) == Answer::bad_argument,
                         "no byte beyond a block is programmed");
    CORNERBENCH_PROMISED(findings, memory.start_program(0, 0, {}) == Answer::bad_argument,
                         "a program of nothing is refused");
    if (geometry.program_size > 1) {
        CORNERBENCH_PROMISED(findings, memory.start_program(0, 1, one) == Answer::bad_argument,
                             "programs start on a multiple of program_size");
        CORNERBENCH_PROMISED(findings,
                             memory.start_program(0, 0, one.first(unit - 1)) == Answer::bad_argument,
                             "programs end on a multiple of program_size");
    }
    CORNERBENCH_PROMISED(findings, memory.start_erase(geometry.block_count) == Answer::bad_argument,
                         "no block beyond the last is erased");
    CORNERBENCH_PROMISED(findings, memory.poll(board_time(rig, findings)) == Answer::done,
                         "a bad argument starts nothing");
}

/// Leaves block 0 programmed and synced from its start, and returns how many bytes.
inline std::size_t check_memory_operations(Rig& rig, Findings& findings) {
    Memory& memory = rig.board().memory;
    const MemoryGeometry geometry = memory.geometry();
    const auto last_unit = geometry.block_size - geometry.program_size;
    std::array<std::uint8_t, 256> bytes{};
    const std::size_t size = std::min<std::size_t>(bytes.size(), geometry.block_size) /
                             geometry.program_size * geometry.program_size;
    if (size == 0) {
        findings.left_out();
        return 0;
    }

    for (std::uint32_t block = 0; block < geometry.block_count; ++block) {
        CORNERBENCH_PROMISED(findings, memory.start_erase(block) == Answer::done, "an erase starts");
        CORNERBENCH_PROMISED(findings, finished(rig, findings) == Answer::done, "an erase ends");
        CORNERBENCH_PROMISED(findings, holds(rig, block, 0, geometry.block_size, geometry.erased_value, 0),
                             "an erased byte reads erased_value");
    }

    for (std::size_t i = 0; i < size; ++i) bytes[i] = static_cast<std::uint8_t>(3 + 5 * i);
    CORNERBENCH_PROMISED(findings, memory.start_program(0, 0, std::span(bytes).first(size)) == Answer::done,
                         "a program starts");
    bytes.fill(0);
    std::array<std::uint8_t, 1> one{};
    if (memory.poll(board_time(rig, findings)) == Answer::busy) {
        CORNERBENCH_PROMISED(findings, memory.read(0, 0, one) == Answer::busy,
                             "a read during an operation is busy");
        CORNERBENCH_PROMISED(findings, memory.start_erase(0) == Answer::busy,
                             "one operation at a time: no erase during another");
        CORNERBENCH_PROMISED(findings, memory.start_sync() == Answer::busy,
                             "one operation at a time: no sync during another");
        CORNERBENCH_PROMISED(findings,
                             memory.start_program(0, 0, std::span(bytes).first(size)) == Answer::busy,
                             "one operation at a time: no program during another");
    }
    CORNERBENCH_PROMISED(findings, finished(rig, findings) == Answer::done, "a program ends");
    CORNERBENCH_PROMISED(findings, memory.poll(board_time(rig, findings)) == Answer::done,
                         "the answer stays until the next operation");
    CORNERBENCH_PROMISED(findings, holds(rig, 0, 0, size, 3, 5),
                         "bytes were copied before the call returned, and read back");
    if (size <= last_unit)
        CORNERBENCH_PROMISED(findings,
                             holds(rig, 0, last_unit, geometry.program_size, geometry.erased_value, 0),
                             "the rest of the block stays erased");
    if (geometry.block_count > 1)
        CORNERBENCH_PROMISED(findings, holds(rig, 1, 0, geometry.block_size, geometry.erased_value, 0),
                             "another block is untouched");
    CORNERBENCH_PROMISED(findings, memory.read(0, geometry.block_size, {}) == Answer::done,
                         "reading nothing at a block's end is no error");
    CORNERBENCH_PROMISED(findings, memory.start_sync() == Answer::done, "a sync starts");
    CORNERBENCH_PROMISED(findings, finished(rig, findings) == Answer::done, "a sync ends");
    return size;
}

inline void check_power_cuts(Rig& rig, Findings& findings, std::size_t synced_size) {
    const MemoryGeometry geometry = rig.board().memory.geometry();
    const std::uint32_t other = geometry.block_count - 1;
    for (int turn = 0; turn < 12; ++turn) {
        if (geometry.block_count > 1) {
            const std::array<std::uint8_t, 256> zeros{};
            const std::size_t unit = geometry.program_size;
            const bool programs = turn % 2 == 1 && unit <= zeros.size();
            const Answer answer =
                programs ? rig.board().memory.start_program(other, 0, std::span(zeros).first(unit))
                         : rig.board().memory.start_erase(other);
            CORNERBENCH_PROMISED(findings, answer == Answer::done, "an operation starts after a power cut");
            if (turn % 4 >= 2)
                CORNERBENCH_PROMISED(findings, finished(rig, findings) == Answer::done,
                                     "an operation ends after a power cut");
        }
        if (!rig.cut_power()) return findings.left_out();
        CORNERBENCH_PROMISED(findings, rig.board().memory.geometry() == geometry,
                             "the geometry is the same after a power cut");
        CORNERBENCH_PROMISED(findings, rig.board().memory.poll(board_time(rig, findings)) == Answer::done,
                             "no operation is under way after a power cut");
        CORNERBENCH_PROMISED(findings, holds(rig, 0, 0, synced_size, 3, 5),
                             "what ended before a sync stays over a power cut");
    }
}

/// hal/memory.h
inline void check_memory(Rig& rig, Findings& findings) {
    const MemoryGeometry geometry = rig.board().memory.geometry();
    CORNERBENCH_PROMISED(findings,
                         geometry.program_size > 0 && geometry.block_count > 0 && geometry.block_size > 0 &&
                             geometry.block_size % geometry.program_size == 0,
                         "block_size is a multiple of program_size");
    CORNERBENCH_PROMISED(findings, finished(rig, findings) == Answer::done,
                         "without an operation poll answers done");
    check_memory_arguments(rig, findings);
    check_power_cuts(rig, findings, check_memory_operations(rig, findings));
}

}  // namespace cornerbench::hal
