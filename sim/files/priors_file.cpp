#include "sim/files/priors_file.h"

#include <cstddef>
#include <vector>

#include "sim/files/file_kind.h"
#include "sim/files/key_text.h"
#include "sim/files/table_view.h"
#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

using scale::Cause;

constexpr Range healthy_range{0.0, 0.999};
constexpr Range weight_range{0.0, 1.0e6};

std::size_t place_of(Cause cause) {
    return static_cast<std::size_t>(scale::index_of(cause));
}

/// Every cause but healthy, which has its probability apart.
std::vector<Cause> weighted_causes() {
    std::vector<Cause> causes;
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<Cause>(i);
        if (cause != Cause::healthy) causes.push_back(cause);
    }
    return causes;
}

/// 1 for every cause that this scale can have.
Priors even_weights(const scale::Description& description) {
    Priors weights{};
    for (const Cause cause : weighted_causes()) {
        weights[place_of(cause)] = scale::possible(description, cause) ? 1.0 : 0.0;
    }
    return weights;
}

double default_healthy(const scale::Description& description) {
    return diagnosis::default_priors(description)[place_of(Cause::healthy)];
}

double sum_of(const Priors& weights) {
    double sum = 0.0;
    for (const double weight : weights) sum += weight;
    return sum;
}

/// `healthy`, and the rest shared out by weight. The sum of the weights must be above 0.
Priors normalised(double healthy, Priors weights) {
    const double share = (1.0 - healthy) / sum_of(weights);
    for (double& weight : weights) weight *= share;
    weights[place_of(Cause::healthy)] = healthy;
    return weights;
}

std::string place_of_healthy(std::string_view key) {
    return key == scale::name_of(Cause::healthy) ? "the top of the file, as a probability" : "";
}

std::string place_of_weight(std::string_view key) {
    for (const Cause cause : weighted_causes()) {
        if (key == scale::name_of(cause)) return "[causes]";
    }
    return "";
}

void read_weights(const TableView& view, const scale::Description& description, Priors& weights) {
    for (const Cause cause : weighted_causes()) {
        const std::string_view name = scale::name_of(cause);
        const auto weight = view.number(name, weight_range, range_text(weight_range, ""));
        if (!weight) continue;
        if (scale::possible(description, cause)) {
            weights[place_of(cause)] = *weight;
        } else {
            view.findings().warning(view.spot(name), "has no effect: this scale cannot have that cause");
        }
    }
    view.unknown_keys(names_of(priors_keys(), "causes"), &place_of_healthy);
    if (sum_of(weights) <= 0.0) {
        view.findings().error(ErrorKind::impossible, view.header(),
                              "leaves no cause at all: at least one that this scale can have must weigh more "
                              "than 0");
    }
}

Loaded<Priors> priors_of(std::string_view text, const scale::Description& description, Findings& findings) {
    Priors weights = even_weights(description);
    double healthy = default_healthy(description);
    const auto table = parse_text(text, findings);
    if (table && !is_other_kind(*table, FileKind::priors, findings)) {
        const TableView root(*table, "", Spot{}, findings);
        root.unknown_keys(names_of(priors_keys(), ""), &place_of_weight);
        healthy = root.number("healthy", healthy_range, range_text(healthy_range, "")).value_or(healthy);
        if (const auto causes = root.table("causes", "[causes] "))
            read_weights(*causes, description, weights);
    }
    return findings.result(findings.clean() ? normalised(healthy, weights) : Priors{});
}

}  // namespace

const std::vector<PlainKey>& priors_keys() {
    static const std::vector<PlainKey> keys = [] {
        std::vector<PlainKey> all{
            {"", "healthy",
             "probability that nothing is wrong; default 0.15; " + range_text(healthy_range, "")},
            {"", "causes", "table of weights, see below; default: every cause as likely as any other"}};
        for (const Cause cause : weighted_causes()) {
            all.push_back(
                {"causes", scale::name_of(cause), "weight; default 1; " + range_text(weight_range, "")});
        }
        return all;
    }();
    return keys;
}

std::string priors_keys_text() {
    std::string names;
    for (const std::string_view name : names_of(priors_keys(), "causes")) {
        names += (names.empty() ? "" : ", ") + std::string(name);
    }
    return "At the top of the file\n" + entries_of(priors_keys(), "") + "\n[causes]\n" +
           wrapped("Weights beside each other; default 1; " + range_text(weight_range, "") +
                       ". A cause of weight 2 is twice as likely as one of weight 1; the places where it can "
                       "sit share it evenly.",
                   2, 2) +
           wrapped(names, 6, 6) +
           "\nExample: a pit that was flooded last week\n"
           "  healthy = 0.05\n"
           "  [causes]\n"
           "  wet-leak = 10\n"
           "  shifted-zero = 2\n";
}

Loaded<Priors> load_priors(const std::string& path, const scale::Description& description) {
    Findings findings(path);
    const auto text = read_text(path, findings);
    return text ? priors_of(*text, description, findings) : findings.result(Priors{});
}

Loaded<Priors> parse_priors(std::string_view text, const std::string& path,
                            const scale::Description& description) {
    Findings findings(path);
    return priors_of(text, description, findings);
}

}  // namespace cornerbench::files
