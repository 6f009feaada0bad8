#pragma once

#include <string>
#include <utility>
#include <vector>

#include "sim/files/file_error.h"

namespace cornerbench::files {

/// Collects what is wrong with one file, and with the files it names, while it is read.
class Findings {
  public:
    explicit Findings(std::string file) : file_(std::move(file)) {}

    /// Notes an error; `message` says what would be valid.
    void error(ErrorKind kind, Spot spot, std::string message);
    void warning(Spot spot, std::string message);

    /// Takes over the errors and warnings of another file that this one names, each once however often it is
    /// named.
    template <class Value>
    void adopt(const Loaded<Value>& other) {
        add_new(other.errors, adopted_errors_);
        add_new(other.warnings, adopted_warnings_);
    }

    bool clean() const { return errors_.empty() && adopted_errors_.empty(); }
    const std::string& file() const { return file_; }

    /// `value` when nothing is wrong, with everything found: this file's first, in the order of its lines.
    template <class Value>
    Loaded<Value> result(Value value) {
        Loaded<Value> loaded;
        if (clean()) loaded.value = std::move(value);
        loaded.errors = in_order(errors_, adopted_errors_);
        loaded.warnings = in_order(warnings_, adopted_warnings_);
        return loaded;
    }

  private:
    static void add_new(const std::vector<FileError>& from, std::vector<FileError>& to);
    static std::vector<FileError> in_order(std::vector<FileError> own, const std::vector<FileError>& adopted);

    std::string file_;
    std::vector<FileError> errors_;
    std::vector<FileError> warnings_;
    std::vector<FileError> adopted_errors_;
    std::vector<FileError> adopted_warnings_;
};

}  // namespace cornerbench::files
