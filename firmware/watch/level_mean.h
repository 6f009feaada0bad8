#pragma once

#include "firmware/watch/passage.h"

namespace cornerbench::watch {

/// Mean of what several channels gave.
struct LevelMean {
    ChannelLevels sum{};
    int count = 0;

    void clear() {
        sum = {};
        count = 0;
    }
    void add(const ChannelLevels& kg) {
        for (std::size_t i = 0; i < sum.size(); ++i) sum[i] += kg[i];
        ++count;
    }
    ChannelLevels mean() const {
        ChannelLevels kg{};
        for (std::size_t i = 0; i < sum.size(); ++i) kg[i] = count > 0 ? sum[i] / count : 0.0;
        return kg;
    }
};

}  // namespace cornerbench::watch
