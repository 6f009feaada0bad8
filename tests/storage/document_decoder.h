#pragma once

#include <bit>
#include <cstdint>
#include <fstream>
#include <map>
#include <span>
#include <sstream>
#include <string>
#include <vector>

/// Reads memories by the tables of FORMAT.md and nothing else: not a line of the firmware's is in it.
namespace cornerbench::storage::testing {

struct Row {
    std::size_t offset = 0;
    std::size_t size = 0;
    std::string what;
};

class FormatPage {
  public:
    FormatPage() {
        std::ifstream file(std::string(CORNERBENCH_SOURCE_DIR) + "/firmware/storage/FORMAT.md");
        std::string heading;
        for (std::string line; std::getline(file, line);) {
            if (line.starts_with("## ")) heading = line.substr(3);
            if (line.starts_with("| ")) rows_[heading].push_back(cells(line));
        }
    }

    /// Rows of a table of offsets, sizes and meanings.
    std::vector<Row> table(const std::string& heading) const {
        std::vector<Row> rows;
        for (const auto& row : rows_.at(heading))
            if (row.size() == 3 && is_number(row[0]))
                rows.push_back({std::stoul(row[0]), std::stoul(row[1]), row[2]});
        return rows;
    }

    /// Size of a part of a slot.
    std::size_t part(const std::string& name) const {
        for (const auto& row : rows_.at("Where things lie"))
            if (row[0] == name) return std::stoul(row[1]);
        return 0;
    }

  private:
    static bool is_number(const std::string& text) {
        return !text.empty() && text.find_first_not_of("0123456789") == std::string::npos;
    }
    static std::vector<std::string> cells(const std::string& line) {
        std::vector<std::string> found;
        std::istringstream stream(line.substr(1));
        for (std::string cell; std::getline(stream, cell, '|');) {
            const std::size_t begin = cell.find_first_not_of(' ');
            const std::size_t end = cell.find_last_not_of(' ');
            found.push_back(begin == std::string::npos ? "" : cell.substr(begin, end - begin + 1));
        }
        return found;
    }

    std::map<std::string, std::vector<std::vector<std::string>>> rows_;
};

using Bytes = std::span<const std::uint8_t>;

inline std::uint64_t whole_number(Bytes bytes) {
    std::uint64_t value = 0;
    for (std::size_t i = bytes.size(); i-- > 0;) value = value << 8 | bytes[i];
    return value;
}
inline double real(Bytes bytes) {
    return std::bit_cast<double>(whole_number(bytes));
}
inline float single(Bytes bytes) {
    return std::bit_cast<float>(static_cast<std::uint32_t>(whole_number(bytes)));
}

/// CRC-32C by its definition: the remainder of the message, bits lowest first, by the polynomial 1EDC6F41.
inline std::uint32_t remainder_of(Bytes bytes) {
    std::uint32_t remainder = 0xFFFFFFFFu;
    for (const std::uint8_t byte : bytes)
        for (unsigned bit = 0; bit < 8; ++bit) {
            const bool top = (remainder >> 31) != (byte >> bit & 1u);
            remainder = (remainder << 1) ^ (top ? 0x1EDC6F41u : 0u);
        }
    std::uint32_t turned = 0;
    for (unsigned bit = 0; bit < 32; ++bit) turned |= (remainder >> bit & 1u) << (31 - bit);
    return ~turned;
}

}  // namespace cornerbench::storage::testing
