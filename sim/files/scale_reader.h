#pragma once

#include <map>
#include <string>
#include <string_view>

#include "sim/files/scale_keys.h"
#include "sim/files/table_view.h"

namespace cornerbench::files {

/// Where each key stands, by a path such as "deck.width_m", "max" or, for one cell, "cells.3.capacity" (with
/// the cell's number).
class KeyRecord {
  public:
    /// Where one key stands, and whether its value can be used.
    struct Entry {
        Spot spot;
        bool given = false;
        bool failed = false;  ///< given but unfit, or missing without a default
    };

    void set(const std::string& path, Entry entry) { entries_[path] = std::move(entry); }
    bool given(const std::string& path) const;
    /// True when the draft holds a value for `path` that makes sense by itself.
    bool usable(const std::string& path) const;
    Spot spot(const std::string& path) const;
    /// Of a [cell] key for one cell: its entry in [[cells]] where it has one, else in [cell].
    Spot cell_spot(int number, const std::string& key) const;

  private:
    std::map<std::string, Entry> entries_;
};

/// Path of `key` in `table`: "max" at the top, "deck.width_m".
std::string key_path(std::string_view table, std::string_view key);

/// What a key in `table` is shown with: "", "[deck] ", "[box] trim.".
std::string table_label(std::string_view table);

/// Reads the keys of a scale file one by one, by the table in scale_keys.h. What they say together is judged
/// in scale_checks.h.
class ScaleReader {
  public:
    ScaleReader(const toml::table& root, Findings& findings)
        : root_(root, "", Spot{}, findings), findings_(&findings) {}

    /// Fills `draft` with everything that can be read and `record` with where it stood.
    void read(ScaleDraft& draft, KeyRecord& record);

  private:
    /// Whether a table that is not there is an error.
    enum class Missing : bool { allowed, reported };

    void read_table(std::string_view table, const TableView& view, const std::string& record_as,
                    Missing missing);
    void read_key(const ScaleKey& key, const TableView& view, const std::string& record_as, Missing missing);
    bool read_value(const ScaleKey& key, const TableView& view);
    bool read_sections(const ScaleKey& key, const TableView& view);
    void read_subtable(std::string_view table, const TableView& parent, const std::string& record_as);
    void read_cells();
    void report_absent(std::string_view table);

    TableView root_;
    Findings* findings_;
    ScaleDraft* draft_ = nullptr;
    KeyRecord* record_ = nullptr;
};

}  // namespace cornerbench::files
