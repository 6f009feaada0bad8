#include <array>
#include <catch2/catch.hpp>
#include <string_view>
#include <utility>

#include "firmware/console/error_queue.h"
#include "firmware/console/register_map.h"
#include "firmware/console/status_registers.h"

using namespace cornerbench::console;

TEST_CASE("errors have the numbers, words and event bits of SCPI", "[console]") {
    // SCPI-99, volume 2, 21.8.2 to 21.8.12 (from memory): -1xx command errors, -2xx execution errors, -3xx
    // device errors, -4xx query errors.
    constexpr std::array<std::pair<int, std::string_view>, 38> table{{
        {0, "No error"},
        {-101, "Invalid character"},
        {-102, "Syntax error"},
        {-103, "Invalid separator"},
        {-104, "Data type error"},
        {-108, "Parameter not allowed"},
        {-109, "Missing parameter"},
        {-111, "Header separator error"},
        {-112, "Program mnemonic too long"},
        {-113, "Undefined header"},
        {-114, "Header suffix out of range"},
        {-121, "Invalid character in number"},
        {-123, "Exponent too large"},
        {-124, "Too many digits"},
        {-128, "Numeric data not allowed"},
        {-131, "Invalid suffix"},
        {-134, "Suffix too long"},
        {-138, "Suffix not allowed"},
        {-141, "Invalid character data"},
        {-144, "Character data too long"},
        {-148, "Character data not allowed"},
        {-151, "Invalid string data"},
        {-158, "String data not allowed"},
        {-168, "Block data not allowed"},
        {-178, "Expression data not allowed"},
        {-200, "Execution error"},
        {-203, "Command protected"},
        {-222, "Data out of range"},
        {-223, "Too much data"},
        {-224, "Illegal parameter value"},
        {-230, "Data corrupt or stale"},
        {-241, "Hardware missing"},
        {-320, "Storage fault"},
        {-340, "Calibration failed"},
        {-350, "Queue overflow"},
        {-360, "Communication error"},
        {-363, "Input buffer overrun"},
        {-365, "Time out error"},
    }};
    for (const auto& [number, said] : table) {
        INFO(number);
        const auto error = static_cast<Error>(number);
        CHECK(words(error) == said);
        const int bit = number == 0     ? 0
                        : number > -200 ? event_command_error
                        : number > -300 ? event_execution_error
                                        : event_device_error;
        CHECK(event_bit(error) == bit);
    }
    CHECK(event_bit(Error::query_deadlocked) == event_query_error);
    CHECK(static_cast<int>(Error::query_deadlocked) == -430);
}

TEST_CASE("exceptions have the numbers of the Modbus application protocol", "[console]") {
    // V1.1b3, 7 (from memory): 02 illegal data address, 03 illegal data value, 04 server device failure, 06
    // server device busy.
    CHECK(static_cast<int>(Exception::illegal_address) == 2);
    CHECK(static_cast<int>(Exception::illegal_value) == 3);
    CHECK(static_cast<int>(Exception::device_failure) == 4);
    CHECK(static_cast<int>(Exception::device_busy) == 6);
}
