#pragma once

/// What a count of events says about how often they come.
namespace cornerbench::field {

/// Bounds of a share, 0 to 1.
struct ShareInterval {
    double low = 0.0;
    double high = 1.0;
};

/// 95 % confidence interval of a share of which `part` out of `whole` independent trials came true: the score
/// interval of Wilson, "Probable inference, the law of succession, and statistical inference", J. Am. Stat.
/// Assoc. 22 (1927) 209-212. 0 to 1 while there were no trials.
ShareInterval share_interval(int part, int whole);

}  // namespace cornerbench::field
