#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <toml++/toml.h>

#include "sim/files/findings.h"
#include "sim/files/range.h"

/// Typed reading of TOML tables, with an error for everything that is not as it should be.
namespace cornerbench::files {

/// Where a node stands, under the key it is shown with, and what it holds.
Spot spot_of(const toml::node& node, std::string key);

/// A finite number of `node` inside `range`. Whole numbers serve as well.
std::optional<double> read_number(const toml::node& node, const Spot& spot, const Range& range,
                                  const std::string& valid, Findings& findings);

/// One table of a file. `label` is what its keys are shown with: "" at the top, "[deck] ", "[box] trim.".
/// A read that finds nothing under its key returns nothing and reports nothing; one that finds something
/// unfit returns nothing and reports an error.
class TableView {
  public:
    TableView(const toml::table& table, std::string label, Spot header, Findings& findings)
        : table_(&table), label_(std::move(label)), header_(std::move(header)), findings_(&findings) {}

    const std::string& label() const { return label_; }
    Findings& findings() const { return *findings_; }

    bool has(std::string_view key) const { return table_->contains(key); }
    /// Place of `key`, or of the table's beginning while it has no such key.
    Spot spot(std::string_view key) const;
    /// Place of the table itself.
    const Spot& header() const { return header_; }
    const toml::node* node(std::string_view key) const { return table_->get(key); }

    /// A number within `range`; `valid` says in an error what would be right.
    std::optional<double> number(std::string_view key, const Range& range, const std::string& valid) const;
    std::optional<std::int64_t> integer(std::string_view key, const Range& range,
                                        const std::string& valid) const;
    /// Text of 1 to 200 bytes.
    std::optional<std::string> text(std::string_view key) const;
    /// Index of the word found in `words`.
    std::optional<int> choice(std::string_view key, std::span<const std::string_view> words) const;
    std::optional<bool> flag(std::string_view key) const;
    /// The table under `key`, whose keys are shown behind `sub_label`.
    std::optional<TableView> table(std::string_view key, const std::string& sub_label,
                                   const std::string& valid = "a table of keys") const;
    /// The tables of the list under `key`, each shown as "[[key]] #n ".
    std::vector<TableView> tables(std::string_view key) const;

    void error(ErrorKind kind, std::string_view key, std::string message) const;
    /// Reports that `key` must be given.
    void missing(std::string_view key, const std::string& valid) const;
    /// Reports every key outside `known`. `elsewhere` maps a key that other places have to where it belongs;
    /// it may return nothing.
    void unknown_keys(const std::vector<std::string_view>& known,
                      std::string (*elsewhere)(std::string_view key) = nullptr) const;

  private:
    const toml::table* table_;
    std::string label_;
    Spot header_;
    Findings* findings_;
};

/// `one of "kg", "t", "lb"`.
std::string one_of(std::span<const std::string_view> words);

}  // namespace cornerbench::files
