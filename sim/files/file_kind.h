#pragma once

#include <toml++/toml.h>

#include "sim/files/findings.h"

/// Which of the program's files a text is, so that one handed over in place of another is named for what it
/// is.
namespace cornerbench::files {

/// The kinds of file that the program reads.
enum class FileKind : unsigned char {
    scale,
    lesson,
    sheet,
    vehicle,
    priors,
    standard,
    session,
    minutes,
    test_sheet,
    tolerances,
    cell_standard
};

/// True when `root` has no key that only a file of kind `expected` has, but one that only another kind has;
/// then that is reported as an error at the key.
bool is_other_kind(const toml::table& root, FileKind expected, Findings& findings);

}  // namespace cornerbench::files
