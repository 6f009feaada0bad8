#include "sim/files/standard_keys.h"

namespace cornerbench::files {

namespace {

constexpr TableTitle titles[] = {
    {"stages", "[stages.verification] and [stages.service]"},
    {"corner_test", "[corner_test]"},
    {"indicator", "[indicator]"},
    {"class", "[[class]], one for each accuracy class"},
    {"class.bands", "bands = [{ ... }, ...] of a class"},
    {"class.further", "further = { ... } of a class, optional"},
    {"class.sizes", "[class.sizes] below a [[class]], optional"},
    {"tests.weighing", "[tests.weighing], optional like every [tests...]"},
    {"tests.repeatability", "[tests.repeatability]"},
    {"tests.zero_return", "[tests.zero_return]"},
    {"tests.discrimination", "[tests.discrimination]"},
    {"tests.section", "[tests.section]"},
    {"tests.rolling", "[tests.rolling]"},
    {"tests.substitution", "[tests.substitution]"},
    {"tests.substitution.relaxed", "relaxed = [{ ... }, ...] of [tests.substitution], optional"},
    {"tests.substitution.by_capacity", "[[tests.substitution.by_capacity]], optional"},
    {"modules", "[modules], optional"},
};

}  // namespace

const std::vector<PlainKey>& standard_keys() {
    static const std::vector<PlainKey> keys{
        {"", "name", "what the standard is called; required"},
        {"", "edition", "which text this was taken from, and how sure that is; required"},
        {"", "stages", "when a scale is judged; required"},
        {"", "corner_test", "load and verdict of the corner test; required"},
        {"", "indicator", "what an indicator's zero, rest and range may be; required"},
        {"", "class", "limits of error by accuracy class; at least one"},
        {"", "tests", "the tests of a day beside the corner test; optional"},
        {"", "modules", "how cells, indicator and cable must fit together; optional"},

        {"stages", "word", "what the standard calls it; required"},
        {"stages", "factor", "by which the limits of every band are multiplied; required"},
        {"stages", "clause", "where the standard says so; required, as in every table below"},

        {"corner_test", "clause", "required"},
        {"corner_test", "share_of_max", "load as a share of max; or the next two"},
        {"corner_test", "few_supports",
         "up to so many supports the load is max over few_divisor, on n more "
         "max over n - 1"},
        {"corner_test", "few_divisor", "see few_supports"},
        {"corner_test", "spread", "true: largest result less smallest is limited too; default false"},
        {"corner_test", "spread_by_stage",
         "true: by the stage's limit of error at the test load; false: by that at a factor of 1; default "
         "true"},
        {"corner_test", "before_rounding",
         "true: limits hold for the error before rounding; false: for what is shown; default false; holds "
         "for every test"},
        {"corner_test", "rounding_clause", "where the standard says so; optional"},

        {"indicator", "clause", "required"},
        {"indicator", "initial_zero_share", "of max, whole range of the zero set at power-on; required"},
        {"indicator", "zero_setting_share", "of max, whole range of zero key and tracking; required"},
        {"indicator", "zero_light_divisions", "the zero light burns within this; required"},
        {"indicator", "tracking_divisions", "zero is followed within this; required"},
        {"indicator", "tracking_divisions_per_s", "and no faster than this; default: however fast"},
        {"indicator", "motion_divisions", "widest band of rest; required"},
        {"indicator", "over_divisions", "past max, the last weight shown; this or over_share"},
        {"indicator", "over_share", "the same as a share of max"},
        {"indicator", "degraded_weight", "true: a weight without one cell may be shown; default false"},

        {"class", "name", "as a scale file's class says it; required"},
        {"class", "clause", "required"},
        {"class", "bands", "limits with rising edges; required"},
        {"class", "further", "past the last edge the limit grows; default: the last limit stays"},
        {"class", "sizes", "what a scale of this class may be"},
        {"class", "tracking_divisions", "in place of the [indicator]'s"},
        {"class", "cell_classes", "list of the cells' classes that serve, such as C; default: any"},
        {"class.bands", "up_to", "load in divisions; the edge belongs to its band; required"},
        {"class.bands", "limit", "largest error in divisions at a stage's factor of 1; required"},
        {"class.further", "every", "divisions of load; required"},
        {"class.further", "limit", "divisions more for each of these or part of it; required"},
        {"class.sizes", "clause", "required"},
        {"class.sizes", "least_divisions", "fewest divisions up to max"},
        {"class.sizes", "most_divisions", "most divisions up to max"},
        {"class.sizes", "least_division_kg", "smallest division (kg)"},
        {"class.sizes", "least_load_divisions", "smallest load, Min, in divisions"},

        {"tests.weighing", "clause", "required"},
        {"tests.weighing", "fewest_loads", "different loads, the largest and the smallest among them"},
        {"tests.weighing", "decreasing", "true: coming down as well; default false"},
        {"tests.repeatability", "clause", "required"},
        {"tests.repeatability", "times", "weighings of one load; required"},
        {"tests.repeatability", "shares", "list of loads as shares of max; required"},
        {"tests.repeatability", "spread_limits",
         "largest result less smallest, in limits of error at that load; required"},
        {"tests.repeatability", "by_stage",
         "true: the stage's limits; false: those at a factor of 1; default true"},
        {"tests.zero_return", "clause", "required"},
        {"tests.zero_return", "limit_divisions", "off zero after the loads; this or smallest_limits"},
        {"tests.zero_return", "smallest_limits", "the same in times of the smallest limit of error"},
        {"tests.zero_return", "loaded_min", "minutes that the load has stood before; default 0, no time"},
        {"tests.discrimination", "clause", "required"},
        {"tests.discrimination", "extra_divisions",
         "put gently on once the display has fallen by a division; required"},
        {"tests.discrimination", "change_divisions",
         "so much more than the fallen display must show at least; required"},
        {"tests.discrimination", "one_back",
         "true: one of the small weights that were taken off goes back on before; default true"},
        {"tests.section", "clause", "required"},
        {"tests.section", "pattern_m", "length of the test pattern along the deck (m); required"},
        {"tests.section", "most_width_m", "its width where the deck is wider (m); required"},
        {"tests.section", "clc_share",
         "of the concentrated load capacity, heaviest load on the pattern; required"},
        {"tests.section", "sections_less",
         "max is at most that capacity times the sections less this; required"},
        {"tests.rolling", "clause", "required"},
        {"tests.rolling", "share", "of max, the heaviest load rolled over the deck; required"},
        {"tests.substitution", "clause", "required"},
        {"tests.substitution", "own_share", "of max, least test weights; required"},
        {"tests.substitution", "own_least_kg", "and no less than this (kg); default 0"},
        {"tests.substitution", "test_load_share",
         "of max, least load of the test with substitution loads; default 1"},
        {"tests.substitution", "test_load_least_kg", "and no less than this (kg); default 0"},
        {"tests.substitution", "relaxed", "less test weights where weighings repeat well"},
        {"tests.substitution", "by_capacity",
         "what holds instead by the scale's max; the first row that fits"},
        {"tests.substitution.relaxed", "repeatability_divisions", "largest less smallest; required"},
        {"tests.substitution.relaxed", "own_share", "of max; required"},
        {"tests.substitution.by_capacity", "unit",
         "\"lb\": for scales in pounds; \"kg\": for those in kilograms or tonnes; masses below are in it; "
         "required"},
        {"tests.substitution.by_capacity", "up_to", "largest max; default: any"},
        {"tests.substitution.by_capacity", "own_share", "of max, least test weights; required"},
        {"tests.substitution.by_capacity", "own_least", "and no less than this; default 0"},
        {"tests.substitution.by_capacity", "test_load_share", "of max, least load of the test; required"},
        {"tests.substitution.by_capacity", "test_load_least", "and no less than this; default 0"},

        {"modules", "clause", "of v_min <= division / square root of the number of cells; required"},
        {"modules", "certificates_clause",
         "of everything else that certificates must agree in; default: common practice, no source"},
        {"modules", "cell_share", "of the limit of error that the cells may take; default 0.7"},
        {"modules", "indicator_share", "the same of the indicator; default 0.5"},
        {"modules", "cable_share", "the same of the connecting parts; default 0.5"},
        {"modules", "load_factor",
         "true: capacity must cover dead load, zero setting and uneven load as one factor; default false"},
        {"modules", "cell_standard",
         "whose classes cells have, such as OIML R 60 or NAME of a NAME.toml; default: none"},
        {"modules", "return_divisions",
         "of a multi-interval scale: largest least dead load output return of the cells together, in the "
         "finest division; default: no limit"},
    };
    return keys;
}

std::string standard_keys_text() {
    return titled_entries(standard_keys(), titles) + "\n" +
           wrapped(
               "A file of your own is handed over with --standard FILE, or with --standard NAME when it "
               "lies as NAME.toml in a folder standards/ or configs/standards/ beside the scale's file "
               "or above it.",
               0, 0);
}

}  // namespace cornerbench::files
