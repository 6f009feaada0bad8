#include "sim/live/large_digits.h"

namespace cornerbench::live {

namespace {

using Picture = std::array<std::string_view, large_rows>;

constexpr std::array<Picture, 10> digits{{
    {" ### ", "#   #", "#   #", "#   #", " ### "},
    {"  #  ", " ##  ", "  #  ", "  #  ", " ### "},
    {"#### ", "    #", " ### ", "#    ", "#####"},
    {"#### ", "    #", " ### ", "    #", "#### "},
    {"#   #", "#   #", "#####", "    #", "    #"},
    {"#####", "#    ", "#### ", "    #", "#### "},
    {" ### ", "#    ", "#### ", "#   #", " ### "},
    {"#####", "    #", "   # ", "  #  ", "  #  "},
    {" ### ", "#   #", " ### ", "#   #", " ### "},
    {" ### ", "#   #", " ####", "    #", " ### "},
}};
constexpr Picture minus{"     ", "     ", "#####", "     ", "     "};
constexpr Picture blank{"     ", "     ", "     ", "     ", "     "};
constexpr Picture point{" ", " ", " ", " ", "#"};

const Picture* picture_of(char sign) {
    if (sign >= '0' && sign <= '9') return &digits[static_cast<std::size_t>(sign - '0')];
    if (sign == '-') return &minus;
    if (sign == ' ') return &blank;
    if (sign == '.') return &point;
    return nullptr;
}

}  // namespace

std::array<std::string, large_rows> large_digits(std::string_view text) {
    std::array<std::string, large_rows> rows;
    for (const char sign : text) {
        const Picture* picture = picture_of(sign);
        if (picture == nullptr) continue;
        for (std::size_t row = 0; row < rows.size(); ++row) rows[row] += std::string((*picture)[row]) + " ";
    }
    return rows;
}

}  // namespace cornerbench::live
