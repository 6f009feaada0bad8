#pragma once

#include <cstddef>
#include <memory>
#include <string>

#include "sim/page/bench.h"
#include "sim/page/link.h"
#include "sim/page/page_data.h"

namespace cornerbench::page {

/// The bench at which a link ends, or why there is none.
struct LinkRun {
    std::unique_ptr<Bench> bench;  ///< null with an error
    std::string scale;             ///< name
    std::size_t refused = 0;       ///< deeds that made no sense when they were due
    std::string error;
};

/// Does on this computer what the page did whose link it is, with the same scales and lessons.
LinkRun run_link(const Link& link, const PageContent& content);

}  // namespace cornerbench::page
