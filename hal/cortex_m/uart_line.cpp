#include "hal/cortex_m/uart_line.h"

#include "hal/cortex_m/uart.h"

namespace cornerbench::cortex_m {

namespace {

UartLine* the_line = nullptr;

}  // namespace

UartLine::UartLine() {
    the_line = this;
    Uart::start();
    Uart::interrupt_on_bytes();
}

hal::Answer UartLine::receive(std::span<std::uint8_t> bytes, std::size_t& count) {
    count = 0;
    while (count < bytes.size() && in_.pop(bytes[count])) ++count;
    // Told once all that came before it has been taken.
    if (count == 0 && !bytes.empty() && lost_.exchange(false)) return hal::Answer::failed;
    return hal::Answer::done;
}

hal::Answer UartLine::send(std::span<const std::uint8_t> bytes, std::size_t& count) {
    count = 0;
    while (count < bytes.size() && out_.push(bytes[count])) ++count;
    taken_over_ += static_cast<std::uint32_t>(count);
    // The interrupt comes when a byte has left: the first one has to be sent off by hand.
    if (count > 0) Uart::pretend_byte_left();
    return hal::Answer::done;
}

void UartLine::byte_came() {
    if (Uart::overran()) lost_ = true;
    while (Uart::has_got()) {
        const std::uint8_t byte = Uart::take();
        arrived_ = arrived_ + 1;
        // What follows a loss is kept out until the firmware has been told of it.
        if (lost_ || !in_.push(byte)) lost_ = true;
    }
}

void UartLine::byte_left() {
    std::uint8_t byte = 0;
    while (Uart::can_put() && out_.pop(byte)) Uart::put(byte);
}

void uart_received() {
    Uart::forget_interrupts();
    if (the_line != nullptr) the_line->byte_came();
}

void uart_sent() {
    Uart::forget_interrupts();
    if (the_line != nullptr) the_line->byte_left();
}

}  // namespace cornerbench::cortex_m
