#include "sim/files/cell_standard_file.h"

#include <charconv>

#include "sim/files/file_kind.h"
#include "sim/files/standard_folders.h"
#include "sim/files/standard_rules.h"
#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

constexpr Range share_range{0.01, 1.0};
constexpr Range errors_range{0.01, 10.0};
constexpr Range intervals_range{1.0, 1.0e7};
constexpr Range minutes_range{0.0, 1440.0};
constexpr Range warmth_range{0.1, 100.0};
constexpr double thousand = 1000.0;

constexpr std::string_view shipped_name = "OIML R 60";

std::optional<TableView> part(const TableView& top, std::string_view name) {
    auto table = top.table(name, "[" + std::string(name) + "] ");
    if (table) table->unknown_keys(names_of(cell_standard_keys(), name));
    if (!table && !top.has(name)) top.missing(name, "a table with clause and limits");
    return table;
}

void read_parts(const TableView& top, CellStandard& standard) {
    if (const auto table = part(top, "errors")) {
        standard.errors_clause = required_text(*table, "clause");
        standard.usual_share = required_number(*table, "usual_share", share_range, "");
        standard.least_share = required_number(*table, "least_share", share_range, "");
        standard.most_share = required_number(*table, "most_share", share_range, "");
        standard.straight_through = required_number(*table, "straight_through", share_range, "");
        if (standard.least_share > standard.usual_share || standard.usual_share > standard.most_share)
            table->error(ErrorKind::impossible, "usual_share", "must lie from least_share to most_share");
    }
    if (const auto table = part(top, "creep")) {
        standard.creep_clause = required_text(*table, "clause");
        standard.creep_min = required_number(*table, "loaded_min", minutes_range, "min");
        standard.creep_limit_errors = required_number(*table, "limit_errors", errors_range, "");
        standard.late_from_min = required_number(*table, "late_from_min", minutes_range, "min");
        standard.late_limit_errors = required_number(*table, "late_limit_errors", errors_range, "");
        if (standard.late_from_min >= standard.creep_min)
            table->error(ErrorKind::impossible, "late_from_min", "must lie before loaded_min");
    }
    if (const auto table = part(top, "least_load_return")) {
        standard.return_clause = required_text(*table, "clause");
        standard.return_intervals = required_number(*table, "limit_intervals", errors_range, "v");
    }
    if (const auto table = part(top, "ratios")) {
        standard.ratios_clause = required_text(*table, "clause");
        standard.less_least_load = table->flag("less_least_load").value_or(false);
    }
    if (const auto table = part(top, "zero_warmth")) standard.warmth_clause = required_text(*table, "clause");
}

CellClass read_class(const TableView& table) {
    table.unknown_keys(names_of(cell_standard_keys(), "class"));
    CellClass read;
    read.name = required_text(table, "name");
    read.clause = required_text(table, "clause");
    const auto optional = [&](std::string_view key, const Range& range, std::string_view unit) {
        return table.has(key) ? required_number(table, key, range, unit) : 0.0;
    };
    read.least_intervals = optional("least_intervals", intervals_range, "intervals");
    read.most_intervals = optional("most_intervals", intervals_range, "intervals");
    read.zero_warmth_K = optional("zero_warmth_K", warmth_range, "K");
    if (read.most_intervals > 0.0 && read.least_intervals > read.most_intervals)
        table.error(ErrorKind::impossible, "most_intervals", "must be least_intervals or more");
    read_bands(table, read.limits);
    return read;
}

}  // namespace

const CellClass* CellStandard::find_class(std::string_view class_name) const {
    for (const CellClass& each : classes) {
        if (each.name == class_name) return &each;
    }
    return nullptr;
}

Loaded<CellStandard> parse_cell_standard(std::string_view text, const std::string& path) {
    Findings findings(path);
    CellStandard standard;
    const auto root = parse_text(text, findings);
    if (!root || is_other_kind(*root, FileKind::cell_standard, findings))
        return findings.result(std::move(standard));
    const TableView top(*root, "", {}, findings);
    top.unknown_keys(names_of(cell_standard_keys(), ""));
    standard.name = required_text(top, "name");
    standard.edition = required_text(top, "edition");
    read_parts(top, standard);
    if (!top.has("class")) top.missing("class", "at least one table [[class]] with name, clause and bands");
    for (const TableView& table : top.tables("class")) standard.classes.push_back(read_class(table));
    return findings.result(std::move(standard));
}

Loaded<CellStandard> load_cell_standard(const std::string& path) {
    Findings findings(path);
    const auto read = read_text(path, findings);
    if (!read) return findings.result(CellStandard{});
    return parse_cell_standard(*read, path);
}

Loaded<CellStandard> find_cell_standard(std::string_view name, const std::string& scale_path) {
    const std::string file =
        name == shipped_name ? std::string(cell_standard_file_name) : std::string(name) + ".toml";
    if (const auto path = nearest_standard_file(file, scale_path)) return load_cell_standard(*path);
    if (name == shipped_name)
        return parse_cell_standard(compiled_in_standard(file), "the copy inside the program");
    Findings findings(scale_path);
    findings.error(ErrorKind::unreadable, {0, 0, "[certificates] cell_standard", std::string(name)},
                   "is no cells' standard: must be \"" + std::string(shipped_name) +
                       "\" or NAME of a NAME.toml in a folder standards/ or configs/standards/ beside the "
                       "scale's file or above it");
    return findings.result(CellStandard{});
}

CellMark read_cell_mark(std::string_view mark) {
    const std::size_t digits = mark.find_first_of("0123456789");
    CellMark read{std::string(mark.substr(0, digits)), 0.0};
    while (!read.class_name.empty() && read.class_name.back() == ' ') read.class_name.pop_back();
    if (digits == std::string_view::npos) return read;
    double thousands = 0.0;
    const char* const end = mark.data() + mark.size();
    const auto [rest, error] = std::from_chars(mark.data() + digits, end, thousands);
    if (error == std::errc() && rest == end) return {read.class_name, thousand * thousands};
    return {std::string(mark), 0.0};
}

const std::vector<PlainKey>& cell_standard_keys() {
    static const std::vector<PlainKey> keys{
        {"", "name", "what the standard is called; required"},
        {"", "edition", "which text this was taken from, and how sure that is; required"},
        {"", "errors", "how limits of error are shared and told; required, like every table below"},
        {"", "creep", "how far a load left standing may move"},
        {"", "least_load_return", "what may be left when the load has gone"},
        {"", "ratios", "what Y and Z stand for"},
        {"", "zero_warmth", "how far temperature may move an unloaded cell"},
        {"", "class", "limits of error by accuracy class; at least one"},

        {"errors", "clause", "where the standard says so; required, as in every table below"},
        {"errors", "usual_share", "p_LC, by which the bands are multiplied where papers do not state it"},
        {"errors", "least_share", "smallest p_LC that papers may state"},
        {"errors", "most_share", "largest"},
        {"errors", "straight_through",
         "share of the measuring range at which a cell has no error, as at none of it"},
        {"creep", "clause", "required"},
        {"creep", "loaded_min", "minutes under load"},
        {"creep", "limit_errors", "largest change in them, in limits of error at that load"},
        {"creep", "late_from_min", "from that minute to the last"},
        {"creep", "late_limit_errors", "largest change in that time, the same way"},
        {"least_load_return", "clause", "required"},
        {"least_load_return", "limit_intervals", "DR, in verification intervals of the cell"},
        {"ratios", "clause", "required"},
        {"ratios", "less_least_load",
         "true: Y and Z are told of Emax - Emin, as n_LC is; false: of Emax; default false"},
        {"zero_warmth", "clause", "required"},
        {"class", "name", "as in a scale file's [certificates] cell_class, \"C\" of \"C3\"; required"},
        {"class", "clause", "required"},
        {"class", "least_intervals", "fewest verification intervals, n_LC"},
        {"class", "most_intervals", "most"},
        {"class", "zero_warmth_K",
         "within so many kelvin the unloaded output moves by p_LC v_min at most; default: no limit"},
        {"class", "bands", "limits with rising edges; required"},
        {"class", "further", "past the last edge the limit grows; default: the last limit stays"},
        {"class.bands", "up_to",
         "load in verification intervals of the cell; the edge belongs to its band; required"},
        {"class.bands", "limit", "largest error in these at a p_LC of 1; required"},
        {"class.further", "every", "verification intervals of load; required"},
        {"class.further", "limit", "verification intervals more for each of these or part of it; required"},
    };
    return keys;
}

std::string cell_standard_keys_text() {
    constexpr TableTitle titles[] = {
        {"errors", "[errors]"},
        {"creep", "[creep]"},
        {"least_load_return", "[least_load_return]"},
        {"ratios", "[ratios]"},
        {"zero_warmth", "[zero_warmth]"},
        {"class", "[[class]], one for each accuracy class"},
        {"class.bands", "bands = [{ ... }, ...] of a class"},
        {"class.further", "further = { ... } of a class, optional"},
    };
    return titled_entries(cell_standard_keys(), titles) + "\n" +
           wrapped(
               "A file NAME.toml of your own, in a folder standards/ or configs/standards/ beside the "
               "scale's file or above it, is named by the scale's [certificates] cell_standard or by a "
               "standard's "
               "[modules] cell_standard.",
               0, 0);
}

}  // namespace cornerbench::files
