#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "firmware/console/error_queue.h"

/// A line as IEEE 488.2 (chapter 7; from memory) and SCPI-99 (volume 1, 6; from memory) read it: units
/// between ';', each a header and its data. Everything points into the line.
namespace cornerbench::console {

inline constexpr std::size_t max_nodes = 8;
inline constexpr std::size_t max_parameters = 4;
inline constexpr std::size_t longest_word = 12;  ///< IEEE 488.2, 7.6.1.4.1 and 7.7.1.4 (from memory)

/// Kinds of program data that are told apart (IEEE 488.2, 7.7; from memory).
enum class DataKind : std::uint8_t { number, word, string, block, expression };

/// One element of program data.
struct Parameter {
    DataKind kind = DataKind::word;
    std::string_view text;    ///< as sent
    double number = 0.0;      ///< of a number
    std::string_view suffix;  ///< its unit, empty without one
};

/// The mnemonics of a header from the root on.
struct HeaderPath {
    std::array<std::string_view, max_nodes> nodes{};
    std::size_t count = 0;
};

/// One unit of a line as it was read. Its texts point into the line.
struct MessageUnit {
    HeaderPath header;
    bool star = false;  ///< a common command, *XXX
    bool query = false;
    std::string_view header_text;  ///< as sent, for messages
    std::array<Parameter, max_parameters> parameters{};
    std::size_t parameter_count = 0;
};

/// Cuts the next unit off `rest`, up to a ';' outside of strings.
std::string_view take_unit(std::string_view& rest);

/// Reads `text`, one unit without its ';'. A header that does not begin with ':' starts at `path`, which is
/// left at the place where the next one starts (SCPI-99, volume 1, 6.2.4; from memory). On an error `unit`
/// holds what was understood.
Error read_unit(std::string_view text, HeaderPath& path, MessageUnit& unit);

}  // namespace cornerbench::console
