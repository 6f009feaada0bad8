#include "hal/cortex_m/semihosting.h"

#include <array>

namespace cornerbench::cortex_m::semihosting {

namespace {

constexpr std::uint32_t sys_open = 0x01;
constexpr std::uint32_t sys_read = 0x06;
constexpr std::uint32_t sys_get_cmdline = 0x15;
constexpr std::uint32_t sys_exit_extended = 0x20;
constexpr std::uint32_t mode_rb = 1;
/// ADP_Stopped_ApplicationExit
constexpr std::uint32_t stopped_by_exit = 0x20026;

using Block = std::array<std::uintptr_t, 3>;

std::int32_t call(std::uint32_t operation, Block& block) {
    register std::uint32_t r0 __asm("r0") = operation;
    register Block* r1 __asm("r1") = &block;
    __asm volatile("bkpt 0xAB" : "+r"(r0) : "r"(r1) : "memory");
    return static_cast<std::int32_t>(r0);
}

std::uintptr_t address_of(const void* object) {
    return reinterpret_cast<std::uintptr_t>(object);
}

}  // namespace

void exit(int status) {
    Block block{stopped_by_exit, static_cast<std::uintptr_t>(status), 0};
    call(sys_exit_extended, block);
}

std::string_view command_line(std::span<char> room) {
    Block block{address_of(room.data()), room.size(), 0};
    if (call(sys_get_cmdline, block) != 0) return {};
    return {room.data(), block[1]};
}

File::File(std::string_view path) {
    // The name has to end in a zero byte.
    std::array<char, 256> name{};
    if (path.size() >= name.size()) return;
    path.copy(name.data(), path.size());
    Block block{address_of(name.data()), mode_rb, path.size()};
    handle_ = call(sys_open, block);
}

hal::Answer File::read(std::span<char> text, std::size_t& count) {
    count = 0;
    if (!open()) return hal::Answer::failed;
    Block block{static_cast<std::uintptr_t>(handle_), address_of(text.data()), text.size()};
    const std::int32_t missing = call(sys_read, block);
    if (missing < 0 || static_cast<std::size_t>(missing) > text.size()) return hal::Answer::failed;
    count = text.size() - static_cast<std::size_t>(missing);
    return hal::Answer::done;
}

}  // namespace cornerbench::cortex_m::semihosting
