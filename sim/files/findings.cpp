#include "sim/files/findings.h"

#include <algorithm>

namespace cornerbench::files {

void Findings::error(ErrorKind kind, Spot spot, std::string message) {
    errors_.push_back({kind, file_, std::move(spot), std::move(message)});
}

void Findings::warning(Spot spot, std::string message) {
    warnings_.push_back({ErrorKind::impossible, file_, std::move(spot), std::move(message)});
}

void Findings::add_new(const std::vector<FileError>& from, std::vector<FileError>& to) {
    for (const FileError& error : from) {
        if (std::find(to.begin(), to.end(), error) == to.end()) to.push_back(error);
    }
}

std::vector<FileError> Findings::in_order(std::vector<FileError> own, const std::vector<FileError>& adopted) {
    std::stable_sort(own.begin(), own.end(), [](const FileError& a, const FileError& b) {
        return a.spot.line != b.spot.line ? a.spot.line < b.spot.line : a.spot.column < b.spot.column;
    });
    own.insert(own.end(), adopted.begin(), adopted.end());
    return own;
}

}  // namespace cornerbench::files
