#include "sim/live/rtu_port.h"

#include <fcntl.h>
#include <pty.h>
#include <sys/ioctl.h>
#include <termios.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

#include <spdlog/fmt/fmt.h>

#include "sim/live/host_refusal.h"

namespace cornerbench::live {

namespace {

constexpr std::array<std::pair<int, speed_t>, 8> speeds{{{1200, B1200},
                                                         {2400, B2400},
                                                         {4800, B4800},
                                                         {9600, B9600},
                                                         {19'200, B19200},
                                                         {38'400, B38400},
                                                         {57'600, B57600},
                                                         {115'200, B115200}}};

const std::pair<int, speed_t>* speed_of(int baud) {
    const auto* const found =
        std::find_if(speeds.begin(), speeds.end(), [baud](const auto& speed) { return speed.first == baud; });
    return found == speeds.end() ? nullptr : found;
}

HostRefusal refusal(const std::string& device, const std::string& why) {
    return HostRefusal(
        fmt::format("Modbus RTU: {}: {}; valid: a serial device such as /dev/ttyUSB0, or {} for a "
                    "pseudo-terminal",
                    device, why, rtu_pseudo_terminal));
}

}  // namespace

bool is_rtu_baud(int baud) {
    return speed_of(baud) != nullptr;
}

RtuPort::RtuPort(const RtuSetting& setting)
    : address_(static_cast<std::uint8_t>(setting.address)),
      silence_us_(console::rtu_silence_us(setting.baud)),
      frames_(silence_us_) {
    if (setting.device == rtu_pseudo_terminal)
        open_pseudo_terminal();
    else
        open_device(setting);
}

void RtuPort::open_pseudo_terminal() {
    int master = -1;
    int slave = -1;
    std::array<char, 128> name{};
    if (openpty(&master, &slave, name.data(), nullptr, nullptr) != 0)
        throw refusal(std::string(rtu_pseudo_terminal), std::strerror(errno));
    line_ = Descriptor(master);
    held_ = Descriptor(slave);
    path_ = name.data();
    termios raw{};
    if (tcgetattr(slave, &raw) == 0) {
        cfmakeraw(&raw);
        (void)tcsetattr(slave, TCSANOW, &raw);
    }
    (void)fcntl(master, F_SETFL, O_NONBLOCK);
    (void)fcntl(master, F_SETFD, FD_CLOEXEC);
    (void)fcntl(slave, F_SETFD, FD_CLOEXEC);
}

void RtuPort::open_device(const RtuSetting& setting) {
    path_ = setting.device;
    line_ = Descriptor(::open(path_.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC));
    if (!line_.open()) throw refusal(path_, std::strerror(errno));
    termios wanted{};
    if (tcgetattr(line_.get(), &wanted) != 0) throw refusal(path_, "is no serial device");
    cfmakeraw(&wanted);
    wanted.c_cflag |= CLOCAL | CREAD;
    if (setting.parity != Parity::none) wanted.c_cflag |= PARENB;
    if (setting.parity == Parity::odd) wanted.c_cflag |= PARODD;
    if (setting.parity == Parity::none) wanted.c_cflag |= CSTOPB;
    const auto* const speed = speed_of(setting.baud);
    const bool set = speed != nullptr && cfsetispeed(&wanted, speed->second) == 0 &&
                     cfsetospeed(&wanted, speed->second) == 0 &&
                     tcsetattr(line_.get(), TCSANOW, &wanted) == 0;
    if (!set) throw refusal(path_, fmt::format("cannot be set to {} baud", setting.baud));
    // Two who answer on one line answer over each other.
    if (ioctl(line_.get(), TIOCEXCL) != 0) throw refusal(path_, std::strerror(errno));
    (void)tcflush(line_.get(), TCIOFLUSH);
}

void RtuPort::watch(std::vector<pollfd>& descriptors) const {
    if (!gone_) descriptors.push_back({line_.get(), POLLIN, 0});
}

std::int64_t RtuPort::wait_us(std::int64_t now_us, std::int64_t longest_us) const {
    if (!waiting_) return longest_us;
    return std::clamp<std::int64_t>(came_us_ + silence_us_ - now_us, 0, longest_us);
}

void RtuPort::take_in(std::int64_t now_us) {
    std::array<std::uint8_t, console::longest_rtu_frame + 1> bytes{};
    const ssize_t got = ::read(line_.get(), bytes.data(), bytes.size());
    if (got > 0) {
        // They came at some time since the last look, and not before it.
        frames_.came(std::span(bytes).first(static_cast<std::size_t>(got)), looked_us_);
        came_us_ = now_us;
        waiting_ = true;
    }
    gone_ = got == 0 || (got < 0 && errno != EAGAIN && errno != EINTR);
    looked_us_ = now_us;
}

void RtuPort::serve(std::int64_t now_us, virtual_scale::ClientRegisters* registers) {
    if (gone_) return;
    take_in(now_us);
    if (!waiting_ || now_us - came_us_ < silence_us_) return;
    waiting_ = false;
    const std::span<const std::uint8_t> frame = frames_.take(now_us);
    if (frame.empty() || registers == nullptr) return;
    std::array<std::uint8_t, console::longest_rtu_frame> answer{};
    const std::size_t count = console::ModbusRtuOn(*registers, address_).answer(frame, answer);
    if (count > 0) send(std::span(answer).first(count));
}

void RtuPort::send(std::span<const std::uint8_t> bytes) {
    // On a wire, what nobody has read is gone when the next answer comes.
    if (held_.open()) (void)tcflush(held_.get(), TCIFLUSH);
    if (::write(line_.get(), bytes.data(), bytes.size()) == static_cast<ssize_t>(bytes.size())) ++answered_;
}

}  // namespace cornerbench::live
