#pragma once

#include <string>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/description.h"

namespace cornerbench::files {

/// What a sheet file says beside its readings.
struct SheetHead {
    std::string scale_path;  ///< as the sheet shall name it: from the sheet's folder
    std::string comment;     ///< lines put at the top, each behind "# "; may be empty
};

/// One reading as it stands in a sheet file, from an empty line on: it may follow whatever the file ends
/// with.
std::string reading_block(const scale::Description& description, const diagnosis::Reading& reading);

/// `sheet` as the text of a sheet file, which `load_sheet` reads back as the same readings to twelve figures.
/// Loads are named by support or section where they stand there. Instruments with their default uncertainty
/// are left out.
std::string sheet_text(const SheetHead& head, const scale::Description& description,
                       const diagnosis::Sheet& sheet);

}  // namespace cornerbench::files
